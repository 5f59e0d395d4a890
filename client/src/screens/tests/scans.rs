//! A tag may be scanned at any moment: nothing of it is lost, and none of its digits acts as a key.
#![allow(clippy::unwrap_used)]

use remise_core::armoury::{Command, JobRef, State as JobState};
use remise_core::ids::JobId;

use super::person::{Person, refusal};
use super::scene::{board, found, job, tag};
use crate::screens::field::Name;
use crate::screens::layer::{Layer, Sheet};
use crate::screens::state::{Msg, Role, Task};

fn scan(person: &mut Person, number: u16) {
    person.hear(Msg::Scan(tag(number).digits()));
}

/// At the counter while job 70 is on its way with a tag.
fn counter() -> Person {
    let mut coming = board(true);
    let mut other = job(70);
    other.state = JobState::OnItsWay;
    coming.jobs.push(other);
    Person::with(Role::Counter, coming)
}

fn scans_in(person: &Person) -> usize {
    let of = |task: &&Task| {
        let Task::Send { command, .. } = task else { return false };
        **command == Command::ScanIn { job: JobRef::Job(JobId(70)), tag: None }
    };
    person.tasks.iter().filter(of).count()
}

/// Keys that open something at the counter, and whether it must still be there after the scan.
const MOMENTS: [(&str, bool); 8] = [
    ("", false),
    ("?", false),
    ("\n", false),
    ("oIda", true),
    ("c3", true),
    ("b", false),
    ("bx", true),
    ("q", false),
];

#[test]
fn a_scan_works_whatever_is_open_and_keeps_what_was_typed() {
    for (keys, kept) in MOMENTS {
        let mut person = counter();
        person.types(keys);
        let below = person.state.sheets.clone();
        scan(&mut person, 1070);
        assert_eq!(scans_in(&person), 1, "{keys:?}: {:?}", person.state.sheets);
        assert_eq!(person.state.sheets, if kept { below } else { Vec::new() }, "{keys:?}");
        person.accept();
        scan(&mut person, 1045);
        assert!(
            matches!(person.top(), Some(Layer::Form(form)) if form.title.contains(&tag(1045).digits())),
            "{keys:?}"
        );
    }
}

#[test]
fn a_scan_while_something_is_sent_or_refused_is_done_too() {
    let mut sending = counter();
    sending.types("b\n");
    scan(&mut sending, 1070);
    assert_eq!(scans_in(&sending), 1);
    sending.answer(&Err(refusal()));
    let open: Vec<Layer> = sending.state.sheets.iter().map(|sheet| sheet.layer.clone()).collect();
    assert!(matches!(&open[..], [Layer::Form(_), Layer::Said(_), Layer::Said(_)]), "{open:?}");
    sending.tasks.clear();
    scan(&mut sending, 1070);
    assert_eq!(scans_in(&sending), 1, "what must be read stays and the scan is done");
    assert_eq!(sending.state.sheets.len(), 3);
}

#[test]
fn a_trigger_pressed_twice_means_one_thing() {
    let mut person = counter();
    scan(&mut person, 1070);
    scan(&mut person, 1070);
    assert_eq!(scans_in(&person), 1);
    let mut bench = Person::with(Role::Bench, board(false));
    scan(&mut bench, 1034);
    scan(&mut bench, 1034);
    assert_eq!(bench.tasks.len(), 1, "{:?}", bench.tasks);
}

#[test]
fn a_form_that_asks_for_a_tag_takes_it_wherever_the_caret_is() {
    let mut person = counter();
    person.types("iIda\u{1b}");
    scan(&mut person, 77);
    let Some(Layer::Form(form)) = person.top() else { panic!("{:?}", person.state.sheets) };
    assert_eq!(form.typed(Name::Tag), Some(tag(77).digits()));
    assert_eq!((form.typed(Name::Person).as_deref(), form.focus), (Some("Ida"), 0), "the rest is as it was");
    scan(&mut person, 78);
    let Some(Layer::Form(form)) = person.top() else { panic!() };
    let problem = form.problem.as_ref().map(|(_, why)| why.clone()).unwrap_or_default();
    assert!(problem.contains(&tag(77).digits()) && problem.contains(&tag(78).digits()), "{problem}");
}

#[test]
fn a_count_takes_every_tag_even_before_the_place_is_chosen() {
    let mut person = counter();
    person.types("#");
    scan(&mut person, 77);
    person.types("1");
    scan(&mut person, 78);
    scan(&mut person, 78);
    let Some(Layer::Form(form)) = person.top() else { panic!() };
    assert_eq!(form.tags, [tag(77), tag(78)]);
    assert!(form.problem.as_ref().is_some_and(|(_, why)| why.contains("counted already")));
}

#[test]
fn two_scans_swap_two_tags() {
    let mut person = Person::at(Role::Counter);
    person.types("T");
    scan(&mut person, 1034);
    scan(&mut person, 1045);
    let swap = Command::ExchangeTags { a: tag(1034), b: tag(1045) };
    assert!(
        matches!(&person.tasks[..], [Task::Send { command, .. }] if **command == swap),
        "{:?}",
        person.tasks
    );
}

#[test]
fn at_a_bench_with_a_job_in_hand_no_digit_of_a_scan_chooses_a_fault() {
    for keys in ["", "1", "p", "?", "l", "pf"] {
        let mut bench = Person::at(Role::Bench);
        bench.types(keys);
        scan(&mut bench, 1034);
        assert_eq!(bench.top(), Some(&Layer::Job(JobId(34))), "{keys:?}");
        assert!(bench.tasks.is_empty(), "{keys:?}: {:?}", bench.tasks);
        bench.types("\u{1b}");
        let kept = usize::from(keys == "pf");
        assert_eq!(bench.state.sheets.len(), kept, "{keys:?}");
    }
}

#[test]
fn a_tag_that_this_board_does_not_show_is_looked_for_in_the_house() {
    let mut person = Person::at(Role::Counter);
    scan(&mut person, 9000);
    assert_eq!(person.tasks, [Task::Search(tag(9000).digits())]);
    let mut far = job(99);
    far.tag = Some(tag(9000));
    person.hear(Msg::Found(tag(9000).digits(), Box::new(Ok(found(vec![far])))));
    assert_eq!(
        person.top(),
        Some(&Layer::Job(JobId(99))),
        "it is shown, and nothing offers to tie its tag anew"
    );
}

#[test]
fn too_much_at_once_is_said_and_said_once() {
    let mut person = Person::at(Role::Strip);
    let said = || Sheet::new(Layer::Said(crate::screens::layer::Said::note("read me", Vec::new())));
    person.state.sheets.extend([said(), said(), said(), said()]);
    scan(&mut person, 1034);
    scan(&mut person, 1034);
    assert_eq!(person.state.sheets.len(), 5);
    assert!(
        matches!(person.top(), Some(Layer::Said(said)) if said.bad && said.title.contains(&tag(1034).digits()))
    );
}

#[test]
fn a_pasted_tag_is_as_good_as_a_scanned_one() {
    let mut person = counter();
    person.hear(Msg::Paste(format!("{}\n", tag(1070).digits())));
    assert_eq!(scans_in(&person), 1);
}
