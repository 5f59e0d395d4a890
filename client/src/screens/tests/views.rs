//! Every kind of picture, at 80 by 24 and 160 by 50.
#![allow(clippy::unwrap_used)]

use remise_core::time::Stamp;

use super::person::{Person, refusal, unsure};
use super::scene::{board, course, tag};
use super::snapshot::{check, picture};
use crate::screens::state::{Msg, ReadFor, Role};
use remise_core::ids::Seq;
use remise_link::view::{Found, NightList};

use super::scene::{NOW, jobs};

#[test]
fn homes() {
    check("strip", &Person::at(Role::Strip).state);
    check("counter", &Person::at(Role::Counter).state);
    check("bench-in-hand", &Person::at(Role::Bench).state);
    check("bench-idle", &Person::with(Role::Bench, board(false)).state);
    check("head-lanes", &Person::at(Role::Head).state);
    let mut head = Person::at(Role::Head);
    check("head-needs", &head.types("\t").state);
    check("head-all", &head.types("\t").state);
    check("head-owed", &head.types("\t").state);
    let mut gone = Person::at(Role::Head);
    gone.types("\t\t↓");
    gone.hear(Msg::Board(Box::new(board(false))));
    check("head-chosen-gone", &gone.state);
}

#[test]
fn forms() {
    let mut strip = Person::at(Role::Strip);
    check("hand-in-name", &strip.types("iid").state);
    check("hand-in-kind", &strip.types("\t\n").state);
    check("hand-in-complaint", &strip.types("3").state);
    check("hand-in-pool", &strip.types("123").state);
    let mut bench = Person::at(Role::Bench);
    check("repair", &bench.types("r").state);
    let mut correct = Person::at(Role::Head);
    correct.types("↓");
    correct.hear(Msg::Course(ReadFor::Correct, Box::new(Ok(course()))));
    check("correct", &correct.types("1").state);
}

#[test]
fn layers() {
    let mut strip = Person::at(Role::Strip);
    check("job-card", &strip.types("↓\n").state);
    check("help", &strip.types("\u{1b}?").state);
    check("ask-call-out", &strip.types("\u{1b}c").state);
    let mut bench = Person::at(Role::Bench);
    check("finding", &bench.types("1").state);
    check("proof", &bench.types("\u{1b}p").state);
    check("proof-typed", &bench.types("2,4 ohm").state);
    let mut cautions = Person::at(Role::Bench);
    check("cautions", &cautions.types("u").state);
    check("lane", &cautions.types("\u{1b}l").state);
}

#[test]
fn what_was_read() {
    let mut head = Person::at(Role::Head);
    head.hear(Msg::Course(ReadFor::Person, Box::new(Ok(course()))));
    check("course", &head.state);
    let mut night = Person::at(Role::Head);
    let list = NightList {
        covers_up_to: Seq(61),
        at: NOW,
        on_their_way: vec![jobs()[2].clone()],
        unfinished: vec![jobs()[1].clone()],
        uncollected: vec![jobs()[3].clone()],
        missing: Vec::new(),
        confiscated: Vec::new(),
        owed: board(true).owed.unwrap(),
        count_problems: vec!["the ready shelf was not counted".into()],
        complaints: Vec::new(),
    };
    night.hear(Msg::Night(Box::new(Ok(list))));
    check("night", &night.state);
    let mut search = Person::at(Role::Head);
    let found = Found { covers_up_to: Seq(61), at: NOW, jobs: jobs(), more: false, near_tags: vec![tag(7)] };
    search.hear(Msg::Found("ida".into(), Box::new(Ok(found))));
    check("found", &search.state);
}

#[test]
fn trouble() {
    let mut refused = Person::at(Role::Head);
    refused.types("\th4");
    let mut said = Person::at(Role::Strip);
    said.types("y");
    said.answer(&Err(refusal()));
    check("refused", &said.state);
    let mut lost = Person::at(Role::Strip);
    lost.types("oIda Test\n");
    check("sending", &lost.state);
    lost.answer(&Err(unsure()));
    check("unsure", &lost.state);
    let mut away = Person::at(Role::Strip);
    away.hear(Msg::Away(Stamp(NOW.0), "the connection was refused".into()));
    away.hear(Msg::Tick(NOW.plus_min(4)));
    check("away", &away.state);
    let mut opening = crate::screens::state::State::new(Role::Strip, None, None, NOW);
    check("opening", &opening);
    let why = "the server at 127.0.0.1:18300 is away: the connection was refused";
    crate::screens::update(&mut opening, Msg::Away(NOW, why.into()));
    check("away-at-start", &opening);
    let nobody = remise_link::LinkError::NotAllowed {
        message: "this server does not know the token".into(),
        hint: "Ask the head armourer for a new one, and put it into REMISE_TOKEN.".into(),
    };
    let mut refused = crate::screens::state::State::new(Role::Head, None, None, NOW);
    crate::screens::update(&mut refused, Msg::Over(nobody));
    check("over-at-start", &refused);
}

#[test]
fn a_window_that_is_too_small_says_so_and_keeps_what_was_typed() {
    let mut strip = Person::at(Role::Strip);
    strip.types("iIda");
    let small = picture(&strip.state, 50, 15);
    assert!(small.contains("50 columns and 15 lines") && small.contains("nothing"), "{small}");
    assert!(picture(&strip.state, 60, 18).contains("Ida"));
}
