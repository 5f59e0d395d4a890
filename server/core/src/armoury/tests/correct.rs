//! Mistakes: each correction is an event of its own, and undoes what the mistake taught.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{ItemId, JobId, StripId};

const EPEE: Correction = Correction::Kind { kind: ItemKind::Epee, complaint: Complaint::NoLight };

fn owed(world: &World, item: ItemId) -> Vec<(Work, Option<OwedEnd>)> {
    world.room.items[&item].owed.iter().map(|owed| (owed.work, owed.ended)).collect()
}

#[test]
fn another_kind_voids_the_proof() {
    let mut world = World::new();
    let job = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(repair(job, Work::Point, Lasting::Lasting));
    world.prove(job);
    let wrong = Correction::Kind { kind: ItemKind::Epee, complaint: Complaint::WhiteSteady };
    assert_eq!(world.no(correct(job, wrong)), "COMPLAINT_DOES_NOT_FIT");
    assert_eq!(world.ok(correct(job, EPEE)), ["kind_corrected"]);
    assert_eq!(world.no(correct(job, EPEE)), "NOTHING_CHANGES");
    assert_eq!((world.job(job).kind, world.item_of(job).kind), (ItemKind::Epee, ItemKind::Epee));
    assert_eq!(world.no(Command::Ready { job: on(job) }), "PROOF_INCOMPLETE");
}

#[test]
fn the_need_goes_with_the_right_kind() {
    let mut world = World::new();
    let wrong = HandInItem { need: Need::NoneLeft, ..item(ItemKind::Foil) };
    world.ok(Command::HandIn(lot(vec![wrong])));
    let job = JobId(world.head());
    world.ok(correct(job, EPEE));
    assert_eq!(world.room.need(world.job(job)), Need::NoneLeft);
    let fencer = world.job(job).fencer.unwrap();
    let working: Vec<_> = world.room.kits[&fencer].working.iter().map(|(kind, n)| (*kind, *n)).collect();
    assert_eq!(working, [(ItemKind::Epee, 0)], "nothing was ever said of foils");
    // Only apparatus stops a strip.
    let reel = HandInItem { need: Need::StripStopped, ..item(ItemKind::Reel) };
    world.ok(Command::HandIn(HandIn { whose: Whose::Unknown, ..lot(vec![reel]) }));
    let reel = JobId(world.head());
    world.ok(correct(reel, EPEE));
    assert_eq!(world.room.need(world.job(reel)), Need::NoneLeft);
}

/// What a ready item was proven for has changed: it waits again, the strip is told, and nothing was learned.
#[test]
fn a_correction_of_a_ready_item_opens_it_again() {
    for what in [EPEE, undone(0)] {
        let mut world = World::new();
        let job = world.ready();
        let ready = world.notice(job).id;
        assert_eq!(world.room.learned.seen(Work::Point).count, 1);
        let what = match what {
            Correction::Repair(_) => undone(world.job(job).course.repairs[0].id.0),
            kind => kind,
        };
        assert_eq!(world.ok(correct(job, what)).last(), Some(&"notice_sent"));
        assert_eq!((world.state(job), world.job(job).course.place), (State::Waiting, Place::Counter));
        assert_eq!(world.room.learned, crate::times::Learned::default());
        assert_eq!(world.no(confirm(ready)), "UNKNOWN_NOTICE");
        assert_eq!(world.notice(job).what, NoticeKind::Promise);
        assert_eq!(world.advice.len(), 1);
    }
}

#[test]
fn another_item_takes_its_stay_and_what_is_owed() {
    let mut world = World::new();
    // An item with a stop-gap owed on it, and one without.
    let first = world.taken(ItemKind::Foil, WEAPONS);
    let right = world.job(first).item;
    world.ok(repair(first, Work::Point, Lasting::StopGap));
    world.ok(ready_anyway(first));
    world.ok(hand_back(first));
    let job = world.taken(ItemKind::Foil, WEAPONS);
    let wrong = world.job(job).item;
    world.ok(repair(job, Work::Point, Lasting::Lasting));
    world.ok(repair(job, Work::BladeWire, Lasting::StopGap));
    assert_eq!(owed(&world, wrong), [(Work::BladeWire, None)]);
    assert_eq!(owed(&world, right), [(Work::Point, None)]);
    assert_eq!(world.ok(correct(job, Correction::Item(right))), ["item_corrected"]);
    assert_eq!(owed(&world, wrong), []);
    assert_eq!(owed(&world, right), [(Work::Point, Some(OwedEnd::Done)), (Work::BladeWire, None)]);
    assert_eq!(world.item_of(job).stays, [first, job]);
    assert_eq!(world.room.items[&wrong].stays, []);
    assert_eq!(world.no(correct(job, Correction::Item(right))), "NOTHING_CHANGES");
    assert_eq!(world.no(correct(job, Correction::Item(ItemId(9999)))), "UNKNOWN_ITEM");
    // And back: what the wrong item's repair had paid is owed again on it.
    world.ok(correct(job, Correction::Item(wrong)));
    assert_eq!(owed(&world, right), [(Work::Point, None)]);
}

