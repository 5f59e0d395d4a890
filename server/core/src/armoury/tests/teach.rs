//! What repairs, interrupted work, breaks and corrections teach about times. Held against our own rules, no source.

use super::world::*;
use crate::armoury::*;
use crate::gear::{self, ItemKind, Work};
use crate::ids::JobId;
use crate::times::{Learned, Observation};

fn seen(world: &World, job: JobId) -> Vec<Observation> {
    world.job(job).course.taught.iter().map(|taught| taught.seen).collect()
}

fn mend(world: &mut World, job: JobId, work: Work) {
    world.ok(repair(job, work, Lasting::Lasting));
}

#[test]
fn each_repair_teaches_its_own_minutes() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.at(world_minutes(&world) + 6);
    mend(&mut world, foil, Work::Point);
    world.at(world_minutes(&world) + 30);
    mend(&mut world, foil, Work::BladeWire);
    let minutes: Vec<_> =
        seen(&world, foil).iter().map(|seen| (seen.work, seen.bench, seen.hands_on.ceil_min())).collect();
    assert_eq!(minutes, [(Work::Point, WEAPONS, 6), (Work::BladeWire, WEAPONS, 30)]);
    assert_eq!(world.room.learned.seen(Work::BladeWire).count, 1);
}

fn world_minutes(world: &World) -> i64 {
    world.now.since(OPENING).ceil_min()
}

/// The bench has its break from minute 240 to 300.
#[test]
fn a_break_inside_the_work_is_cut_out() {
    for (end, minutes) in [(310, 20), (250, 20), (239, 9)] {
        let mut world = World::new();
        world.at(230);
        let foil = world.taken(ItemKind::Foil, WEAPONS);
        let from = world_minutes(&world);
        world.at(end);
        mend(&mut world, foil, Work::Point);
        assert_eq!(seen(&world, foil)[0].hands_on.ceil_min(), minutes - (from - 230), "until {end}");
    }
}

#[test]
fn put_back_work_is_unfinished_until_it_is_finished() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let start = world_minutes(&world);
    world.at(start + 10);
    world.ok(Command::PutBack { job: on(foil), note: None });
    let unfinished = seen(&world, foil);
    assert!(unfinished.len() == 1 && unfinished[0].censored && unfinished[0].hands_on.ceil_min() == 10);
    assert_eq!(world.room.learned.seen(unfinished[0].work).unfinished.values().sum::<u32>(), 1);
    world.at(start + 60);
    world.ok(Command::Take { job: on(foil), bench: WEAPONS });
    world.at(start + 64);
    mend(&mut world, foil, Work::Point);
    let finished = seen(&world, foil);
    assert!(finished.len() == 1 && !finished[0].censored && finished[0].hands_on.ceil_min() == 14);
    assert!(world.room.learned.seen(Work::Point).unfinished.is_empty());
    // Mended and not proven: its time is no repair's.
    world.at(start + 70);
    world.ok(Command::PutBack { job: on(foil), note: None });
    assert_eq!(seen(&world, foil), finished);
}

#[test]
fn what_was_found_says_what_was_unfinished() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let fault = gear::faults(ItemKind::Foil).find(|fault| fault.work == Work::BladeWire).unwrap();
    world.ok(find(foil, fault.id, Showed::Present));
    world.at(world_minutes(&world) + 20);
    world.ok(hold(foil, HoldReason::PartMissing));
    let unfinished = seen(&world, foil);
    assert_eq!((unfinished[0].work, unfinished[0].censored), (Work::BladeWire, true));
    // The finding was wrong: so is what it taught.
    let finding = world.job(foil).course.findings[0].id;
    world.ok(correct(foil, Correction::Finding(finding)));
    assert_eq!(world.room.learned, Learned::default());
}
