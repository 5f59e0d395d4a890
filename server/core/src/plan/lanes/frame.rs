//! From the armoury to a scheduling problem: times in whole seconds from now.

use std::collections::BTreeMap;

use super::super::Unplaced;
use super::super::problem::{Bench, HEAVIEST, Job as Work, LARGEST, Operation, Problem, Row, Told, Unit};
use super::super::urgency::{attended_from, here_from, needs_bench};
use super::outlook::Outlooks;
use super::trace::Trace;
use crate::armoury::{Armoury, Job, Need};
use crate::ids::{BenchId, JobId, Seq};
use crate::time::{Span, Stamp, US_PER_S, Window};
use crate::venue::Venue;

/// A late second weighs ten times the need's weight when somebody named the time, and a tenth of that when nobody did:
/// what nobody waits for at a known time comes after.
const NAMED: i64 = 10;
const UNNAMED: i64 = 1;
/// A job changes bench when that spares somebody with one left more than so many late seconds.
const MOVE_COST: i64 = 4 * NAMED * 60;
/// A bench takes something else than it was told when that spares somebody with one left more than so many. Chosen
/// together with [`SOON_S`] on invented days (`lane_figures`): fewer than 5 changes of a next in 100 takes.
const TOLD_COST: i64 = 4 * NAMED * 960;
/// What a bench was told stays with it while another has nothing to do, if it can take it within so many seconds.
const SOON_S: Unit = 900;
/// A bench was told to take what it can take within so many seconds; what is not here yet binds nobody.
const HERE_S: Unit = 60;
/// Nobody waits longer than this in open hours without coming first, whatever else is urgent; see `last_call`.
pub const PATIENCE: Span = Span::minutes(240);
/// What a late second weighs of a job whose last call has passed, whatever its need, and how much more by the minute.
pub const OVERDUE: i64 = 5_000;
const OVERDUE_PER_MIN: i64 = 20;
/// What is wanted late has its last call this long after.
pub const PAST_DUE: Span = Span::minutes(120);

/// An armoury at one moment as a scheduling problem.
#[derive(Clone, Debug)]
pub(in crate::plan) struct Frame {
    /// The journal number that it was made from.
    pub(super) head: Seq,
    /// The moment that is 0.
    pub(super) origin: Stamp,
    /// The problem.
    pub(in crate::plan) problem: Problem,
    /// The problem's jobs.
    pub(in crate::plan) jobs: Vec<JobId>,
    /// The problem's benches.
    pub(in crate::plan) benches: Vec<BenchId>,
    /// What benches have in hand, and until when that keeps them busy.
    pub(super) in_hand: BTreeMap<BenchId, (JobId, Unit)>,
    /// Jobs that are not part of the problem.
    pub(super) unplaced: Vec<(JobId, Unplaced)>,
}

impl Frame {
    /// The problem at `now`, with what is to stay as it was.
    pub(in crate::plan) fn new(room: &Armoury, venue: &Venue, now: Stamp, trace: &Trace) -> Self {
        let mut frame = Self {
            head: room.head,
            origin: now,
            problem: Problem { move_cost: MOVE_COST, ..Problem::default() },
            jobs: Vec::new(),
            benches: venue.benches.iter().map(|bench| bench.id).collect(),
            in_hand: BTreeMap::new(),
            unplaced: Vec::new(),
        };
        let mut outlooks = Outlooks::new(room, venue);
        for (index, bench) in venue.benches.iter().enumerate() {
            frame.push_bench(room, venue, &mut outlooks, index, bench);
        }
        for job in room.jobs.values().filter(|job| needs_bench(job)) {
            frame.push_waiting(room, venue, &mut outlooks, job);
        }
        frame.keep_calm(trace);
        frame
    }

    /// Seconds from now, rounded up.
    fn at(&self, at: Stamp) -> Unit {
        let us = at.0.saturating_sub(self.origin.0);
        (us.div_euclid(US_PER_S) + Unit::from(us.rem_euclid(US_PER_S) > 0)).clamp(-LARGEST, LARGEST)
    }

    /// The moment so many seconds from now.
    pub(super) fn stamp(&self, at: Unit) -> Stamp {
        Stamp(self.origin.0.saturating_add(at * US_PER_S))
    }

