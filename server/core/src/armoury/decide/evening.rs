//! Counting, closing the day, and what time alone brings about.

use crate::tag::Tag;
use crate::time::Span;

use super::super::event::{Counted, DayClosed, Interrupted, NoticeRaised};
use super::super::refusal::Refusal;
use super::super::words::Place;
use super::draft::Draft;

/// How long a notice may stay unconfirmed before the head sees it. The team's choice.
pub const NOTICE_PATIENCE: Span = Span::minutes(5);

/// Most tags in one count.
const MOST_TAGS: usize = 2_000;

pub(super) fn count(d: &mut Draft<'_>, place: Place, tags: &[Tag]) -> Result<(), Refusal> {
    if !place.in_room() {
        return Err(Refusal::NotInRoom);
    }
    if let Place::Bench(bench) = place {
        d.bench(bench)?;
    }
    if tags.len() > MOST_TAGS {
        return Err(Refusal::TooManyItems { most: MOST_TAGS });
    }
    let mut sorted = tags.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let (number, problems) = (sorted.len(), d.room.differences(place, &sorted));
    if !problems.is_empty() {
        d.advise(format!(
            "{number} counted at {place}, and {} of it differs from what is recorded:",
            problems.len()
        ));
        for problem in &problems {
            d.advise(problem.to_string());
        }
    }
    d.push(Counted { place, tags: sorted });
    Ok(())
}

/// The day closes when every place inside the armoury that should hold something was counted, and the counts agree
/// with what is recorded.
pub(super) fn close_day(d: &mut Draft<'_>) -> Result<(), Refusal> {
    d.venue()?;
    let problems = d.room.count_problems();
    if !problems.is_empty() {
        let missing = problems.iter().take(6).map(ToString::to_string).collect::<Vec<_>>().join("; ");
        return Err(Refusal::CountIncomplete { missing });
    }
    let room = d.room;
    // Nobody works through the night: the clocks of what lies on the benches stand still.
    for (bench, state) in &room.benches {
        if let Some(job) = state.job.filter(|_| !state.interrupted) {
            d.push(Interrupted { job, bench: *bench });
        }
    }
    for call in room.calls.values() {
        d.advise(format!("Call-out {} to strip {} is still open.", call.id, call.strip));
    }
    d.push(DayClosed { open: u32::try_from(d.room.jobs.len()).unwrap_or(u32::MAX) });
    Ok(())
}

pub(super) fn tick(d: &mut Draft<'_>) {
    super::head::close_due(d);
    for (notice, job) in &d.room.notices {
        let due = d.room.job(*job).and_then(|job| job.notice).is_some_and(|open| {
            open.id == *notice && !open.raised && d.when.since(open.sent) >= NOTICE_PATIENCE
        });
        if due {
            d.push(NoticeRaised { job: *job, notice: *notice });
        }
    }
}
