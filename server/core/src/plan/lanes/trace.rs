//! From a schedule to a plan, and what the next plan must know of it.

use std::collections::BTreeMap;

use super::super::problem::Schedule;
use super::super::{Maker, Plan, Return, Slot, Unplaced};
use super::frame::Frame;
use crate::armoury::Armoury;
use crate::ids::{BenchId, JobId};
use crate::time::Stamp;

/// What a plan said, for the next one to keep to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::plan) struct Trace {
    /// Bench and start of each operation that a job still needed.
    pub(super) placed: BTreeMap<JobId, Vec<(BenchId, Stamp)>>,
    /// What each bench was told to take next.
    pub(super) told: BTreeMap<BenchId, JobId>,
}

impl Trace {
    /// What a schedule says.
    pub(super) fn of(frame: &Frame, schedule: &Schedule) -> Self {
        let mut trace = Self::default();
        // Rows are in order of their start, so operations of a job are in their order.
        for row in &schedule.rows {
            let (job, bench) = (frame.jobs[row.job], frame.benches[row.bench]);
            trace.placed.entry(job).or_default().push((bench, frame.stamp(row.start)));
            trace.told.entry(bench).or_insert(job);
        }
        trace
    }

    /// What a plan says, whoever made it.
    pub(super) fn of_plan(room: &Armoury, plan: &Plan) -> Self {
        let mut trace = Self::default();
        let mut told: BTreeMap<BenchId, (Stamp, JobId)> = BTreeMap::new();
        let lanes = plan.lanes.iter().flat_map(|(bench, lane)| lane.iter().map(|slot| (*bench, *slot)));
        let taken_up = lanes
            .filter(|(bench, slot)| room.bench(*bench).job != Some(slot.job))
            .map(|(bench, slot)| (slot.job, bench, slot.start));
        let back = plan.comes_back.iter().map(|(job, back)| (*job, back.bench, back.start));
        for (job, bench, start) in taken_up.chain(back) {
            trace.placed.entry(job).or_default().push((bench, start));
            let first = told.entry(bench).or_insert((start, job));
            *first = (*first).min((start, job));
        }
        trace.told = told.into_iter().map(|(bench, (_, job))| (bench, job)).collect();
        trace
    }
}

/// The plan that a schedule makes.
pub(super) fn plan(frame: &Frame, schedule: &Schedule) -> Plan {
    let mut plan = Plan {
        based_on: frame.head,
        at: frame.origin,
        unplaced: frame.unplaced.clone(),
        made_by: Maker::Planner,
        ..Plan::default()
    };
    let mut ends: BTreeMap<JobId, Stamp> = BTreeMap::new();
    for row in &schedule.rows {
        let end = ends.entry(frame.jobs[row.job]).or_default();
        *end = end.or_later(frame.stamp(row.end));
    }
    for (bench, (job, until)) in &frame.in_hand {
        let likely = ends.get(job).copied().unwrap_or_else(|| frame.stamp(*until));
        let slot = Slot::new(*job, frame.origin, likely);
        plan.lanes.entry(*bench).or_default().push(slot);
    }
    let in_hand = |job: JobId| frame.in_hand.values().any(|(hand, _)| *hand == job);
    for row in &schedule.rows {
        let (job, bench, start) = (frame.jobs[row.job], frame.benches[row.bench], frame.stamp(row.start));
        if row.op > 0 || in_hand(job) {
            plan.comes_back.insert(job, Return { bench, start });
        } else {
            plan.lanes.entry(bench).or_default().push(Slot::new(job, start, ends[&job]));
        }
    }
    let lost = schedule.unplaced.iter().map(|job| frame.jobs[*job]).filter(|job| !in_hand(*job));
    plan.unplaced.extend(lost.map(|job| (job, Unplaced::NoTime)));
    plan.unplaced.sort_by_key(|(job, _)| *job);
    plan
}
