//! A made armoury in full swing, for benchmarks: any number of open jobs on any number of benches, and what happens
//! next. All numbers are invented.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use remise_core::plan::problem::{Bench, Job, Operation, Problem, Row, Schedule, Unit};

/// A kind of work.
struct Kind {
    /// Hands-on minutes, from and to.
    minutes: (i64, i64),
    /// Minutes of cure, and of hands-on work after it.
    cure: Option<(i64, i64)>,
}

const fn kind(from: i64, to: i64, cure: Option<(i64, i64)>) -> Kind {
    Kind { minutes: (from, to), cure }
}

const KINDS: [Kind; 6] = [
    kind(4, 12, None),
    kind(14, 26, Some((20, 5))),
    kind(4, 10, None),
    kind(5, 14, None),
    kind(3, 8, None),
    kind(6, 16, Some((15, 3))),
];

/// Minutes that a bench stays open.
const HOURS: Unit = 100_000;

/// Open work that changes minute by minute.
pub struct Room {
    /// What there is to plan.
    pub problem: Problem,
    /// The kinds of work of each bench, and its minutes in percent of the usual ones.
    benches: Vec<(Vec<usize>, i64)>,
    random: ChaCha8Rng,
    now: Unit,
    arrivals: u32,
}

impl Room {
    /// A room with `jobs` open jobs on `benches` benches.
    pub fn new(jobs: usize, benches: usize, seed: u64) -> Self {
        let mut room = Self {
            problem: Problem { move_cost: 3, ..Problem::default() },
            benches: Vec::new(),
            random: ChaCha8Rng::seed_from_u64(seed),
            now: 0,
            arrivals: 0,
        };
        for bench in 0..benches {
            // Every kind of work has its benches: each does three of the six, in turn.
            let able = (0..3).map(|step| (bench + 2 * step) % KINDS.len()).collect();
            let pace = 80 + room.below(46);
            room.benches.push((able, pace));
            let noon = 60 + 30 * (bench as Unit % 5);
            let open = vec![(0, noon), (noon + 20, HOURS)];
            room.problem.benches.push(Bench { open, ..Bench::default() });
        }
        for _ in 0..jobs {
            room.arrive(jobs as Unit / benches as Unit);
        }
        room
    }

    fn below(&mut self, bound: i64) -> i64 {
        i64::from(self.random.next_u32()) % bound
    }

    fn arrive(&mut self, load: Unit) {
        let kind = self.below(KINDS.len() as i64) as usize;
        let Kind { minutes: (from, to), cure } = KINDS[kind];
        let base = from + self.below(to - from + 1);
        let minutes = |base: i64| -> Vec<(usize, Unit)> {
            let able = self.benches.iter().enumerate().filter(|(_, (able, _))| able.contains(&kind));
            able.map(|(bench, (_, pace))| (bench, (base * pace / 100).max(1))).collect()
        };
        let mut ops = vec![Operation { minutes: minutes(base), ..Operation::default() }];
        if let Some((cure, after)) = cure {
            ops.push(Operation { after_cure: cure, minutes: minutes(after), before: None });
        }
        let due = self.now + 10 + self.below(14 * load);
        let weight = [1, 1, 2, 4, 8][self.below(5) as usize];
        let (number, release) = (self.arrivals, self.now);
        self.arrivals += 1;
        let last_call = Some(self.now + 60 * load);
        self.problem.jobs.push(Job { number, release, due, weight, last_call, ops });
    }

    /// A minute passes: a bench finishes the first job of its lane for good, one job comes. Returns the plan's rows as
    /// they stand for the changed work.
    pub fn step(&mut self, plan: &Schedule) -> Vec<Row> {
        self.now += 1;
        for bench in &mut self.problem.benches {
            bench.busy_until = bench.busy_until.max(self.now);
        }
        for row in &plan.rows {
            self.problem.jobs[row.job].ops[row.op].before = Some(row.bench);
        }
        let bench = self.below(self.benches.len() as i64) as usize;
        let first = plan.rows.iter().find(|row| row.bench == bench).or(plan.rows.first());
        let Some(gone) = first.map(|row| row.job) else { return Vec::new() };
        let load = (self.problem.jobs.len() / self.benches.len()) as Unit;
        self.problem.jobs.remove(gone);
        self.arrive(load);
        let stays = plan.rows.iter().filter(|row| row.job != gone);
        stays.map(|row| Row { job: row.job - usize::from(row.job > gone), ..*row }).collect()
    }
}

#[cfg(test)]
mod tests {
    use remise_core::plan::search::repair;

    use super::*;

    #[test]
    fn a_room_stays_sensible_minute_by_minute() {
        let mut room = Room::new(30, 4, 1);
        let mut plan = repair(&room.problem, &[]).schedule;
        for _ in 0..20 {
            let rows = room.step(&plan);
            assert_eq!(room.problem.validate(), Ok(()));
            let kept = rows.len();
            let found = repair(&room.problem, &rows);
            assert!(found.schedule.unplaced.is_empty() && found.schedule.rows.len() > kept);
            assert_eq!(room.problem.jobs.len(), 30);
            plan = found.schedule;
        }
    }
}