    fn push_bench(
        &mut self,
        room: &Armoury,
        venue: &Venue,
        outlooks: &mut Outlooks<'_>,
        index: usize,
        bench: &crate::venue::Bench,
    ) {
        let mut busy_until = self.at(attended_from(room, bench.id, self.origin)).max(0);
        let hand = room.bench(bench.id).job.and_then(|job| room.job(job));
        if let Some(job) = hand {
            let rest = outlooks.rest(job, self.origin);
            let here = rest.first.iter().find(|(able, _)| *able == index).or(rest.first.first());
            busy_until += here.map_or(HERE_S, |(_, seconds)| *seconds);
            self.in_hand.insert(bench.id, (job.id, busy_until));
            if let Some((cure, minutes)) = rest.then {
                let proof = Operation { minutes, ..Operation::default() };
                self.push(room, venue, job, busy_until + cure, vec![proof]);
            }
        }
        let open = room.open_windows(bench.id, self.origin);
        let open = open.filter_map(|window| self.window(window)).collect();
        self.problem.benches.push(Bench { busy_until: busy_until.min(LARGEST), open, told: None });
    }

    fn window(&self, window: Window) -> Option<(Unit, Unit)> {
        let (from, to) = (self.at(window.from).max(0), self.at(Stamp(window.to.0 - US_PER_S + 1)));
        (from < to).then_some((from, to))
    }

    fn push_waiting(&mut self, room: &Armoury, venue: &Venue, outlooks: &mut Outlooks<'_>, job: &Job) {
        if job.hold.is_some() {
            self.unplaced.push((job.id, Unplaced::Held));
            return;
        }
        let rest = outlooks.rest(job, self.origin);
        if rest.first.is_empty() {
            self.unplaced.push((job.id, Unplaced::NoBench));
            return;
        }
        let proof = rest.then.map(|(after_cure, minutes)| Operation { after_cure, minutes, before: None });
        let first = Operation { minutes: rest.first, ..Operation::default() };
        let release = self.at(here_from(room, job, self.origin)).max(0);
        self.push(room, venue, job, release, [first].into_iter().chain(proof).collect());
    }

    fn push(&mut self, room: &Armoury, venue: &Venue, job: &Job, release: Unit, ops: Vec<Operation>) {
        let due = due(room, job);
        let call = last_call(venue, job, due);
        self.problem.jobs.push(Work {
            number: self.jobs.len() as u32,
            release: release.min(LARGEST),
            due: self.at(due),
            weight: weight(room, job, call, self.origin),
            last_call: Some(self.at(call)),
            ops,
        });
        self.jobs.push(job.id);
    }

    /// What is to stay as it was unless it gains enough. Work that a bench with nothing to do could begin at once is
    /// free to go there: holding it back for the sake of calm would only waste time. But what a bench was told and can
    /// take soon is not taken from its hands.
    fn keep_calm(&mut self, trace: &Trace) {
        let free = self.free_to_go(trace);
        for row in self.rows(trace) {
            if !free[row.job] {
                self.problem.jobs[row.job].ops[row.op].before = Some(row.bench);
            }
        }
        for index in 0..self.benches.len() {
            let told = self.told(trace, index).filter(|job| !free[*job]);
            self.problem.benches[index].told = told.map(|job| Told { job, op: 0, cost: TOLD_COST });
        }
    }

    /// Which jobs a bench with nothing to do could begin at once, and no other bench was told and can take soon.
    fn free_to_go(&self, trace: &Trace) -> Vec<bool> {
        let spare = self.spare(trace);
        let waits_for_nothing =
            |work: &Work| work.release <= 0 && spare.iter().any(|bench| work.ops[0].at(*bench).is_some());
        let mut free: Vec<bool> = self.problem.jobs.iter().map(waits_for_nothing).collect();
        for (index, bench) in self.problem.benches.iter().enumerate() {
            if let Some(told) = self.told(trace, index).filter(|_| bench.busy_until <= SOON_S) {
                free[told] = false;
            }
        }
        free
    }

