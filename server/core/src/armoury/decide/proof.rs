//! Proving an item against the rules, and what follows: ready, let go by the head, or withdrawn.

use crate::rules::{self, Answer, Check, Edition};

use super::super::command::JobRef;
use super::super::event::{FaultElsewhere, MadeReady, NoFault, NoticeSent, Proved, Withdrawn};
use super::super::job::Job;
use super::super::refusal::Refusal;
use super::super::words::{NoticeKind, State};
use super::draft::Draft;

/// The checks that a job needs before it is ready: everything that its repairs touched, or everything when
/// nothing was found wrong.
pub(in super::super) fn required<'e>(edition: &'e Edition, job: &Job) -> Vec<&'e Check> {
    let works: Vec<_> = job.works().into_iter().collect();
    edition.proof_for(job.kind, &works, works.is_empty())
}

fn edition(d: &Draft<'_>) -> Result<&'static Edition, Refusal> {
    // The tournament file was checked against the known editions before it was journalled.
    rules::edition(&d.venue()?.edition).map_err(|_| Refusal::NoTournament)
}

pub(super) fn no_fault(d: &mut Draft<'_>, job: JobRef) -> Result<(), Refusal> {
    let job = d.working(job, "marked as without fault")?;
    if !job.course.repairs.is_empty() {
        return Err(Refusal::RepairsRecorded { job: job.id });
    }
    if job.course.no_fault {
        return Err(Refusal::NothingChanges);
    }
    d.push(NoFault { job: job.id });
    Ok(())
}

pub(super) fn elsewhere(d: &mut Draft<'_>, job: JobRef, place: &str) -> Result<(), Refusal> {
    let job = d.working(job, "marked as without fault")?;
    let place = d.note("place", place)?;
    d.push(FaultElsewhere { job: job.id, place });
    Ok(())
}

pub(super) fn prove(d: &mut Draft<'_>, job: JobRef, check: &str, answer: Answer) -> Result<(), Refusal> {
    let job = d.working(job, "proven")?;
    if job.course.repairs.is_empty() && !job.course.no_fault {
        return Err(Refusal::NothingDone { job: job.id });
    }
    let edition = edition(d)?;
    let known = edition
        .proof_for(job.kind, &[], true)
        .into_iter()
        .chain(required(edition, job))
        .find(|known| known.code == check)
        .ok_or_else(|| Refusal::UnknownCheck { check: check.chars().take(60).collect() })?;
    let verdict = known.judge(&answer).map_err(|why| Refusal::BadReading { why: why.to_string() })?;
    d.push(Proved { job: job.id, check: check.to_owned(), answer, pass: !verdict.refuses() });
    Ok(())
}

pub(super) fn ready(d: &mut Draft<'_>, job: JobRef) -> Result<(), Refusal> {
    let job = d.working(job, "made ready")?;
    if job.course.repairs.is_empty() && !job.course.no_fault {
        return Err(Refusal::NothingDone { job: job.id });
    }
    let required = required(edition(d)?, job);
    let titles = |want: &dyn Fn(&Check) -> bool| {
        let titles: Vec<_> =
            required.iter().filter(|check| want(check)).map(|check| check.title.as_str()).collect();
        titles.join(", ")
    };
    let failed = titles(&|check| job.proved(check.code.as_str()).is_some_and(|entry| !entry.pass));
    if !failed.is_empty() {
        return Err(Refusal::ProofFailed { job: job.id, failed });
    }
    let missing = titles(&|check| job.proved(check.code.as_str()).is_none());
    if !missing.is_empty() {
        return Err(Refusal::ProofIncomplete { job: job.id, missing });
    }
    make_ready(d, job, None);
    Ok(())
}

pub(super) fn ready_anyway(d: &mut Draft<'_>, job: JobRef, reason: &str) -> Result<(), Refusal> {
    let job = d.job_in(job, &[State::OnBench, State::Waiting, State::Curing], "let go")?;
    Draft::not_confiscated(job)?;
    let reason = d.reason(reason)?;
    make_ready(d, job, Some(reason));
    Ok(())
}

fn make_ready(d: &mut Draft<'_>, job: &Job, anyway: Option<crate::ids::TextId>) {
    let hands_on = job.course.clock.total(d.when);
    d.push(MadeReady { job: job.id, anyway, hands_on });
    d.push(NoticeSent { job: job.id, to: job.back_to, what: NoticeKind::Ready });
}

pub(super) fn withdraw(d: &mut Draft<'_>, job: JobRef, reason: &str) -> Result<(), Refusal> {
    let job = d.working(job, "withdrawn")?;
    let reason = d.reason(reason)?;
    d.push(Withdrawn { job: job.id, reason });
    d.push(NoticeSent { job: job.id, to: job.back_to, what: NoticeKind::Withdrawn });
    Ok(())
}
