//! Putting mistakes right. Each correction is an event of its own and undoes what the mistake taught.

use crate::gear::{Complaint, ItemKind};
use crate::ids::{BenchId, ItemId, TextId};
use crate::tag::Tag;

use super::super::command::{Correction, JobRef};
use super::super::event::{
    BenchCorrected, EndStruck, FindingStruck, HandBackStruck, ItemCorrected, KindCorrected, NoticeSent,
    RepairStruck, SpotsCorrected, TagsExchanged,
};
use super::super::job::Job;
use super::super::refusal::Refusal;
use super::super::words::{NoticeKind, Spot, State};
use super::draft::Draft;
use super::{handback, intake};

pub(super) fn correct(
    d: &mut Draft<'_>,
    job: JobRef,
    what: &Correction,
    note: Option<&str>,
) -> Result<(), Refusal> {
    if *what == Correction::HandBack {
        return correct_hand_back(d, job, note);
    }
    let job = d.job(job)?;
    let note = d.maybe_note("note", note)?;
    match what {
        Correction::HandBack => {}
        Correction::End => correct_end(d, job, note)?,
        Correction::Kind { kind, complaint } => correct_kind(d, job, *kind, *complaint, note)?,
        Correction::Item(item) => correct_item(d, job, *item, note)?,
        Correction::Spots { came_from, back_to } => {
            correct_spots(d, job, *came_from, *back_to, note)?;
        }
        Correction::Bench(bench) => correct_bench(d, job, *bench, note)?,
        Correction::Finding(finding) => {
            let looks = job.course.findings.iter().map(|known| known.id);
            let mut all = looks.chain(job.course.sightings.iter().map(|known| known.id));
            if !all.any(|known| known == *finding) {
                return Err(Refusal::NoSuchRecord);
            }
            d.push(FindingStruck { job: job.id, finding: *finding, note });
        }
        Correction::Repair(repair) => {
            if !job.course.repairs.iter().any(|known| known.id == *repair) {
                return Err(Refusal::NoSuchRecord);
            }
            not_gone(job)?;
            d.push(RepairStruck { job: job.id, repair: *repair, note });
            say_if_reopened(d, job);
        }
    }
    Ok(())
}

fn correct_kind(
    d: &mut Draft<'_>,
    job: &Job,
    kind: ItemKind,
    complaint: Complaint,
    note: Option<TextId>,
) -> Result<(), Refusal> {
    intake::fits(kind, complaint)?;
    not_gone(job)?;
    if (job.kind, job.complaint) == (kind, complaint) {
        return Err(Refusal::NothingChanges);
    }
    d.push(KindCorrected { job: job.id, item_kind: kind, complaint, note });
    say_if_reopened(d, job);
    Ok(())
}

fn correct_end(d: &mut Draft<'_>, job: &Job, note: Option<TextId>) -> Result<(), Refusal> {
    if !matches!(job.state(), State::Withdrawn | State::CalledOff) {
        return Err(Refusal::WrongState { job: job.id, state: job.state(), step: "taken up again" });
    }
    d.push(EndStruck { job: job.id, note });
    d.push(NoticeSent { job: job.id, to: job.back_to, what: NoticeKind::Promise });
    Ok(())
}

/// The item is still here: its job goes on where it stood.
fn correct_hand_back(d: &mut Draft<'_>, job: JobRef, note: Option<&str>) -> Result<(), Refusal> {
    let job = d.closed_job(job)?;
    if let Some(tag) = job.course.tag {
        intake::free_tag(d, tag)?;
    }
    if let Some(other) = d.stay_of(job.item, Some(job.id)) {
        return Err(Refusal::AlreadyHere { item: job.item, job: other.id });
    }
    let note = d.maybe_note("note", note)?;
    d.push(HandBackStruck { job: job.id, note });
    let what =
        if job.state() == State::Gone { Some(NoticeKind::Gone) } else { handback::notice_of(job.state()) };
    if let Some(what) = what {
        d.push(NoticeSent { job: job.id, to: job.back_to, what });
    }
    Ok(())
}

fn not_gone(job: &Job) -> Result<(), Refusal> {
    if job.state() == State::Gone {
        return Err(Refusal::WrongState { job: job.id, state: job.state(), step: "corrected" });
    }
    Ok(())
}

/// A ready item whose proof no longer stands waits again: the strip was told otherwise.
fn say_if_reopened(d: &mut Draft<'_>, job: &Job) {
    if job.state() == State::Ready {
        d.push(NoticeSent { job: job.id, to: job.back_to, what: NoticeKind::Promise });
        d.advise("It waits again: what it was proven for has changed.".to_owned());
    }
}

fn correct_spots(
    d: &mut Draft<'_>,
    job: &Job,
    came_from: Spot,
    back_to: Spot,
    note: Option<TextId>,
) -> Result<(), Refusal> {
    d.spot(came_from)?;
    d.spot(back_to)?;
    if (job.came_from, job.back_to) == (came_from, back_to) {
        return Err(Refusal::NothingChanges);
    }
    d.push(SpotsCorrected { job: job.id, came_from, back_to, note });
    // A notice that nobody has confirmed, or that the wrong strip has, must reach the right one.
    if let Some(notice) = job.notice.filter(|notice| notice.to != back_to) {
        d.push(NoticeSent { job: job.id, to: back_to, what: notice.what });
    }
    Ok(())
}

fn correct_item(d: &mut Draft<'_>, job: &Job, item: ItemId, note: Option<TextId>) -> Result<(), Refusal> {
    if item == job.item {
        return Err(Refusal::NothingChanges);
    }
    let known = d.room.items.get(&item).ok_or(Refusal::UnknownItem { item })?;
    if known.kind != job.kind {
        return Err(Refusal::ItemIsOther { item, kind: known.kind.title() });
    }
    if let Some(other) = d.stay_of(item, Some(job.id)) {
        return Err(Refusal::AlreadyHere { item, job: other.id });
    }
    d.push(ItemCorrected { job: job.id, item, note });
    Ok(())
}

fn correct_bench(d: &mut Draft<'_>, job: &Job, bench: BenchId, note: Option<TextId>) -> Result<(), Refusal> {
    d.bench(bench)?;
    if job.course.bench.is_none() || job.course.bench == Some(bench) {
        return Err(Refusal::NothingChanges);
    }
    if job.state() == State::OnBench {
        d.not_on_call(bench)?;
    }
    if let (State::OnBench, Some(hand)) = (job.state(), d.room.bench(bench).job) {
        return Err(Refusal::BenchHasJob { bench, job: hand });
    }
    d.push(BenchCorrected { job: job.id, bench, note });
    Ok(())
}

pub(super) fn exchange_tags(d: &mut Draft<'_>, a: Tag, b: Tag) -> Result<(), Refusal> {
    let first = d.job(JobRef::Tag(a))?;
    let second = d.job(JobRef::Tag(b))?;
    if first.id == second.id {
        return Err(Refusal::SameTwice);
    }
    for job in [first, second] {
        Draft::not_confiscated(job)?;
        if job.state() == State::Gone {
            return Err(Refusal::WrongState { job: job.id, state: job.state(), step: "exchanged" });
        }
    }
    d.push(TagsExchanged { a: first.id, b: second.id });
    for (job, other) in [(first, second), (second, first)] {
        let now = handback::notice_of(other.state()).filter(|_| other.state() != State::Ready);
        let told = handback::notice_of(job.state()).map(|_| NoticeKind::Promise);
        if let Some(what) = now.or(told) {
            d.push(NoticeSent { job: job.id, to: job.back_to, what });
        }
    }
    Ok(())
}
