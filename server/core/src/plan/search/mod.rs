//! The search for better lanes.

mod anneal;
mod lanes;
mod model;
mod moves;
mod random;

pub use anneal::Tuning;
use super::check::check;
use super::problem::{Objective, Problem, Schedule};

/// What a search found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outcome {
    /// The best plan found, never worse than the start.
    pub schedule: Schedule,
    /// Its objective.
    pub objective: Objective,
    /// How many plans were looked at.
    pub evaluations: u64,
}

/// lab
pub fn improve_with(problem: &Problem, start: &Schedule, budget: u64, seed: u64, t: &Tuning) -> Outcome {
    let model = model::Model::new(problem);
    let mut lanes = lanes::Lanes::new(&model);
    lanes.load(start);
    let mut anneal = anneal::Anneal::new(&model, lanes, seed);
    anneal.run(budget, t);
    let mut lanes = lanes::Lanes::new(&model);
    lanes.load_orders(&anneal.kept);
    assert_eq!(lanes.total, anneal.best);
    let schedule = lanes.schedule(problem);
    let objective = check(problem, &schedule).expect("feasible");
    assert_eq!(objective, anneal.best);
    Outcome { schedule, objective, evaluations: anneal.spent }
}
