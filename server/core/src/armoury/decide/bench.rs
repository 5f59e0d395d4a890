//! At a bench: take, put back, pass on, interruptions, findings, repairs, curing.

use crate::circuit::usual_weapon;
use crate::gear::{self, Work};
use crate::guide;
use crate::ids::{BenchId, OwedId, RepairId};
use crate::lasting::{self, owed_work};
use crate::time::Stamp;

use super::super::command::JobRef;
use super::super::event::{
    BenchAway, BenchBack, CuringBegan, Found, FoundDry, Interrupted, OwedEnded, PassedOn, PutBack, Repaired,
    Resumed, Saw, Taken, TakenOver,
};
use super::super::job::Job;
use super::super::refusal::Refusal;
use super::super::words::{Lasting, OwedEnd, Showed, State};
use super::draft::Draft;

pub(super) fn take(d: &mut Draft<'_>, job: JobRef, bench: BenchId) -> Result<(), Refusal> {
    let place = d.bench(bench)?;
    let job = d.job(job)?;
    Draft::not_confiscated(job)?;
    takeable(d, job, bench)?;
    d.not_on_call(bench)?;
    if !d.room.bench_is_open(bench, d.when) {
        return Err(Refusal::BenchIsClosed { bench });
    }
    if let Some(hand) = d.room.bench(bench).job {
        return Err(Refusal::BenchHasJob { bench, job: hand });
    }
    if let Some(pinned) = job.pinned.filter(|pinned| *pinned != bench) {
        return Err(Refusal::PinnedToOther { job: job.id, bench: pinned });
    }
    let able = job.may_need().into_iter().any(|work| place.can(work));
    if !able && job.pinned != Some(bench) {
        return Err(Refusal::BenchCannot { bench });
    }
    d.push(Taken { job: job.id, bench });
    Ok(())
}

fn takeable(d: &Draft<'_>, job: &Job, bench: BenchId) -> Result<(), Refusal> {
    match (job.state(), job.course.bench) {
        (State::OnBench, Some(own)) if own == bench => Err(Refusal::NothingChanges),
        (State::OnBench, Some(bench)) => Err(Refusal::HeldByOther { job: job.id, bench }),
        (State::Waiting | State::Curing, _) if job.hold.is_some() => {
            let why = job.hold.map_or("", |hold| hold.reason.title());
            Err(Refusal::OnHold { job: job.id, why })
        }
        (State::Curing, _) => match job.course.dry_at.filter(|dry| d.when < *dry) {
            Some(dry) => Err(Refusal::NotDry { job: job.id, minutes: dry.since(d.when).ceil_min() }),
            None => Ok(()),
        },
        (State::Waiting, _) => Ok(()),
        (state, _) => Err(Refusal::WrongState { job: job.id, state, step: "taken" }),
    }
}

pub(super) fn put_back(d: &mut Draft<'_>, job: JobRef, note: Option<&str>) -> Result<(), Refusal> {
    let job = d.job_in(job, &[State::OnBench], "put back")?;
    let note = d.maybe_note("note", note)?;
    d.push(PutBack { job: job.id, note });
    Ok(())
}

pub(super) fn pass_on(
    d: &mut Draft<'_>,
    job: JobRef,
    bench: BenchId,
    note: Option<&str>,
) -> Result<(), Refusal> {
    d.bench_to_keep_for(bench)?;
    let job = d.job_in(job, &[State::OnBench, State::Waiting], "passed on")?;
    Draft::not_confiscated(job)?;
    if job.state() == State::OnBench && job.course.bench == Some(bench) {
        return Err(Refusal::SameTwice);
    }
    let note = d.maybe_note("note", note)?;
    d.push(PassedOn { job: job.id, bench, note });
    Ok(())
}

pub(super) fn take_over(
    d: &mut Draft<'_>,
    job: JobRef,
    bench: Option<BenchId>,
    reason: &str,
) -> Result<(), Refusal> {
    if let Some(bench) = bench {
        d.bench_to_keep_for(bench)?;
    }
    let job = d.job_in(job, &[State::OnBench], "taken over")?;
    if bench.is_some() && job.course.bench == bench {
        return Err(Refusal::SameTwice);
    }
    let reason = d.reason(reason)?;
    d.push(TakenOver { job: job.id, bench, reason });
    Ok(())
}

pub(super) fn interrupt(d: &mut Draft<'_>, bench: BenchId) -> Result<(), Refusal> {
    let job = d.in_hand(bench)?;
    if d.room.bench(bench).interrupted {
        return Err(Refusal::NothingChanges);
    }
    d.push(Interrupted { job: job.id, bench });
    Ok(())
}

pub(super) fn resume(d: &mut Draft<'_>, bench: BenchId) -> Result<(), Refusal> {
    let job = d.in_hand(bench)?;
    d.not_on_call(bench)?;
    if !d.room.bench(bench).interrupted {
        return Err(Refusal::NothingChanges);
    }
    d.push(Resumed { job: job.id, bench });
    Ok(())
}

/// Most hours for which a bench is left alone: who is away for longer than a day's work is not coming back to it. A
/// rule of this house; no source.
const AWAY_MOST_H: i64 = 12;

