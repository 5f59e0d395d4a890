//! Handing in, scanning in, claims.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::bouts::BoutPlace;
use crate::gear::{ItemKind, Work};
use crate::ids::{ItemId, JobId, StripId};

#[test]
fn one_fencers_bag_comes_in_at_once() {
    let mut world = World::new();
    let lot = HandIn {
        owner: Some("Club Cedar".to_owned()),
        bringer: Some("Coach Dune".to_owned()),
        official: Some("Official Elm".to_owned()),
        back_to: Spot::Strip(StripId(2)),
        wanted: Wanted::At(minute(45)),
        ..lot(vec![item(ItemKind::Foil), item(ItemKind::BodyCordTwoPin), item(ItemKind::Foil)])
    };
    assert_eq!(world.ok(Command::HandIn(lot)), ["handed_in"; 3]);
    let jobs: Vec<_> = world.room.jobs.values().cloned().collect();
    assert_eq!(jobs.len(), 3);
    for job in &jobs {
        assert_eq!((job.state(), job.course.place), (State::OnItsWay, Place::Strip(StripId(1))));
        assert_eq!((job.back_to, job.wanted_by), (Spot::Strip(StripId(2)), Some(minute(45))));
        assert_eq!(world.room.text(job.fencer.unwrap()), FENCER);
        assert_eq!(world.room.text(job.owner.unwrap()), "Club Cedar");
        assert_eq!(world.room.text(job.bringer.unwrap()), "Coach Dune");
        assert_eq!(world.room.text(job.official.unwrap()), "Official Elm");
        assert_eq!((job.id.0, job.item.0), (job.changed.0, job.id.0), "a new item takes the job's number");
    }
    // One row for each name, however often it comes and however it is spelt.
    let rows = world.texts.len();
    world.ok(Command::HandIn(HandIn {
        whose: Whose::Fencer("fencer  AMBER".to_owned()),
        ..super::world::lot(vec![item(ItemKind::Epee)])
    }));
    assert_eq!(world.texts.len(), rows);
}

#[test]
fn in_the_room_it_waits_at_once() {
    let mut world = World::new();
    let tag = world.tag();
    let mut at_counter = lot(vec![HandInItem { tag: Some(tag), ..item(ItemKind::Sabre) }]);
    (at_counter.in_room, at_counter.came_from) = (true, Spot::Counter);
    world.ok(Command::HandIn(at_counter));
    let job = world.room.jobs.values().next().unwrap();
    assert_eq!((job.state(), job.course.place, job.course.tag), (State::Waiting, Place::Counter, Some(tag)));
}

#[test]
fn on_its_way_until_it_is_scanned_into_the_room() {
    let mut world = World::new();
    let job = world.sent(ItemKind::Foil);
    assert_eq!(world.no(take(job, WEAPONS)), "WRONG_STATE");
    assert_eq!(world.no(scan_in(job, None)), "TAG_NEEDED");
    assert_eq!(world.ok(scan_in(job, Some(tag(7)))), ["scanned_in"]);
    // The tag now names the job.
    world.ok(Command::Take { job: JobRef::Tag(tag(7)), bench: WEAPONS });
    assert_eq!(world.state(job), State::OnBench);
}

#[test]
fn a_tag_tied_at_the_strip_is_scanned_as_it_is() {
    let mut world = World::new();
    world.ok(Command::HandIn(lot(vec![HandInItem { tag: Some(tag(8)), ..item(ItemKind::Foil) }])));
    let job = JobId(world.head());
    assert_eq!(world.no(scan_in(job, Some(tag(9)))), "TAG_DIFFERS");
    assert_eq!(world.ok(scan_in(job, None)), ["scanned_in"]);
}

#[test]
fn a_slip_of_one_digit_is_named() {
    let mut world = World::new();
    let (right, typed) = tags_a_slip_apart();
    let job = world.sent(ItemKind::Foil);
    world.ok(scan_in(job, Some(right)));
    let refusal = world.run(&Command::Take { job: JobRef::Tag(typed), bench: WEAPONS }).unwrap_err();
    assert_eq!(refusal, Refusal::MistypedTag { tag: typed, near: right });
    assert!(refusal.to_string().contains(&right.digits()), "{refusal}");
    let far = Command::Take { job: JobRef::Tag(tag(9876)), bench: WEAPONS };
    assert_eq!(world.no(far), "UNKNOWN_TAG");
}

#[test]
fn what_is_here_already_is_said_at_once() {
    let mut world = World::new();
    let job = world.waiting(ItemKind::Foil);
    let number = world.job(job).item;
    assert_eq!(world.no(Command::HandIn(lot(vec![known(ItemKind::Foil, number)]))), "ALREADY_HERE");
    world.ok(Command::HandIn(lot(vec![item(ItemKind::Foil)])));
    assert!(world.advice.iter().any(|line| line.contains("here already")), "{:?}", world.advice);
    // Another kind of the same fencer's is nobody's concern here.
    world.ok(Command::HandIn(lot(vec![item(ItemKind::MaskCord)])));
    assert_eq!(world.advice, Vec::<String>::new());
}

#[test]
fn a_ready_item_that_waits_for_the_fencer_is_said_at_once() {
    let mut world = World::new();
    world.ready();
    world.ok(Command::HandIn(lot(vec![item(ItemKind::MaskCord)])));
    assert!(world.advice.iter().any(|line| line.contains("ready to collect")), "{:?}", world.advice);
}

