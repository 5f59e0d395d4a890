//! Call-outs to a stopped strip.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::{ItemKind, Work};
use crate::ids::{CallId, JobId, StripId};

fn called(world: &mut World, strip: u16) -> CallId {
    world.ok(call_out(strip));
    *world.room.calls.keys().next_back().unwrap()
}

#[test]
fn the_roving_armourer_is_sent_and_the_promise_is_the_arrival() {
    let mut world = World::new();
    let call = called(&mut world, 3);
    let open = &world.room.calls[&call];
    assert_eq!(
        (open.bench, open.state, open.arrival),
        (ROVING, CallState::Called, minute(6)),
        "strip 3 is 6 min away"
    );
    assert_eq!(world.no(call_out(3)), "ALREADY_CALLED");
    assert_eq!(world.no(call_out(2)), "NOBODY_CAN_GO");
    assert_eq!(world.no(call_out(9)), "UNKNOWN_STRIP");
    assert_eq!(world.no(run_again(call, None)), "NOT_AT_STRIP");
    assert_eq!(world.ok(Command::ReachStrip { call }), ["strip_reached"]);
    assert_eq!(world.no(Command::ReachStrip { call }), "NOTHING_CHANGES");
    assert_eq!(world.ok(run_again(call, None)), ["ran_again"]);
    assert_eq!(world.no(run_again(call, None)), "UNKNOWN_CALL");
}

#[test]
fn work_in_hand_is_interrupted_and_goes_on_afterwards() {
    let mut world = World::new();
    let cord = world.taken(ItemKind::BodyCordTwoPin, ROVING);
    world.at(5);
    let call = called(&mut world, 1);
    assert!(world.room.bench(ROVING).interrupted);
    world.at(20).ok(Command::ReachStrip { call });
    assert_eq!(world.ok(run_again(call, None)), ["ran_again", "resumed"]);
    world.at(22);
    assert_eq!(world.job(cord).course.clock.total(world.now), crate::time::Span::minutes(7));
}

/// Whoever went away in the meantime is not back because the strip runs.
#[test]
fn nobody_is_called_back_from_a_break() {
    let mut world = World::new();
    world.taken(ItemKind::BodyCordTwoPin, ROVING);
    let call = called(&mut world, 1);
    world.ok(Command::ReachStrip { call });
    world.ok(Command::GoAway { bench: ROVING, until: minute(40) });
    assert_eq!(world.ok(run_again(call, None)), ["ran_again"]);
    world.at(40);
    assert_eq!(world.ok(Command::ComeBack { bench: ROVING }), ["bench_back", "resumed"]);
    let call = called(&mut world, 1);
    world.ok(Command::GoAway { bench: ROVING, until: minute(60) });
    assert_eq!(
        world.ok(Command::ComeBack { bench: ROVING }),
        ["bench_back"],
        "at the strip, not at the bench"
    );
    world.ok(Command::ReachStrip { call });
}

#[test]
fn a_swap_records_the_stock_and_opens_a_job_for_the_faulty_unit() {
    let mut world = World::new();
    let call = called(&mut world, 2);
    world.ok(Command::ReachStrip { call });
    assert_eq!(world.no(run_again(call, Some(ItemKind::Foil))), "NOT_APPARATUS");
    assert_eq!(world.ok(run_again(call, Some(ItemKind::Reel))), ["ran_again", "handed_in"]);
    let job = world.job(JobId(world.head()));
    assert_eq!((job.kind, job.call, job.came_from), (ItemKind::Reel, Some(call), Spot::Strip(StripId(2))));
    assert_eq!((job.state(), job.back_to), (State::OnItsWay, Spot::Counter));
    let stock = world.log.iter().find_map(|recorded| match &recorded.event {
        Event::RanAgain(e) => e.stock,
        _ => None,
    });
    assert_eq!(world.room.text(stock.unwrap()), "stock reel");
}

fn two_that_can_go() -> World {
    let mut world = World::new();
    let mut venue = venue();
    venue.benches[1].works.push(Work::Apparatus);
    world.ok(set_venue(venue));
    world
}

#[test]
fn the_next_goes_when_the_roving_armourer_cannot() {
    let mut world = two_that_can_go();
    world.ok(Command::GoAway { bench: ROVING, until: minute(30) });
    let call = called(&mut world, 1);
    assert_eq!(world.room.calls[&call].bench, CORDS);
    assert_eq!(world.at(30).ok(call_out(2)), ["called_out"], "back again");
    // Whoever has nothing in hand goes before whoever has.
    let mut world = two_that_can_go();
    let mut venue = world.room.venue.as_deref().unwrap().clone();
    venue.benches[2].roving = false;
    world.ok(set_venue(venue));
    world.taken(ItemKind::BodyCordTwoPin, CORDS);
    let call = called(&mut world, 1);
    assert_eq!(world.room.calls[&call].bench, ROVING);
}

#[test]
fn the_head_sends_somebody_else() {
    let mut world = two_that_can_go();
    let cord = world.taken(ItemKind::BodyCordTwoPin, ROVING);
    let other = world.taken(ItemKind::BodyCordTwoPin, CORDS);
    let call = called(&mut world, 3);
    let send = |bench| Command::Redirect { call, bench };
    assert_eq!(world.no(send(ROVING)), "NOTHING_CHANGES");
    assert_eq!(world.no(send(WEAPONS)), "BENCH_CANNOT");
    world.at(4);
    assert_eq!(world.ok(send(CORDS)), ["redirected", "interrupted", "resumed"]);
    assert_eq!(world.room.calls[&call].arrival, minute(10));
    assert!(world.room.bench(CORDS).interrupted && !world.room.bench(ROVING).interrupted);
    assert!(world.job(cord).course.clock.since.is_some() && world.job(other).course.clock.since.is_none());
    let second = called(&mut world, 1);
    assert_eq!(world.no(Command::Redirect { call: second, bench: CORDS }), "BENCH_ON_CALL");
    world.ok(Command::ReachStrip { call: second });
    world.ok(run_again(second, None));
    world.ok(Command::PutBack { job: on(cord), note: None });
    world.ok(Command::CloseBench { bench: ROVING });
    assert_eq!(world.no(send(ROVING)), "BENCH_IS_CLOSED");
}