pub(super) fn go_away(d: &mut Draft<'_>, bench: BenchId, until: Stamp) -> Result<(), Refusal> {
    d.bench(bench)?;
    d.in_range("the time of coming back", until)?;
    if until <= d.when {
        return Err(Refusal::TimeIsPast { what: "the time of coming back" });
    }
    if until > d.when.plus_min(AWAY_MOST_H * 60) {
        return Err(Refusal::AwayTooLong { hours: AWAY_MOST_H });
    }
    let state = d.room.bench(bench);
    if let Some(job) = state.job.filter(|_| !state.interrupted) {
        d.push(Interrupted { job, bench });
    }
    d.push(BenchAway { bench, until });
    Ok(())
}

pub(super) fn come_back(d: &mut Draft<'_>, bench: BenchId) -> Result<(), Refusal> {
    d.bench(bench)?;
    let state = d.room.bench(bench);
    if state.away_until.is_none() {
        return Err(Refusal::NothingChanges);
    }
    d.push(BenchBack { bench });
    if let Some(job) = state.job.filter(|_| state.interrupted && state.call.is_none()) {
        d.push(Resumed { job, bench });
    }
    Ok(())
}

fn known_fault(job: &Job, fault: &str) -> Result<(), Refusal> {
    let known = gear::fault(fault).is_some_and(|known| known.kinds.contains(&job.kind));
    if known { Ok(()) } else { Err(Refusal::UnknownFault { fault: fault.chars().take(60).collect() }) }
}

pub(super) fn find(
    d: &mut Draft<'_>,
    job: JobRef,
    fault: &str,
    showed: Showed,
    note: Option<&str>,
) -> Result<(), Refusal> {
    let job = d.working(job, "examined")?;
    known_fault(job, fault)?;
    let note = d.maybe_note("note", note)?;
    d.push(Found { job: job.id, fault: fault.to_owned(), showed, note });
    if showed == Showed::Present {
        for line in lasting::advice(d.room, job, fault, d.when) {
            d.advise(line);
        }
    }
    Ok(())
}

pub(super) fn see(d: &mut Draft<'_>, job: JobRef, seen: &str) -> Result<(), Refusal> {
    let job = d.working(job, "examined")?;
    if seen.chars().any(char::is_control) {
        let why = "what was seen holds signs that no key types".to_owned();
        return Err(Refusal::UnknownSight { why });
    }
    let read = guide::Finding::parse(seen, job.kind, usual_weapon(job.kind));
    let finding = read.map_err(|why| Refusal::UnknownSight { why: why.to_string() })?;
    if matches!(finding.found, guide::Found::Looked { .. }) {
        let why = "a look at a possible fault is recorded as what the check of that fault showed".to_owned();
        return Err(Refusal::UnknownSight { why });
    }
    d.push(Saw { job: job.id, seen: finding.code() });
    Ok(())
}

pub(super) fn repair(
    d: &mut Draft<'_>,
    job: JobRef,
    work: Work,
    fault: Option<&str>,
    lasting: Lasting,
    owed: Option<OwedId>,
) -> Result<(), Refusal> {
    let job = d.working(job, "repaired")?;
    if let Some(fault) = fault {
        known_fault(job, fault)?;
        if lasting == Lasting::Lasting && is_stop_gap_by_nature(fault, work) {
            return Err(Refusal::OnlyAStopGap);
        }
    }
    let item = d.room.items.get(&job.item).ok_or(Refusal::UnknownItem { item: job.item })?;
    if owed.is_some() && lasting == Lasting::StopGap {
        return Err(Refusal::StopGapPaysNothing);
    }
    if let Some(owed) = owed
        && !item.still_owed().any(|open| open.id == owed)
    {
        return Err(Refusal::UnknownOwed);
    }
    let fault = fault.map(str::to_owned);
    let hands_on = job.course.clock.since_last(d.when);
    let by = Some(RepairId(d.next().0));
    d.push(Repaired { job: job.id, work, fault, lasting, hands_on });
    // A lasting repair of the kind of work that is owed pays it off.
    for open in item.still_owed() {
        if Some(open.id) == owed || (lasting == Lasting::Lasting && owed_work(open) == work) {
            d.push(OwedEnded { item: item.id, owed: open.id, how: OwedEnd::Done, by });
        }
    }
    Ok(())
}

/// Whether that work on that fault helps for the day and never lasts, as the fault table says: a barrel tightened, bare
/// wire varnished. What lasts is other work, or has the name of another fault.
fn is_stop_gap_by_nature(fault: &str, work: Work) -> bool {
    gear::fault(fault).is_some_and(|known| known.lasting == gear::Lasting::StopGap && known.work == work)
}

pub(super) fn cure(d: &mut Draft<'_>, job: JobRef, until: Stamp) -> Result<(), Refusal> {
    let job = d.working(job, "laid to cure")?;
    d.in_range("the time at which it is dry", until)?;
    if until <= d.when {
        return Err(Refusal::TimeOutOfRange { what: "the time at which it is dry" });
    }
    d.push(CuringBegan { job: job.id, until });
    Ok(())
}

pub(super) fn dry_now(d: &mut Draft<'_>, job: JobRef) -> Result<(), Refusal> {
    let job = d.job_in(job, &[State::Curing], "found dry")?;
    Draft::not_confiscated(job)?;
    if job.course.dry_at.is_none_or(|dry| dry <= d.when) {
        return Err(Refusal::NothingChanges);
    }
    d.push(FoundDry { job: job.id });
    Ok(())
}
