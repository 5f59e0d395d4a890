//! The lanes of a small invented armoury, and what holds of every plan.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::armoury::tests::World;
use crate::armoury::tests::world::*;
use crate::armoury::{Command, HandIn, HandInItem, HoldReason, Lasting, Need, Showed, Wanted};
use crate::gear::Weapon;
use crate::times::Observation;

/// Panics when a plan breaks one of the lanes' laws.
pub(crate) fn sound(room: &Armoury, plan: &Plan) {
    let venue = room.venue.as_ref().unwrap();
    let mut placed = Vec::new();
    for (id, lane) in &plan.lanes {
        let bench = venue.bench(*id).unwrap();
        let mut free = plan.at;
        for slot in lane {
            let job = room.job(slot.job).unwrap();
            assert!(!placed.contains(&job.id), "a job has one place");
            placed.push(job.id);
            assert!(slot.start >= free || job.state() == State::OnBench, "two jobs at once");
            free = lies_well(room, bench, job, slot);
        }
    }
    for job in room.jobs.values().filter(|job| job.awaits_work()) {
        let unplaced = plan.unplaced.iter().any(|(id, _)| *id == job.id);
        assert!(placed.contains(&job.id) != unplaced, "every job is planned, or said not to be");
    }
    assert_eq!(plan.by_job().len(), placed.len());
}

/// Checks one slot; when the bench is free again.
fn lies_well(room: &Armoury, bench: &crate::venue::Bench, job: &Job, slot: &Slot) -> Stamp {
    let whole = expected(room, job);
    if job.state() == State::OnBench {
        assert_eq!(job.course.bench, Some(bench.id));
        assert!(slot.likely > slot.start);
        return if job.course.repairs.is_empty() { slot.likely - whole.curing } else { slot.likely };
    }
    assert!(job.hold.is_none(), "a held job is in no lane");
    assert!(job.pinned.is_none_or(|pinned| pinned == bench.id), "kept for another");
    assert!(
        job.pinned.is_some() || bench.works.iter().any(|work| job.may_need().contains(work)),
        "cannot do it"
    );
    let curing = if job.state() == State::Curing { Span::ZERO } else { whole.curing };
    let end = slot.likely - curing;
    let inside = bench.open.iter().any(|window| window.contains(slot.start) && end <= window.to);
    match room.bench(bench.id).forced {
        Some(forced) => assert!(forced, "nothing is planned at a closed bench"),
        None => assert!(inside, "work lies inside the hours"),
    }
    assert!(slot.start < end, "work takes time");
    end
}

fn plan(world: &World) -> Plan {
    let plan = UrgencyPlanner.plan(&world.room, world.now);
    sound(&world.room, &plan);
    plan
}

fn order(world: &World, bench: BenchId) -> Vec<JobId> {
    plan(world).lanes.get(&bench).map_or_else(Vec::new, |lane| lane.iter().map(|slot| slot.job).collect())
}

fn waiting_with(world: &mut World, need: Need, wanted: Option<i64>) -> JobId {
    let wanted = wanted.map_or(Wanted::Open, |at| Wanted::At(minute(at)));
    let tag = world.tag();
    let one = HandInItem { need, tag: Some(tag), ..item(ItemKind::Foil) };
    let whose = crate::armoury::Whose::Unknown;
    world.ok(Command::HandIn(HandIn { whose, wanted, in_room: true, ..lot(vec![one]) }));
    JobId(world.head())
}

#[test]
fn without_a_tournament_there_is_no_plan() {
    let plan = UrgencyPlanner.plan(&Armoury::new(), Stamp(0));
    assert_eq!(plan, Plan::default());
}

#[test]
fn each_goes_to_a_bench_that_can() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let cord = world.waiting(ItemKind::BodyCordTwoPin);
    let reel = world.waiting(ItemKind::Reel);
    let by_job = plan(&world).by_job();
    assert_eq!(by_job[&foil].0, WEAPONS);
    assert!([CORDS, ROVING].contains(&by_job[&cord].0));
    assert_eq!(by_job[&reel].0, ROVING);
    // The next cord goes where it is finished first.
    let cords: Vec<_> = (0..4).map(|_| world.waiting(ItemKind::BodyCordTwoPin)).collect();
    let by_job = plan(&world).by_job();
    assert!(
        cords.iter().any(|cord| by_job[cord].0 == ROVING) && cords.iter().any(|cord| by_job[cord].0 == CORDS)
    );
}

