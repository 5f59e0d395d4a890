//! Going back: notices and their confirmation, hand-back to a named person, and what happens when an item cannot
//! be found.

use super::super::command::{JobRef, Wanted};
use super::super::event::{
    BackToChanged, CalledOff, CollectedUnseen, FoundAgain, HandedBack, NoticeConfirmed, NoticeSent,
    WantedByChanged, WentMissing,
};
use super::super::refusal::Refusal;
use super::super::words::{NoticeKind, Place, Spot, State};
use super::draft::Draft;
use super::intake;
use crate::ids::NoticeId;
use crate::lasting::owed_words;

pub(super) fn confirm(d: &mut Draft<'_>, notice: NoticeId) -> Result<(), Refusal> {
    let job = *d.room.notices.get(&notice).ok_or(Refusal::UnknownNotice)?;
    d.push(NoticeConfirmed { job, notice });
    Ok(())
}

pub(super) fn hand_back(d: &mut Draft<'_>, job: JobRef, to: &str) -> Result<(), Refusal> {
    let step = "handed back";
    let job = d.job_in(job, &[State::Ready, State::Withdrawn, State::CalledOff], step)?;
    Draft::not_confiscated(job)?;
    let to = d.person("the person it is handed to", to)?;
    d.push(HandedBack { job: job.id, to });
    if let Some(item) = d.room.items.get(&job.item) {
        for owed in item.still_owed() {
            d.advise(format!("Still owed on item {}: {}. Say so to the fencer.", item.id, owed_words(owed)));
        }
    }
    Ok(())
}

/// The notice that goes with a state in which an item lies here for somebody.
pub(super) fn notice_of(state: State) -> Option<NoticeKind> {
    match state {
        State::Ready => Some(NoticeKind::Ready),
        State::Withdrawn => Some(NoticeKind::Withdrawn),
        State::CalledOff => Some(NoticeKind::CalledOff),
        _ => None,
    }
}

pub(super) fn back_to(d: &mut Draft<'_>, job: JobRef, to: Spot) -> Result<(), Refusal> {
    d.spot(to)?;
    let job = d.job(job)?;
    if job.back_to == to {
        return Err(Refusal::NothingChanges);
    }
    d.push(BackToChanged { job: job.id, to });
    // A notice that nobody has confirmed must reach the new place.
    if let Some(notice) = job.notice.filter(|notice| notice.confirmed.is_none()) {
        d.push(NoticeSent { job: job.id, to, what: notice.what });
    }
    Ok(())
}

pub(super) fn want_by(d: &mut Draft<'_>, job: JobRef, wanted: &Wanted) -> Result<(), Refusal> {
    let job = d.job(job)?;
    let wanted_by = intake::wanted(d, wanted)?;
    if wanted_by.is_none() && matches!(wanted, Wanted::Bout(_)) {
        d.advise("No bout is left for this fencer: no time is set.".to_owned());
    }
    if job.wanted_by == wanted_by {
        return Err(Refusal::NothingChanges);
    }
    d.push(WantedByChanged { job: job.id, wanted_by });
    Ok(())
}

pub(super) fn call_off(d: &mut Draft<'_>, job: JobRef, reason: &str) -> Result<(), Refusal> {
    let states = [State::OnItsWay, State::Waiting, State::OnBench, State::Curing];
    let job = d.job_in(job, &states, "called off")?;
    Draft::not_confiscated(job)?;
    let reason = d.reason(reason)?;
    d.push(CalledOff { job: job.id, reason });
    d.push(NoticeSent { job: job.id, to: job.back_to, what: NoticeKind::CalledOff });
    Ok(())
}

pub(super) fn missing(d: &mut Draft<'_>, job: JobRef, note: Option<&str>) -> Result<(), Refusal> {
    let job = d.job(job)?;
    if job.state() == State::Gone {
        return Err(Refusal::NothingChanges);
    }
    let note = d.maybe_note("note", note)?;
    d.push(WentMissing { job: job.id, note });
    d.push(NoticeSent { job: job.id, to: job.back_to, what: NoticeKind::Gone });
    Ok(())
}

pub(super) fn found_again(d: &mut Draft<'_>, job: JobRef, place: Place) -> Result<(), Refusal> {
    let job = d.job_in(job, &[State::Gone], "found again")?;
    match place {
        Place::Strip(strip) => d.spot(Spot::Strip(strip))?,
        Place::Bench(bench) => drop(d.bench(bench)?),
        Place::Counter | Place::CuringShelf | Place::ReadyShelf | Place::LockedAway => {}
        Place::Gone | Place::HandedBack => return Err(Refusal::NotInRoom),
    }
    d.push(FoundAgain { job: job.id, place });
    // The strip was told that it cannot be found.
    let what = job.course.lost_from.and_then(notice_of).unwrap_or(NoticeKind::Promise);
    d.push(NoticeSent { job: job.id, to: job.back_to, what });
    Ok(())
}

pub(super) fn collected_unseen(d: &mut Draft<'_>, job: JobRef, note: Option<&str>) -> Result<(), Refusal> {
    let states = [State::Gone, State::Ready, State::Withdrawn, State::CalledOff];
    let job = d.job_in(job, &states, "recorded as collected")?;
    Draft::not_confiscated(job)?;
    let note = d.maybe_note("note", note)?;
    d.push(CollectedUnseen { job: job.id, note });
    Ok(())
}
