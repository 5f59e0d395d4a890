//! What stays owed after a stop-gap, who is told of it and when, and what is said of both ways when a fault is found.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::{ItemKind, Work};
use crate::ids::{ItemId, JobId, OwedId};

fn owed(world: &World, item: ItemId) -> Vec<(Work, Option<OwedEnd>)> {
    world.room.items[&item].owed.iter().map(|owed| (owed.work, owed.ended)).collect()
}

#[test]
fn a_stop_gap_is_owed_once_and_a_lasting_repair_pays_it_off() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let item = world.job(foil).item;
    assert_eq!(world.ok(repair(foil, Work::Point, Lasting::StopGap)), ["repaired"]);
    let number = OwedId(world.head());
    world.ok(repair(foil, Work::Point, Lasting::StopGap));
    assert_eq!(owed(&world, item), [(Work::Point, None)], "the same stop-gap again owes nothing more");
    let with = |lasting, owed| Command::Repair {
        job: on(foil),
        work: Work::BladeWire,
        fault: None,
        lasting,
        owed: Some(owed),
    };
    assert_eq!(world.no(with(Lasting::StopGap, number)), "STOP_GAP_PAYS_NOTHING");
    assert_eq!(world.no(with(Lasting::Lasting, OwedId(9999))), "UNKNOWN_OWED");
    assert_eq!(world.ok(repair(foil, Work::Blade, Lasting::Lasting)), ["repaired"], "other work");
    assert_eq!(world.ok(repair(foil, Work::Point, Lasting::Lasting)), ["repaired", "owed_ended"]);
    assert_eq!(owed(&world, item), [(Work::Point, Some(OwedEnd::Done))]);
    // What is owed may be paid by other work when the armourer says so.
    world.ok(repair(foil, Work::Point, Lasting::StopGap));
    let number = OwedId(world.head());
    assert_eq!(world.ok(with(Lasting::Lasting, number)), ["repaired", "owed_ended"]);
}

#[test]
fn what_is_owed_ends_as_done_elsewhere_or_declined() {
    for how in [OwedEnd::DoneElsewhere, OwedEnd::Declined, OwedEnd::Done] {
        let mut world = World::new();
        let foil = world.taken(ItemKind::Foil, WEAPONS);
        let item = world.job(foil).item;
        world.ok(repair(foil, Work::Point, Lasting::StopGap));
        let end = Command::EndOwed { owed: OwedId(world.head()), how };
        assert_eq!(world.ok(end.clone()), ["owed_ended"]);
        assert_eq!(owed(&world, item), [(Work::Point, Some(how))]);
        assert_eq!(world.no(end), "UNKNOWN_OWED");
    }
}

/// Common practice, no source: a barrel that came loose has hurt the insulation, and only new wire lasts.
#[test]
fn new_wire_pays_off_a_tightened_barrel_and_work_on_the_point_does_not() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let item = world.job(foil).item;
    world.ok(mend(foil, Work::Point, "foil_barrel_loose", Lasting::StopGap));
    assert_eq!(world.ok(mend(foil, Work::Point, "foil_screw_lost", Lasting::Lasting)), ["repaired"]);
    assert_eq!(owed(&world, item), [(Work::Point, None)]);
    assert_eq!(world.ok(repair(foil, Work::BladeWire, Lasting::Lasting)), ["repaired", "owed_ended"]);
    assert_eq!(owed(&world, item), [(Work::Point, Some(OwedEnd::Done))]);
}

/// Common practice, no source: tightening a loose barrel and varnishing bare wire never last.
#[test]
fn what_never_lasts_cannot_be_recorded_as_lasting() {
    for (work, fault) in [(Work::Point, "foil_barrel_loose"), (Work::BladeWire, "foil_wire_bare_patched")] {
        let mut world = World::new();
        let foil = world.taken(ItemKind::Foil, WEAPONS);
        assert_eq!(world.no(mend(foil, work, fault, Lasting::Lasting)), "ONLY_A_STOP_GAP");
        assert_eq!(world.ok(mend(foil, work, fault, Lasting::StopGap)), ["repaired"]);
        assert_eq!(
            world.ok(mend(foil, Work::BladeWire, "foil_wire_bare", Lasting::Lasting)),
            ["repaired", "owed_ended"]
        );
    }
}

