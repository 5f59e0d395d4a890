//! The search for better lanes: [`repair`] makes a plan at once, [`improve`] makes it better for as long as it may.
//!
//! Both are deterministic: the same problem, plan, budget and seed give the same plan on every machine. Budgets are
//! counted in evaluations (one look at one operation in one place), never in time.

mod insert;
mod lanes;
mod model;
mod moves;
mod probe;
mod random;
mod rebuild;
mod repair;
#[cfg(test)]
mod tests;

use insert::Reach;
use lanes::Lanes;
use model::Model;
pub use repair::repair;

use super::check::check;
use super::construct::{Rule, list};
use super::problem::{Objective, Problem, Schedule};

/// Up to this many operations a whole list schedule is made where one is of use; it takes too long beyond.
const LIST_MOST: usize = 300;

/// What a search found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outcome {
    /// The best plan found.
    pub schedule: Schedule,
    /// Its objective, as [`check`] judges it.
    pub objective: Objective,
    /// How many places were looked at.
    pub evaluations: u64,
}

/// A plan from nothing within a budget of evaluations: the better one of a list schedule by [`Rule::Atc`] (up to 300
/// operations) and an empty plan repaired, improved.
pub fn solve(problem: &Problem, budget: u64, seed: u64) -> Outcome {
    let mut start = repair(problem, &[]);
    let ops: usize = problem.jobs.iter().map(|job| job.ops.len()).sum();
    if ops <= LIST_MOST {
        let schedule = list(problem, Rule::Atc);
        let better = check(problem, &schedule).ok().filter(|objective| *objective < start.objective);
        start = better.map_or(start.clone(), |objective| Outcome { schedule, objective, ..start });
    }
    let found = improve(problem, &start.schedule, budget.saturating_sub(start.evaluations), seed);
    Outcome { evaluations: found.evaluations + start.evaluations, ..found }
}

/// Improves a plan within a budget of evaluations; it is overdrawn by no more than one step, which takes out and puts
/// back at most five jobs.
///
/// The result is never worse than `start`; a start that is not feasible is [`repair`]ed first. Whatever the start, a
/// result that leaves no less unplaced overruns its last calls by no more than taking the jobs in order of their last
/// call does: by [`Rule::LastCall`] up to 300 operations, beyond them by placing them one by one in that order, each
/// where it is best.
pub fn improve(problem: &Problem, start: &Schedule, budget: u64, seed: u64) -> Outcome {
    let Ok(objective) = check(problem, start) else {
        let mended = repair(problem, &start.rows);
        let budget = budget.saturating_sub(mended.evaluations);
        let found = improve(problem, &mended.schedule, budget, seed);
        return Outcome { evaluations: found.evaluations + mended.evaluations, ..found };
    };
    let model = Model::new(problem);
    let mut lanes = Lanes::new(&model);
    lanes.load(start);
    let mut spent = 0;
    if model.has_calls && (objective.overrun > 0 || objective.unplaced > 0) {
        let (other, looks) = in_turn(problem, &model);
        spent = looks;
        if other.total < lanes.total {
            lanes = other;
        }
    }
    let (lanes, looks) = rebuild::Rebuild::new(lanes, seed).run(budget.saturating_sub(spent));
    let found = outcome(problem, &lanes, spent + looks);
    // What has no place is judged more finely by the check than by the search; the start may still be the better one.
    if objective < found.objective {
        return Outcome { schedule: start.clone(), objective, evaluations: found.evaluations };
    }
    found
}

/// The jobs taken in order of their last call.
fn in_turn<'m>(problem: &Problem, model: &'m Model) -> (Lanes<'m>, u64) {
    let mut lanes = Lanes::new(model);
    if model.ops.len() <= LIST_MOST {
        lanes.load(&list(problem, Rule::LastCall));
        return (lanes, model.ops.len() as u64);
    }
    let mut jobs: Vec<usize> = (0..problem.jobs.len()).collect();
    jobs.sort_by_key(|job| {
        let job = &problem.jobs[*job];
        (job.last_call.is_none(), job.last_call, job.number)
    });
    let spent = repair::insert_all(model, &mut lanes, &jobs, Reach::Near);
    (lanes, spent)
}

fn outcome(problem: &Problem, lanes: &Lanes<'_>, evaluations: u64) -> Outcome {
    let schedule = lanes.schedule(problem);
    let objective = check(problem, &schedule).expect("lanes keep every rule of the problem");
    Outcome { schedule, objective, evaluations }
}