    /// What the bench was told to take next, if that is here and still to be done.
    fn told(&self, trace: &Trace, bench: usize) -> Option<usize> {
        let told = trace.told.get(&self.benches[bench])?;
        let job = self.jobs.iter().position(|id| id == told)?;
        let work = &self.problem.jobs[job];
        (work.release <= HERE_S && work.ops[0].at(bench).is_some()).then_some(job)
    }

    /// The benches that are open and attended, with nothing in hand and nothing to take next.
    fn spare(&self, trace: &Trace) -> Vec<usize> {
        let idle = |index: &usize| {
            let bench = &self.problem.benches[*index];
            let open = bench.open.iter().any(|(from, to)| *from <= 0 && 0 < *to);
            bench.busy_until <= 0 && open && self.told(trace, *index).is_none()
        };
        (0..self.benches.len()).filter(idle).collect()
    }

    /// The rows of the plan before: only their benches and their order count.
    pub(super) fn rows(&self, trace: &Trace) -> Vec<Row> {
        let mut rows = Vec::new();
        for (job, id) in self.jobs.iter().enumerate() {
            let Some(stays) = trace.placed.get(id) else { continue };
            // A job with fewer operations than before has the first ones behind it.
            let ops = self.problem.jobs[job].ops.len();
            let from = stays.len().saturating_sub(ops);
            for (op, (bench, start)) in stays[from..].iter().enumerate() {
                let Some(bench) = self.benches.iter().position(|known| known == bench) else { continue };
                let start = self.at(*start);
                rows.push(Row { start, bench, end: start, job, op });
            }
        }
        rows.sort_unstable();
        rows
    }
}

/// When the job is late: ready by then, it is back when it is wanted. Without a time said, what the need and the time
/// of hand-in suggest, by an estimate of our own: 20 minutes for a stopped strip and for somebody who has none left, 220 for somebody with spares.
pub(crate) fn due(room: &Armoury, job: &Job) -> Stamp {
    match job.wanted_by {
        Some(wanted) => wanted.plus_min(-room.walk_min(job.back_to)),
        None if is_urgent(room.need(job)) => job.handed_in.plus_min(20),
        None => job.handed_in.plus_min(240 - 10 * i64::from(room.need(job).weight())),
    }
}

/// Whether it is wanted at once though nobody said so.
fn is_urgent(need: Need) -> bool {
    need.weight() >= Need::NoneLeft.weight()
}

fn weight(room: &Armoury, job: &Job, last_call: Stamp, now: Stamp) -> i64 {
    if last_call <= now {
        return (OVERDUE + OVERDUE_PER_MIN * now.since(last_call).ceil_min()).min(HEAVIEST);
    }
    let need = room.need(job);
    let named = job.wanted_by.is_some() || is_urgent(need);
    i64::from(need.weight()) * if named { NAMED } else { UNNAMED }
}

/// The moment after which a job's waiting itself is wrong: [`PATIENCE`] in open hours after the hand-in, or
/// [`PAST_DUE`] after it is due by a time that was said, whichever is later.
///
/// Two bounds follow, and no job waits for ever, however urgent what comes is and however much of it:
///
/// - A plan looks ahead: no job in it ends later after its last call than the worst does when all are taken in order
///   of their last calls (the search's own promise for whole plans).
/// - Once a job's last call has passed, it weighs [`OVERDUE`], and more by the minute, where others weigh 100 at most: as
///   long as its work takes less than 50 times the least work, only jobs past their own last calls go before it. Each of
///   those was handed in at least [`PATIENCE`] of open hours ago, so nothing that comes later holds it up until then.
pub(in crate::plan) fn last_call(venue: &Venue, job: &Job, due: Stamp) -> Stamp {
    let patience = open_hours_after(venue, job.handed_in, PATIENCE);
    if job.wanted_by.is_some() { patience.or_later(due + PAST_DUE) } else { patience }
}

/// The moment at which so much time of the tournament's days has passed since `from`.
fn open_hours_after(venue: &Venue, from: Stamp, span: Span) -> Stamp {
    let (mut at, mut left) = (from, span.0);
    for day in venue.days.iter().filter(|day| from < day.to) {
        at = at.or_later(day.from);
        let stretch = (day.to.0 - at.0).max(0);
        if left <= stretch {
            return Stamp(at.0 + left);
        }
        left -= stretch;
        at = day.to;
    }
    Stamp(at.0.saturating_add(left))
}
