//! The head armourer's moves: hold, release, confiscated gear, pin, need, benches, what is owed.

use crate::ids::{BenchId, OwedId, TextId};
use crate::time::Stamp;

use super::super::command::JobRef;
use super::super::event::{
    BenchClosed, BenchOpened, BenchToClose, FencerCameIn, Held, NeedSet, OwedEnded, Pinned, Released,
};
use super::super::refusal::Refusal;
use super::super::words::{HoldReason, Need, OwedEnd, State};
use super::draft::Draft;

pub(super) fn hold(
    d: &mut Draft<'_>,
    job: JobRef,
    reason: HoldReason,
    note: Option<&str>,
) -> Result<(), Refusal> {
    if reason == HoldReason::Confiscated {
        let note = note.unwrap_or_default();
        return confiscate(d, job, note);
    }
    let states = [State::OnItsWay, State::Waiting, State::OnBench, State::Curing];
    let job = d.job_in(job, &states, "held")?;
    Draft::not_confiscated(job)?;
    if note.is_none() && job.hold.is_some_and(|hold| hold.reason == reason) {
        return Err(Refusal::NothingChanges);
    }
    let note = d.maybe_note("note", note)?;
    d.push(Held { job: job.id, reason, note });
    Ok(())
}

pub(super) fn release(d: &mut Draft<'_>, job: JobRef) -> Result<(), Refusal> {
    let job = d.job(job)?;
    Draft::not_confiscated(job)?;
    if job.hold.is_none() {
        return Err(Refusal::NotHeld { job: job.id });
    }
    d.push(Released { job: job.id, note: None });
    Ok(())
}

pub(super) fn confiscate(d: &mut Draft<'_>, job: JobRef, note: &str) -> Result<(), Refusal> {
    let job = d.job(job)?;
    if job.is_confiscated() {
        return Err(Refusal::NothingChanges);
    }
    if job.state() == State::Gone {
        return Err(Refusal::WrongState { job: job.id, state: job.state(), step: "confiscated" });
    }
    let note = Some(d.reason(note)?);
    d.push(Held { job: job.id, reason: HoldReason::Confiscated, note });
    Ok(())
}

pub(super) fn release_confiscated(d: &mut Draft<'_>, job: JobRef, note: &str) -> Result<(), Refusal> {
    let job = d.job(job)?;
    if !job.is_confiscated() {
        return Err(Refusal::NotHeld { job: job.id });
    }
    let note = Some(d.reason(note)?);
    d.push(Released { job: job.id, note });
    Ok(())
}

pub(super) fn pin(d: &mut Draft<'_>, job: JobRef, bench: Option<BenchId>) -> Result<(), Refusal> {
    if let Some(bench) = bench {
        d.bench_to_keep_for(bench)?;
    }
    let states = [State::OnItsWay, State::Waiting, State::Curing];
    let job = d.job_in(job, &states, "moved to another bench")?;
    if job.pinned == bench {
        return Err(Refusal::NothingChanges);
    }
    d.push(Pinned { job: job.id, bench });
    Ok(())
}

pub(super) fn set_need(d: &mut Draft<'_>, job: JobRef, need: Need) -> Result<(), Refusal> {
    let job = d.job(job)?;
    if need == Need::StripStopped && !job.kind.is_apparatus() {
        return Err(Refusal::NeedDoesNotFit);
    }
    if d.room.need(job) == need {
        return Err(Refusal::NothingChanges);
    }
    // A need said for a fencer who was out says that the fencer is in again.
    let out = |fencer: &TextId| d.room.kits.get(fencer).is_some_and(|kit| kit.out);
    if let Some(fencer) = job.fencer.filter(|fencer| need != Need::Out && out(fencer)) {
        d.push(FencerCameIn { fencer });
    }
    d.push(NeedSet { job: job.id, need });
    Ok(())
}

pub(super) fn open_bench(d: &mut Draft<'_>, bench: BenchId) -> Result<(), Refusal> {
    d.bench(bench)?;
    let state = d.room.bench(bench);
    if state.forced == Some(true) && state.closes_at.is_none() {
        return Err(Refusal::NothingChanges);
    }
    d.push(BenchOpened { bench });
    Ok(())
}

pub(super) fn close_bench(d: &mut Draft<'_>, bench: BenchId) -> Result<(), Refusal> {
    d.bench(bench)?;
    let state = d.room.bench(bench);
    if state.forced == Some(false) {
        return Err(Refusal::NothingChanges);
    }
    if let Some(job) = state.job {
        return Err(Refusal::BenchHasJob { bench, job });
    }
    d.push(BenchClosed { bench });
    unpin(d, |pinned| pinned == bench);
    Ok(())
}

/// Closes it later: until then it is open as before, and the plan counts on no more.
pub(super) fn close_bench_at(d: &mut Draft<'_>, bench: BenchId, at: Stamp) -> Result<(), Refusal> {
    d.bench(bench)?;
    let state = d.room.bench(bench);
    if state.is_kept_closed(d.when) {
        return Err(Refusal::BenchIsClosed { bench });
    }
    let at = d.in_range("the time of closing", at)?;
    if at <= d.when {
        return Err(Refusal::TimeIsPast { what: "the time of closing" });
    }
    if state.closes_at == Some(at) {
        return Err(Refusal::NothingChanges);
    }
    d.push(BenchToClose { bench, at });
    Ok(())
}

/// Closes the benches whose time of closing has come; one with a job in hand finishes it first.
pub(super) fn close_due(d: &mut Draft<'_>) {
    let (room, when) = (d.room, d.when);
    for (bench, state) in &room.benches {
        if state.job.is_none() && state.closes_at.is_some_and(|closes| closes <= when) {
            d.push(BenchClosed { bench: *bench });
            unpin(d, |pinned| pinned == *bench);
        }
    }
}

/// Frees the jobs that are kept for such a bench, so that others may take them.
pub(super) fn unpin(d: &mut Draft<'_>, closed: impl Fn(BenchId) -> bool) {
    let room = d.room;
    for job in room.jobs.values().filter(|job| job.pinned.is_some_and(&closed)) {
        d.push(Pinned { job: job.id, bench: None });
        if let Some(tag) = job.course.tag {
            d.advise(format!("The {} with tag {tag} is no longer kept for that bench.", job.kind.title()));
        }
    }
}

pub(super) fn end_owed(d: &mut Draft<'_>, owed: OwedId, how: OwedEnd) -> Result<(), Refusal> {
    let item = d
        .room
        .owing()
        .find(|item| item.still_owed().any(|open| open.id == owed))
        .ok_or(Refusal::UnknownOwed)?;
    d.push(OwedEnded { item: item.id, owed, how, by: None });
    Ok(())
}
