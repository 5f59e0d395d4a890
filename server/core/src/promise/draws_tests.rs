//! Draws held against what can be worked out by hand from the model, and against laws: the same luck from plan to plan,
//! order, hours. No outside source.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::armoury::tests::World;
use crate::armoury::tests::world::*;
use crate::armoury::{Command, Showed};
use crate::gear::{self, ItemKind};
use crate::ids::BenchId;
use crate::plan::Slot;
use crate::time::{Span, Stamp};

const MANY: usize = 4_000;

/// These jobs in the lane of that bench, in this order, behind what is in the plan already.
fn lane(plan: &mut Plan, bench: BenchId, jobs: &[JobId], now: Stamp) {
    let lane = plan.lanes.entry(bench).or_default();
    for job in jobs {
        let start = now.plus_min(lane.len() as i64);
        lane.push(Slot::new(*job, start, start));
    }
}

fn planned(world: &World, bench: BenchId, jobs: &[JobId]) -> Plan {
    let mut plan = Plan { at: world.now, ..Plan::default() };
    lane(&mut plan, bench, jobs, world.now);
    plan
}

fn minutes_from(now: Stamp, at: Stamp) -> f64 {
    at.since(now).as_min()
}

fn at(world: &World, plan: &Plan, job: JobId, level: f64) -> f64 {
    let mut drawn = draw(&world.room, plan, world.now, MANY);
    let index = drawn.jobs().iter().position(|other| *other == job).unwrap();
    minutes_from(world.now, drawn.at(index, level))
}

/// A foil that waits with that fault found.
fn found(world: &mut World, fault: &str) -> JobId {
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(find(foil, fault, Showed::Present));
    world.ok(Command::PutBack { job: on(foil), note: None });
    foil
}

/// Worked by hand: two minutes around it, and the fault's log-normal minutes with their quantiles.
#[test]
fn a_known_fault_takes_its_minutes_and_what_stands_around_them() {
    let mut world = World::new();
    let foil = found(&mut world, "foil_screw_lost");
    let plan = planned(&world, WEAPONS, &[foil]);
    let (mu, sigma) = gear::fault("foil_screw_lost").unwrap().minutes_lognormal();
    for (level, z) in [(0.5, 0.0), (0.9, 1.281_552), (0.1, -1.281_552)] {
        let expected = 2.0 + (mu + sigma * z).exp();
        let drawn = at(&world, &plan, foil, level);
        assert!((drawn / expected - 1.0).abs() < 0.05, "{level}: {drawn} {expected}");
    }
}

/// Two jobs in one lane: the second is taken up when the first is ready, what is in hand has been taken up.
#[test]
fn a_job_is_taken_up_when_the_bench_has_done_what_stands_before_it() {
    let mut world = World::new();
    let jobs = [(); 3].map(|()| found(&mut world, "foil_screw_lost"));
    world.ok(take(jobs[0], WEAPONS));
    let mut drawn = draw(&world.room, &planned(&world, WEAPONS, &jobs), world.now, MANY);
    let index = |drawn: &Drawn, job| drawn.jobs().iter().position(|other| *other == job).unwrap();
    let [first, second, third] = jobs.map(|job| index(&drawn, job));
    assert_eq!(drawn.taken_up(first), Some(world.now));
    assert_eq!(drawn.taken_up(second), Some(drawn.at(first, 0.5)));
    assert_eq!(drawn.taken_up(third), Some(drawn.at(second, 0.5)));
}

#[test]
fn what_dries_is_taken_up_when_it_is_dry() {
    let mut world = World::new();
    let cured = found(&mut world, "foil_wire_broken");
    world.ok(take(cured, WEAPONS));
    world.ok(cure(cured, world.now.plus_min(10)));
    let mut drawn = draw(&world.room, &planned(&world, WEAPONS, &[cured]), world.now, MANY);
    assert_eq!(drawn.taken_up(0), Some(world.now.plus_min(10)), "on the shelf until it is dry");
}

#[test]
fn glue_sets_and_somebody_has_to_finish() {
    let mut world = World::new();
    let foil = found(&mut world, "foil_wire_broken");
    let plan = planned(&world, WEAPONS, &[foil]);
    let fault = gear::fault("foil_wire_broken").unwrap();
    let expected = 2.0 + f64::from(fault.minutes.likely) + f64::from(fault.curing_min.unwrap());
    let drawn = at(&world, &plan, foil, 0.5);
    assert!((drawn / expected - 1.0).abs() < 0.04, "{drawn} {expected}");
    // Laid to cure: what is left is the setting and the finish.
    world.ok(take(foil, WEAPONS));
    world.ok(cure(foil, world.now.plus_min(10)));
    let left = at(&world, &planned(&world, WEAPONS, &[foil]), foil, 0.9);
    assert!((10.0..14.0).contains(&left), "{left}");
}

