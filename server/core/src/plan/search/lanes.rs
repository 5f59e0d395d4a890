//! The lanes under search: for each bench the order of its operations, their ends, and the objective, kept up to
//! date change by change; only what a change reaches is worked out anew.
//!
//! Only orders are searched: for given orders every operation starts as early as its bench, its release or cure and
//! the windows allow, and as the objective never gains by a later end, some order reaches the optimum.

use super::model::{Model, NONE, Op};
use super::probe::fit;
use crate::plan::problem::{Objective, Problem, Row, Schedule, Unit};

/// Where an operation stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) bench: u32,
    pub(super) pos: u32,
}

/// What is in no lane.
pub(super) const NOWHERE: Place = Place { bench: NONE, pos: NONE };

/// Orders, ends and objective.
#[derive(Clone, Debug)]
pub(super) struct Lanes<'m> {
    pub(super) model: &'m Model,
    /// Operations by bench, in order.
    pub(super) order: Vec<Vec<u32>>,
    pub(super) place: Vec<Place>,
    pub(super) end: Vec<Unit>,
    minutes: Vec<Unit>,
    pub(super) total: Objective,
    /// Ends that the last move changed, oldest first.
    trail: Vec<(u32, Unit)>,
    /// By bench: first and last position to look at again; `from` is `NONE` when there is none.
    dirty: Vec<(u32, u32)>,
    queue: Vec<u32>,
}

impl<'m> Lanes<'m> {
    /// Empty lanes.
    pub(super) fn new(model: &'m Model) -> Self {
        let benches = model.open.len();
        Self {
            model,
            order: vec![Vec::new(); benches],
            place: vec![NOWHERE; model.ops.len()],
            end: vec![0; model.ops.len()],
            minutes: vec![0; model.ops.len()],
            total: Objective::default(),
            trail: Vec::new(),
            dirty: vec![(NONE, 0); benches],
            queue: Vec::new(),
        }
    }

    /// Becomes as `other`, without new memory. Both must be settled.
    pub(super) fn copy(&mut self, other: &Self) {
        self.order.clone_from(&other.order);
        self.place.clone_from(&other.place);
        self.end.clone_from(&other.end);
        self.minutes.clone_from(&other.minutes);
        self.total = other.total;
    }

    /// Whether the operation is in a lane.
    pub(super) fn is_placed(&self, op: u32) -> bool {
        self.place[op as usize].bench != NONE
    }

    /// The operation's start.
    pub(super) fn start(&self, op: u32) -> Unit {
        self.end[op as usize] - self.minutes[op as usize]
    }

    /// The operation's duration where it stands.
    pub(super) fn minutes_now(&self, op: u32) -> Unit {
        self.minutes[op as usize]
    }

    /// How many operations stand in a lane.
    pub(super) fn len(&self, bench: u32) -> usize {
        self.order[bench as usize].len()
    }

    /// Puts an operation in a lane. The end is worked out by the next [`Self::settle`]; until then it counts as
    /// ending where it last did.
    pub(super) fn put(&mut self, op: u32, at: Place, minutes: Unit) {
        let bench = at.bench as usize;
        self.count_told(bench, -1);
        self.order[bench].insert(at.pos as usize, op);
        self.count_told(bench, 1);
        self.minutes[op as usize] = minutes;
        self.place[op as usize] = at;
        self.renumber(at.bench, at.pos as usize + 1, self.order[bench].len());
        self.count_move(op, at.bench, 1);
    }

    /// Takes an operation out of its lane.
    pub(super) fn take(&mut self, op: u32) -> Place {
        let at = self.place[op as usize];
        let bench = at.bench as usize;
        self.count_told(bench, -1);
        self.order[bench].remove(at.pos as usize);
        self.count_told(bench, 1);
        self.renumber(at.bench, at.pos as usize, self.order[bench].len());
        self.count_move(op, at.bench, -1);
        at
    }

    fn renumber(&mut self, bench: u32, from: usize, to: usize) {
        for (pos, op) in self.order[bench as usize][from..to].iter().enumerate() {
            self.place[*op as usize] = Place { bench, pos: (from + pos) as u32 };
        }
    }

    fn count_told(&mut self, bench: usize, sign: i64) {
        if let (Some((op, cost)), Some(first)) = (self.model.told[bench], self.order[bench].first()) {
            self.total.cost += if *first == op { 0 } else { sign * cost };
        }
    }

    fn count_move(&mut self, op: u32, bench: u32, sign: i64) {
        let before = self.model.ops[op as usize].before;
        if before != NONE && before != bench {
            self.total.cost += sign * self.model.move_cost;
        }
    }

    /// What moved operations and changed "nexts" cost at present.
    pub(super) fn calm_cost(&self) -> i64 {
        let moved = (0..self.place.len()).filter(|op| {
            let (before, bench) = (self.model.ops[*op].before, self.place[*op].bench);
            before != NONE && bench != NONE && before != bench
        });
        let told = self.model.told.iter().zip(&self.order).filter_map(|(told, order)| {
            let ((op, cost), first) = ((*told)?, order.first()?);
            (*first != op).then_some(cost)
        });
        self.model.move_cost * moved.count() as i64 + told.sum::<i64>()
    }

