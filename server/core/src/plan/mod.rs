//! Lanes: who does what in which order, and when each item will be ready.
//!
//! [`Planner`] is the seam; [`UrgencyPlanner`] is the simple rule behind it, always correct and always quick. A
//! plan is not journalled: it follows from the armoury and the time.

pub mod check;
pub mod construct;
pub mod problem;
pub mod search;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::armoury::{Armoury, Job, State};
use crate::gear::{self, Work};
use crate::ids::{BenchId, JobId, Seq};
use crate::time::{Span, Stamp};
use crate::venue::{Bench, Venue};

/// Makes plans.
pub trait Planner: Send {
    /// Plans the armoury as it is at `now`. Deterministic: the same armoury and time give the same plan.
    fn plan(&mut self, room: &Armoury, now: Stamp) -> Plan;
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
}

/// A job's place in a lane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Slot {
    /// The job.
    pub job: JobId,
    /// When the bench takes it up.
    pub start: Stamp,
    /// When it is likely to be ready.
    pub likely: Stamp,
    /// When it is safely ready; `None` as long as no honest figure exists.
    pub safe: Option<Stamp>,
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

/// What a job is expected to need: the mean over the kinds of work that its complaint may lead to, with what was
/// learned of each.
pub fn expected(room: &Armoury, job: &Job) -> Expected {
    let mut by_work: BTreeMap<Work, u32> = BTreeMap::new();
    let (mut minutes, mut curing, mut total) = (0.0, 0.0, 0.0);
    for (fault, permille) in gear::prior(job.kind, job.complaint) {
        let share = f64::from(permille);
        *by_work.entry(fault.work).or_default() += u32::from(permille);
        minutes += share * room.learned.median_min(fault.work, f64::from(fault.minutes.likely));
        curing += share * f64::from(fault.curing_min.unwrap_or(0));
        total += share;
    }
    let work = by_work.iter().max_by_key(|(work, share)| (**share, std::cmp::Reverse(**work)));
    let work = work.map_or(Work::Apparatus, |(work, _)| *work);
    let total = if total > 0.0 { total } else { 1.0 };
    let minutes = minutes / total + AROUND_MIN;
    // Curing counts when it is likelier than not; a mean of "no glue" and "glue" would be true of neither.
    let curing = if curing / total >= 5.0 { curing / total } else { 0.0 };
    Expected { work, hands_on: span_min(minutes), curing: span_min(curing) }
}

fn span_min(minutes: f64) -> Span {
    Span((minutes * crate::time::US_PER_MIN as f64).round() as i64)
}

/// The simple rule: jobs by urgency, each to the bench that finishes it first.
///
/// Urgency is the latest moment at which work may start (wanted-by less the walk and the expected work), earlier for
/// who needs it more; jobs that nobody wants by a time come after, by need and then in order of arrival.
#[derive(Clone, Copy, Debug, Default)]
pub struct UrgencyPlanner;

impl Planner for UrgencyPlanner {
    fn plan(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let mut plan = Plan { based_on: room.head, at: now, ..Plan::default() };
        let Some(venue) = room.venue.clone() else { return plan };
        let mut free = free_from(room, &venue, now, &mut plan);
        for job in by_urgency(room) {
            if job.hold.is_some() {
                plan.unplaced.push((job.id, Unplaced::Held));
                continue;
            }
            match best_bench(room, &venue, job, &free, now) {
                Ok((bench, slot, busy_until)) => {
                    free.insert(bench, busy_until);
                    plan.lanes.entry(bench).or_default().push(slot);
                }
                Err(why) => plan.unplaced.push((job.id, why)),
            }
        }
        plan
    }
}

