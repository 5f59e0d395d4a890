//! No key acts on what nobody has chosen: when the chosen line leaves its list, nothing is chosen until a person chooses.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use remise_core::armoury::Command;
use remise_core::ids::{BenchId, CallId, JobId, OwedId};
use remise_link::view::{Board, LaneSlot};

use super::person::Person;
use super::scene::{NOW, board, job, jobs};
use crate::screens::keys::Act;
use crate::screens::layer::{self, Layer, Said};
use crate::screens::state::{Msg, Role, RowKey, State};
use crate::screens::verb::Verb;

/// Where a row is chosen: role, how many lists on, and the row.
const LISTS: [(Role, usize, RowKey); 8] = [
    (Role::Strip, 0, RowKey::Job(JobId(34))),
    (Role::Counter, 0, RowKey::Job(JobId(34))),
    (Role::Bench, 0, RowKey::Job(JobId(34))),
    (Role::Head, 0, RowKey::Job(JobId(34))),
    (Role::Head, 1, RowKey::Job(JobId(34))),
    (Role::Head, 2, RowKey::Job(JobId(34))),
    (Role::Head, 1, RowKey::Call(CallId(60))),
    (Role::Head, 3, RowKey::Owed(OwedId(9))),
];

/// The scene, with two more jobs in the first bench's lane and one more of everything that can go.
fn full(in_hand: bool) -> Board {
    let mut full = board(in_hand);
    full.jobs.extend([job(61), job(62)]);
    let slots = &mut full.lanes.as_mut().unwrap()[0].slots;
    let more = |number| LaneSlot { job: JobId(number), ..slots[0].clone() };
    let more = [more(61), more(62)];
    slots.extend(more);
    let mut call = full.calls.as_ref().unwrap()[0].clone();
    call.call = CallId(61);
    full.calls.as_mut().unwrap().push(call);
    let mut owed = full.owed.as_ref().unwrap()[0].clone();
    owed.owed = OwedId(10);
    full.owed.as_mut().unwrap().push(owed);
    full
}

fn without(board: &Board, row: RowKey) -> Board {
    let mut less = board.clone();
    match row {
        RowKey::Job(id) => {
            less.jobs.retain(|job| job.job != id);
            less.lanes.iter_mut().flatten().for_each(|lane| lane.slots.retain(|slot| slot.job != id));
        }
        RowKey::Call(id) => less.calls.iter_mut().for_each(|calls| calls.retain(|call| call.call != id)),
        RowKey::Owed(id) => less.owed.iter_mut().for_each(|owed| owed.retain(|one| one.owed != id)),
        RowKey::Bench(_) => {}
    }
    less
}

/// A person who has chosen the row.
fn chooser((role, lists, row): (Role, usize, RowKey)) -> Person {
    let mut person = Person::with(role, full(role != Role::Bench));
    person.types(&"\t".repeat(lists));
    for _ in 0..10 {
        if person.state.home.pointer.at != Some(row) {
            person.types("↓");
        }
    }
    assert_eq!(person.state.home.pointer.at, Some(row), "{role:?} {lists}");
    person
}

/// The same, who has seen it go.
fn bereft(list: (Role, usize, RowKey)) -> Person {
    let mut person = chooser(list);
    let less = without(&full(list.0 != Role::Bench), list.2);
    person.hear(Msg::Board(Box::new(less)));
    assert_eq!(person.state.home.pointer.at, None, "{list:?}");
    person.tasks.clear();
    person
}

fn offered(state: &State) -> BTreeSet<Verb> {
    let verb = |act| match act {
        Act::Do(verb) => Some(verb),
        _ => None,
    };
    layer::bindings(state).into_iter().filter_map(|binding| verb(binding.act)).collect()
}

#[test]
fn when_the_chosen_row_goes_no_key_acts_on_another() {
    for list in LISTS {
        let person = bereft(list);
        let mut empty = person.state.clone();
        empty.board.jobs.retain(|job| job.notice.is_some());
        empty.board.benches = Some(Vec::new());
        let still = offered(&empty);
        assert_eq!(offered(&person.state), still, "{list:?}: what needs no row");
        let keys: BTreeSet<char> = still.iter().map(|verb| verb.key()).collect();
        let before = offered(&chooser(list).state);
        let lost: Vec<&Verb> = before.iter().filter(|verb| !keys.contains(&verb.key())).collect();
        assert!(!lost.is_empty(), "{list:?}");
        for verb in lost {
            let mut tries = bereft(list);
            tries.types(&verb.key().to_string());
            assert!(tries.tasks.is_empty(), "{list:?} {verb:?}: {:?}", tries.tasks);
            let Some(Layer::Said(Said { title, .. })) = tries.top() else { panic!("{list:?} {verb:?}") };
            assert_eq!(title, "Choose a line first");
        }
    }
}

#[test]
fn enter_or_an_arrow_chooses_again() {
    for list in LISTS {
        for (keys, by) in [("\n", 0), ("↓", 0), ("↓↓", 1), ("↑", -1)] {
            let mut person = bereft(list);
            let rows = crate::screens::update::rows(&person.state);
            let place = person.state.home.pointer.row.saturating_add_signed(by).min(rows.len() - 1);
            person.types(keys);
            assert_eq!(person.state.home.pointer.at, Some(rows[place]), "{list:?} {keys:?}");
            assert!(person.state.sheets.is_empty(), "{list:?} {keys:?}: the first Enter opens nothing");
        }
    }
}

