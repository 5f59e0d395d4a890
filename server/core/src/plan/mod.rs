//! Lanes: who does what in which order, and when each item will be ready.
//!
//! [`Planner`] is the seam. [`LanePlanner`] plans by search; [`UrgencyPlanner`] is the simple rule to fall back to,
//! always correct and always quick; [`RulePlanner`] is a yardstick. A plan is not journalled: it follows from the
//! armoury, the time and the plan before it.

pub mod check;
pub mod construct;
pub mod lanes;
pub mod mixture;
pub mod problem;
pub mod search;
mod urgency;
pub mod whatif;
pub mod why;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::armoury::{Armoury, Job, State};
use crate::gear::{self, Complaint, Fault, ItemKind, Work};
use crate::ids::{BenchId, JobId, Seq};
use crate::promise::Raw;
use crate::time::{Span, Stamp};
use crate::times::Learned;

pub(crate) use lanes::due;
pub use lanes::{LanePlanner, RulePlanner};
pub use mixture::mixture;
pub use urgency::UrgencyPlanner;
pub use whatif::{WhatIf, what_if};
pub use why::{Why, why};

/// Makes plans. Deterministic: the same calls with the same armouries and times give the same plans.
pub trait Planner: Send {
    /// Repairs the newest plan for this armoury, or makes a first one: quick, and always a whole plan.
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan;

    /// Goes on improving the plan last given, for at most so many evaluations; `None` when nothing better was found,
    /// the planner's own budget for one plan is spent, or the armoury is another than the plan was made from.
    fn improve(&mut self, _room: &Armoury, _now: Stamp, _evaluations: u64) -> Option<Plan> {
        None
    }

    /// A plan with the whole budget: repaired, then improved.
    fn plan(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let repaired = self.repair(room, now);
        self.improve(room, now, u64::MAX).unwrap_or(repaired)
    }
}

/// Who made a plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Maker {
    /// The planner that was asked for.
    #[default]
    Planner,
    /// The simple rule in its place, because it failed.
    Failed,
    /// The simple rule in its place, because it takes too long.
    Slow,
}

/// Who does what in which order.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Plan {
    /// The journal number that it was made from.
    pub based_on: Seq,
    /// When it was made.
    pub at: Stamp,
    /// The lanes, by bench.
    pub lanes: BTreeMap<BenchId, Vec<Slot>>,
    /// Jobs that no bench can take, and why.
    pub unplaced: Vec<(JobId, Unplaced)>,
    /// What comes back to a bench to be proved after it has dried, by job: glue is still to be used on it.
    #[serde(default)]
    pub comes_back: BTreeMap<JobId, Return>,
    /// Who made it.
    #[serde(default)]
    pub made_by: Maker,
    /// What the draws gave for each job, before any correction; filled in by [`crate::promise::quote`].
    #[serde(default)]
    pub raw: BTreeMap<JobId, Raw>,
}

/// Where and when a job is expected to come back after it has dried.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Return {
    /// The bench that proves it.
    pub bench: BenchId,
    /// When that bench takes it up.
    pub start: Stamp,
}

/// A job's place in a lane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Slot {
    /// The job.
    pub job: JobId,
    /// When the bench takes it up by the plan: what the lanes are ordered by.
    pub start: Stamp,
    /// When a bench likely takes it up: never later than `likely`, and drawn together with it by
    /// [`crate::promise::quote`]. Until then the plan's own start.
    pub taken_up: Stamp,
    /// When it is likely to be ready.
    pub likely: Stamp,
    /// When it is safely ready; `None` as long as no honest figure exists.
    pub safe: Option<Stamp>,
}

impl Slot {
    /// A place as a planner gives it: it knows no safe time.
    pub fn new(job: JobId, start: Stamp, likely: Stamp) -> Self {
        Self { job, start, taken_up: start, likely, safe: None }
    }
}

/// Why a job is in no lane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unplaced {
    /// It is held.
    Held,
    /// No bench does that work.
    NoBench,
    /// No bench is open for long enough any more.
    NoTime,
}

impl Plan {
    /// The job's slot.
    pub fn slot(&self, job: JobId) -> Option<(BenchId, &Slot)> {
        self.lanes
            .iter()
            .find_map(|(bench, lane)| lane.iter().find(|slot| slot.job == job).map(|slot| (*bench, slot)))
    }

