//! The screen of a strip, and of the counter: what was handed in, when it is back, what is to be collected.

mod view;

use crossterm::event::KeyCode;

use super::board;
use super::keys::{Act, Binding, Press};
use super::offer;
use super::state::{Role, RowKey, State};
use super::verb::Verb;

pub use view::lines;

/// The jobs that can be chosen, in the order in which they are shown.
pub fn rows(state: &State) -> Vec<RowKey> {
    board::desk_order(state).into_iter().map(|job| RowKey::Job(job.job)).collect()
}

/// The keys of the home layer.
pub fn keys(state: &State) -> Vec<Binding> {
    let mut list = Vec::new();
    if !board::notices(&state.board, state.spot).is_empty() {
        list.push(Binding::verb(Verb::Confirm));
    }
    list.push(Binding::verb(Verb::HandIn));
    let (next, rest): (Vec<_>, Vec<_>) = of_chosen(state).into_iter().partition(|binding| binding.foot);
    list.extend(next);
    if state.home.pointer.at.is_some() {
        list.push(Binding::key(KeyCode::Enter, Act::Enter, "the item"));
    }
    list.push(Binding::verb(Verb::CallOut));
    if state.role == Role::Counter {
        list.push(Binding::new(Press::Digit, Act::Scan, "scan a tag"));
        list.push(Binding::verb(Verb::Count));
    } else {
        list.push(super::layer::tag());
    }
    let people = [Verb::FencerOut, Verb::Lend, Verb::LoanBack, Verb::Search, Verb::FencerIn];
    list.extend(people.map(Binding::verb));
    if state.role == Role::Counter {
        list.push(Binding { foot: false, ..Binding::verb(Verb::Exchange) });
    }
    list.extend(rest);
    list
}

/// What may be done with the chosen job works here too, without opening its card.
fn of_chosen(state: &State) -> Vec<Binding> {
    let chosen = state.subject().and_then(|id| state.job(id));
    let verbs = chosen.map(|job| offer::job_verbs(state.role, job)).unwrap_or_default();
    let shown = verbs.into_iter().filter(|verb| *verb != Verb::Confirm);
    // What comes next for it at the counter stands in the foot line too.
    let next = |verb| state.role == Role::Counter && matches!(verb, Verb::ScanIn | Verb::HandBack);
    shown.map(|verb| Binding { foot: next(verb), ..Binding::verb(verb) }).collect()
}