#[test]
fn an_item_keeps_its_number_and_what_is_owed_on_it() {
    let mut world = World::new();
    let job = world.taken(ItemKind::Foil, WEAPONS);
    let number = world.job(job).item;
    world.ok(repair(job, Work::Point, Lasting::StopGap));
    world.ok(ready_anyway(job));
    world.ok(hand_back(job));
    assert!(world.advice.iter().any(|line| line.contains("Still owed")), "{:?}", world.advice);
    let unknown = HandIn { whose: Whose::Unknown, ..lot(vec![known(ItemKind::Foil, number)]) };
    world.ok(Command::HandIn(unknown));
    assert!(world.advice.iter().any(|line| line.contains("Still owed")), "{:?}", world.advice);
    let again = JobId(world.head());
    assert_eq!(world.job(again).item, number);
    assert_eq!(world.item_of(again).stays, [job, again]);
}

#[test]
fn a_withdrawn_item_that_comes_back_is_said_to_be_one() {
    let mut world = World::new();
    let job = world.in_state(State::Withdrawn);
    let number = world.job(job).item;
    world.ok(hand_back(job));
    assert!(world.room.items[&number].withdrawn);
    world.ok(Command::HandIn(lot(vec![known(ItemKind::Foil, number)])));
    assert!(world.advice.iter().any(|line| line.contains("not fit for use")), "{:?}", world.advice);
    // With a new blade it is proven anew, and is an item like any other.
    let again = JobId(world.head());
    world.ok(scan_in(again, Some(tag(50))));
    world.ok(take(again, WEAPONS));
    world.ok(repair(again, Work::Blade, Lasting::Lasting));
    world.prove(again);
    world.ok(Command::Ready { job: on(again) });
    assert!(!world.room.items[&number].withdrawn);
}

#[test]
fn an_item_of_somebody_else_is_said_to_be_one() {
    let mut world = World::new();
    let job = world.ready();
    let number = world.job(job).item;
    world.ok(hand_back(job));
    let whose = Whose::Fencer("Fencer Basalt".to_owned());
    world.ok(Command::HandIn(HandIn { whose, ..lot(vec![known(ItemKind::Foil, number)]) }));
    assert!(world.advice.iter().any(|line| line.contains(FENCER)), "{:?}", world.advice);
}

#[test]
fn an_unknown_item_is_claimed_later_and_once() {
    let mut world = World::new();
    world.ok(Command::HandIn(HandIn { whose: Whose::Unknown, ..lot(vec![item(ItemKind::Mask)]) }));
    let job = JobId(world.head());
    let claim = Command::Claim { job: on(job), fencer: "Fencer Basalt".to_owned() };
    assert_eq!(world.ok(claim.clone()), ["claimed"]);
    assert_eq!(world.room.text(world.job(job).fencer.unwrap()), "Fencer Basalt");
    assert_eq!(world.item_of(job).fencer, world.job(job).fencer);
    assert_eq!(world.no(claim), "ALREADY_CLAIMED");
}

#[test]
fn a_claim_says_what_else_lies_ready() {
    let mut world = World::new();
    world.ready();
    world.ok(Command::HandIn(HandIn { whose: Whose::Unknown, ..lot(vec![item(ItemKind::Mask)]) }));
    let job = JobId(world.head());
    world.ok(Command::Claim { job: on(job), fencer: FENCER.to_owned() });
    assert!(world.advice.iter().any(|line| line.contains("ready to collect")), "{:?}", world.advice);
}

/// FIE o.69.2, pool of six, fencer 2 at bout 1: fences next at bout 5 (1-2 4-3 6-5 3-1 2-6), worked by hand.
#[test]
fn wanted_by_is_computed_from_the_next_bout() {
    let mut world = World::new();
    let place =
        |running_bout| BoutPlace::Pool { size: 6, variant: None, place: 2, running_bout, bout_min: 5 };
    world.at(10);
    world.ok(Command::HandIn(HandIn { wanted: Wanted::Bout(place(1)), ..lot(vec![item(ItemKind::Foil)]) }));
    let job = JobId(world.head());
    assert_eq!(
        world.job(job).wanted_by,
        Some(minute(10 + 20 - 5)),
        "four bouts, less the margin of the venue"
    );
    world.ok(Command::WantBy { job: on(job), wanted: Wanted::Bout(place(14)) });
    assert_eq!(world.job(job).wanted_by, None);
    assert_eq!(world.advice, ["No bout is left for this fencer: no time is set."]);
}

#[test]
fn house_gear_and_teams_are_handed_in_too() {
    let mut world = World::new();
    world.ok(Command::HandIn(HandIn { whose: Whose::House, ..lot(vec![item(ItemKind::Reel)]) }));
    assert_eq!(world.job(JobId(world.head())).fencer, None);
    let team = Whose::Team("Team Slate".to_owned());
    world.ok(Command::HandIn(HandIn { whose: team, ..lot(vec![item(ItemKind::Epee)]) }));
    let job = world.job(JobId(world.head()));
    assert!(job.team && world.room.text(job.fencer.unwrap()) == "Team Slate");
}

#[test]
fn nothing_of_a_lot_is_taken_when_one_of_it_is_refused() {
    let mut world = World::new();
    let wrong = HandInItem { need: Need::StripStopped, ..item(ItemKind::Foil) };
    let head = world.head();
    assert_eq!(world.no(Command::HandIn(lot(vec![item(ItemKind::Foil), wrong]))), "NEED_DOES_NOT_FIT");
    let twice = vec![known(ItemKind::Foil, ItemId(2)), known(ItemKind::Foil, ItemId(2))];
    assert_eq!(world.no(Command::HandIn(lot(twice))), "SAME_TWICE");
    assert_eq!(world.head(), head);
}
