//! Promises: which times are worth saying to a strip.
//!
//! A promise is the time at which the item will be ready. It is said once for each job, as soon as a plan exists,
//! and again only when it matters: when the likely time moves out by [`WORTH_SAYING`] or more, or crosses wanted-by in
//! either direction. Times said are rounded up to whole minutes.

use crate::armoury::{Armoury, Job, NewPromise};
use crate::plan::Plan;
use crate::time::{Span, Stamp, US_PER_MIN};

/// A time that moves out by less than this is not said again. The team's choice.
pub const WORTH_SAYING: Span = Span::minutes(3);

/// The promises that a plan makes worth saying, by job.
pub fn worth_saying(room: &Armoury, plan: &Plan) -> Vec<NewPromise> {
    let mut new: Vec<_> = plan
        .lanes
        .values()
        .flatten()
        .filter_map(|slot| {
            let job = room.job(slot.job).filter(|job| job.awaits_work())?;
            let promise =
                NewPromise { job: job.id, likely: whole_min(slot.likely), safe: slot.safe.map(whole_min) };
            is_worth_saying(room, job, &promise).then_some(promise)
        })
        .collect();
    new.sort_by_key(|promise| promise.job);
    new
}

fn is_worth_saying(room: &Armoury, job: &Job, new: &NewPromise) -> bool {
    let Some(old) = job.promise else { return true };
    // What the strip plans with: the safe time where there is one.
    let (was, is) = (old.safe.unwrap_or(old.likely), new.safe.unwrap_or(new.likely));
    is >= was + WORTH_SAYING || room.lateness(job, was).is_some() != room.lateness(job, is).is_some()
}

fn whole_min(at: Stamp) -> Stamp {
    Stamp((at.0 + US_PER_MIN - 1).div_euclid(US_PER_MIN) * US_PER_MIN)
}