    /// Adds or takes away what a job costs by the end of this operation, its last one in a lane.
    pub(super) fn count_job(&mut self, op: u32, sign: i64) {
        let model = self.model;
        let Op { job, tail, .. } = model.ops[op as usize];
        let part = model.prices[job as usize].at(self.end[op as usize] + tail, model.limit);
        self.total.unplaced += sign * part.0;
        self.total.cost += sign * part.1;
        self.total.completion += sign * part.2;
    }

    /// Marks positions of a lane for [`Self::settle`].
    pub(super) fn mark(&mut self, bench: u32, from: u32, to: u32) {
        let dirty = &mut self.dirty[bench as usize];
        if dirty.0 == NONE {
            *dirty = (from, to);
            self.queue.push(bench);
        } else {
            *dirty = (dirty.0.min(from), dirty.1.max(to));
        }
    }

    /// Works out every end that depends on what was marked. False when the orders contradict each other (an
    /// operation would wait for itself); the ends are then to be taken back.
    pub(super) fn settle(&mut self) -> bool {
        self.trail.clear();
        // A chain of cures can come back to a lane a few times; more is all but surely a circle.
        let mut passes = 16 + 2 * self.order.len();
        while let Some(bench) = self.queue.pop() {
            let (from, to) = std::mem::replace(&mut self.dirty[bench as usize], (NONE, 0));
            let order = std::mem::take(&mut self.order[bench as usize]);
            let sound = self.pass(bench, &order, from as usize, to as usize);
            self.order[bench as usize] = order;
            passes -= 1;
            if !sound || passes == 0 {
                while let Some(bench) = self.queue.pop() {
                    self.dirty[bench as usize] = (NONE, 0);
                }
                return false;
            }
        }
        if self.model.has_calls {
            self.count_overrun();
        }
        true
    }

    fn pass(&mut self, bench: u32, order: &[u32], from: usize, mut to: usize) -> bool {
        let model = self.model;
        let open = &model.open[bench as usize];
        let mut free = from.checked_sub(1).map_or(Unit::MIN / 4, |before| self.end[order[before] as usize]);
        let mut window = 0;
        for (pos, &op) in order.iter().enumerate().skip(from) {
            let info = &model.ops[op as usize];
            let ready =
                if info.prev == NONE { info.after } else { self.end[info.prev as usize] + info.after };
            let soonest = free.max(ready);
            let minutes = self.minutes[op as usize];
            free = fit(open, &mut window, soonest, minutes);
            let old = self.end[op as usize];
            if free == old {
                if pos >= to {
                    return true;
                }
                continue;
            }
            self.trail.push((op, old));
            let next = info.next;
            if next == NONE || !self.is_placed(next) {
                self.count_job(op, -1);
                self.end[op as usize] = free;
                self.count_job(op, 1);
                continue;
            }
            self.end[op as usize] = free;
            let follower = self.place[next as usize];
            if follower.bench != bench {
                self.mark(follower.bench, follower.pos, follower.pos);
            } else if (follower.pos as usize) < pos {
                return false;
            } else {
                to = to.max(follower.pos as usize);
            }
        }
        true
    }

    /// Brings the longest overrun up to date after the ends in the trail changed.
    fn count_overrun(&mut self) {
        let over = |op: u32, end: Unit| self.overrun(op, end);
        let worst = self.total.overrun;
        let lost = worst > 0 && self.trail.iter().any(|(op, old)| over(*op, *old) >= worst);
        self.total.overrun = if lost {
            self.overrun_of_all()
        } else {
            self.trail.iter().map(|(op, _)| over(*op, self.end[*op as usize])).fold(worst, Unit::max)
        };
    }

    /// The longest overrun over all jobs.
    pub(super) fn overrun_of_all(&self) -> Unit {
        let placed = (0..self.end.len() as u32).filter(|op| self.is_placed(*op));
        placed.map(|op| self.overrun(op, self.end[op as usize])).max().unwrap_or(0)
    }

    /// By how much the job overruns its last call if this operation, its last one in a lane, ends at `end`.
    fn overrun(&self, op: u32, end: Unit) -> Unit {
        let info = &self.model.ops[op as usize];
        if info.next != NONE && self.is_placed(info.next) {
            return 0;
        }
        self.model.prices[info.job as usize].overrun(end + info.tail, self.model.limit)
    }

    /// Puts back the ends that the last [`Self::settle`] changed.
    pub(super) fn unsettle(&mut self) {
        while let Some((op, old)) = self.trail.pop() {
            self.end[op as usize] = old;
        }
    }

    /// The plan that the lanes stand for.
    pub(super) fn schedule(&self, problem: &Problem) -> Schedule {
        let mut plan = Schedule::default();
        for (index, job) in problem.jobs.iter().enumerate() {
            let first = self.model.number(index, 0);
            let ops = first..first + job.ops.len() as u32;
            let fits = |op: u32| self.is_placed(op) && self.end[op as usize] <= self.model.limit;
            if !ops.clone().all(fits) {
                plan.unplaced.push(index);
                continue;
            }
            plan.rows.extend(ops.map(|op| Row {
                start: self.start(op),
                bench: self.place[op as usize].bench as usize,
                end: self.end[op as usize],
                job: index,
                op: (op - first) as usize,
            }));
        }
        plan.rows.sort_unstable();
        plan
    }
}