fn says(world: &World, parts: &[&str]) -> bool {
    world.advice.iter().any(|line| parts.iter().all(|part| line.contains(part)))
}

/// Not at the first time: the card shows both ways by itself.
#[test]
fn when_a_stop_gap_failed_before_both_ways_are_said_as_its_fault_is_found_again() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let number = world.job(foil).item;
    world.ok(find(foil, "foil_barrel_loose", Showed::Present));
    assert!(world.advice.is_empty(), "{:?}", world.advice);
    world.ok(mend(foil, Work::Point, "foil_barrel_loose", Lasting::StopGap));
    world.ok(ready_anyway(foil));
    world.ok(hand_back(foil));
    world.at(120).ok(Command::HandIn(lot(vec![known(ItemKind::Foil, number)])));
    let again = JobId(world.head());
    let tag = world.tag();
    world.ok(scan_in(again, Some(tag)));
    world.ok(take(again, WEAPONS));
    world.ok(find(again, "foil_barrel_loose", Showed::Unsure));
    assert!(world.advice.is_empty(), "{:?}", world.advice);
    world.ok(find(again, "foil_barrel_loose", Showed::Present));
    assert!(says(&world, &["failed on this item before: once in 0.5 h"]), "{:?}", world.advice);
    assert!(says(&world, &["Lasting", "wire the blade anew", "costs"]), "{:?}", world.advice);
    assert!(says(&world, &["Stop-gap", "tighten the barrel", "fails again"]), "{:?}", world.advice);
    assert!(says(&world, &["costs less; you decide"]), "{:?}", world.advice);
    world.ok(find(again, "foil_point_dirty", Showed::Present));
    assert!(world.advice.is_empty(), "there is one way only: {:?}", world.advice);
}

#[test]
fn what_is_owed_is_said_at_hand_back_when_it_comes_again_and_when_the_fencer_is_out() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let number = world.job(foil).item;
    world.ok(mend(foil, Work::Point, "foil_barrel_loose", Lasting::StopGap));
    world.ok(ready_anyway(foil));
    let what = "wire the blade anew (loose barrel)";
    world.ok(hand_back(foil));
    assert!(says(&world, &["Still owed", what, "Say so to the fencer"]), "{:?}", world.advice);
    let same_kind = world.clone().advised(Command::HandIn(lot(vec![item(ItemKind::Foil)])));
    assert!(
        same_kind.iter().any(|line| line.contains(what) && line.contains("Is it this one?")),
        "{same_kind:?}"
    );
    let other = world.clone().advised(Command::HandIn(lot(vec![item(ItemKind::Mask)])));
    assert!(!other.iter().any(|line| line.contains(what)), "{other:?}");
    world.ok(fencer_out());
    assert!(says(&world, &["Still owed on Fencer Amber's foil", what, "time for it"]), "{:?}", world.advice);
    world.ok(Command::HandIn(lot(vec![known(ItemKind::Foil, number)])));
    assert!(says(&world, &["Still owed on item", what]), "{:?}", world.advice);
    assert!(!says(&world, &["Is it this one?"]), "{:?}", world.advice);
    world.ok(Command::HandIn(lot(vec![item(ItemKind::Foil)])));
    assert!(!says(&world, &["Is it this one?"]), "that one is here: {:?}", world.advice);
    let debt = world.room.items[&number].owed[0].id;
    world.ok(Command::EndOwed { owed: debt, how: OwedEnd::DoneElsewhere });
    world.ok(fencer_in());
    world.ok(fencer_out());
    assert!(!says(&world, &["Still owed"]), "{:?}", world.advice);
}
