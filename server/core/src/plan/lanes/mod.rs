//! Lanes by search: the armoury at one moment becomes a scheduling problem, and the best schedule found becomes the plan.
//!
//! Every job that awaits work is one job of the problem, in whole seconds from now. Its duration is the mean over what
//! may be wrong with it, at each bench; it is released when it has been walked in or is dry; it is due when it must be
//! ready to be back in time, and a late second weighs as its need does. Where glue is likely it has two operations with
//! the bench free between them: the repair, and the proof when it is dry. What benches have in hand, call-outs, breaks
//! and hours are frozen. Moving a job to another bench, and giving a bench something else than it was told to take next,
//! cost so much that it is done only when it gains clearly. No job starves: see `last_call` in `frame`.

pub(in crate::plan) mod frame;
pub(in crate::plan) mod outlook;
mod residual;
#[cfg(test)]
mod tests;
pub(in crate::plan) mod trace;

use frame::Frame;
pub(crate) use frame::due;
pub use frame::{PAST_DUE, PATIENCE};
use trace::Trace;

use super::construct::{Rule, list};
use super::problem::{Objective, Schedule};
use super::search;
use super::{Plan, Planner, UrgencyPlanner};
use crate::armoury::Armoury;
use crate::time::Stamp;

/// Evaluations that a plan may cost all told, unless said otherwise.
pub const BUDGET: u64 = 30_000;
/// A small plan needs no more than this for each pair of its operations.
const PER_PAIR: u64 = 60;
/// The search's chance begins here.
const SEED: u64 = 1;

/// Plans by search, calmly: the newest plan is repaired when something happens, then improved within a budget that
/// is counted in evaluations, so that a replay gives the same plans.
#[derive(Clone, Debug)]
pub struct LanePlanner {
    budget: u64,
    before: Trace,
    newest: Option<Newest>,
}

/// The plan last given, as the search knows it.
#[derive(Clone, Debug)]
struct Newest {
    frame: Frame,
    schedule: Schedule,
    objective: Objective,
    trace: Trace,
    spent: u64,
    slices: u64,
}

impl Default for LanePlanner {
    fn default() -> Self {
        Self::new(BUDGET)
    }
}

impl LanePlanner {
    /// A planner that may spend so many evaluations on one plan.
    pub fn new(budget: u64) -> Self {
        Self { budget, before: Trace::default(), newest: None }
    }

    /// A planner that goes on from a plan which was made for this armoury or an earlier one, by whatever planner.
    pub fn going_on(budget: u64, room: &Armoury, plan: &Plan) -> Self {
        Self { budget, before: Trace::of_plan(room, plan), newest: None }
    }
}

impl Newest {
    fn take(&mut self, found: search::Outcome) -> Plan {
        self.trace = Trace::of(&self.frame, &found.schedule);
        self.schedule = found.schedule;
        self.objective = found.objective;
        trace::plan(&self.frame, &self.schedule)
    }

    /// How much more this plan may cost.
    fn left(&self, budget: u64) -> u64 {
        let ops: u64 = self.frame.problem.jobs.iter().map(|job| job.ops.len() as u64).sum();
        budget.min(ops * ops * PER_PAIR).saturating_sub(self.spent)
    }
}

impl Planner for LanePlanner {
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let Some(venue) = room.venue.clone() else {
            return Plan { based_on: room.head, at: now, ..Plan::default() };
        };
        let before = std::mem::take(&mut self.before);
        let trace = self.newest.take().map_or(before, |newest| newest.trace);
        let frame = Frame::new(room, &venue, now, &trace);
        if frame.problem.validate().is_err() {
            // Times beyond all reason: the simple rule takes any.
            return UrgencyPlanner.repair(room, now);
        }
        let found = search::repair(&frame.problem, &frame.rows(&trace));
        let mut newest = Newest {
            frame,
            schedule: Schedule::default(),
            objective: found.objective,
            trace,
            spent: found.evaluations,
            slices: 0,
        };
        let plan = newest.take(found);
        self.newest = Some(newest);
        plan
    }

    fn improve(&mut self, room: &Armoury, _now: Stamp, evaluations: u64) -> Option<Plan> {
        let newest = self.newest.as_mut().filter(|newest| newest.frame.head == room.head)?;
        let budget = newest.left(self.budget).min(evaluations);
        if budget == 0 {
            return None;
        }
        let seed = SEED + newest.slices;
        let found = search::improve(&newest.frame.problem, &newest.schedule, budget, seed);
        newest.slices += 1;
        newest.spent += found.evaluations.max(1);
        (found.objective < newest.objective).then(|| newest.take(found))
    }
}

/// Plans by one rule, from nothing each time: a yardstick for comparison.
#[derive(Clone, Copy, Debug)]
pub struct RulePlanner(pub Rule);

impl Planner for RulePlanner {
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let Some(venue) = room.venue.clone() else {
            return Plan { based_on: room.head, at: now, ..Plan::default() };
        };
        let frame = Frame::new(room, &venue, now, &Trace::default());
        if frame.problem.validate().is_err() {
            return UrgencyPlanner.repair(room, now);
        }
        trace::plan(&frame, &list(&frame.problem, self.0))
    }
}