#[test]
fn earlier_wanted_goes_first_and_need_outranks() {
    let mut world = World::new();
    let open = waiting_with(&mut world, Need::TwoOrMore, None);
    let later = waiting_with(&mut world, Need::OneLeft, Some(80));
    let sooner = waiting_with(&mut world, Need::OneLeft, Some(40));
    assert_eq!(order(&world, WEAPONS), [sooner, later, open]);
    // Who has nothing left goes before who has spares and is due a little earlier.
    let none = waiting_with(&mut world, Need::NoneLeft, Some(44));
    assert_eq!(order(&world, WEAPONS), [none, sooner, later, open]);
    world.ok(set_need(none, Need::TwoOrMore));
    assert_eq!(order(&world, WEAPONS), [sooner, none, later, open]);
    // Wanted at a strip far away: it must be ready earlier.
    world.ok(Command::BackTo { job: on(none), to: crate::armoury::Spot::Strip(crate::ids::StripId(3)) });
    world.ok(Command::WantBy { job: on(none), wanted: Wanted::At(minute(39)) });
    assert_eq!(order(&world, WEAPONS), [none, sooner, later, open]);
}

#[test]
fn with_equal_urgency_the_first_to_come_goes_first() {
    let mut world = World::new();
    let jobs: Vec<_> = (0..3).map(|_| waiting_with(&mut world, Need::OneLeft, None)).collect();
    assert_eq!(order(&world, WEAPONS), jobs);
}

#[test]
fn curing_occupies_no_bench() {
    let mut world = World::new();
    let curing = world.taken(ItemKind::Foil, WEAPONS);
    world.at(4).ok(cure(curing, minute(30)));
    let other = waiting_with(&mut world, Need::TwoOrMore, None);
    let by_job = plan(&world).by_job();
    assert_eq!(by_job[&other].1.start, minute(4), "the bench is free at once");
    assert!(by_job[&curing].1.start >= minute(30), "and takes it again when it is dry");
}

/// A rewire cures: the item is ready later than the bench is free. Ten minutes, as the fault table has it.
#[test]
fn what_will_cure_is_ready_later_than_the_bench_is_free() {
    let mut world = World::new();
    let wired = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(find(wired, "foil_wire_broken", Showed::Present));
    let next = waiting_with(&mut world, Need::OneLeft, None);
    let by_job = plan(&world).by_job();
    assert_eq!(by_job[&wired].1.likely, by_job[&next].1.start.plus_min(10));
}

#[test]
fn findings_say_what_is_left_to_do() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let before = expected(&world.room, world.job(foil));
    world.ok(find(foil, "foil_blade_broken", Showed::Present));
    let known = expected(&world.room, world.job(foil));
    assert_eq!(known.work, Work::Blade);
    let fault = gear::fault("foil_blade_broken").unwrap();
    assert_eq!(known.hands_on, Span::minutes(i64::from(fault.minutes.likely) + 2));
    world.ok(find(foil, "foil_screw_lost", Showed::Present));
    assert!(expected(&world.room, world.job(foil)).hands_on > known.hands_on, "both are mended");
    // What a check ruled out counts no more.
    let other = world.waiting(ItemKind::Foil);
    world.ok(Command::PutBack { job: on(foil), note: None });
    world.ok(take(other, WEAPONS));
    let likeliest = gear::prior(ItemKind::Foil, world.job(other).complaint)[0].0;
    world.ok(find(other, likeliest.id, Showed::Absent));
    assert_ne!(expected(&world.room, world.job(other)), before);
    // Even when everything was ruled out there is an expectation.
    for (fault, _) in gear::prior(ItemKind::Foil, world.job(other).complaint) {
        world.ok(find(other, fault.id, Showed::Absent));
    }
    assert!(expected(&world.room, world.job(other)).hands_on > Span::ZERO);
}

#[test]
fn learned_times_move_the_plan() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let before = expected(&world.room, world.job(foil)).hands_on;
    for _ in 0..50 {
        world.room.learned.learn(&Observation {
            work: Work::Point,
            weapon: Some(Weapon::Foil),
            bench: WEAPONS,
            hands_on: Span::minutes(40),
            usual: Span::minutes(5),
            censored: false,
        });
    }
    assert!(expected(&world.room, world.job(foil)).hands_on > before);
}

