//! Every kind of event happens, and every kind ever written can be read.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use super::World;
use super::world::*;
use crate::armoury::record::{from_json, to_json};
use crate::armoury::*;
use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{CallId, JobId, OwedId, StripId};

/// One line for each (kind, version) that was ever written: old journals always open. Lines are added, never changed.
const CORPUS: &str = include_str!("corpus.jsonl");

/// A day in which everything happens.
pub(super) fn a_long_day() -> World {
    let mut world = World::new();
    going_out_and_back(&mut world);
    at_the_benches(&mut world);
    mistakes(&mut world);
    calls(&mut world);
    the_evening(&mut world);
    world
}

fn going_out_and_back(world: &mut World) {
    let mut whole = lot(vec![HandInItem { note: Some("on a beat".to_owned()), ..item(ItemKind::Foil) }]);
    whole.owner = Some("Club Cedar".to_owned());
    whole.bringer = Some("Coach Dune".to_owned());
    whole.official = Some("Official Elm".to_owned());
    whole.wanted = Wanted::At(minute(50));
    world.ok(Command::HandIn(whole));
    let first = JobId(world.head());
    world.ok(Command::SayPromises {
        promises: vec![NewPromise { job: first, likely: minute(20), safe: Some(minute(30)), raw: None }],
    });
    world.ok(missing(first));
    world.ok(found_again(first, Place::Counter));
    world.ok(call_off(first));
    world.ok(collected_unseen(first));
    world.ok(Command::HandIn(HandIn { whose: Whose::Unknown, ..lot(vec![item(ItemKind::Mask)]) }));
    world.ok(Command::Claim { job: on(JobId(world.head())), fencer: FENCER.to_owned() });
    world.ok(lend(ItemKind::Foil));
    world.ok(loan_back(ItemKind::Foil));
    world.ok(fencer_out());
    world.ok(fencer_in());
}

fn at_the_benches(world: &mut World) {
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(Command::Interrupt { bench: WEAPONS });
    world.ok(Command::Resume { bench: WEAPONS });
    world.ok(Command::GoAway { bench: WEAPONS, until: minute(30) });
    world.ok(Command::ComeBack { bench: WEAPONS });
    world.ok(see(foil, "turn-button=flicker"));
    world.ok(find(foil, "foil_screw_lost", Showed::Present));
    world.at(9).ok(repair(foil, Work::Point, Lasting::StopGap));
    world.ok(Command::EndOwed { owed: OwedId(world.head()), how: OwedEnd::Declined });
    world.ok(cure(foil, minute(20)));
    world.ok(Command::DryNow { job: on(foil) });
    world.ok(take(foil, WEAPONS));
    world.prove(foil);
    world.ok(Command::Ready { job: on(foil) });
    world.ok(Command::BackTo { job: on(foil), to: Spot::Strip(StripId(2)) });
    world.at(20).ok(Command::Tick);
    let notice = world.notice(foil).id;
    world.ok(confirm(notice));
    world.ok(hand_back(foil));
    let other = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(Command::NoFaultFound { job: on(other) });
    world.ok(Command::FaultElsewhere { job: on(other), place: "the body cord".to_owned() });
    world.ok(pass_on(other, CORDS));
    world.ok(take(other, CORDS));
    world.ok(take_over(other, Some(WEAPONS)));
    world.ok(take(other, WEAPONS));
    world.ok(Command::PutBack { job: on(other), note: None });
    world.ok(hold(other, HoldReason::PartMissing));
    world.ok(Command::Release { job: on(other) });
    world.ok(Command::WantBy { job: on(other), wanted: Wanted::At(minute(90)) });
    world.ok(set_need(other, Need::NoneLeft));
    world.ok(pin(other, None));
    let cracked = world.in_state(State::Withdrawn);
    world.ok(hand_back(cracked));
    world.ok(correct(cracked, Correction::HandBack));
    world.ok(correct(cracked, Correction::End));
    world.ok(Command::OpenBench { bench: CORDS });
    world.ok(Command::CloseBenchAt { bench: CORDS, at: minute(120) });
    world.ok(Command::CloseBench { bench: CORDS });
}

fn mistakes(world: &mut World) {
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(find(foil, "foil_tape_worn", Showed::Absent));
    world.ok(correct(foil, strike(world.head())));
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    world.ok(correct(foil, undone(world.head())));
    world.ok(correct(foil, Correction::Bench(ROVING)));
    world.ok(correct(foil, Correction::Spots { came_from: Spot::Counter, back_to: Spot::Counter }));
    let earlier = world.room.items.values().find(|item| item.kind == ItemKind::Foil && !item.withdrawn);
    let earlier = earlier.unwrap().id;
    world.ok(correct(foil, Correction::Item(earlier)));
    world.ok(correct(foil, Correction::Kind { kind: ItemKind::Epee, complaint: Complaint::NoLight }));
    let other = world.waiting(ItemKind::Foil);
    let tag = |job| world.job(job).course.tag.unwrap();
    let exchange = Command::ExchangeTags { a: tag(foil), b: tag(other) };
    world.ok(exchange);
    let bench = world.room.bench(ROVING).job.unwrap();
    world.ok(Command::PutBack { job: on(bench), note: None });
}

fn calls(world: &mut World) {
    let mut venue = venue();
    venue.benches[0].works.push(Work::Apparatus);
    world.ok(set_venue(venue));
    world.ok(Command::CallOut { strip: StripId(2), note: Some("no power".to_owned()) });
    let call = CallId(world.head());
    world.ok(Command::Redirect { call, bench: WEAPONS });
    world.ok(Command::ReachStrip { call });
    world.ok(run_again(call, Some(ItemKind::Box)));
}

fn the_evening(world: &mut World) {
    let places: BTreeSet<_> = world.room.jobs.values().map(|job| job.course.place).collect();
    for place in places.into_iter().filter(|place| place.in_room()) {
        let there = world.room.jobs.values().filter(|job| job.course.place == place);
        let tags: Vec<_> = there.filter_map(|job| job.course.tag).collect();
        world.ok(count(place, &tags));
    }
    world.ok(Command::CloseDay);
}

#[test]
fn every_kind_of_event_happens() {
    let happened: BTreeSet<_> = a_long_day().log.iter().map(|recorded| recorded.event.kind()).collect();
    let known: BTreeSet<_> = Event::KINDS.iter().map(|(kind, _)| *kind).collect();
    assert_eq!(happened, known);
}

#[test]
fn every_line_of_the_corpus_opens_and_every_kind_has_one() {
    let mut lines = BTreeSet::new();
    for line in CORPUS.lines() {
        let head: serde_json::Value = serde_json::from_str(line).unwrap();
        let (kind, v) = (head["kind"].as_str().unwrap(), u16::try_from(head["v"].as_u64().unwrap()).unwrap());
        let event = from_json(kind, v, line).unwrap_or_else(|why| panic!("{why}"));
        if v == event.version() {
            assert_eq!(to_json(&event), line, "what is written today is written as ever");
        }
        assert!(lines.insert((kind.to_owned(), v)), "two lines for {kind} {v}");
    }
    let missing: Vec<_> =
        Event::KINDS.iter().filter(|(kind, v)| !lines.contains(&((*kind).to_owned(), *v))).collect();
    assert!(missing.is_empty(), "the corpus has no line for {missing:?}");
}