#[test]
fn an_item_that_is_here_or_another_kind_is_not_it() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    let other = world.waiting(ItemKind::Foil);
    let mask = world.waiting(ItemKind::Mask);
    let it = |world: &World, job| Correction::Item(world.job(job).item);
    let (other_item, mask_item) = (it(&world, other), it(&world, mask));
    assert_eq!(world.no(correct(foil, other_item)), "ALREADY_HERE");
    assert_eq!(world.no(correct(foil, mask_item)), "ITEM_IS_OTHER");
}

#[test]
fn a_withdrawal_goes_with_the_item() {
    let mut world = World::new();
    let other = world.ready();
    let right = world.job(other).item;
    world.ok(hand_back(other));
    let job = world.in_state(State::Withdrawn);
    let wrong = world.job(job).item;
    world.ok(correct(job, Correction::Item(right)));
    assert!(world.room.items[&right].withdrawn && !world.room.items[&wrong].withdrawn);
}

#[test]
fn another_strip_gets_the_notice() {
    let mut world = World::new();
    let strip = |id| Spot::Strip(StripId(id));
    let spots = |from, to| Correction::Spots { came_from: strip(from), back_to: strip(to) };
    let foil = world.ready();
    assert_eq!(world.no(correct(foil, spots(1, 9))), "UNKNOWN_STRIP");
    assert_eq!(world.no(correct(foil, spots(1, 1))), "NOTHING_CHANGES");
    assert_eq!(world.ok(correct(foil, spots(2, 3))), ["spots_corrected", "notice_sent"]);
    assert_eq!((world.job(foil).came_from, world.notice(foil).to), (strip(2), strip(3)));
    // On its way it lies where it really came from.
    let sent = world.sent(ItemKind::Foil);
    world.ok(correct(sent, spots(2, 1)));
    assert_eq!(world.job(sent).course.place, Place::Strip(StripId(2)));
}

#[test]
fn another_bench_has_it() {
    let mut world = World::new();
    let cord = world.waiting(ItemKind::BodyCordTwoPin);
    let bench = Correction::Bench;
    assert_eq!(world.no(correct(cord, bench(CORDS))), "NOTHING_CHANGES", "none has worked on it");
    world.ok(take(cord, CORDS));
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    assert_eq!(world.no(correct(cord, bench(WEAPONS))), "BENCH_HAS_JOB");
    assert_eq!(world.no(correct(cord, bench(CORDS))), "NOTHING_CHANGES");
    assert_eq!(world.ok(correct(cord, bench(ROVING))), ["bench_corrected"]);
    assert_eq!((world.room.bench(CORDS).job, world.room.bench(ROVING).job), (None, Some(cord)));
    world.ok(Command::PutBack { job: on(foil), note: None });
    world.ok(correct(foil, bench(CORDS)));
    assert_eq!((world.state(foil), world.job(foil).course.bench), (State::Waiting, Some(CORDS)));
    world.ok(call_out(1));
    let other = world.taken(ItemKind::BodyCordTwoPin, CORDS);
    world.ok(Command::PutBack { job: on(cord), note: None });
    assert_eq!(world.no(correct(other, bench(ROVING))), "BENCH_ON_CALL");
}

#[test]
fn a_finding_is_struck() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(find(foil, "foil_screw_lost", Showed::Present));
    let finding = world.head();
    world.ok(find(foil, "foil_tape_worn", Showed::Absent));
    assert_eq!(world.no(correct(foil, strike(9999))), "NO_SUCH_RECORD");
    assert_eq!(world.ok(correct(foil, strike(finding))), ["finding_struck"]);
    assert_eq!(world.no(correct(foil, strike(finding))), "NO_SUCH_RECORD");
    assert_eq!(world.job(foil).course.findings[0].fault, "foil_tape_worn");
}

