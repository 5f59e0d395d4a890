//! Reasons and their sentences in a small invented armoury, by hand.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::armoury::tests::World;
use crate::armoury::tests::world::*;
use crate::armoury::{Command, HoldReason, Wanted};
use crate::gear::ItemKind;
use crate::ids::StripId;
use crate::plan::{LanePlanner, Planner};

fn asked(world: &World, job: JobId) -> (Why, String) {
    let plan = LanePlanner::default().plan(&world.room, world.now);
    let why = why(&world.room, &plan, job);
    (why, why.sentence(&world.room))
}

#[test]
fn the_only_bench_and_nothing_more_urgent() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let (why, says) = asked(&world, foil);
    assert!(
        matches!(why, Why::Placed { bench: WEAPONS, here: Here::OnlyBench(_), turn: Turn::First }),
        "{why:?}"
    );
    assert!(
        says.starts_with("Weapons is the only one that ") && says.ends_with("nothing more urgent is here."),
        "{says}"
    );
}

#[test]
fn two_benches_can_and_one_is_sooner() {
    let mut world = World::new();
    let cords: Vec<_> = (0..3).map(|_| world.waiting(ItemKind::BodyCordTwoPin)).collect();
    let turns: Vec<_> = cords.iter().map(|cord| asked(&world, *cord)).collect();
    assert!(
        turns.iter().all(|(why, _)| matches!(
            why,
            Why::Placed { here: Here::Sooner(..) | Here::NotWorthMoving(..), .. }
        )),
        "{turns:?}"
    );
    assert!(
        turns.iter().any(|(why, _)| matches!(why, Why::Placed { turn: Turn::After(..), .. })),
        "{turns:?}"
    );
}

#[test]
fn a_bench_that_is_shut_or_left_is_no_choice() {
    let moves = [
        ("shut", Command::CloseBench { bench: ROVING }),
        ("closing", Command::CloseBenchAt { bench: ROVING, at: minute(5) }),
        ("left", Command::GoAway { bench: ROVING, until: minute(120) }),
        ("called", Command::CallOut { strip: StripId(3), note: None }),
    ];
    for (name, command) in moves {
        let mut world = World::new();
        let cord = world.waiting(ItemKind::BodyCordTwoPin);
        let (before, _) = asked(&world, cord);
        assert!(
            matches!(before, Why::Placed { here: Here::Sooner(..) | Here::NotWorthMoving(..), .. }),
            "{name}: {before:?}"
        );
        world.ok(command);
        let (why, says) = asked(&world, cord);
        assert!(
            matches!(why, Why::Placed { bench: CORDS, here: Here::OnlyAttended(_), .. }),
            "{name}: {why:?}"
        );
        assert!(says.starts_with("Cords is the only one open and attended by then that "), "{name}: {says}");
    }
}

#[test]
fn held_pinned_in_hand_drying_and_unknown() {
    let mut world = World::new();
    let held = world.waiting(ItemKind::Foil);
    world.ok(hold(held, HoldReason::PartMissing));
    assert_eq!(asked(&world, held).0, Why::Nowhere(Unplaced::Held));
    let pinned = world.waiting(ItemKind::BodyCordTwoPin);
    world.ok(pin(pinned, Some(CORDS)));
    let (why, says) = asked(&world, pinned);
    assert!(matches!(why, Why::Placed { here: Here::Pinned, .. }), "{why:?}");
    assert!(says.starts_with("It is kept for cords"), "{says}");
    let hand = world.taken(ItemKind::Foil, WEAPONS);
    assert_eq!(asked(&world, hand).0, Why::InHand(WEAPONS));
    world.at(4).ok(cure(hand, minute(30)));
    let (why, says) = asked(&world, hand);
    assert!(matches!(why, Why::Placed { turn: Turn::Dries(_), .. }), "{why:?}");
    assert!(says.ends_with("has to dry, 26 min more."), "{says}");
    assert_eq!(asked(&world, JobId(999)).0, Why::NotInPlan);
}

#[test]
fn lateness_has_a_reason() {
    let mut world = World::new();
    let jobs: Vec<_> = (0..5).map(|_| world.waiting(ItemKind::Foil)).collect();
    for job in &jobs {
        world.ok(Command::WantBy { job: on(*job), wanted: Wanted::At(minute(25)) });
    }
    let plan = LanePlanner::default().plan(&world.room, world.now);
    let reasons = Reasons::new(&world.room, &plan);
    let late: Vec<_> = jobs.iter().filter_map(|job| reasons.late(*job)).collect();
    assert!(!late.is_empty());
    assert!(late.iter().all(|late| matches!(late.cause, Cause::OnlyBench(WEAPONS, _, _))), "{late:?}");
    let says = late[0].sentence(&world.room);
    assert!(says.starts_with("Late by ") && says.contains("because weapons is the only one that"), "{says}");
    // Wanted at once: no bench could.
    world.ok(Command::WantBy { job: on(jobs[0]), wanted: Wanted::At(minute(1)) });
    let plan = LanePlanner::default().plan(&world.room, world.now);
    let late = Reasons::new(&world.room, &plan).late(jobs[0]).unwrap();
    assert_eq!(late.cause, Cause::TooShort);
}
