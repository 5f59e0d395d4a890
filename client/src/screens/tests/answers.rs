//! What becomes of answers, outages, questions and pastes.
#![allow(clippy::unwrap_used)]

use crossterm::event::KeyCode;
use remise_core::armoury::{Command, JobRef};
use remise_core::gear::Work;
use remise_core::ids::JobId;
use remise_link::Accepted;

use super::person::{Person, refusal, unsure};
use super::scene::{NOW, board};
use crate::screens::layer::{Ask, Layer, Yes};
use crate::screens::state::{Line, Msg, ReadFor, Role, Task};

const HAND: JobRef = JobRef::Job(JobId(21));

#[test]
fn a_refusal_keeps_what_was_typed_and_an_acceptance_closes_the_form() {
    let mut person = Person::at(Role::Strip);
    person.types("↓↓xno need\n");
    assert!(person.state.done.is_none(), "nothing is done before the server said so");
    person.answer(&Err(refusal()));
    assert!(matches!(person.top(), Some(Layer::Said(_))));
    person.types("\u{1b}");
    let Some(Layer::Form(form)) = person.top() else { panic!("{:?}", person.top()) };
    assert_eq!(form.typed(crate::screens::field::Name::Note).as_deref(), Some("no need"));
    person.types("\n");
    person.accept();
    assert!(person.state.sheets.is_empty() && person.state.done.is_some());
}

#[test]
fn what_nobody_knows_is_sent_again_under_the_same_id() {
    let mut person = Person::at(Role::Strip);
    person.types("o\n");
    person.answer(&Err(unsure()));
    person.types("r");
    let [Task::SendAgain { sent, .. }] = &person.tasks[..] else { panic!("{:?}", person.tasks) };
    assert_eq!(sent.command, Command::FencerOut { fencer: "Ida Test".into() });
    person.accept();
    assert!(person.state.sheets.is_empty(), "{:?}", person.state.sheets);
}

#[test]
fn advice_is_shown_until_it_is_read() {
    let mut person = Person::at(Role::Strip);
    person.types("b\n");
    let advice = vec!["Still owed: the wire.".to_owned()];
    person.answer(&Ok(Accepted { advice, ..Accepted::default() }));
    assert!(matches!(person.top(), Some(Layer::Said(said)) if !said.bad));
    person.types("\u{1b}");
    assert!(person.state.sheets.is_empty());
}

#[test]
fn esc_asks_before_it_drops_what_was_typed() {
    let mut person = Person::at(Role::Strip);
    person.types("iIda\u{1b}");
    assert!(matches!(person.top(), Some(Layer::Ask(Ask { yes: Yes::Discard, .. }))));
    person.types("\u{1b}");
    assert!(matches!(person.top(), Some(Layer::Form(_))), "no keeps it");
    person.types("\u{1b}y");
    assert!(person.state.sheets.is_empty());
    person.types("i\u{1b}");
    assert!(person.state.sheets.is_empty(), "an untouched form goes without a question");
}

#[test]
fn leaving_a_form_that_is_being_sent_is_settled_by_the_answer() {
    let mut person = Person::at(Role::Strip);
    person.types("o\n\u{1b}");
    assert!(matches!(person.top(), Some(Layer::Ask(_))));
    person.accept();
    assert!(person.state.sheets.is_empty(), "{:?}", person.state.sheets);
}

#[test]
fn quitting_asks_first() {
    let mut person = Person::at(Role::Head);
    person.types("q\u{1b}");
    assert!(!person.state.over);
    person.ctrl('c').types("y");
    assert!(person.state.over);
    let mut typing = Person::at(Role::Strip);
    typing.types("iq");
    assert!(matches!(typing.top(), Some(Layer::Form(_))), "q is a letter in a name");
}

#[test]
fn an_outage_is_shown_until_a_board_comes() {
    let mut person = Person::at(Role::Strip);
    person.hear(Msg::Away(NOW.plus_min(-3), "no route".into()));
    assert_eq!(person.state.line, Line::Away { since: NOW.plus_min(-3), why: "no route".into() });
    assert_eq!(person.state.board.jobs.len(), 5, "the last board stays");
    person.hear(Msg::Board(Box::new(board(true))));
    assert_eq!(person.state.line, Line::Up);
}

#[test]
fn the_chosen_row_stays_with_its_job() {
    let mut person = Person::at(Role::Strip);
    person.types("↓↓");
    let mut later = board(true);
    later.jobs.retain(|job| job.job != JobId(45));
    person.hear(Msg::Board(Box::new(later)));
    assert_eq!(person.state.subject(), Some(JobId(34)));
    assert_eq!(person.state.home.pointer.row, 1);
}

#[test]
fn a_bench_reads_the_course_again_when_the_job_changed() {
    let mut person = Person::at(Role::Bench);
    person.hear(Msg::Board(Box::new(board(true))));
    assert_eq!(person.tasks, [], "nothing touched the job");
    let mut touched = board(true);
    touched.jobs[0].changed = remise_core::ids::Seq(99);
    person.hear(Msg::Board(Box::new(touched)));
    assert_eq!(person.tasks, [Task::ReadCourse(HAND, ReadFor::Bench)]);
}

#[test]
fn a_paste_goes_where_letters_go() {
    let mut person = Person::at(Role::Strip);
    person.hear(Msg::Paste("qy".into()));
    assert!(person.tasks.is_empty() && person.state.sheets.is_empty());
    person.types("i");
    person.hear(Msg::Paste("Ida\u{1b}[2J\nTest".into()));
    let Some(Layer::Form(form)) = person.top() else { panic!() };
    assert_eq!(form.fields[0].typed(), "Ida[2JTest");
}

#[test]
fn a_repair_chooses_the_work_of_its_fault() {
    let mut person = Person::at(Role::Bench);
    person.types("r");
    let Some(Layer::Form(form)) = person.top() else { panic!() };
    assert_eq!(form.value(crate::screens::field::Name::Work), None);
    person.types("1");
    let Some(Layer::Form(form)) = person.top() else { panic!() };
    assert_eq!(
        form.value(crate::screens::field::Name::Work),
        Some(&crate::screens::field::Value::Work(Work::Point))
    );
    person.key(KeyCode::Backspace);
    assert!(matches!(person.top(), Some(Layer::Form(_))));
}
