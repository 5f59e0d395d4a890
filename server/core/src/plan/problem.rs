//! The scheduling problem behind the lanes: benches with hours, jobs with one or more hands-on operations and cures
//! between them, and what makes one plan better than another.
//!
//! All times are whole units of the caller's choice (minutes in the reference instances), intervals are half-open:
//! `[from, to)`. Benches and jobs are named by their index. Nothing here knows of gear, strips or clocks.
//!
//! The parts that a plain instance does not need are neutral when left at their defaults: no `before`, no `told`, no
//! `last_call`.

use thiserror::Error;

/// A moment or a duration in the caller's unit.
pub type Unit = i64;

/// Largest moment, duration or cost that a problem may name: 19 years of minutes, 115 days of seconds.
pub const LARGEST: Unit = 10_000_000;

/// Largest weight. With [`LARGEST`] and [`MOST`] it keeps every sum inside 64 bits.
pub const HEAVIEST: i64 = 100_000;

/// Most jobs, benches, windows of a bench, or operations of a job.
pub const MOST: usize = 100_000;

/// A bench: what is frozen on it, and when it is open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bench {
    /// Frozen work: nothing starts earlier.
    pub busy_until: Unit,
    /// Half-open windows, ascending and apart; an operation lies inside one of them.
    pub open: Vec<(Unit, Unit)>,
    /// What this bench has been told to take next.
    pub told: Option<Told>,
}

/// A bench's "next", as it was last shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Told {
    /// The job, by index.
    pub job: usize,
    /// The operation of that job.
    pub op: usize,
    /// What it costs, in weighted units of lateness, when something else comes first.
    pub cost: i64,
}

/// Hands-on work that one bench does without a break.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Operation {
    /// At least this much time passes unattended after the job's operation before it; no meaning for the first.
    pub after_cure: Unit,
    /// Duration by bench, at least 1, ascending by bench; a bench that is not listed cannot do it.
    pub minutes: Vec<(usize, Unit)>,
    /// The bench in whose lane it was in the plan before this one; leaving it costs [`Problem::move_cost`].
    pub before: Option<usize>,
}

/// A job: one item's remaining work.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Job {
    /// Order of arrival, for first come first served.
    pub number: u32,
    /// The first operation does not start earlier.
    pub release: Unit,
    /// Later than this is late.
    pub due: Unit,
    /// What a unit of lateness costs.
    pub weight: i64,
    /// The moment after which waiting itself is wrong, whatever else is urgent; see [`Objective::overrun`].
    pub last_call: Option<Unit>,
    /// The hands-on operations in order, at least one.
    pub ops: Vec<Operation>,
}

/// A scheduling problem.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problem {
    /// The benches.
    pub benches: Vec<Bench>,
    /// The jobs.
    pub jobs: Vec<Job>,
    /// What it costs, in weighted units of lateness, to move an operation off the bench it was planned on.
    pub move_cost: i64,
}

/// One operation in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Row {
    /// When it starts.
    pub start: Unit,
    /// The bench.
    pub bench: usize,
    /// When it ends.
    pub end: Unit,
    /// The job.
    pub job: usize,
    /// The operation of that job.
    pub op: usize,
}

/// A plan: rows by start, then bench. A job that fits in no window any more has no row at all.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Schedule {
    /// The operations.
    pub rows: Vec<Row>,
    /// Jobs without a place, ascending.
    pub unplaced: Vec<usize>,
}

/// How good a plan is; smaller is better, earlier fields rule over later ones. Never added up into one figure.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Objective {
    /// Weights of the jobs without a place (at least 1 each).
    pub unplaced: i64,
    /// The longest time by which any placed job ends after its last call; 0 when none does.
    ///
    /// This is what rules out starvation. The search never returns a plan with a longer overrun than taking the
    /// jobs in order of their last call gives (rule [`super::construct::Rule::LastCall`]), so the wait of the
    /// longest waiting job is bounded by first come first served over the work that was there before its last call,
    /// however much heavier work keeps coming.
    pub overrun: Unit,
    /// Sum of weight × lateness, plus what moved operations and changed "nexts" cost. Weighted units.
    pub cost: i64,
    /// Sum of weight × end over the placed jobs: decides among plans that are equally late.
    pub completion: i64,
}

