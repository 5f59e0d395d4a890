//! Events as text, and the armoury that follows from them.
#![allow(clippy::unwrap_used)]

use super::World;
use super::events::a_long_day;
use crate::armoury::record::{UnreadableEvent, from_json, to_json};
use crate::armoury::*;
use crate::ids::{BenchId, JobId, Seq};

#[test]
fn an_event_names_its_kind_and_version_first() {
    let taken = Event::from(event::Taken { job: JobId(5), bench: BenchId(2) });
    assert_eq!(to_json(&taken), r#"{"kind":"taken","v":1,"job":5,"bench":2}"#);
    assert_eq!(from_json("taken", 1, &to_json(&taken)).unwrap(), taken);
}

#[test]
fn what_cannot_be_read_says_why() {
    let read = |kind, v, json| from_json(kind, v, json).unwrap_err();
    assert!(matches!(read("no_such", 1, "{}"), UnreadableEvent::UnknownKind(_)));
    assert!(matches!(read("taken", 9, "{}"), UnreadableEvent::NewerVersion { known: 1, .. }));
    let malformed = read("taken", 1, r#"{"job":"#);
    assert!(malformed.to_string().starts_with("event of kind `taken` cannot be read"), "{malformed}");
}

/// Ids, times and figures are whole numbers in every event, and no event carries a name or a note.
#[test]
fn events_hold_no_floats_and_no_free_text() {
    for recorded in &a_long_day().log {
        let json = to_json(&recorded.event);
        let value: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert!(!has_float(&value), "{json}");
        for said in ["Fencer", "Coach", "Official", "cracked", "tampered"] {
            assert!(!json.contains(said), "{json}");
        }
        assert_eq!(
            from_json(recorded.event.kind(), recorded.event.version(), &json).unwrap(),
            recorded.event
        );
    }
}

fn has_float(value: &serde_json::Value) -> bool {
    match value {
        serde_json::Value::Number(number) => number.is_f64(),
        serde_json::Value::Array(all) => all.iter().any(has_float),
        serde_json::Value::Object(all) => all.values().any(has_float),
        _ => false,
    }
}

#[test]
fn the_same_events_build_the_same_armoury() {
    let world = a_long_day();
    assert_eq!(replay(&world), world.room);
}

/// Texts first, then every event as it is read from its JSON.
pub(super) fn replay(world: &World) -> Armoury {
    let mut room = Armoury::new();
    world.texts.iter().for_each(|row| room.learn_text(row));
    for recorded in &world.log {
        let event =
            from_json(recorded.event.kind(), recorded.event.version(), &to_json(&recorded.event)).unwrap();
        room.apply(&Recorded { event, ..recorded.clone() });
    }
    room
}

#[test]
fn a_snapshot_is_the_armoury_without_its_texts() {
    let world = a_long_day();
    assert_eq!(back_from_snapshot(&world), world.room);
    let json = serde_json::to_string(&world.room).unwrap();
    assert!(!json.contains("Fencer"), "people can be forgotten");
}

pub(super) fn back_from_snapshot(world: &World) -> Armoury {
    let json = serde_json::to_string(&world.room).unwrap();
    let mut back: Armoury = serde_json::from_str(&json).unwrap();
    world.texts.iter().for_each(|row| back.learn_text(row));
    back
}

/// A damaged journal: events about nothing change the head, and nothing else.
#[test]
fn events_about_the_unknown_change_nothing() {
    let day = a_long_day();
    let about_jobs = day.log.iter().filter(|recorded| {
        recorded.event.job(recorded.seq).is_some() && !matches!(recorded.event, Event::HandedIn(_))
    });
    for recorded in about_jobs {
        if matches!(recorded.event, Event::ScannedIn(_) | Event::NoticeSent(_) | Event::Taken(_)) {
            continue; // These also tie a tag, a notice or a bench to the job.
        }
        let mut room = Armoury::new();
        room.apply(&Recorded { seq: Seq(1), ..recorded.clone() });
        assert!(room.jobs.is_empty() && room.items.is_empty(), "{}", recorded.event.kind());
        assert_eq!(room.head, Seq(1));
    }
}

#[test]
fn every_event_about_a_job_names_it() {
    let about_none = [
        "venue_set",
        "fencer_went_out",
        "fencer_came_in",
        "lent",
        "loan_came_back",
        "called_out",
        "strip_reached",
        "redirected",
        "ran_again",
        "bench_away",
        "bench_back",
        "bench_opened",
        "bench_closed",
        "bench_to_close",
        "owed_ended",
        "counted",
        "day_closed",
    ];
    for recorded in &a_long_day().log {
        let kind = recorded.event.kind();
        assert_eq!(recorded.event.job(recorded.seq).is_none(), about_none.contains(&kind), "{kind}");
    }
}

#[test]
fn a_forgotten_text_is_said_to_be_forgotten() {
    let world = a_long_day();
    let json = serde_json::to_string(&world.room).unwrap();
    let room: Armoury = serde_json::from_str(&json).unwrap();
    let fencer = world.texts.iter().find(|row| row.class == TextClass::Person).unwrap();
    assert_eq!(room.text(fencer.id), "(forgotten)");
    assert_eq!(world.room.person(&fencer.text.to_uppercase()), Some(fencer.id));
    assert!(world.room.people().any(|(_, id)| id == fencer.id));
}
