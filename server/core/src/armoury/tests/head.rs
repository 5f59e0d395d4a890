//! The head armourer's moves.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::{ItemKind, Work};
use crate::ids::BenchId;
use crate::time::Window;

#[test]
fn a_job_left_lying_is_taken_over() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let silent = Command::TakeOver { job: on(foil), bench: None, reason: String::new() };
    assert_eq!(world.no(silent), "REASON_NEEDED");
    assert_eq!(world.no(take_over(foil, Some(WEAPONS))), "SAME_TWICE");
    assert_eq!(world.ok(take_over(foil, Some(ROVING))), ["taken_over"]);
    assert_eq!((world.state(foil), world.job(foil).pinned), (State::Waiting, Some(ROVING)));
    world.ok(take(foil, ROVING));
    world.ok(take_over(foil, None));
    assert_eq!(world.job(foil).pinned, None);
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"]);
}

#[test]
fn a_job_is_kept_for_a_bench_until_that_closes() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    assert_eq!(world.ok(pin(foil, Some(CORDS))), ["pinned"]);
    assert_eq!(world.no(pin(foil, Some(CORDS))), "NOTHING_CHANGES");
    assert_eq!(world.no(take(foil, WEAPONS)), "PINNED_TO_OTHER");
    assert_eq!(world.ok(Command::CloseBench { bench: CORDS }), ["bench_closed", "pinned"]);
    assert_eq!(world.job(foil).pinned, None);
    assert_eq!(world.advice.len(), 1);
    assert_eq!(world.no(pin(foil, Some(CORDS))), "BENCH_IS_CLOSED");
    assert_eq!(world.no(take_over(foil, Some(CORDS))), "BENCH_IS_CLOSED");
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"]);
}

#[test]
fn a_bench_is_opened_and_closed_against_its_hours() {
    let mut world = World::new();
    let (open, close) = (Command::OpenBench { bench: WEAPONS }, Command::CloseBench { bench: WEAPONS });
    let foil = world.waiting(ItemKind::Foil);
    assert_eq!(world.ok(close.clone()), ["bench_closed"]);
    assert_eq!(world.no(close.clone()), "NOTHING_CHANGES");
    assert_eq!(world.no(take(foil, WEAPONS)), "BENCH_IS_CLOSED");
    world.at(250);
    assert_eq!(world.ok(open.clone()), ["bench_opened"]);
    assert_eq!(world.no(open), "NOTHING_CHANGES");
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"], "in its break, by the head's word");
    assert_eq!(world.no(close), "BENCH_HAS_JOB");
}

/// A later closing: until then the bench is open, then it is not, and what was kept for it is free again.
#[test]
fn a_bench_closes_at_a_later_time() {
    let mut world = World::new();
    let close_at = |at| Command::CloseBenchAt { bench: WEAPONS, at: minute(at) };
    let foil = world.waiting(ItemKind::Foil);
    world.ok(pin(foil, Some(WEAPONS)));
    assert_eq!(world.ok(close_at(100)), ["bench_to_close"]);
    assert_eq!(world.no(close_at(100)), "NOTHING_CHANGES");
    assert_eq!(world.no(close_at(0)), "TIME_IS_PAST");
    assert_eq!(world.no(close_at(10_000)), "TIME_OUT_OF_RANGE");
    assert_eq!(world.ok(close_at(120)), ["bench_to_close"], "the time is another");
    assert!(world.room.bench_is_open(WEAPONS, minute(119)));
    assert!(!world.room.bench_is_open(WEAPONS, minute(120)));
    assert!(!world.room.bench_is_open(WEAPONS, minute(1441)), "until the day is closed or the head opens it");
    let open: Vec<_> = world.room.open_windows(WEAPONS, minute(30)).collect();
    assert_eq!(open, [Window { from: minute(0), to: minute(120) }]);
    world.at(119);
    assert!(world.ok(Command::Tick).iter().all(|kind| *kind != "bench_closed"));
    world.at(130);
    assert_eq!(world.no(take(foil, WEAPONS)), "BENCH_IS_CLOSED");
    assert_eq!(world.no(close_at(140)), "BENCH_IS_CLOSED");
    let ticked = world.ok(Command::Tick);
    assert!(ticked.ends_with(&["bench_closed", "pinned"]) || ticked.starts_with(&["bench_closed", "pinned"]));
    assert_eq!(world.job(foil).pinned, None);
    assert_eq!(world.ok(Command::OpenBench { bench: WEAPONS }), ["bench_opened"]);
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"]);
}

#[test]
fn a_later_closing_is_cleared_by_opening_closing_and_the_next_day() {
    let mut world = World::new();
    let close_at = |bench| Command::CloseBenchAt { bench, at: minute(120) };
    let closes = |world: &World, bench| world.room.bench(bench).closes_at;
    for bench in [WEAPONS, CORDS] {
        world.ok(close_at(bench));
        assert_eq!(closes(&world, bench), Some(minute(120)));
    }
    assert_eq!(world.ok(Command::OpenBench { bench: WEAPONS }), ["bench_opened"]);
    assert_eq!(
        world.ok(close_at(WEAPONS)),
        ["bench_to_close"],
        "opened against its hours, it closes all the same"
    );
    assert!(
        world.room.bench_is_open(WEAPONS, minute(119)) && !world.room.bench_is_open(WEAPONS, minute(120))
    );
    assert_eq!(world.ok(Command::OpenBench { bench: WEAPONS }), ["bench_opened"], "it stays open after all");
    assert_eq!(closes(&world, WEAPONS), None);
    assert_eq!(world.ok(Command::CloseBench { bench: CORDS }), ["bench_closed"]);
    assert_eq!(closes(&world, CORDS), None);
    world.ok(close_at(ROVING));
    world.ok(Command::CloseDay);
    assert!(world.room.bench_is_open(ROVING, minute(1441)));
}