/// Why a problem makes no sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum Senseless {
    /// More jobs, benches, windows or operations than [`MOST`].
    #[error("it has more than {MOST} of a kind")]
    TooMany,
    /// A weight above [`HEAVIEST`], a moment, duration or cost beyond [`LARGEST`], a duration below 1, or another number
    /// below 0 that is not a moment.
    #[error("a number of bench or job {0} is out of range")]
    Range(usize),
    /// Windows that overlap, run backwards or are out of order.
    #[error("the windows of bench {0} are not ascending and apart")]
    Windows(usize),
    /// A job without operations.
    #[error("job {0} has no operations")]
    NoWork(usize),
    /// Benches of an operation that are unknown, listed twice or out of order, or none at all.
    #[error("an operation of job {0} does not list known benches in ascending order")]
    Benches(usize),
    /// `told` names an operation that does not exist.
    #[error("bench {0} was told an operation that does not exist")]
    Told(usize),
}

impl Job {
    /// What the job adds to the objective when its last operation ends at `end`, besides the overrun.
    pub fn cost(&self, end: Unit) -> (i64, i64) {
        (self.weight * (end - self.due).max(0), self.weight * end)
    }

    /// By how much an end at `end` overruns the last call; 0 without one.
    pub fn overrun(&self, end: Unit) -> Unit {
        self.last_call.map_or(0, |call| (end - call).max(0))
    }
}

impl Operation {
    /// The duration at a bench, when that bench can do it.
    pub fn at(&self, bench: usize) -> Option<Unit> {
        self.minutes.iter().find(|(able, _)| *able == bench).map(|(_, minutes)| *minutes)
    }

    /// The shortest duration at any bench; 0 when none is listed.
    pub fn shortest(&self) -> Unit {
        self.minutes.iter().map(|(_, minutes)| *minutes).min().unwrap_or(0)
    }
}

impl Problem {
    /// Whether everything named exists and every number is in range. Everything else in this module takes a problem
    /// that passed.
    pub fn validate(&self) -> Result<(), Senseless> {
        if self.benches.len() > MOST || self.jobs.len() > MOST {
            return Err(Senseless::TooMany);
        }
        if !in_range(self.move_cost) {
            return Err(Senseless::Range(0));
        }
        self.benches.iter().enumerate().try_for_each(|(index, bench)| self.validate_bench(index, bench))?;
        self.jobs.iter().enumerate().try_for_each(|(index, job)| self.validate_job(index, job))
    }

    fn validate_bench(&self, index: usize, bench: &Bench) -> Result<(), Senseless> {
        if bench.open.len() > MOST {
            return Err(Senseless::TooMany);
        }
        let moments = bench.open.iter().flat_map(|(from, to)| [*from, *to]).chain([bench.busy_until]);
        if !moments.into_iter().all(moment_in_range) {
            return Err(Senseless::Range(index));
        }
        let forward = bench.open.iter().all(|(from, to)| from <= to);
        if !forward || !bench.open.is_sorted_by(|before, after| before.1 <= after.0) {
            return Err(Senseless::Windows(index));
        }
        let known = |told: &Told| self.jobs.get(told.job).is_some_and(|job| told.op < job.ops.len());
        match &bench.told {
            Some(told) if !known(told) => Err(Senseless::Told(index)),
            Some(told) if !in_range(told.cost) => Err(Senseless::Range(index)),
            _ => Ok(()),
        }
    }

