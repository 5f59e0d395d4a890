//! The search's lanes for a small invented armoury: what holds of every plan, what keeps it calm, what rules out
//! starvation. Held against the design's promises and numbers by hand; no outside source.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::armoury::tests::World;
use crate::armoury::tests::world::*;
use crate::armoury::{Command, HandIn, HandInItem, HoldReason, Need, Showed, State, Wanted};
use crate::gear::{self, ItemKind};
use crate::ids::{BenchId, JobId};
use crate::plan::Unplaced;
use crate::plan::search::solve;
use crate::time::Span;

/// Every job that awaits work has one place or a reason; a lane is in order; nothing is planned where it cannot be.
pub(crate) fn sound(room: &Armoury, plan: &Plan) {
    let venue = room.venue.as_ref().unwrap();
    let mut placed = Vec::new();
    for (id, lane) in &plan.lanes {
        let mut last = plan.at;
        for slot in lane {
            let job = room.job(slot.job).unwrap();
            assert!(!placed.contains(&job.id), "a job has one place");
            placed.push(job.id);
            assert!(slot.start >= last && slot.likely > slot.start, "in order");
            last = slot.start;
            if job.state() == State::OnBench {
                assert_eq!(room.bench(*id).job, Some(job.id));
                continue;
            }
            assert!(job.hold.is_none() && job.pinned.is_none_or(|pinned| pinned == *id));
            let bench = venue.bench(*id).unwrap();
            assert!(job.pinned.is_some() || bench.works.iter().any(|work| job.may_need().contains(work)));
            let open = bench.open.iter().any(|window| window.contains(slot.start));
            assert!(room.bench(*id).forced.unwrap_or(open), "while somebody may work there");
        }
    }
    for job in room.jobs.values().filter(|job| job.awaits_work()) {
        let unplaced = plan.unplaced.iter().any(|(id, _)| *id == job.id);
        assert!(placed.contains(&job.id) != unplaced, "every job is planned, or said not to be");
    }
}

fn planned(planner: &mut LanePlanner, world: &World) -> Plan {
    let plan = planner.plan(&world.room, world.now);
    sound(&world.room, &plan);
    plan
}

fn waiting_with(world: &mut World, kind: ItemKind, need: Need, wanted: Option<i64>) -> JobId {
    let wanted = wanted.map_or(Wanted::Open, |at| Wanted::At(minute(at)));
    let tag = world.tag();
    let one = HandInItem { need, tag: Some(tag), ..item(kind) };
    let whose = crate::armoury::Whose::Unknown;
    world.ok(Command::HandIn(HandIn { whose, wanted, in_room: true, ..lot(vec![one]) }));
    JobId(world.head())
}

fn lane(plan: &Plan, bench: BenchId) -> Vec<JobId> {
    plan.lanes.get(&bench).map_or_else(Vec::new, |lane| lane.iter().map(|slot| slot.job).collect())
}

#[test]
fn without_a_tournament_there_is_no_plan() {
    assert_eq!(LanePlanner::default().plan(&Armoury::new(), Stamp(0)), Plan::default());
    assert_eq!(RulePlanner(Rule::Fifo).plan(&Armoury::new(), Stamp(0)), Plan::default());
}

#[test]
fn what_would_be_late_goes_first_and_held_work_nowhere() {
    let mut world = World::new();
    let open = waiting_with(&mut world, ItemKind::Foil, Need::TwoOrMore, None);
    let later = waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, Some(70));
    let sooner = waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, Some(25));
    let held = waiting_with(&mut world, ItemKind::Foil, Need::NoneLeft, Some(20));
    world.ok(hold(held, HoldReason::PartMissing));
    let plan = planned(&mut LanePlanner::default(), &world);
    assert_eq!(lane(&plan, WEAPONS)[0], sooner);
    let at = |job| plan.slot(job).unwrap().1.start;
    assert!(at(sooner) < at(later) && at(sooner) < at(open));
    assert_eq!(plan.unplaced, [(held, Unplaced::Held)]);
}