#[test]
fn breaks_are_respected() {
    let mut world = World::new();
    world.at(238);
    let foil = world.waiting(ItemKind::Foil);
    assert_eq!(plan(&world).by_job()[&foil].1.start, minute(300), "two minutes are too few before the break");
    world.at(599);
    assert_eq!(plan(&world).by_job()[&foil].1.start, minute(1440), "the next day");
    world.at(2039);
    assert_eq!(plan(&world).unplaced, [(foil, Unplaced::NoTime)]);
    world.ok(Command::OpenBench { bench: WEAPONS });
    assert_eq!(plan(&world).by_job()[&foil].1.start, minute(2039), "by the head's word");
}

#[test]
fn a_pinned_job_waits_for_its_bench() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    world.ok(pin(foil, Some(CORDS)));
    assert_eq!(order(&world, CORDS), [foil]);
}

#[test]
fn a_closed_bench_loses_its_work() {
    let mut world = World::new();
    let cords: Vec<_> = (0..3).map(|_| world.waiting(ItemKind::BodyCordTwoPin)).collect();
    let reel = world.waiting(ItemKind::Reel);
    world.ok(Command::CloseBench { bench: ROVING });
    assert_eq!(order(&world, CORDS), cords);
    assert_eq!(plan(&world).unplaced, [(reel, Unplaced::NoTime)]);
}

#[test]
fn held_jobs_and_work_that_nobody_does_are_in_no_lane() {
    let mut world = World::new();
    let held = world.waiting(ItemKind::Foil);
    world.ok(hold(held, HoldReason::PartMissing));
    let mut venue = venue();
    venue.benches.retain(|bench| bench.id == WEAPONS);
    world.ok(set_venue(venue));
    let mask = world.waiting(ItemKind::Mask);
    let unplaced: BTreeMap<_, _> = plan(&world).unplaced.into_iter().collect();
    assert_eq!(unplaced, BTreeMap::from([(held, Unplaced::Held), (mask, Unplaced::NoBench)]));
}

#[test]
fn what_is_on_its_way_is_planned_from_its_arrival() {
    let mut world = World::new();
    let foil = world.sent(ItemKind::Foil);
    assert_eq!(plan(&world).by_job()[&foil].1.start, minute(2), "strip 1 is two minutes away");
}

/// Away until 30; at strip 3 six minutes there, five at it, six back.
#[test]
fn an_absent_armourer_takes_nothing_up() {
    let mut world = World::new();
    world.ok(Command::GoAway { bench: WEAPONS, until: minute(30) });
    let foil = world.waiting(ItemKind::Foil);
    world.ok(call_out(3));
    let reel = world.waiting(ItemKind::Reel);
    let by_job = plan(&world).by_job();
    assert_eq!(by_job[&foil].1.start, minute(30));
    assert_eq!(by_job[&reel].1.start, minute(17));
}

#[test]
fn a_job_in_hand_needs_what_is_left_of_it() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let whole = expected(&world.room, world.job(foil)).hands_on;
    world.at(3);
    assert_eq!(plan(&world).by_job()[&foil].1.likely, minute(0) + whole);
    // However long it has been there, it is not ready before now.
    world.at(200);
    assert_eq!(plan(&world).by_job()[&foil].1.likely, minute(201));
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    world.ok(Command::PutBack { job: on(foil), note: None });
    let slot = plan(&world).by_job()[&foil].1;
    assert_eq!(slot.likely.since(slot.start), Span::minutes(2));
}

#[test]
fn an_old_plan_is_mended() {
    let mut world = World::new();
    let (foil, cord) = (world.waiting(ItemKind::Foil), world.waiting(ItemKind::BodyCordTwoPin));
    let mask = world.waiting(ItemKind::Mask);
    let mut old = plan(&world);
    let fresh = old.clone();
    old.mend(&world.room);
    assert_eq!(old, fresh, "nothing has happened");
    world.ok(call_off(foil));
    world.ok(hold(mask, HoldReason::PartMissing));
    let (bench, _) = old.slot(cord).unwrap();
    world.ok(take(cord, if bench == CORDS { ROVING } else { CORDS }));
    old.mend(&world.room);
    assert_eq!((old.by_job().len(), old.based_on), (0, world.room.head));
}
