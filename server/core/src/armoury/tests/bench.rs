//! At a bench: one job in hand, interruptions, findings, repairs, curing.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::{ItemKind, Work};
use crate::ids::CallId;
use crate::time::Span;

#[test]
fn two_benches_never_hold_one_job_and_one_bench_never_two() {
    let mut world = World::new();
    let cord = world.waiting(ItemKind::BodyCordTwoPin);
    world.ok(take(cord, CORDS));
    assert_eq!(world.no(take(cord, ROVING)), "HELD_BY_OTHER");
    assert_eq!(world.no(take(cord, CORDS)), "NOTHING_CHANGES");
    let other = world.waiting(ItemKind::BodyCordTwoPin);
    assert_eq!(world.no(take(other, CORDS)), "BENCH_HAS_JOB");
    world.ok(Command::PutBack { job: on(cord), note: Some("a customer".to_owned()) });
    assert_eq!(world.ok(take(other, CORDS)), ["taken"]);
    assert_eq!(world.ok(take(cord, ROVING)), ["taken"]);
}

#[test]
fn a_bench_takes_what_it_can_mend() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    assert_eq!(world.no(take(foil, CORDS)), "BENCH_CANNOT");
    // The head's word, or a colleague's note, is enough.
    world.ok(pass_on(foil, CORDS));
    assert_eq!(world.no(take(foil, WEAPONS)), "PINNED_TO_OTHER");
    assert_eq!(world.ok(take(foil, CORDS)), ["taken"]);
}

#[test]
fn a_bench_works_in_its_hours() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    world.at(245);
    assert_eq!(world.no(take(foil, WEAPONS)), "BENCH_IS_CLOSED");
    world.at(300);
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"]);
}

#[test]
fn a_job_is_passed_on_with_a_note() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    assert_eq!(world.no(pass_on(foil, WEAPONS)), "SAME_TWICE");
    assert_eq!(world.ok(pass_on(foil, CORDS)), ["passed_on"]);
    assert_eq!((world.state(foil), world.job(foil).pinned), (State::Waiting, Some(CORDS)));
    world.ok(Command::CloseBench { bench: ROVING });
    assert_eq!(world.no(pass_on(foil, ROVING)), "BENCH_IS_CLOSED");
}

#[test]
fn an_armourer_goes_away_and_comes_back() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let away = |until| Command::GoAway { bench: WEAPONS, until };
    assert_eq!(world.ok(away(minute(30))), ["interrupted", "bench_away"]);
    assert_eq!(world.no(Command::Interrupt { bench: WEAPONS }), "NOTHING_CHANGES");
    world.at(20);
    assert_eq!(world.ok(Command::ComeBack { bench: WEAPONS }), ["bench_back", "resumed"]);
    assert_eq!(world.no(Command::ComeBack { bench: WEAPONS }), "NOTHING_CHANGES");
    world.ok(Command::PutBack { job: on(foil), note: None });
    let from = world.now;
    assert_eq!(world.no(away(from)), "TIME_IS_PAST");
    assert_eq!(world.no(away(from.plus_min(12 * 60 + 1))), "AWAY_TOO_LONG");
    assert_eq!(world.ok(away(from.plus_min(12 * 60))), ["bench_away"]);
    // Taking a job says that somebody is there.
    world.ok(away(minute(60)));
    world.ok(take(foil, WEAPONS));
    assert_eq!(world.room.bench(WEAPONS).away_until, None);
}

/// The clock counts what the item was in hand, and nothing else.
#[test]
fn the_hands_on_clock_stands_still_while_work_does() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.at(4).ok(Command::Interrupt { bench: WEAPONS });
    world.at(20).ok(Command::Resume { bench: WEAPONS });
    assert_eq!(world.no(Command::Resume { bench: WEAPONS }), "NOTHING_CHANGES");
    world.at(23).ok(repair(foil, Work::Point, Lasting::Lasting));
    assert_eq!(world.job(foil).course.repairs[0].hands_on, Span::minutes(7));
    world.at(25).ok(cure(foil, minute(35)));
    world.at(40).ok(take(foil, WEAPONS));
    world.at(43).ok(repair(foil, Work::BladeWire, Lasting::Lasting));
    assert_eq!(
        world.job(foil).course.repairs[1].hands_on,
        Span::minutes(5),
        "two before the cure, three after"
    );
    assert_eq!(world.job(foil).course.clock.total(world.now), Span::minutes(12));
}