#[test]
fn frozen_work_hours_and_breaks_are_kept() {
    let mut world = World::new();
    world.at(225);
    let jobs: Vec<_> =
        (0..3).map(|_| waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, None)).collect();
    let cord = world.waiting(ItemKind::BodyCordTwoPin);
    world.ok(Command::CloseBench { bench: CORDS });
    let plan = planned(&mut LanePlanner::default(), &world);
    // The break from 240 to 300 leaves room for one or none before it.
    let before = jobs.iter().filter(|job| plan.slot(**job).unwrap().1.start < minute(240)).count();
    assert!(before <= 1, "{plan:?}");
    assert_eq!(plan.slot(cord).unwrap().0, ROVING);
    world.ok(Command::GoAway { bench: ROVING, until: minute(260) });
    let plan = planned(&mut LanePlanner::default(), &world);
    assert!(plan.slot(cord).unwrap().1.start >= minute(260));
}

#[test]
fn a_pinned_job_goes_to_its_bench_and_no_other() {
    let mut world = World::new();
    let cord = world.waiting(ItemKind::BodyCordTwoPin);
    world.ok(pin(cord, Some(WEAPONS)));
    let plan = planned(&mut LanePlanner::default(), &world);
    assert_eq!(plan.slot(cord).unwrap().0, WEAPONS);
}

/// A rewire cures for ten minutes, as the fault table has it: the bench is free meanwhile and proves it afterwards.
#[test]
fn what_will_cure_comes_back_to_be_proved() {
    let mut world = World::new();
    let wired = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(find(wired, "foil_wire_broken", crate::armoury::Showed::Present));
    let next = waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, None);
    let plan = planned(&mut LanePlanner::default(), &world);
    let back = plan.comes_back[&wired];
    let (_, slot) = plan.slot(next).unwrap();
    assert_eq!(back.bench, WEAPONS);
    assert!(slot.start < back.start, "the bench is free while it dries");
    assert!(plan.slot(wired).unwrap().1.likely > back.start);
}

#[test]
fn the_same_calls_give_the_same_plans() {
    let mut world = World::new();
    for index in 0..12 {
        let kind = [ItemKind::Foil, ItemKind::BodyCordTwoPin, ItemKind::Reel][index % 3];
        waiting_with(&mut world, kind, Need::OneLeft, Some(20 + 5 * index as i64));
    }
    let (mut one, mut other) = (LanePlanner::default(), LanePlanner::default());
    for now in 0..3 {
        world.at(now);
        assert_eq!(planned(&mut one, &world), planned(&mut other, &world));
    }
}

#[test]
fn improvement_is_for_the_armoury_that_was_repaired_and_within_the_budget() {
    let mut world = World::new();
    for at in [90, 60, 30, 45, 75] {
        waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, Some(at));
    }
    let mut planner = LanePlanner::new(2_000);
    planner.repair(&world.room, world.now);
    while planner.improve(&world.room, world.now, 500).is_some() {}
    let newest = planner.newest.clone().unwrap();
    assert!(newest.spent < 2_000 + 500, "{}", newest.spent);
    waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, None);
    assert_eq!(planner.improve(&world.room, world.now, 500), None, "it was made for another armoury");
}

#[test]
fn what_a_bench_was_told_stays_unless_something_urgent_comes() {
    let mut world = World::new();
    let mut planner = LanePlanner::default();
    let told = waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, Some(60));
    assert_eq!(lane(&planned(&mut planner, &world), WEAPONS), [told]);
    // Sooner due, and a little late behind the other: without calm it would go first.
    let like = waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, Some(25));
    let order = lane(&planned(&mut planner, &world), WEAPONS);
    assert_eq!(order, [told, like]);
    assert_eq!(lane(&LanePlanner::default().plan(&world.room, world.now), WEAPONS), [like, told]);
    // Somebody who has nothing left would be late by some minutes.
    let urgent = waiting_with(&mut world, ItemKind::Foil, Need::NoneLeft, Some(12));
    assert_eq!(lane(&planned(&mut planner, &world), WEAPONS)[0], urgent);
}