    /// Mends a plan that was made from an older armoury: what needs no work any more, or went to another bench, leaves
    /// its lane. Everything else keeps its place.
    pub fn mend(&mut self, room: &Armoury) {
        if self.based_on == room.head {
            return;
        }
        for (bench, lane) in &mut self.lanes {
            lane.retain(|slot| {
                room.job(slot.job).is_some_and(|job| match job.state() {
                    State::OnBench => job.course.bench == Some(*bench),
                    _ => job.awaits_work() && job.hold.is_none(),
                })
            });
        }
        self.unplaced.retain(|(job, _)| room.job(*job).is_some_and(|job| job.awaits_work()));
        self.comes_back.retain(|job, _| {
            room.job(*job).is_some_and(|job| job.awaits_work() && job.state() != State::Curing)
        });
        self.based_on = room.head;
    }

    /// Every slot by job, for a whole picture at once.
    pub fn by_job(&self) -> BTreeMap<JobId, (BenchId, Slot)> {
        let slots = self.lanes.iter().flat_map(|(bench, lane)| lane.iter().map(|slot| (*bench, *slot)));
        slots.map(|(bench, slot)| (slot.job, (bench, slot))).collect()
    }
}

/// Minutes that a bench needs to examine and to prove an item, besides the repair. An estimate of our own.
const AROUND_MIN: f64 = 2.0;

/// Work that a job may need: hands-on minutes, and minutes of curing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// The likeliest kind of work.
    pub work: Work,
    /// Hands-on time expected in the mean over what may be wrong.
    pub hands_on: Span,
    /// Curing afterwards, bench free.
    pub curing: Span,
}

/// What a job is expected to need for its whole stay: what was found, or the mean over what its complaint may mean
/// and no check has ruled out, with what was learned of each kind of work.
pub fn expected(room: &Armoury, job: &Job) -> Expected {
    let faults = mixture(job);
    if let Some((first, _)) = faults.first().filter(|_| mixture::is_found(job)) {
        // Everything that was found is mended, one after the other; what cures, cures together.
        let minutes: f64 = faults.iter().map(|(fault, _)| minutes_of(&room.learned, fault)).sum();
        let curing = faults.iter().filter_map(|(fault, _)| fault.curing_min).max().unwrap_or(0);
        return Expected {
            work: first.work,
            hands_on: span_min(minutes + AROUND_MIN),
            curing: span_min(f64::from(curing)),
        };
    }
    mean(&room.learned, &faults)
}

/// What an item of that kind with that complaint is expected to need before anything was found.
fn expected_of(learned: &Learned, kind: ItemKind, complaint: Complaint) -> Expected {
    // A share too small for a thousandth still is one.
    let share = |(fault, permille): (&'static Fault, u16)| (fault, f64::from(permille.max(1)));
    let faults: Vec<_> = gear::prior(kind, complaint).into_iter().map(share).collect();
    mean(learned, &faults)
}

fn mean(learned: &Learned, faults: &[(&Fault, f64)]) -> Expected {
    let mut by_work: BTreeMap<Work, f64> = BTreeMap::new();
    let (mut minutes, mut curing, mut cured, mut total) = (0.0, 0.0, 0.0, 0.0);
    for (fault, share) in faults {
        *by_work.entry(fault.work).or_default() += share;
        minutes += share * minutes_of(learned, fault);
        if let Some(min) = fault.curing_min {
            curing += share * f64::from(min);
            cured += share;
        }
        total += share;
    }
    let work = by_work.iter().max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(a.0)));
    let work = work.map_or(Work::Apparatus, |(work, _)| *work);
    let minutes = if total > 0.0 { minutes / total } else { 0.0 };
    // Curing counts when it is likelier than not; a mean of "no glue" and "glue" would be true of neither.
    let curing = if cured * 2.0 > total { curing / cured } else { 0.0 };
    Expected { work, hands_on: span_min(minutes + AROUND_MIN), curing: span_min(curing) }
}

fn minutes_of(learned: &Learned, fault: &Fault) -> f64 {
    learned.median_min(fault.work, f64::from(fault.minutes.likely))
}

fn span_min(minutes: f64) -> Span {
    Span((minutes * crate::time::US_PER_MIN as f64).round() as i64)
}

#[cfg(test)]
pub(crate) mod tests;
