//! Events as sentences: the history of a job as a person reads it.

use jiff::tz::TimeZone;
use remise_core::armoury::event::Saw;
use remise_core::armoury::{Armoury, Event, Spot};
use remise_core::circuit::usual_weapon;
use remise_core::guide::Finding;
use remise_core::ids::TextId;
use remise_core::rules::Answer;
use remise_core::time::Stamp;

use crate::tournament::local;

/// What happened, in one sentence without its time.
pub fn sentence(room: &Armoury, event: &Event) -> String {
    intake(room, event)
        .or_else(|| at_the_bench(room, event))
        .or_else(|| going_back(room, event))
        .or_else(|| decided(room, event))
        .unwrap_or_else(|| event.kind().replace('_', " "))
}

fn noted(room: &Armoury, note: Option<TextId>) -> String {
    note.map_or_else(String::new, |note| format!(": {}", room.text(note)))
}

/// A time of day on the venue's clock; of universal time where no venue is open.
fn clock(room: &Armoury, at: Stamp) -> String {
    let zone = room.venue.as_ref().map_or(TimeZone::UTC, |venue| local::local(venue));
    local::clock_text(at, &zone)
}

fn spot(spot: Spot) -> String {
    match spot {
        Spot::Strip(strip) => format!("strip {strip}"),
        Spot::Counter => "the counter".to_owned(),
    }
}

fn intake(room: &Armoury, event: &Event) -> Option<String> {
    Some(match event {
        Event::HandedIn(e) => {
            let whose = e.fencer.map_or_else(String::new, |id| format!(" for {}", room.text(id)));
            let kind = e.item_kind.title();
            let (from, what) = (spot(e.came_from), e.complaint.title());
            format!("{kind} handed in from {from}{whose}, {what}{}", noted(room, e.note))
        }
        Event::ScannedIn(e) => format!("scanned in with tag {}", e.tag),
        Event::Claimed(e) => format!("claimed for {}", room.text(e.fencer)),
        Event::KindCorrected(e) => {
            let (kind, what) = (e.item_kind.title(), e.complaint.title());
            format!("corrected: it is {kind}, {what}{}", noted(room, e.note))
        }
        Event::ItemCorrected(e) => format!("corrected: it is item {}{}", e.item, noted(room, e.note)),
        Event::SpotsCorrected(e) => {
            let (from, back) = (spot(e.came_from), spot(e.back_to));
            format!("corrected: from {from}, back to {back}{}", noted(room, e.note))
        }
        Event::TagsExchanged(e) => format!("tags of jobs {} and {} exchanged", e.a, e.b),
        _ => return None,
    })
}

/// As people say it, where the item's kind is still known.
fn saw(room: &Armoury, e: &Saw) -> String {
    let kind = room.job(e.job).map(|job| job.kind);
    let read = kind.and_then(|kind| Finding::parse(&e.seen, kind, usual_weapon(kind)).ok());
    read.map_or_else(|| format!("saw {}", e.seen), |finding| finding.said())
}