#[test]
fn work_that_runs_into_a_break_goes_on_after_it() {
    let mut world = World::new();
    world.at(238);
    let foil = world.waiting(ItemKind::Foil);
    let plan = planned(&world, WEAPONS, &[foil]);
    assert!(at(&world, &plan, foil, 0.5) > 62.0, "the break is from 240 to 300");
    let cord = world.waiting(ItemKind::BodyCordTwoPin);
    let plan = planned(&world, CORDS, &[cord]);
    assert!(at(&world, &plan, cord, 0.5) < 30.0, "that bench has none");
}

#[test]
fn nothing_is_ready_before_it_has_walked_in() {
    let mut world = World::new();
    let foil = world.sent(ItemKind::Foil);
    let plan = planned(&world, WEAPONS, &[foil]);
    let here = world.waiting(ItemKind::Foil);
    let there = planned(&world, WEAPONS, &[here]);
    assert!(at(&world, &plan, foil, 0.001) > 2.0 + 2.0, "two minutes to walk, two around the work");
    assert!(at(&world, &there, here, 0.001) < at(&world, &plan, foil, 0.5));
}

#[test]
fn who_stands_behind_waits_and_a_bench_without_work_helps() {
    let mut world = World::new();
    let foils = [ItemKind::Foil; 3].map(|kind| world.waiting(kind));
    let plan = planned(&world, WEAPONS, &foils);
    let ready = foils.map(|foil| at(&world, &plan, foil, 0.5));
    assert!(ready[0] + 2.0 < ready[1] && ready[1] + 2.0 < ready[2], "{ready:?}");
    // Ends of cords are done at two benches.
    let cords = [ItemKind::BodyCordTwoPin; 2].map(|kind| world.waiting(kind));
    let plan = planned(&world, CORDS, &cords);
    let ready = cords.map(|cord| at(&world, &plan, cord, 0.5));
    assert!((ready[0] - ready[1]).abs() < 1.5, "the roving bench takes the second: {ready:?}");
    world.ok(pin(cords[1], Some(CORDS)));
    assert!(at(&world, &plan, cords[1], 0.5) > ready[1] + 2.0, "it is kept for one bench");
}

#[test]
fn what_is_in_hand_has_lasted_as_long_as_it_has() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let next = world.waiting(ItemKind::Foil);
    let plan = planned(&world, WEAPONS, &[foil, next]);
    let left = |world: &World| at(world, &plan, foil, 0.9);
    let fresh = left(&world);
    let opening = world.now;
    for minutes in [5, 20, 200] {
        world.now = opening.plus_min(minutes);
        assert!(left(&world) > 0.0 && at(&world, &plan, next, 0.5) > left(&world) - fresh, "{minutes}");
    }
    world.now = opening.plus_min(3);
    assert!(left(&world) < fresh);
}

/// The law of common random numbers: what does not touch a job does not change its draws.
#[test]
fn the_same_job_keeps_its_luck_from_plan_to_plan() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let plan = planned(&world, WEAPONS, &[foil]);
    let before = draw(&world.room, &plan, world.now, 300);
    assert_eq!(draw(&world.room, &plan, world.now, 300).ready, before.ready);
    let mask = world.waiting(ItemKind::Mask);
    let mut wider = plan.clone();
    lane(&mut wider, CORDS, &[mask], world.now);
    let after = draw(&world.room, &wider, world.now, 300);
    let index = after.jobs().iter().position(|job| *job == foil).unwrap();
    assert_eq!(after.ready[index * 300..(index + 1) * 300], before.ready[..]);
    // Fewer draws are the first of more.
    let fewer = draw(&world.room, &plan, world.now, 100);
    assert_eq!(fewer.ready[..], before.ready[..100]);
}

#[test]
fn levels_are_in_order_and_every_job_of_a_lane_is_drawn() {
    let mut world = World::new();
    let kinds = [ItemKind::Foil, ItemKind::Mask, ItemKind::BodyCordTwoPin, ItemKind::Reel, ItemKind::Foil];
    let jobs = kinds.map(|kind| world.waiting(kind));
    world.ok(Command::CloseBench { bench: CORDS });
    let mut plan = planned(&world, WEAPONS, &[jobs[0], jobs[4]]);
    lane(&mut plan, CORDS, &[jobs[1], jobs[2]], world.now);
    lane(&mut plan, ROVING, &[jobs[3]], world.now);
    let mut drawn = draw(&world.room, &plan, world.now, 500);
    assert_eq!(drawn.jobs().len(), jobs.len());
    for index in 0..jobs.len() {
        let levels = [0.1, 0.5, 0.9, 1.0].map(|level| drawn.at(index, level));
        assert!(levels.is_sorted() && levels[0] > world.now, "{levels:?}");
        assert!(levels[3] < world.now + Span::minutes(600), "{levels:?}");
    }
    assert_eq!(draw(&world.room, &Plan::default(), world.now, 10).jobs(), []);
    assert_eq!(draw(&Armoury::new(), &plan, world.now, 10).jobs(), []);
}