#[test]
fn findings_are_recorded_in_order() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(find(foil, "foil_tape_worn", Showed::Absent));
    world.ok(find(foil, "foil_screw_lost", Showed::Present));
    assert_eq!(world.no(find(foil, "cord_wire_broken", Showed::Present)), "UNKNOWN_FAULT");
    let findings = &world.job(foil).course.findings;
    assert_eq!(findings.iter().map(|f| f.showed).collect::<Vec<_>>(), [Showed::Absent, Showed::Present]);
}

/// It is kept as the guide writes it, whatever was typed; what no instrument shows, or is a look, is refused.
#[test]
fn what_an_instrument_showed_is_recorded() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    assert_eq!(world.ok(see(foil, " Turn_Button = Flicker?")), ["saw"]);
    world.ok(see(foil, "rest@body=1.5ohm"));
    for wrong in ["turn-button=purple", "jump=on", "turn-button", "foil_tape_worn=absent", "\u{1b}[2J=on"] {
        assert_eq!(world.no(see(foil, wrong)), "UNKNOWN_SIGHT", "{wrong}");
    }
    assert_eq!(world.no(see(foil, &"x".repeat(10_000_000))), "UNKNOWN_SIGHT");
    let seen: Vec<&str> = world.job(foil).course.sightings.iter().map(|it| it.seen.as_str()).collect();
    assert_eq!(seen, ["turn-button=flicker?", "rest@body=1.5ohm"]);
}

/// What was found widens what the job may need: a bench that mends that may take it.
#[test]
fn a_finding_opens_the_job_to_the_bench_that_mends_it() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(find(foil, "foil_screw_lost", Showed::Present));
    assert!(world.job(foil).may_need().contains(&Work::Point));
}

#[test]
fn what_cures_is_taken_when_it_is_dry() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    assert_eq!(world.no(cure(foil, minute(0))), "TIME_OUT_OF_RANGE");
    assert_eq!(world.ok(cure(foil, minute(10))), ["curing_began"]);
    assert_eq!(world.room.bench(WEAPONS).job, None, "the bench is free");
    assert_eq!(world.at(9).no(take(foil, WEAPONS)), "NOT_DRY");
    assert_eq!(world.ok(Command::DryNow { job: on(foil) }), ["found_dry"]);
    assert_eq!(world.no(Command::DryNow { job: on(foil) }), "NOTHING_CHANGES");
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"]);
    // And by itself when the time has come.
    world.ok(cure(foil, minute(20)));
    assert_eq!(world.at(20).no(Command::DryNow { job: on(foil) }), "NOTHING_CHANGES");
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"]);
}

#[test]
fn nobody_works_at_a_bench_whose_armourer_is_at_a_strip() {
    let mut world = World::new();
    let cord = world.taken(ItemKind::BodyCordTwoPin, ROVING);
    assert_eq!(world.ok(call_out(1)), ["called_out", "interrupted"]);
    let call = CallId(world.head() - 1);
    assert_eq!(world.no(Command::Resume { bench: ROVING }), "BENCH_ON_CALL");
    world.ok(Command::PutBack { job: on(cord), note: None });
    assert_eq!(world.no(take(cord, ROVING)), "BENCH_ON_CALL");
    world.ok(Command::ReachStrip { call });
    world.ok(run_again(call, None));
    assert_eq!(world.ok(take(cord, ROVING)), ["taken"]);
}

/// Devices' clocks may differ by two minutes; further back it cannot have happened.
#[test]
fn nothing_happens_to_an_item_before_it_was_handed_in() {
    let mut world = World::new();
    world.at(30);
    let foil = world.waiting(ItemKind::Foil);
    world.at(40);
    let early = world.run_late(&take(foil, WEAPONS), minute(27)).unwrap_err();
    assert_eq!(early.reason(), "HAPPENED_BEFORE_HAND_IN");
    assert_eq!(world.run_late(&take(foil, WEAPONS), minute(28)).unwrap(), ["taken"]);
    // Late entries keep the time at which it happened.
    world.run_late(&repair(foil, Work::Point, Lasting::Lasting), minute(36)).unwrap();
    assert_eq!(world.job(foil).course.repairs[0].hands_on, Span::minutes(8));
}