/// Work in hand is finished; the bench closes after it.
#[test]
fn a_bench_with_a_job_in_hand_closes_after_it() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(Command::CloseBenchAt { bench: WEAPONS, at: minute(10) });
    world.at(12);
    assert!(!world.ok(Command::Tick).contains(&"bench_closed"));
    world.ok(Command::PutBack { job: on(foil), note: None });
    assert!(world.ok(Command::Tick).contains(&"bench_closed"));
}

#[test]
fn the_heads_word_on_benches_ends_with_the_day() {
    let mut world = World::new();
    world.ok(Command::CloseBench { bench: WEAPONS });
    world.ok(Command::OpenBench { bench: CORDS });
    world.at(610);
    assert!(world.room.bench_is_open(CORDS, world.now));
    world.ok(Command::CloseDay);
    assert!(!world.room.bench_is_open(CORDS, world.now));
    assert!(world.room.bench_is_open(WEAPONS, minute(1441)));
}

#[test]
fn a_confiscated_item_is_evidence() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let silent = Command::Hold { job: on(foil), reason: HoldReason::Confiscated, note: None };
    assert_eq!(world.no(silent), "REASON_NEEDED");
    assert_eq!(world.ok(confiscate(foil)), ["held"]);
    assert_eq!((world.room.bench(WEAPONS).job, world.job(foil).course.place), (None, Place::LockedAway));
    assert_eq!(world.room.attention(), [Attention::Held(foil)]);
    assert_eq!(world.no(Command::Release { job: on(foil) }), "IS_CONFISCATED");
    assert_eq!(world.no(take(foil, WEAPONS)), "IS_CONFISCATED");
    let silent = Command::ReleaseConfiscated { job: on(foil), note: String::new() };
    assert_eq!(world.no(silent), "REASON_NEEDED");
    assert_eq!(world.ok(let_go(foil)), ["released"]);
    assert_eq!(world.job(foil).course.place, Place::Counter);
    assert_eq!(world.ok(take(foil, WEAPONS)), ["taken"]);
}

/// Where a confiscated item goes when the head lets it go: to where it stood.
#[test]
fn what_is_let_go_lies_where_it_belongs() {
    for (state, place) in [
        (State::OnItsWay, Place::Strip(crate::ids::StripId(1))),
        (State::Waiting, Place::Counter),
        (State::Curing, Place::CuringShelf),
        (State::Ready, Place::ReadyShelf),
        (State::Withdrawn, Place::ReadyShelf),
    ] {
        let mut world = World::new();
        let foil = world.in_state(state);
        world.ok(confiscate(foil));
        world.ok(let_go(foil));
        assert_eq!((world.state(foil), world.job(foil).course.place), (state, place));
    }
}

#[test]
fn an_item_confiscated_on_its_way_is_scanned_in_and_stays_locked_away() {
    let mut world = World::new();
    let foil = world.sent(ItemKind::Foil);
    world.ok(confiscate(foil));
    world.ok(scan_in(foil, Some(tag(5))));
    assert_eq!((world.state(foil), world.job(foil).course.place), (State::Waiting, Place::LockedAway));
}

#[test]
fn wanted_by_is_changed() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let want = |wanted| Command::WantBy { job: on(foil), wanted };
    assert_eq!(world.ok(want(Wanted::At(minute(50)))), ["wanted_by_changed"]);
    assert_eq!(world.no(want(Wanted::At(minute(50)))), "NOTHING_CHANGES");
    assert_eq!(world.no(want(Wanted::At(minute(100_000)))), "TIME_OUT_OF_RANGE");
    // Ready at minute 49 is not back before 51: strip 1 is two minutes away.
    let late = world.room.lateness(world.job(foil), minute(49)).unwrap();
    assert_eq!(late, crate::time::Span::minutes(1));
    assert_eq!(world.room.lateness(world.job(foil), minute(48)), None);
    assert_eq!(world.ok(want(Wanted::Open)), ["wanted_by_changed"]);
}

/// The file is replaced in the middle of a day: a bench that is at work cannot vanish.
#[test]
fn a_bench_at_work_does_not_vanish_from_the_file() {
    let mut world = World::new();
    assert_eq!(world.ok(set_venue(venue())), Vec::<&str>::new(), "the same file again is nothing new");
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let without = |bench: BenchId| {
        let mut venue = venue();
        venue.benches.retain(|other| other.id != bench);
        set_venue(venue)
    };
    assert_eq!(world.no(without(WEAPONS)), "BENCH_HAS_JOB");
    world.ok(call_out(1));
    assert_eq!(world.no(without(ROVING)), "BENCH_ON_CALL");
    let kept = world.waiting(ItemKind::Foil);
    world.ok(pin(kept, Some(CORDS)));
    assert_eq!(world.ok(without(CORDS)), ["venue_set", "pinned"]);
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    let longer = {
        let mut venue = venue();
        venue.days[0] = Window { from: minute(0), to: minute(700) };
        set_venue(venue)
    };
    assert_eq!(world.ok(longer), ["venue_set"]);
}

/// What the head held before the referee came is still held when the referee lets it go.
#[test]
fn a_hold_outlives_a_confiscation() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    world.ok(hold(foil, HoldReason::PartMissing));
    world.ok(confiscate(foil));
    world.ok(let_go(foil));
    assert_eq!(world.job(foil).hold.map(|hold| hold.reason), Some(HoldReason::PartMissing));
    assert_eq!(world.no(take(foil, WEAPONS)), "ON_HOLD");
    world.ok(Command::Release { job: on(foil) });
    world.ok(take(foil, WEAPONS));
}