/// When each bench is free; what is on the benches and on the curing shelf becomes the head of its lane.
fn free_from(room: &Armoury, venue: &Venue, now: Stamp, plan: &mut Plan) -> BTreeMap<BenchId, Stamp> {
    let mut free = BTreeMap::new();
    for bench in &venue.benches {
        let state = room.bench(bench.id);
        let mut from = state.away_until.map_or(now, |until| until.or_later(now));
        if let Some(call) = state.call.and_then(|call| room.calls.get(&call)) {
            // There and back, and as long again at the strip.
            let walk = venue.walk_min(call.strip);
            from = from.or_later(call.arrival.plus_min(walk + 5)).or_later(now.plus_min(walk));
        }
        if let Some(job) = state.job.and_then(|job| room.job(job)) {
            let expected = expected(room, job);
            let left = Span((expected.hands_on.0 - job.course.clock.total(now).0).max(Span::minutes(1).0));
            let likely = from + left;
            plan.lanes.entry(bench.id).or_default().push(Slot {
                job: job.id,
                start: now,
                likely,
                safe: None,
            });
            from = likely;
        }
        free.insert(bench.id, from);
    }
    free
}

fn by_urgency(room: &Armoury) -> Vec<&Job> {
    let mut jobs: Vec<_> = room
        .jobs
        .values()
        .map(AsRef::as_ref)
        .filter(|job: &&Job| matches!(job.state(), State::OnItsWay | State::Waiting | State::Curing))
        .map(|job| (urgency(room, job), job))
        .collect();
    jobs.sort_by_key(|(urgency, job)| (*urgency, job.id));
    jobs.into_iter().map(|(_, job)| job).collect()
}

fn urgency(room: &Armoury, job: &Job) -> (u8, Stamp) {
    let need = room.need(job);
    match job.wanted_by {
        Some(wanted) => {
            let latest = wanted.plus_min(-room.walk_min(job.back_to)) - expected(room, job).hands_on;
            // Every step of need is worth some minutes of lead; our own choice.
            (0, latest.plus_min(-2 * i64::from(need.weight())))
        }
        None => (u8::from(need.weight() < 8), job.handed_in.plus_min(60 - 5 * i64::from(need.weight()))),
    }
}

fn best_bench(
    room: &Armoury,
    venue: &Venue,
    job: &Job,
    free: &BTreeMap<BenchId, Stamp>,
    now: Stamp,
) -> Result<(BenchId, Slot, Stamp), Unplaced> {
    let expected = expected(room, job);
    let able =
        |bench: &&Bench| job.pinned.map_or_else(|| bench.can(expected.work), |pinned| pinned == bench.id);
    let able: Vec<_> = venue.benches.iter().filter(able).collect();
    if able.is_empty() {
        return Err(Unplaced::NoBench);
    }
    let here = arrival(room, job, now);
    // An interrupted or dry job needs only what is left of it.
    let left = Span((expected.hands_on.0 - job.course.clock.before.0).max(Span::minutes(2).0));
    let option = |bench: &&Bench| {
        let from = free.get(&bench.id).copied().unwrap_or(now).or_later(here);
        let start = open_from(room, bench, from, now)?;
        let end = start + left;
        let curing = if job.state() == State::Curing { Span::ZERO } else { expected.curing };
        let slot = Slot { job: job.id, start, likely: end + curing, safe: None };
        Some((bench.id, slot, end))
    };
    let first = able.iter().filter_map(option).min_by_key(|(bench, slot, _)| (slot.likely, *bench));
    first.ok_or(Unplaced::NoTime)
}

fn arrival(room: &Armoury, job: &Job, now: Stamp) -> Stamp {
    match job.state() {
        State::OnItsWay => now.or_later(job.handed_in.plus_min(room.walk_min(job.came_from))),
        State::Curing => job.course.dry_at.unwrap_or(now).or_later(now),
        _ => now,
    }
}

/// When work can start at a bench: in its hours, and by the head's word outside them.
fn open_from(room: &Armoury, bench: &Bench, from: Stamp, now: Stamp) -> Option<Stamp> {
    match room.bench(bench.id).forced {
        Some(true) => Some(from),
        Some(false) => {
            // Closed by the head: open again with its next hours, not with the present ones.
            let next = bench.open.iter().find(|window| window.from > now)?;
            bench.open_from(from.or_later(next.from))
        }
        None => bench.open_from(from),
    }
}