    fn validate_job(&self, index: usize, job: &Job) -> Result<(), Senseless> {
        if job.ops.is_empty() {
            return Err(Senseless::NoWork(index));
        }
        if job.ops.len() > MOST {
            return Err(Senseless::TooMany);
        }
        let moments = [job.release, job.due, job.last_call.unwrap_or(0)];
        if !moments.into_iter().all(moment_in_range) || !(0..=HEAVIEST).contains(&job.weight) {
            return Err(Senseless::Range(index));
        }
        for op in &job.ops {
            if !in_range(op.after_cure)
                || !op.minutes.iter().all(|(_, minutes)| (1..=LARGEST).contains(minutes))
            {
                return Err(Senseless::Range(index));
            }
            let known = op.minutes.iter().all(|(bench, _)| *bench < self.benches.len());
            if !known || op.minutes.is_empty() || !op.minutes.is_sorted_by(|a, b| a.0 < b.0) {
                return Err(Senseless::Benches(index));
            }
        }
        Ok(())
    }
}

fn in_range(number: i64) -> bool {
    (0..=LARGEST).contains(&number)
}

fn moment_in_range(moment: Unit) -> bool {
    (-LARGEST..=LARGEST).contains(&moment)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one() -> Problem {
        let bench = Bench { busy_until: 0, open: vec![(0, 10), (20, 30)], told: None };
        let op = Operation { minutes: vec![(0, 5)], ..Operation::default() };
        Problem {
            benches: vec![bench],
            jobs: vec![Job { weight: 2, due: 3, ops: vec![op], ..Job::default() }],
            move_cost: 0,
        }
    }

    #[test]
    fn what_makes_no_sense_is_refused() {
        assert_eq!(one().validate(), Ok(()));
        let spoil = |how: fn(&mut Problem)| {
            let mut problem = one();
            how(&mut problem);
            problem.validate()
        };
        assert_eq!(spoil(|p| p.jobs[0].ops.clear()), Err(Senseless::NoWork(0)));
        assert_eq!(spoil(|p| p.jobs[0].ops[0].minutes.clear()), Err(Senseless::Benches(0)));
        assert_eq!(spoil(|p| p.jobs[0].ops[0].minutes = vec![(1, 5)]), Err(Senseless::Benches(0)));
        assert_eq!(spoil(|p| p.jobs[0].ops[0].minutes = vec![(0, 5), (0, 6)]), Err(Senseless::Benches(0)));
        assert_eq!(spoil(|p| p.jobs[0].ops[0].minutes[0].1 = 0), Err(Senseless::Range(0)));
        assert_eq!(spoil(|p| p.jobs[0].due = i64::MAX), Err(Senseless::Range(0)));
        assert_eq!(spoil(|p| p.jobs[0].weight = HEAVIEST + 1), Err(Senseless::Range(0)));
        assert_eq!(spoil(|p| p.benches[0].open[1].0 = 9), Err(Senseless::Windows(0)));
        assert_eq!(spoil(|p| p.benches[0].open[1].1 = 19), Err(Senseless::Windows(0)));
        assert_eq!(
            spoil(|p| p.benches[0].told = Some(Told { job: 0, op: 1, cost: 0 })),
            Err(Senseless::Told(0))
        );
        assert_eq!(spoil(|p| p.move_cost = -1), Err(Senseless::Range(0)));
    }

    #[test]
    fn a_plan_is_judged_by_the_earlier_field_first() {
        let good = Objective { unplaced: 0, overrun: 0, cost: 5, completion: 900 };
        assert!(good < Objective { cost: 6, completion: 0, ..good });
        assert!(good < Objective { overrun: 1, cost: 0, completion: 0, ..good });
        assert!(good < Objective { unplaced: 1, overrun: 0, cost: 0, completion: 0 });
        assert!(good < Objective { completion: 901, ..good });
    }

    #[test]
    fn lateness_starts_after_the_due_time() {
        let job = &one().jobs[0];
        assert_eq!((job.cost(3), job.cost(5)), ((0, 6), (4, 10)));
    }
}
