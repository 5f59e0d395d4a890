//! Shares and means over all jobs of a record. Every time is the one at which the thing happened, so that late
//! entries and corrections count by when they were true.

use crate::life::{Job, Promise};
use crate::said::Need;
use crate::walk::Room;

const US_PER_MIN: i64 = 60_000_000;
/// A promise said later than this after the hand-in was recorded is broken: 60 s.
const PROMISE_WITHIN_US: i64 = 60_000_000;

/// The figures; `None` where no job says anything about them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Figures {
    pub on_time_share: Option<f64>,
    pub weighted_lateness_min: Option<f64>,
    pub promise_likely_share: Option<f64>,
    pub promise_safe_share: Option<f64>,
}

impl Figures {
    pub fn of(room: &Room, end_us: i64) -> Self {
        let jobs = || room.jobs.values();
        let some_safe = jobs().any(|job| job.promise.is_some_and(|promise| promise.safe.is_some()));
        Self {
            on_time_share: share(jobs().filter_map(|job| on_time(room, job))),
            weighted_lateness_min: mean(jobs().filter_map(|job| lateness(room, job, end_us))),
            promise_likely_share: share(jobs().map(|job| kept(job, |promise| promise.likely))),
            promise_safe_share: share(jobs().filter(|_| some_safe).filter_map(kept_safe)),
        }
    }
}

/// Weight of a late minute by the need said at hand-in.
fn weight(need: Need) -> f64 {
    match need {
        Need::StripStopped => 10.0,
        Need::NoneLeft => 8.0,
        Need::OneLeft => 4.0,
        Need::TwoOrMore => 2.0,
        Need::Out => 1.0,
    }
}

/// When the item, or the word that it will not come, could be back where it goes.
fn back_us(room: &Room, job: &Job) -> Option<i64> {
    let walk = room.walk_min(job.back_to).saturating_mul(US_PER_MIN);
    job.course.ended_us.map(|ended| ended.saturating_add(walk))
}

fn on_time(room: &Room, job: &Job) -> Option<bool> {
    let wanted = job.wanted_us?;
    Some(back_us(room, job).is_some_and(|back| back <= wanted))
}

/// Weight and minutes late.
fn lateness(room: &Room, job: &Job, end_us: i64) -> Option<(f64, f64)> {
    let late = back_us(room, job).unwrap_or(end_us).saturating_sub(job.wanted_us?);
    Some((weight(job.need), late.max(0) as f64 / US_PER_MIN as f64))
}

fn in_time(job: &Job) -> Option<Promise> {
    let latest = job.recorded_us.saturating_add(PROMISE_WITHIN_US);
    job.promise.filter(|promise| promise.recorded <= latest)
}

pub(crate) fn kept(job: &Job, promised: impl Fn(Promise) -> i64) -> bool {
    match (in_time(job), job.course.ended_us) {
        (Some(promise), Some(ended)) => ended <= promised(promise),
        _ => false,
    }
}

/// Nothing when a promise was said in time and, for want of an honest figure, had no safe time.
pub(crate) fn kept_safe(job: &Job) -> Option<bool> {
    match in_time(job) {
        Some(Promise { safe: None, .. }) => None,
        Some(Promise { safe: Some(safe), .. }) => Some(kept(job, |_| safe)),
        None => Some(false),
    }
}

fn share(hits: impl Iterator<Item = bool>) -> Option<f64> {
    let (hit, all) = hits.fold((0_u64, 0_u64), |(hit, all), is| (hit + u64::from(is), all + 1));
    (all > 0).then(|| hit as f64 / all as f64)
}

fn mean(weighted: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    let (sum, weights) =
        weighted.fold((0.0, 0.0), |(sum, weights), (weight, late)| (sum + weight * late, weights + weight));
    (weights > 0.0).then(|| sum / weights)
}

#[cfg(test)]
mod tests;
