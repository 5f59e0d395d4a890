//! The guide on the bench's card: the next check, its answers by number, and what they change.
#![allow(clippy::unwrap_used)]

use remise_core::armoury::{Command, JobRef, Showed, Sighting};
use remise_core::ids::FindingId;
use remise_link::view::{Course, FindingView};

use super::person::Person;
use super::scene::{course, tag};
use super::snapshot::check;
use super::updates::commands;
use crate::screens::advice::Asks;
use crate::screens::layer::Layer;
use crate::screens::state::{Msg, ReadFor, Role};

/// A bench whose job in hand has just been taken.
fn taken() -> Person {
    seeing(&[])
}

/// The same after instruments showed that.
fn seeing(seen: &[String]) -> Person {
    let mut person = Person::at(Role::Bench);
    let sighting = |(id, seen): (u64, &String)| Sighting { id: FindingId(id), seen: seen.clone() };
    let sightings = (40..).zip(seen).map(sighting).collect();
    let course = Course { findings: Vec::new(), repairs: Vec::new(), sightings, ..course() };
    person.hear(Msg::Course(ReadFor::Bench, Box::new(Ok(course))));
    person
}

/// A bench at a check with lamp or meter: looks before it showed nothing.
fn stirring() -> Person {
    let mut findings = Vec::new();
    loop {
        let mut person = Person::at(Role::Bench);
        let course = Course { findings: findings.clone(), repairs: Vec::new(), ..course() };
        person.hear(Msg::Course(ReadFor::Bench, Box::new(Ok(course))));
        let Asks::Look(fault) = person.state.advice.as_ref().unwrap().next.as_ref().unwrap().asks else {
            return person;
        };
        let finding = FindingId(30 + findings.len() as u64);
        findings.push(FindingView { finding, fault: fault.to_owned(), showed: Showed::Absent, note: None });
    }
}

fn next_code(person: &Person) -> String {
    match &person.state.advice.as_ref().unwrap().next.as_ref().unwrap().asks {
        Asks::Shows(code, _) => code.clone(),
        Asks::Look(fault) => (*fault).to_owned(),
    }
}

#[test]
fn one_key_opens_the_next_check_and_one_answers_it() {
    let person = stirring();
    let code = next_code(&person);
    let hand = JobRef::Job(person.state.in_hand().unwrap().job);
    for (keys, answer) in
        [("n1", "on"), ("n3", "flicker"), ("nh3", "flicker?"), ("nhh2", "off"), ("nu", "unsure")]
    {
        let mut person = stirring();
        person.types(keys);
        let seen = format!("{code}={answer}");
        assert_eq!(commands(&person), [Command::See { job: hand, seen }], "{keys}");
        assert!(person.top().is_none(), "{keys}: the next key is for the card");
    }
}

#[test]
fn a_look_is_answered_like_every_look() {
    let mut person = taken();
    let fault = next_code(&person);
    let job = JobRef::Job(person.state.in_hand().unwrap().job);
    person.types("na");
    assert_eq!(commands(&person), [Command::Find { job, fault, showed: Showed::Absent, note: None }]);
}

/// Nobody has said that the complaint stays: what was mended is still what it was, until somebody looks on.
#[test]
fn a_repair_is_in_vain_only_when_the_search_goes_on() {
    let mended = course().repairs[0].fault.clone().unwrap();
    let of = |findings: Vec<FindingView>| {
        let mut person = Person::at(Role::Bench);
        person.hear(Msg::Course(ReadFor::Bench, Box::new(Ok(Course { findings, ..course() }))));
        person.state.advice.as_ref().unwrap().share(&mended).unwrap()
    };
    let share = of(course().findings);
    assert!(share > 0.9, "{share}");
    let later =
        FindingView { finding: FindingId(99), showed: Showed::Unsure, ..course().findings[0].clone() };
    let after = of(vec![course().findings[0].clone(), later]);
    assert!(after < share, "{after}");
}

#[test]
fn numbers_beyond_the_answers_and_other_letters_do_nothing() {
    let mut person = stirring();
    person.types("n9x");
    assert_eq!(commands(&person), []);
    assert!(matches!(person.top(), Some(Layer::Check { .. })));
    person.types("\u{1b}");
    assert!(person.top().is_none());
}

#[test]
fn a_scan_answers_no_check() {
    let mut person = stirring();
    person.types("n");
    person.hear(Msg::Scan(tag(1034).digits()));
    assert_eq!(commands(&person), []);
}

/// What was seen changes what is asked next and how likely the causes are; a check that was answered is not asked anew.
#[test]
fn answers_lead_on() {
    let (first, mut seen) = (next_code(&taken()), Vec::new());
    let mut asked = vec![first];
    for _ in 0..3 {
        seen.push(format!("{}=unsure", asked.last().unwrap()));
        let next = next_code(&seeing(&seen));
        if !next.contains('-') && !next.contains('@') {
            return;
        }
        assert!(!asked.contains(&next), "{next} was asked before");
        asked.push(next);
    }
    let share = |person: &Person| person.state.advice.as_ref().unwrap().share("foil_barrel_loose").unwrap();
    let twisted = seeing(&["twist-barrel=flicker".to_owned()]);
    assert!(share(&twisted) > share(&taken()));
}

/// The line goes once something was found: what comes next then is the repair.
#[test]
fn the_next_check_is_shown_while_the_search_goes_on() {
    let mut person = taken();
    check("guide", &person.state);
    check("guide-look", &person.types("n").state);
    let mut person = stirring();
    check("guide-stir", &person.state);
    check("guide-check", &person.types("n").state);
    check("guide-seen", &seeing(&["turn-button=flicker".to_owned(), "press-point=off".to_owned()]).state);
    let found = FindingView {
        finding: FindingId(30),
        fault: "foil_point_dirty".to_owned(),
        showed: Showed::Present,
        note: None,
    };
    let mut person = taken();
    let course = Course { findings: vec![found], repairs: Vec::new(), ..course() };
    person.hear(Msg::Course(ReadFor::Bench, Box::new(Ok(course))));
    check("guide-found", &person.state);
}
