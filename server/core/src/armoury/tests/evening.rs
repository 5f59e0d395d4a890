//! Counting, closing the day, and what is carried over to the next.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::ItemKind;
use crate::ids::{BenchId, StripId};
use crate::tag::Tag;

fn tag_of(world: &World, job: crate::ids::JobId) -> Tag {
    world.job(job).course.tag.unwrap()
}

#[test]
fn closing_demands_a_count_of_every_place_that_holds_something() {
    let mut world = World::new();
    let waiting = world.waiting(ItemKind::Mask);
    let ready = world.ready();
    let bench = world.taken(ItemKind::Foil, WEAPONS);
    world.sent(ItemKind::Epee);
    assert_eq!(
        world.room.count_problems(),
        [
            CountProblem::NotCounted(Place::Counter),
            CountProblem::NotCounted(Place::ReadyShelf),
            CountProblem::NotCounted(Place::Bench(WEAPONS)),
        ]
    );
    assert_eq!(world.no(Command::CloseDay), "COUNT_INCOMPLETE");
    for (place, job) in
        [(Place::Counter, waiting), (Place::ReadyShelf, ready), (Place::Bench(WEAPONS), bench)]
    {
        assert_eq!(world.no(Command::CloseDay), "COUNT_INCOMPLETE");
        let tag = tag_of(&world, job);
        assert_eq!(world.ok(count(place, &[tag, tag])), ["counted"]);
    }
    world.at(590);
    assert_eq!(world.ok(Command::CloseDay), ["interrupted", "day_closed"], "no clock runs through the night");
    let Event::DayClosed(closed) = &world.log.last().unwrap().event else { panic!("the day is closed last") };
    assert_eq!((closed.open, world.room.tally.days_closed), (4, 1));
    // The next day: the job in hand goes on, and a new evening needs a new count.
    world.at(1440).ok(Command::Resume { bench: WEAPONS });
    assert_eq!(world.no(Command::CloseDay), "COUNT_INCOMPLETE");
}

#[test]
fn a_count_lists_jobs_without_items_and_items_without_jobs() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let mask = world.waiting(ItemKind::Mask);
    let (foil_tag, mask_tag) = (tag_of(&world, foil), tag_of(&world, mask));
    world.ok(count(Place::Counter, &[foil_tag, tag(4000)]));
    world.ok(count(Place::ReadyShelf, &[mask_tag]));
    assert_eq!(
        world.room.count_problems(),
        [
            CountProblem::JobWithoutItem(mask, mask_tag, Place::Counter),
            CountProblem::ItemWithoutJob(tag(4000), Place::Counter, None),
            CountProblem::ItemWithoutJob(mask_tag, Place::ReadyShelf, Some(Place::Counter)),
        ]
    );
    let refusal = world.run(&Command::CloseDay).unwrap_err().to_string();
    assert!(refusal.contains("was not found at the counter"), "{refusal}");
    // Counted again, and what is not there recorded as missing.
    world.ok(count(Place::ReadyShelf, &[]));
    world.ok(count(Place::Counter, &[foil_tag]));
    world.ok(missing(mask));
    assert_eq!(world.ok(Command::CloseDay), ["day_closed"]);
}

#[test]
fn whoever_counts_is_told_at_once_what_differs() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let (foil_tag, now) = (tag_of(&world, foil), world.now);
    let told = |tags: &[Tag]| decide(&world.room, &count(Place::Counter, tags), now, now).unwrap().advice;
    assert_eq!(told(&[foil_tag]), Vec::<String>::new());
    let [first, missing, strange] = &told(&[tag(4000)])[..] else { panic!() };
    assert!(first.contains("1 counted at the counter, and 2 of it differs"), "{first}");
    assert!(
        missing.contains(&foil_tag.digits()) && strange.contains("no open job has it"),
        "{missing} {strange}"
    );
}

/// Whatever moves after the count shows as a difference.
#[test]
fn a_count_holds_only_as_long_as_nothing_moves() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let tag = tag_of(&world, foil);
    world.ok(count(Place::Counter, &[tag]));
    world.ok(take(foil, WEAPONS));
    assert_eq!(world.no(Command::CloseDay), "COUNT_INCOMPLETE");
    world.ok(Command::PutBack { job: on(foil), note: None });
    assert_eq!(world.ok(Command::CloseDay), ["day_closed"]);
}

#[test]
fn every_place_inside_is_counted_and_no_other() {
    let mut world = World::new();
    for place in
        [Place::Counter, Place::Bench(CORDS), Place::CuringShelf, Place::ReadyShelf, Place::LockedAway]
    {
        assert_eq!(world.ok(count(place, &[])), ["counted"]);
    }
    for place in [Place::Strip(StripId(1)), Place::Gone, Place::HandedBack] {
        assert_eq!(world.no(count(place, &[])), "NOT_IN_ROOM");
    }
    assert_eq!(world.no(count(Place::Bench(BenchId(9)), &[])), "UNKNOWN_BENCH");
    let many: Vec<_> = (1..=2001).map(tag).collect();
    assert_eq!(world.no(count(Place::Counter, &many)), "TOO_MANY_ITEMS");
}

#[test]
fn an_open_call_out_is_said_when_the_day_closes() {
    let mut world = World::new();
    world.ok(call_out(2));
    world.ok(Command::CloseDay);
    assert_eq!(world.advice.len(), 1);
    assert!(world.advice[0].contains("strip 2"), "{:?}", world.advice);
}