#[test]
fn an_item_released_by_the_head_leaves_the_needs_and_the_next_key_does_nothing() {
    let mut full = full(true);
    let mut other = jobs()[4].clone();
    other.job = JobId(53);
    full.jobs.push(other);
    let mut head = Person::with(Role::Head, full.clone());
    head.types("\t");
    while head.state.subject() != Some(JobId(52)) {
        head.types("↓");
    }
    head.types("e");
    head.accept();
    full.jobs.iter_mut().filter(|job| job.job == JobId(52)).for_each(|job| job.hold = None);
    head.hear(Msg::Board(Box::new(full)));
    head.types("e");
    assert!(head.tasks.is_empty(), "{:?}", head.tasks);
    assert!(matches!(head.top(), Some(Layer::Said(_))));
    head.types("\u{1b}\ne");
    assert_eq!(head.state.subject(), Some(JobId(53)), "what stood below it");
    assert_eq!(head.tasks.len(), 1);
}

#[test]
fn after_its_own_job_a_bench_takes_the_first_of_its_lane() {
    let mut bench = Person::with(Role::Bench, full(true));
    bench.types("l↓\u{1b}");
    let mut done = full(false);
    done.benches = board(false).benches;
    bench.hear(Msg::Board(Box::new(done)));
    bench.tasks.clear();
    bench.types("t");
    let take = Command::Take { job: remise_core::armoury::JobRef::Job(JobId(34)), bench: BenchId(1) };
    assert!(
        matches!(&bench.tasks[..], [crate::screens::state::Task::Send { command, .. }] if **command == take)
    );
}

#[test]
fn at_a_bench_where_nobody_has_chosen_the_next_stands_first_again_after_two_seconds() {
    for moved in [false, true] {
        let mut bench = Person::with(Role::Bench, full(false));
        if moved {
            bench.types("↓↑");
        }
        bench.hear(Msg::Board(Box::new(without(&full(false), RowKey::Job(JobId(34))))));
        bench.hear(Msg::Tick(NOW));
        assert_eq!(bench.state.home.pointer.at, None, "it may be unseen yet");
        bench.hear(Msg::Tick(NOW));
        let expected = (!moved).then_some(RowKey::Job(JobId(61)));
        assert_eq!(bench.state.home.pointer.at, expected, "moved: {moved}");
    }
}

#[test]
fn at_a_bench_where_nobody_has_chosen_what_comes_first_is_taken_once_it_was_seen() {
    let mut urgent = full(false);
    urgent.jobs.push(job(63));
    let slots = &mut urgent.lanes.as_mut().unwrap()[0].slots;
    let first = LaneSlot { job: JobId(63), ..slots[0].clone() };
    slots.insert(0, first);
    for moved in [false, true] {
        let mut bench = Person::with(Role::Bench, full(false));
        if moved {
            bench.types("↓↑");
        }
        bench.hear(Msg::Board(Box::new(urgent.clone())));
        bench.hear(Msg::Tick(NOW));
        assert_eq!(bench.state.subject(), Some(JobId(34)), "it may be unseen yet");
        bench.hear(Msg::Tick(NOW));
        assert_eq!(bench.state.subject(), Some(JobId(if moved { 34 } else { 63 })));
    }
}

#[test]
fn in_the_lane_over_the_card_the_pointer_stays_with_its_job() {
    let mut bench = Person::with(Role::Bench, full(true));
    bench.types("l↓");
    let chosen = |person: &Person| match person.top() {
        Some(Layer::Lane(pointer)) => pointer.at,
        other => panic!("{other:?}"),
    };
    assert_eq!(chosen(&bench), Some(JobId(61)));
    let less = without(&full(true), RowKey::Job(JobId(34)));
    bench.hear(Msg::Board(Box::new(less.clone())));
    assert_eq!(chosen(&bench), Some(JobId(61)), "the list moved and the pointer with it");
    bench.hear(Msg::Board(Box::new(without(&less, RowKey::Job(JobId(61))))));
    assert_eq!(chosen(&bench), None);
    bench.types("\n");
    assert_eq!(chosen(&bench), Some(JobId(62)));
    bench.types("\n");
    assert_eq!(bench.top(), Some(&Layer::Job(JobId(62))));
}

#[test]
fn an_empty_list_that_was_seen_begins_anew() {
    let mut strip = Person::with(Role::Strip, board(false));
    strip.hear(Msg::Board(Box::new(Board { jobs: Vec::new(), ..board(false) })));
    strip.hear(Msg::Board(Box::new(Board { jobs: vec![job(61)], ..board(false) })));
    assert_eq!(strip.state.home.pointer.at, None, "at the same moment");
    strip.hear(Msg::Board(Box::new(Board { jobs: Vec::new(), ..board(false) })));
    strip.hear(Msg::Tick(NOW));
    strip.hear(Msg::Tick(NOW));
    strip.hear(Msg::Board(Box::new(Board { jobs: vec![job(61)], ..board(false) })));
    assert_eq!(strip.state.home.pointer.at, Some(RowKey::Job(JobId(61))));
}
