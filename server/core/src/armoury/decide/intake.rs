//! Coming in: hand-in, scan into the room, claims, and what fencers have working.

use std::collections::BTreeSet;

use crate::gear::{Complaint, ItemKind};
use crate::ids::{ItemId, TextId};
use crate::lasting::owed_words;
use crate::tag::Tag;
use crate::time::Stamp;

use super::super::command::{HandIn, HandInItem, JobRef, Wanted, Whose};
use super::super::event::{Claimed, FencerCameIn, FencerWentOut, HandedIn, Lent, LoanCameBack, ScannedIn};
use super::super::job::Job;
use super::super::refusal::Refusal;
use super::super::words::{Need, State};
use super::draft::Draft;

/// Most items in one hand-in: a whole fencer's bag.
const MOST_ITEMS: usize = 24;

pub(super) fn hand_in(d: &mut Draft<'_>, hand_in: &HandIn) -> Result<(), Refusal> {
    d.spot(hand_in.came_from)?;
    d.spot(hand_in.back_to)?;
    check_lot(d, hand_in)?;
    let (fencer, team) = whose(d, &hand_in.whose)?;
    let owner = d.maybe_person("owner", hand_in.owner.as_deref())?;
    let bringer = d.maybe_person("bringer", hand_in.bringer.as_deref())?;
    let official = d.maybe_person("official", hand_in.official.as_deref())?;
    let wanted_by = wanted(d, &hand_in.wanted)?;
    if wanted_by.is_none() && matches!(hand_in.wanted, Wanted::Bout(_)) {
        d.advise("No bout is left for this fencer: no time is set.".to_owned());
    }
    for item in &hand_in.items {
        let number = known_item(d, item)?.unwrap_or(ItemId(d.next().0));
        let note = d.maybe_note("note", item.note.as_deref())?;
        d.push(HandedIn {
            item: number,
            item_kind: item.kind,
            fencer,
            team,
            owner,
            bringer,
            official,
            complaint: item.complaint,
            note,
            came_from: hand_in.came_from,
            back_to: hand_in.back_to,
            need: item.need,
            wanted_by,
            tag: item.tag,
            in_room: hand_in.in_room,
            call: None,
        });
    }
    say_what_waits(d, fencer, hand_in);
    Ok(())
}

fn check_lot(d: &Draft<'_>, hand_in: &HandIn) -> Result<(), Refusal> {
    if hand_in.items.is_empty() {
        return Err(Refusal::NoItems);
    }
    if hand_in.items.len() > MOST_ITEMS {
        return Err(Refusal::TooManyItems { most: MOST_ITEMS });
    }
    let mut tags = BTreeSet::new();
    let mut numbers = BTreeSet::new();
    for item in &hand_in.items {
        fits(item.kind, item.complaint)?;
        if item.need == Need::StripStopped && !item.kind.is_apparatus() {
            return Err(Refusal::NeedDoesNotFit);
        }
        match item.tag {
            Some(tag) => {
                free_tag(d, tag)?;
                if !tags.insert(tag) {
                    return Err(Refusal::TagTwice { tag });
                }
            }
            None if hand_in.in_room => return Err(Refusal::TagNeededHere),
            None => {}
        }
        if item.item.is_some_and(|number| !numbers.insert(number)) {
            return Err(Refusal::SameTwice);
        }
    }
    Ok(())
}

pub(super) fn fits(kind: ItemKind, complaint: Complaint) -> Result<(), Refusal> {
    if Complaint::for_kind(kind).contains(&complaint) { Ok(()) } else { Err(Refusal::ComplaintDoesNotFit) }
}

pub(super) fn free_tag(d: &Draft<'_>, tag: Tag) -> Result<(), Refusal> {
    match d.room.tags.get(&tag) {
        Some(job) => Err(Refusal::TagInUse { tag, job: *job }),
        None => Ok(()),
    }
}

fn whose(d: &mut Draft<'_>, whose: &Whose) -> Result<(Option<TextId>, bool), Refusal> {
    Ok(match whose {
        Whose::Fencer(name) => (Some(d.person("fencer", name)?), false),
        Whose::Team(name) => (Some(d.person("team", name)?), true),
        Whose::Unknown | Whose::House => (None, false),
    })
}

/// The wanted-by time that was said or follows from the next bout.
pub(super) fn wanted(d: &Draft<'_>, wanted: &Wanted) -> Result<Option<Stamp>, Refusal> {
    match wanted {
        Wanted::Open => Ok(None),
        Wanted::At(at) => d.in_range("the wanted-by time", *at).map(Some),
        Wanted::Bout(place) => {
            let margin = d.venue()?.margin_min;
            place.wanted_by(d.when, margin).map_err(|why| Refusal::BoutUnclear { why: why.to_string() })
        }
    }
}

fn known_item(d: &Draft<'_>, item: &HandInItem) -> Result<Option<ItemId>, Refusal> {
    let Some(number) = item.item else { return Ok(None) };
    let known = d.room.items.get(&number).ok_or(Refusal::UnknownItem { item: number })?;
    if known.kind != item.kind {
        return Err(Refusal::ItemIsOther { item: number, kind: known.kind.title() });
    }
    if let Some(job) = d.stay_of(number, None) {
        return Err(Refusal::AlreadyHere { item: number, job: job.id });
    }
    Ok(Some(number))
}

/// What a person at the counter would say on seeing this lot.
fn say_what_waits(d: &mut Draft<'_>, fencer: Option<TextId>, hand_in: &HandIn) {
    if let Some(fencer) = fencer {
        say_what_is_here(d, fencer, |job| hand_in.items.iter().any(|item| item.kind == job.kind));
        if d.room.kits.get(&fencer).is_some_and(|kit| kit.out) {
            d.advise(format!("{} is recorded as out of the competition.", d.room.text(fencer)));
        }
        say_what_may_be_owed(d, fencer, hand_in);
    }
    for item in hand_in.items.iter().filter_map(|item| item.item) {
        say_of_item(d, item, fencer);
    }
}

