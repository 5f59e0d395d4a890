//! The proof: complete before ready, void after a repair, let go by the head with a reason.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::{ItemKind, Work};
use crate::rules::Answer;

fn ready(world: &mut World, job: crate::ids::JobId) -> Result<Vec<&'static str>, Refusal> {
    world.run(&Command::Ready { job: on(job) })
}

#[test]
fn ready_needs_work_and_a_complete_proof() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    assert_eq!(ready(&mut world, foil).unwrap_err().reason(), "NOTHING_DONE");
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    let all = world.room.required_checks(&world.job(foil).clone());
    for check in &all {
        assert_eq!(ready(&mut world, foil).unwrap_err().reason(), "PROOF_INCOMPLETE");
        world.ok(prove(foil, &check.code, Answer::Passed));
    }
    assert_eq!(ready(&mut world, foil).unwrap(), ["made_ready", "notice_sent"]);
    assert_eq!(world.job(foil).course.place, Place::ReadyShelf);
    assert_eq!(world.notice(foil).what, NoticeKind::Ready);
}

/// FIE 2026 m.11.3 as the edition has it: the spring lifts more than 500 g (5000 tenths of a gram).
#[test]
fn a_failed_check_stands_until_it_is_passed() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    world.prove(foil);
    world.ok(prove(foil, "foil_point_weight", Answer::Reading(4900)));
    let refusal = ready(&mut world, foil).unwrap_err();
    assert_eq!(refusal.reason(), "PROOF_FAILED");
    assert!(refusal.to_string().contains("500 g"), "{refusal}");
    world.ok(prove(foil, "foil_point_weight", Answer::Reading(5100)));
    assert!(ready(&mut world, foil).is_ok());
}

#[test]
fn a_repair_voids_the_proof() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    world.prove(foil);
    world.ok(repair(foil, Work::Point, Lasting::StopGap));
    assert_eq!(ready(&mut world, foil).unwrap_err().reason(), "PROOF_INCOMPLETE");
}

#[test]
fn without_fault_is_proven_as_well() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    assert_eq!(world.no(prove(foil, "steady_bend", Answer::Passed)), "NOTHING_DONE");
    assert_eq!(world.ok(Command::NoFaultFound { job: on(foil) }), ["no_fault"]);
    assert_eq!(world.no(Command::NoFaultFound { job: on(foil) }), "NOTHING_CHANGES");
    assert_eq!(ready(&mut world, foil).unwrap_err().reason(), "PROOF_INCOMPLETE");
    world.prove(foil);
    assert!(ready(&mut world, foil).is_ok());
    let other = world.taken(ItemKind::Foil, WEAPONS);
    let elsewhere = Command::FaultElsewhere { job: on(other), place: "the reel of strip 1".to_owned() };
    assert_eq!(world.ok(elsewhere), ["fault_elsewhere"]);
    world.prove(other);
    assert!(ready(&mut world, other).is_ok());
}

#[test]
fn what_was_repaired_was_not_without_fault() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(Command::NoFaultFound { job: on(foil) });
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    assert!(!world.job(foil).course.no_fault);
    assert_eq!(world.no(Command::NoFaultFound { job: on(foil) }), "REPAIRS_RECORDED");
}

#[test]
fn the_head_lets_an_item_go_with_a_reason() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let without = Command::ReadyAnyway { job: on(foil), reason: "  ".to_owned() };
    assert_eq!(world.no(without), "REASON_NEEDED");
    assert_eq!(world.ok(ready_anyway(foil)), ["made_ready", "notice_sent"]);
    let reason = world.job(foil).course.anyway.unwrap();
    assert_eq!(world.room.text(reason), "the strip's own check will do");
    // A hold ends with it.
    let held = world.waiting(ItemKind::Foil);
    world.ok(hold(held, HoldReason::PartMissing));
    world.ok(ready_anyway(held));
    assert!(world.job(held).hold.is_none() && world.room.attention().is_empty());
}

#[test]
fn impossible_checks_and_readings_are_refused() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    assert_eq!(world.no(prove(foil, "epee_point_weight", Answer::Passed)), "UNKNOWN_CHECK");
    assert_eq!(world.no(prove(foil, &"x".repeat(1_000_000), Answer::Passed)), "UNKNOWN_CHECK");
    assert_eq!(world.no(prove(foil, "foil_point_weight", Answer::Reading(-1))), "BAD_READING");
    assert_eq!(world.no(prove(foil, "steady_bend", Answer::Reading(1))), "BAD_READING");
}

/// Learning: repairs that were honestly timed.
#[test]
fn a_repair_teaches_its_minutes() {
    let mut world = World::new();
    world.ready();
    assert_eq!(world.room.learned.seen(Work::Point).count, 1);
    // Two kinds of work recorded in one go: whose minutes were they?
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.at(30);
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    world.ok(repair(foil, Work::BladeWire, Lasting::Lasting));
    world.prove(foil);
    ready(&mut world, foil).unwrap();
    // Paper entered after a power cut: no minutes at all.
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    world.prove(foil);
    ready(&mut world, foil).unwrap();
    assert_eq!(world.room.learned.seen(Work::Point).count, 1);
    assert_eq!(world.room.learned.seen(Work::BladeWire).count, 0);
}