/// A cord that the cord bench was told to take next, when it has something of that kind in hand and was at it for so many
/// minutes (a mask with what takes longest); then the roving armourer comes back. Where is it, and how long is the bench still busy?
fn told_when_another_bench_opens(kind: ItemKind, minutes: i64) -> (BenchId, Span) {
    let mut world = World::new();
    world.ok(Command::CloseBench { bench: ROVING });
    let in_hand = world.taken(kind, CORDS);
    let slowest = gear::faults(kind).max_by_key(|fault| fault.minutes.likely).unwrap();
    if kind == ItemKind::Mask {
        world.ok(find(in_hand, slowest.id, Showed::Present));
    }
    let told = waiting_with(&mut world, ItemKind::BodyCordTwoPin, Need::OneLeft, Some(120));
    let mut planner = LanePlanner::default();
    assert_eq!(lane(&planned(&mut planner, &world), CORDS), [in_hand, told]);
    world.at(minutes);
    world.ok(Command::OpenBench { bench: ROVING });
    let plan = planned(&mut planner, &world);
    (plan.slot(told).unwrap().0, plan.slot(in_hand).unwrap().1.likely.since(world.now))
}

#[test]
fn what_a_bench_can_take_soon_is_not_taken_from_its_hands() {
    let (bench, busy) = told_when_another_bench_opens(ItemKind::BodyCordTwoPin, 3);
    assert!(busy <= Span::minutes(15) && bench == CORDS, "{busy:?} {bench:?}");
    let (bench, busy) = told_when_another_bench_opens(ItemKind::Mask, 0);
    assert!(
        busy > Span::minutes(15) && bench == ROVING,
        "nobody waits beside an idle bench: {busy:?} {bench:?}"
    );
}

/// The bounds of [`frame::last_call`]: with urgent work coming all day, faster than it can be done, a foil that nobody needs is
/// still planned no later after its last call than the worst when all are taken in order of their last calls.
#[test]
fn nothing_waits_for_ever_whatever_comes() {
    let mut world = World::new();
    let patient = waiting_with(&mut world, ItemKind::Foil, Need::TwoOrMore, None);
    let mut planner = LanePlanner::default();
    let last_call = OPENING + PATIENCE;
    for now in (0..=250).step_by(5) {
        world.at(now);
        waiting_with(&mut world, ItemKind::Foil, Need::NoneLeft, Some(now + 10));
        if now % 50 == 0 {
            planned(&mut planner, &world);
        }
    }
    let plan = planned(&mut planner, &world);
    let in_turn = RulePlanner(Rule::LastCall).plan(&world.room, world.now);
    let worst = |plan: &Plan| {
        let over = plan.lanes.values().flatten().map(|slot| {
            let job = world.job(slot.job);
            let venue = world.room.venue.as_ref().unwrap();
            slot.likely.0 - frame::last_call(venue, job, frame::due(&world.room, job)).0
        });
        Span(over.max().unwrap().max(0))
    };
    assert!(worst(&plan) <= worst(&in_turn), "{} and {}", worst(&plan).0, worst(&in_turn).0);
    let ready = plan.slot(patient).unwrap().1.likely;
    assert!(last_call < world.now);
    // First after the break: the bench is shut from 240 to 300.
    assert!(ready <= minute(330), "{}", ready.since(OPENING));
}

/// The frame is a problem as any other: the search solves it, and the plan is its schedule.
#[test]
fn a_frame_is_a_sound_problem() {
    let mut world = World::new();
    world.taken(ItemKind::Foil, WEAPONS);
    for at in [30, 40, 50] {
        waiting_with(&mut world, ItemKind::Foil, Need::OneLeft, Some(at));
    }
    let venue = world.room.venue.clone().unwrap();
    let frame = Frame::new(&world.room, &venue, world.now, &Trace::default());
    assert_eq!(frame.problem.validate(), Ok(()));
    let found = solve(&frame.problem, 5_000, 1);
    assert!(crate::plan::check::check(&frame.problem, &found.schedule).is_ok());
    sound(&world.room, &trace::plan(&frame, &found.schedule));
}
