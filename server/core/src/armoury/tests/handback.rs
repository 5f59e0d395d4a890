//! Going back: notices, hand-back, and what cannot be found.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::ItemKind;
use crate::ids::StripId;

#[test]
fn a_ready_item_is_announced_confirmed_and_handed_back() {
    let mut world = World::new();
    let foil = world.ready();
    let notice = world.notice(foil);
    assert_eq!((notice.what, notice.to), (NoticeKind::Ready, Spot::Strip(StripId(1))));
    assert_eq!(world.ok(confirm(notice.id)), ["notice_confirmed"]);
    assert_eq!(world.no(confirm(notice.id)), "UNKNOWN_NOTICE");
    let to = Command::HandBack { job: on(foil), to: "\u{1b}[2J".to_owned() };
    assert_eq!(world.no(to), "BAD_TEXT");
    assert_eq!(world.ok(hand_back(foil)), ["handed_back"]);
    assert!(world.room.job(foil).is_none() && world.room.tags.is_empty());
    assert_eq!((world.room.tally.opened, world.room.tally.returned), (1, 1));
}

/// Five minutes, then the head sees it; the strip may still confirm.
#[test]
fn an_unconfirmed_notice_goes_to_the_head() {
    let mut world = World::new();
    let foil = world.ready();
    let (sent, notice) = (world.now, world.notice(foil).id);
    world.now = sent + NOTICE_PATIENCE + crate::time::Span::seconds(-1);
    assert_eq!(world.ok(Command::Tick), Vec::<&str>::new());
    world.now = sent + NOTICE_PATIENCE;
    assert_eq!(world.ok(Command::Tick), ["notice_raised"]);
    assert_eq!(world.room.attention(), [Attention::Notice(notice, foil)]);
    assert_eq!(world.ok(Command::Tick), Vec::<&str>::new(), "once");
    world.ok(confirm(notice));
    assert_eq!(world.room.attention(), []);
}

#[test]
fn notices_follow_back_to() {
    let mut world = World::new();
    let foil = world.ready();
    let first = world.notice(foil).id;
    let to = |strip| Command::BackTo { job: on(foil), to: Spot::Strip(StripId(strip)) };
    assert_eq!(world.ok(to(3)), ["back_to_changed", "notice_sent"]);
    assert_eq!(world.no(confirm(first)), "UNKNOWN_NOTICE");
    assert_eq!(world.notice(foil).to, Spot::Strip(StripId(3)));
    assert_eq!(world.no(to(3)), "NOTHING_CHANGES");
    assert_eq!(world.no(to(99)), "UNKNOWN_STRIP");
    let open = world.notice(foil).id;
    world.ok(confirm(open));
    assert_eq!(world.ok(to(2)), ["back_to_changed"], "what was read is not sent again");
    assert_eq!(world.room.walk_min(world.job(foil).back_to), 4);
}

#[test]
fn withdrawn_and_called_off_items_await_hand_back_too() {
    for state in [State::Withdrawn, State::CalledOff] {
        let mut world = World::new();
        let foil = world.in_state(state);
        assert!(world.job(foil).awaits_hand_back());
        let what = world.notice(foil).what;
        assert_eq!(what == NoticeKind::Withdrawn, state == State::Withdrawn);
        world.ok(hand_back(foil));
        let tally = world.room.tally;
        assert_eq!(
            (tally.withdrawn, tally.called_off),
            if state == State::Withdrawn { (1, 0) } else { (0, 1) }
        );
    }
}

#[test]
fn what_is_called_off_on_its_way_never_came_in() {
    let mut world = World::new();
    let foil = world.sent(ItemKind::Foil);
    assert_eq!(world.ok(call_off(foil)), ["called_off", "notice_sent"]);
    assert_eq!(world.job(foil).course.place, Place::Strip(StripId(1)));
    assert_eq!(world.ok(Command::CloseDay), ["day_closed"], "no count looks for it");
    world.ok(hand_back(foil));
}

#[test]
fn gone_is_found_again_where_it_stood() {
    // Where it stood, where it is found, what it is then, where it lies, what the strip is told.
    let counter = Place::Counter;
    let strip = Place::Strip(StripId(2));
    let table = [
        (State::OnItsWay, counter, State::OnItsWay, counter, NoticeKind::Promise),
        (State::Waiting, Place::Bench(CORDS), State::Waiting, counter, NoticeKind::Promise),
        (State::OnBench, Place::CuringShelf, State::Waiting, counter, NoticeKind::Promise),
        (State::Curing, Place::LockedAway, State::Waiting, counter, NoticeKind::Promise),
        (State::Ready, Place::ReadyShelf, State::Ready, Place::ReadyShelf, NoticeKind::Ready),
        (State::Ready, strip, State::Ready, strip, NoticeKind::Ready),
        (State::Withdrawn, counter, State::Withdrawn, Place::ReadyShelf, NoticeKind::Withdrawn),
        (State::CalledOff, counter, State::CalledOff, Place::ReadyShelf, NoticeKind::CalledOff),
        (State::Waiting, strip, State::OnItsWay, strip, NoticeKind::Promise),
    ];
    for (stood, found, state, place, told) in table {
        let mut world = World::new();
        let foil = world.in_state(stood);
        assert_eq!(world.ok(missing(foil)), ["went_missing", "notice_sent"]);
        assert_eq!(world.notice(foil).what, NoticeKind::Gone);
        assert_eq!(world.room.attention(), [Attention::Gone(foil)]);
        assert_eq!(world.no(found_again(foil, Place::HandedBack)), "NOT_IN_ROOM");
        assert_eq!(world.no(found_again(foil, Place::Bench(crate::ids::BenchId(99)))), "UNKNOWN_BENCH");
        assert_eq!(world.ok(found_again(foil, found)), ["found_again", "notice_sent"]);
        assert_eq!((world.state(foil), world.job(foil).course.place), (state, place), "{stood}, at {found}");
        assert_eq!(world.notice(foil).what, told);
    }
}

#[test]
fn confiscated_gear_that_is_found_again_is_locked_away_again() {
    let mut world = World::new();
    let foil = world.waiting(ItemKind::Foil);
    world.ok(confiscate(foil));
    world.ok(missing(foil));
    assert_eq!(world.no(collected_unseen(foil)), "IS_CONFISCATED");
    world.ok(found_again(foil, Place::Counter));
    assert_eq!(world.job(foil).course.place, Place::LockedAway);
    world.ok(missing(foil));
    world.ok(let_go(foil));
    assert_eq!((world.state(foil), world.job(foil).course.place), (State::Gone, Place::Gone));
}

#[test]
fn what_was_collected_unseen_is_counted_as_what_it_was() {
    for (state, counted) in [
        (State::Ready, [1, 0, 0, 0]),
        (State::Withdrawn, [0, 1, 0, 0]),
        (State::CalledOff, [0, 0, 1, 0]),
        (State::Gone, [0, 0, 0, 1]),
    ] {
        let mut world = World::new();
        let foil = world.in_state(state);
        assert_eq!(world.ok(collected_unseen(foil)), ["collected_unseen"]);
        let tally = world.room.tally;
        assert_eq!([tally.returned, tally.withdrawn, tally.called_off, tally.gone], counted, "{state}");
    }
}