#[test]
fn what_an_instrument_showed_is_struck_like_a_finding() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(see(foil, "turn-button=flicker"));
    let sighting = world.head();
    world.ok(find(foil, "foil_tape_worn", Showed::Absent));
    assert_eq!(world.ok(correct(foil, strike(sighting))), ["finding_struck"]);
    assert!(world.job(foil).course.sightings.is_empty());
    assert_eq!(world.job(foil).course.findings.len(), 1);
    assert_eq!(world.no(correct(foil, strike(sighting))), "NO_SUCH_RECORD");
}

#[test]
fn a_repair_that_was_not_done_leaves_nothing_behind() {
    let mut world = World::new();
    let foil = world.taken(ItemKind::Foil, WEAPONS);
    let item = world.job(foil).item;
    world.ok(repair(foil, Work::Point, Lasting::StopGap));
    let stop_gap = world.head();
    world.ok(repair(foil, Work::Point, Lasting::StopGap));
    let same = world.head();
    world.ok(repair(foil, Work::Point, Lasting::Lasting));
    let lasting = world.head() - 1;
    assert_eq!(world.no(correct(foil, undone(9999))), "NO_SUCH_RECORD");
    // The lasting repair was not done: the stop-gap's debt is open again.
    assert_eq!(world.ok(correct(foil, undone(lasting))), ["repair_struck"]);
    assert_eq!(owed(&world, item), [(Work::Point, None)]);
    // The first stop-gap was not done, the second was.
    world.ok(correct(foil, undone(stop_gap)));
    assert_eq!(owed(&world, item), [(Work::Point, None)]);
    assert_eq!(world.room.items[&item].owed[0].id.0, same);
    world.ok(correct(foil, undone(same)));
    assert_eq!(owed(&world, item), []);
    assert_eq!(world.no(Command::Ready { job: on(foil) }), "NOTHING_DONE");
}

/// A foil on the bench and one that is ready, whose tags were on each other.
fn swapped() -> (World, JobId, JobId) {
    let mut world = World::new();
    let ready = world.ready();
    let bench = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(repair(bench, Work::BladeWire, Lasting::StopGap));
    world.prove(bench);
    (world, ready, bench)
}

fn exchange(world: &World, a: JobId, b: JobId) -> Command {
    let tag = |job| world.job(job).course.tag.unwrap();
    Command::ExchangeTags { a: tag(a), b: tag(b) }
}

#[test]
fn exchanged_tags_take_their_histories_along() {
    let (mut world, ready, bench) = swapped();
    let tags = [ready, bench].map(|job| world.job(job).course.tag.unwrap());
    let items = [ready, bench].map(|job| world.job(job).item);
    let command = exchange(&world, ready, bench);
    assert_eq!(world.ok(command), ["tags_exchanged", "notice_sent"]);
    // What was done under a tag was done to the other item.
    assert_eq!([ready, bench].map(|job| world.job(job).course.tag.unwrap()), [tags[1], tags[0]]);
    assert_eq!((world.state(ready), world.room.bench(WEAPONS).job), (State::OnBench, Some(ready)));
    assert_eq!(world.state(bench), State::Waiting, "its proof is void");
    assert_eq!(world.notice(ready).what, NoticeKind::Promise, "its strip was told that it is ready");
    assert!([ready, bench].iter().all(|job| world.job(*job).course.proof.is_empty()));
    assert_eq!(owed(&world, items[0]), [(Work::BladeWire, None)]);
    assert_eq!(owed(&world, items[1]), []);
    assert_eq!(world.room.learned, crate::times::Learned::default(), "neither teaches times");
    world.at(60);
    world.prove(ready);
    world.ok(Command::Ready { job: on(ready) });
    assert_eq!(world.room.learned, crate::times::Learned::default(), "nor later");
}

#[test]
fn what_stands_in_the_way_and_the_verdict_go_with_the_tag() {
    let mut world = World::new();
    let withdrawn = world.in_state(State::Withdrawn);
    let held = world.waiting(ItemKind::Foil);
    world.ok(pin(held, Some(CORDS)));
    world.ok(hold(held, HoldReason::PartMissing));
    let command = exchange(&world, withdrawn, held);
    assert_eq!(world.ok(command), ["tags_exchanged", "notice_sent", "notice_sent"]);
    assert_eq!((world.state(held), world.notice(held).what), (State::Withdrawn, NoticeKind::Withdrawn));
    assert_eq!((world.state(withdrawn), world.notice(withdrawn).what), (State::Waiting, NoticeKind::Promise));
    assert!(world.item_of(held).withdrawn && !world.item_of(withdrawn).withdrawn);
    assert!(world.job(withdrawn).hold.is_some() && world.job(withdrawn).pinned == Some(CORDS));
    assert!(world.job(held).hold.is_none() && world.job(held).pinned.is_none());
}

