//! The lists of keys: no key twice, every verb reachable, nothing without help.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use remise_core::armoury::{HoldReason, State as JobState};
use remise_link::view::HoldView;

use super::person::Person;
use super::scene::{NOW, board, job};
use crate::screens::keys::{Act, Press};
use crate::screens::layer::{self, Layer, Sheet};
use crate::screens::state::{Role, State};
use crate::screens::verb::Verb;

const ROLES: [Role; 4] = [Role::Strip, Role::Counter, Role::Bench, Role::Head];

/// Every home layer and every card of a job in every state, held and not.
fn states() -> Vec<State> {
    let mut states = Vec::new();
    for role in ROLES {
        states.push(Person::at(role).state);
        states.push(Person::with(role, board(false)).state);
        for standing in JobState::ALL {
            for hold in [None, Some(HoldReason::PartMissing), Some(HoldReason::Confiscated)] {
                let mut state = Person::at(role).state;
                let mut one = job(77);
                one.state = *standing;
                one.fencer = None;
                one.hold = hold.map(|reason| HoldView { reason, note: None, since: NOW });
                state.board.jobs.push(one);
                state.sheets.push(Sheet::new(Layer::Job(remise_core::ids::JobId(77))));
                states.push(state);
            }
        }
    }
    states
}

#[test]
fn no_key_does_two_things() {
    for state in states() {
        let mut seen = BTreeSet::new();
        for binding in layer::bindings(&state) {
            if let Press::Key(_) | Press::Ctrl(_) = binding.press {
                assert!(seen.insert(binding.name()), "{:?}: {} twice", state.role, binding.name());
            }
        }
    }
}

#[test]
fn every_verb_is_offered_somewhere() {
    let mut offered: BTreeSet<Verb> = BTreeSet::new();
    let mut all = states();
    for section in 0..4 {
        let mut head = Person::at(Role::Head);
        head.types(&"\t".repeat(section));
        all.push(head.state.clone());
        for _ in 0..6 {
            all.push(head.types("↓").state.clone());
        }
        let mut closed = head.state.clone();
        closed.board.benches.iter_mut().flatten().for_each(|bench| bench.open = false);
        closed.home.pointer.at = Some(crate::screens::state::RowKey::Bench(remise_core::ids::BenchId(1)));
        all.push(closed);
    }
    let mut bench = Person::at(Role::Bench).state;
    bench.board.calls.iter_mut().flatten().for_each(|call| call.bench = remise_core::ids::BenchId(1));
    all.push(bench.clone());
    bench
        .board
        .calls
        .iter_mut()
        .flatten()
        .for_each(|call| call.state = remise_link::view::CallState::AtStrip);
    bench.board.benches.iter_mut().flatten().for_each(|view| view.interrupted = true);
    bench.board.benches.iter_mut().flatten().for_each(|view| view.away_until = Some(NOW));
    all.push(bench);
    for state in &all {
        for binding in layer::bindings(state) {
            if let Act::Do(verb) = binding.act {
                offered.insert(verb);
            }
        }
    }
    let missing: Vec<_> = Verb::ALL.iter().filter(|verb| !offered.contains(verb)).collect();
    assert!(missing.is_empty(), "cannot be done from any screen: {missing:?}");
}