/// What of the fencer's lies ready, and what of such a kind is still being worked on.
fn say_what_is_here(d: &mut Draft<'_>, fencer: TextId, same: impl Fn(&Job) -> bool) {
    let name = d.room.text(fencer);
    for job in d.room.jobs_of(fencer) {
        let tag = job.course.tag.map_or_else(|| "without a tag".to_owned(), |tag| format!("tag {tag}"));
        if job.state() == State::Ready {
            d.advise(format!("{name} has a {} ready to collect ({tag}).", job.kind.title()));
        } else if job.awaits_work() && same(job) {
            d.advise(format!("{name} has a {} here already ({tag}, {}).", job.kind.title(), job.state()));
        }
    }
}

/// What is known of an item from its earlier stays.
fn say_of_item(d: &mut Draft<'_>, item: ItemId, fencer: Option<TextId>) {
    let Some(known) = d.room.items.get(&item) else { return };
    if known.withdrawn {
        d.advise(format!(
            "Item {item} was withdrawn as not fit for use. If the part was not replaced, do not mend it."
        ));
    }
    if let Some(owner) = known.fencer.filter(|owner| fencer.is_some() && Some(*owner) != fencer) {
        d.advise(format!("Item {item} was {}'s until now.", d.room.text(owner)));
    }
    for owed in known.still_owed() {
        d.advise(format!("Still owed on item {item}: {}.", owed_words(owed)));
    }
}

/// What is owed on items of the fencer that are not here, where one of such a kind comes in without its number: it may
/// be the same one.
fn say_what_may_be_owed(d: &mut Draft<'_>, fencer: TextId, hand_in: &HandIn) {
    let nameless = |kind| hand_in.items.iter().any(|item| item.item.is_none() && item.kind == kind);
    let name = d.room.text(fencer);
    let mut lines = Vec::new();
    let away = d.room.owing().filter(|item| item.fencer == Some(fencer) && nameless(item.kind));
    for item in away.filter(|item| d.stay_of(item.id, None).is_none()) {
        for owed in item.still_owed() {
            let (kind, what) = (item.kind.title(), owed_words(owed));
            lines.push(format!(
                "{name} has a {kind}, item {}, on which is still owed: {what}. Is it this one?",
                item.id
            ));
        }
    }
    for line in lines {
        d.advise(line);
    }
}

/// What is owed on the fencer's items: with the fencer out, there is time for it.
fn say_what_is_owed(d: &mut Draft<'_>, fencer: TextId) {
    let name = d.room.text(fencer);
    for item in d.room.owing().filter(|item| item.fencer == Some(fencer)) {
        for owed in item.still_owed() {
            let (kind, what) = (item.kind.title(), owed_words(owed));
            d.advise(format!(
                "Still owed on {name}'s {kind}, item {}: {what}. There is time for it now.",
                item.id
            ));
        }
    }
}

pub(super) fn scan_in(d: &mut Draft<'_>, job: JobRef, tag: Option<Tag>) -> Result<(), Refusal> {
    let job = d.job_in(job, &[State::OnItsWay], "scanned in")?;
    let tag = match (job.course.tag, tag) {
        (Some(own), Some(other)) if own != other => {
            return Err(Refusal::TagDiffers { job: job.id, tag: own });
        }
        (Some(own), _) => own,
        (None, Some(new)) => {
            free_tag(d, new)?;
            new
        }
        (None, None) => return Err(Refusal::TagNeeded { job: job.id }),
    };
    d.push(ScannedIn { job: job.id, tag });
    Ok(())
}

pub(super) fn claim(d: &mut Draft<'_>, job: JobRef, fencer: &str) -> Result<(), Refusal> {
    let job = d.job(job)?;
    if job.fencer.is_some() || job.kind.is_apparatus() {
        return Err(Refusal::AlreadyClaimed { job: job.id });
    }
    let fencer = d.person("fencer", fencer)?;
    d.push(Claimed { job: job.id, fencer });
    say_what_is_here(d, fencer, |other| other.kind == job.kind);
    Ok(())
}

fn known_person(d: &Draft<'_>, name: &str) -> Result<TextId, Refusal> {
    d.room.person(name).ok_or(Refusal::UnknownFencer)
}

pub(super) fn fencer_out(d: &mut Draft<'_>, name: &str, out: bool) -> Result<(), Refusal> {
    let fencer = known_person(d, name)?;
    let is_out = d.room.kits.get(&fencer).is_some_and(|kit| kit.out);
    if is_out == out {
        return Err(Refusal::NothingChanges);
    }
    if out {
        d.push(FencerWentOut { fencer });
        say_what_is_here(d, fencer, |_| true);
        say_what_is_owed(d, fencer);
    } else {
        d.push(FencerCameIn { fencer });
    }
    Ok(())
}

pub(super) fn lend(d: &mut Draft<'_>, name: &str, kind: ItemKind) -> Result<(), Refusal> {
    let fencer = d.person("fencer", name)?;
    d.push(Lent { fencer, item_kind: kind });
    Ok(())
}

pub(super) fn loan_back(d: &mut Draft<'_>, name: &str, kind: ItemKind) -> Result<(), Refusal> {
    let fencer = known_person(d, name)?;
    let lent = d.room.kits.get(&fencer).and_then(|kit| kit.lent.get(&kind));
    if lent.is_none_or(|lent| *lent == 0) {
        return Err(Refusal::NotLent { kind: kind.title() });
    }
    d.push(LoanCameBack { fencer, item_kind: kind });
    Ok(())
}
