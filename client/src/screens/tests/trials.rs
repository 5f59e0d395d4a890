//! What-if on the head's screen: tried first, then sent or left.
#![allow(clippy::unwrap_used)]

use remise_core::armoury::Command;
use remise_core::ids::{BenchId, Seq};
use remise_core::time::Span;
use remise_link::LinkError;
use remise_link::view::{Fate, MovedJob, PlanSums, ReadyBy, WhatIf};

use super::person::{Person, refusal};
use super::scene::{NOW, jobs};
use super::snapshot::check;
use crate::screens::layer::{Layer, Reader};
use crate::screens::state::{Msg, Role, Task};

fn fate(bench: u16, minutes: i64, late: i64) -> Fate {
    let ready = Some(ReadyBy { likely: NOW.plus_min(minutes), safe: None, said: None });
    Fate { bench: Some(BenchId(bench)), ready, late: Span::minutes(late), ..Fate::default() }
}

fn answer() -> WhatIf {
    let nowhere = Fate { unplaced: Some("no_time".into()), ..Fate::default() };
    let moves =
        [(fate(1, 20, 0), fate(2, 31, 4)), (fate(2, 40, 6), fate(2, 30, 0)), (fate(1, 50, 0), nowhere)];
    let moved = jobs().into_iter().zip(moves);
    WhatIf {
        covers_up_to: Seq(61),
        at: NOW,
        moved: moved.map(|(job, (before, after))| MovedJob { job, before, after }).collect(),
        before: PlanSums { late: 1, weighted_late_min: 24, nowhere: 0, held: 1 },
        after: PlanSums { late: 1, weighted_late_min: 16, nowhere: 1, held: 1 },
        advice: vec!["tag 00042 has been told to bench 1 as next".into()],
    }
}

/// In front of the form that closes a bench, tried.
fn tried() -> Person {
    let mut person = Person::at(Role::Head);
    person.types("S14:30").ctrl('t');
    person
}

fn reader(person: &Person) -> &Reader {
    let Some(Layer::Reader(reader)) = person.top() else { panic!("{:?}", person.top()) };
    reader
}

#[test]
fn a_form_is_tried_then_sent() {
    let mut person = tried();
    let [Task::Try(command, what)] = &person.tasks[..] else { panic!("{:?}", person.tasks) };
    let Command::CloseBenchAt { bench, at } = **command else { panic!("{command:?}") };
    assert_eq!(bench, BenchId(1));
    let what = what.clone();
    person.hear(Msg::Tried(what, Box::new(Ok(answer()))));
    check("what-if", &person.state);
    let lines = &reader(&person).lines;
    assert!(lines.iter().all(|line| crate::screens::text::width(line) <= 78), "{lines:#?}");
    assert!(lines[0].starts_with("NOTHING IS DONE YET"));
    assert!(lines[3].ends_with("+11 min LATE") && lines[4].ends_with("-10 min in time"), "{lines:#?}");
    assert!(lines[5].contains("no bench's time"), "{lines:#?}");
    person.tasks.clear();
    person.types("\u{1b}\n");
    let [Task::Send { command, .. }] = &person.tasks[..] else { panic!("{:?}", person.tasks) };
    assert_eq!(**command, Command::CloseBenchAt { bench, at }, "what was tried is what is sent");
}

#[test]
fn what_changes_nothing_is_said_and_a_refusal_leaves_the_form() {
    let mut person = tried();
    let nothing = WhatIf { moved: Vec::new(), advice: Vec::new(), ..answer() };
    person.hear(Msg::Tried("close".into(), Box::new(Ok(nothing))));
    assert!(reader(&person).lines.iter().any(|line| line.contains("No item would be ready at another time")));
    let mut person = tried();
    person.hear(Msg::Tried("close".into(), Box::new(Err(refusal()))));
    assert!(matches!(person.top(), Some(Layer::Said(_))));
    person.types("\u{1b}");
    assert!(matches!(person.top(), Some(Layer::Form(_))));
}

#[test]
fn an_answer_that_comes_when_the_form_is_left_disturbs_nobody() {
    let mut person = tried();
    person.types("\u{1b}y");
    assert!(person.state.sheets.is_empty());
    let late: Result<WhatIf, LinkError> = Ok(answer());
    person.hear(Msg::Tried("close".into(), Box::new(late)));
    assert!(person.state.sheets.is_empty());
}

#[test]
fn only_the_head_tries_and_only_what_is_filled_in() {
    let mut strip = Person::at(Role::Strip);
    strip.types("oIda Test").ctrl('t');
    assert!(strip.tasks.is_empty());
    let mut head = Person::at(Role::Head);
    head.types("Ssoon").ctrl('t');
    assert!(head.tasks.is_empty());
    let Some(Layer::Form(form)) = head.top() else { panic!("{:?}", head.top()) };
    assert!(form.problem.is_some(), "it says what cannot be read");
}