fn at_the_bench(room: &Armoury, event: &Event) -> Option<String> {
    Some(match event {
        Event::Taken(e) => format!("taken by bench {}", e.bench),
        Event::PutBack(e) => format!("put back{}", noted(room, e.note)),
        Event::PassedOn(e) => format!("passed on to bench {}{}", e.bench, noted(room, e.note)),
        Event::Interrupted(e) => format!("work at bench {} interrupted", e.bench),
        Event::Resumed(e) => format!("work at bench {} goes on", e.bench),
        Event::Found(e) => format!("checked {}: {}{}", plain(&e.fault), e.showed, noted(room, e.note)),
        Event::Saw(e) => saw(room, e),
        Event::Repaired(e) => {
            let fault = e.fault.as_deref().map_or_else(String::new, |fault| format!(" for {}", plain(fault)));
            format!("{} repair, {}{fault}, {} hands on", e.lasting, e.work.title(), e.hands_on)
        }
        Event::CuringBegan(e) => format!("laid to cure, dry at {}", clock(room, e.until)),
        Event::FoundDry(_) => "found dry".to_owned(),
        Event::NoFault(_) => "no fault found".to_owned(),
        Event::FaultElsewhere(e) => format!("the fault lies elsewhere: {}", room.text(e.place)),
        Event::Proved(e) => {
            let verdict = if e.pass { "passed" } else { "failed" };
            match e.answer {
                Answer::Reading(_) => format!("check {} {verdict}, with a reading", plain(&e.check)),
                _ => format!("check {} {verdict}", plain(&e.check)),
            }
        }
        Event::BenchCorrected(e) => format!("corrected: bench {}{}", e.bench, noted(room, e.note)),
        Event::FindingStruck(e) => format!("finding {} struck{}", e.finding, noted(room, e.note)),
        Event::EndStruck(e) => {
            format!("neither withdrawn nor called off: it waits again{}", noted(room, e.note))
        }
        Event::HandBackStruck(e) => format!("it did not go back: it is still here{}", noted(room, e.note)),
        Event::RepairStruck(e) => format!("repair {} struck{}", e.repair, noted(room, e.note)),
        _ => return None,
    })
}

fn going_back(room: &Armoury, event: &Event) -> Option<String> {
    Some(match event {
        Event::MadeReady(e) => match e.anyway {
            Some(reason) => format!("let go without a complete proof: {}", room.text(reason)),
            None => format!("ready, {} hands on", e.hands_on),
        },
        Event::Withdrawn(e) => format!("withdrawn, not fit for use: {}", room.text(e.reason)),
        Event::NoticeSent(e) => format!("notice to {}: {}", spot(e.to), e.what),
        Event::NoticeConfirmed(_) => "notice confirmed".to_owned(),
        Event::NoticeRaised(_) => "nobody confirmed the notice; the head sees it".to_owned(),
        Event::HandedBack(e) => format!("handed back to {}", room.text(e.to)),
        Event::BackToChanged(e) => format!("goes back to {}", spot(e.to)),
        Event::CalledOff(e) => format!("called off: {}", room.text(e.reason)),
        Event::WentMissing(e) => format!("cannot be found{}", noted(room, e.note)),
        Event::FoundAgain(e) => format!("found again: {}", e.place),
        Event::CollectedUnseen(e) => format!("collected, nobody saw it{}", noted(room, e.note)),
        _ => return None,
    })
}

fn decided(room: &Armoury, event: &Event) -> Option<String> {
    Some(match event {
        Event::TakenOver(e) => {
            let to = e.bench.map_or_else(|| "the waiting".to_owned(), |bench| format!("bench {bench}"));
            format!("taken over for {to}: {}", room.text(e.reason))
        }
        Event::WantedByChanged(e) => match e.wanted_by {
            Some(at) => format!("wanted by {}", clock(room, at)),
            None => "no longer wanted by any time".to_owned(),
        },
        Event::NeedSet(e) => format!("the fencer has {}", e.need),
        Event::Held(e) => format!("held, {}{}", e.reason, noted(room, e.note)),
        Event::Released(e) => format!("released{}", noted(room, e.note)),
        Event::Pinned(e) => match e.bench {
            Some(bench) => format!("kept for bench {bench}"),
            None => "kept for no bench in particular".to_owned(),
        },
        Event::PromiseSaid(e) => {
            let safe = e.safe.map_or_else(String::new, |safe| format!(", safely at {}", clock(room, safe)));
            format!("promised: ready likely at {}{safe}", clock(room, e.likely))
        }
        Event::BenchOpened(e) => format!("bench {} opened by the head", e.bench),
        Event::BenchClosed(e) => format!("bench {} closed", e.bench),
        Event::BenchToClose(e) => format!("bench {} is to close at {}", e.bench, clock(room, e.at)),
        _ => return None,
    })
}

/// A code as a person reads it.
fn plain(code: &str) -> String {
    code.replace('_', " ")
}