#[test]
fn tags_are_exchanged_between_two_items_that_are_here() {
    let (mut world, ready, bench) = swapped();
    let tag = world.job(ready).course.tag.unwrap();
    assert_eq!(world.no(Command::ExchangeTags { a: tag, b: tag }), "SAME_TWICE");
    let command = exchange(&world, ready, bench);
    let mut evidence = world.clone();
    evidence.ok(confiscate(bench));
    assert_eq!(evidence.no(command.clone()), "IS_CONFISCATED");
    world.ok(missing(ready));
    assert_eq!(world.no(command), "WRONG_STATE");
}

/// Withdrawn by mistake: the weapon is fit for use again and waits; the strip hears of it.
#[test]
fn what_was_ended_by_mistake_waits_again() {
    let mut world = World::new();
    let foil = world.in_state(State::Withdrawn);
    assert!(world.item_of(foil).withdrawn);
    let told = world.notice(foil).id;
    assert_eq!(world.ok(correct(foil, Correction::End)), ["end_struck", "notice_sent"]);
    assert_eq!((world.state(foil), world.job(foil).course.place), (State::Waiting, Place::Counter));
    assert!(!world.item_of(foil).withdrawn && world.job(foil).course.ended.is_none());
    assert_eq!(world.no(confirm(told)), "UNKNOWN_NOTICE");
    assert_eq!(world.no(correct(foil, Correction::End)), "WRONG_STATE");
    world.ok(take(foil, WEAPONS));
    // Called off before it came in: it is on its way again.
    let other = world.in_state(State::OnItsWay);
    world.ok(call_off(other));
    world.ok(correct(other, Correction::End));
    assert_eq!(world.state(other), State::OnItsWay);
    assert_eq!(world.job(other).course.place, world.job(other).came_from.into());
}

/// The wrong tag was typed at a hand-back: the item still lies on the shelf, and its job is back as it was.
#[test]
fn a_hand_back_noted_by_mistake_is_undone() {
    let mut world = World::new();
    let foil = world.ready();
    let tag = world.job(foil).course.tag.unwrap();
    let before = (world.room.tally, world.room.kits.clone());
    world.ok(hand_back(foil));
    assert!(world.room.job(foil).is_none() && world.room.tally != before.0);
    let undo = |job| Command::Correct { job, what: Correction::HandBack, note: None };
    assert_eq!(world.ok(undo(JobRef::Tag(tag))), ["hand_back_struck", "notice_sent"]);
    assert_eq!((world.state(foil), world.notice(foil).what), (State::Ready, NoticeKind::Ready));
    assert_eq!((world.room.tally, world.room.kits.clone()), before);
    assert_eq!(world.no(undo(on(foil))), "NOTHING_CHANGES");
    // The tag has gone to another item meanwhile; then the item has come back by itself.
    world.ok(hand_back(foil));
    let other = HandInItem { tag: Some(tag), ..item(ItemKind::Mask) };
    world.ok(Command::HandIn(HandIn { in_room: true, ..lot(vec![other]) }));
    let other = JobId(world.head());
    assert_eq!(world.no(undo(on(foil))), "TAG_IN_USE");
    world.ok(call_off(other));
    world.ok(hand_back(other));
    let again = HandInItem { item: Some(world.room.closed[&foil].item), ..item(ItemKind::Foil) };
    world.ok(Command::HandIn(lot(vec![again])));
    assert_eq!(world.no(undo(on(foil))), "ALREADY_HERE");
    assert_eq!(world.no(undo(on(JobId(9999)))), "UNKNOWN_JOB");
}

/// What lies at hand of the closed jobs is bounded.
#[test]
fn the_oldest_closed_job_goes_first() {
    let mut world = World::new();
    let mut first = None;
    for _ in 0..=state::CLOSED_KEPT {
        let job = world.waiting(ItemKind::Foil);
        first.get_or_insert(job);
        world.ok(call_off(job));
        world.ok(hand_back(job));
    }
    assert_eq!(world.room.closed.len(), state::CLOSED_KEPT);
    assert!(!world.room.closed.contains_key(&first.unwrap()));
}
