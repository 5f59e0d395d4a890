//! The screen of a bench: the job in hand and what it needs, or what to take next.

mod card;
mod digits;
mod lane;
mod ways;

use crossterm::event::KeyCode;
use ratatui::text::Line;
use remise_core::ids::JobId;
use remise_link::view::{CallState, CallView, JobView};

use super::act::moved;
use super::faults;
use super::keys::{self, Act, Binding, Press};
use super::layer;
use super::paint::Pane;
use super::pointer::Pointer;
use super::state::{RowKey, State};
use super::verb::Verb;

pub use card::beside;
pub use lane::{lane_jobs, lane_lines};

/// The jobs that can be chosen while nothing is in hand: the lane, what is dry or drying, then what else waits.
pub fn rows(state: &State) -> Vec<RowKey> {
    lane_jobs(state).into_iter().map(RowKey::Job).collect()
}

/// The call-out that this bench is on.
pub fn call(state: &State) -> Option<&CallView> {
    state.board.calls.iter().flatten().find(|call| Some(call.bench) == state.bench)
}

/// The body's lines.
pub fn lines(state: &State, pane: Pane) -> Vec<Line<'static>> {
    match state.in_hand() {
        Some(job) => card::lines(state, job, pane),
        None => lane::home_lines(state, pane),
    }
}

/// The keys of the home layer.
pub fn keys(state: &State) -> Vec<Binding> {
    let mut list = Vec::new();
    if let Some(call) = call(state) {
        let verb = if call.state == CallState::Called { Verb::Reached } else { Verb::Running };
        list.push(Binding::verb(verb));
    }
    match state.in_hand() {
        Some(job) => list.extend(in_hand_keys(state, job)),
        None => list.extend(idle_keys(state)),
    }
    let view = state.bench.and_then(|bench| state.board.bench(bench));
    let away = view.is_some_and(|view| view.away_until.is_some());
    list.push(Binding::verb(if away { Verb::ComeBack } else { Verb::GoAway }));
    let rare = [Verb::HandIn, Verb::CallOut, Verb::Search];
    list.extend(rare.map(|verb| Binding { foot: false, ..Binding::verb(verb) }));
    list
}

fn in_hand_keys(state: &State, job: &JobView) -> Vec<Binding> {
    // A tag that begins with 0 can be typed here; others are scanned.
    let mut list = vec![Binding::new(Press::Number, Act::Pick, "finding"), layer::tag()];
    list.push(Binding::quiet(Press::Key(KeyCode::Enter), Act::Enter, "finding of the chosen fault"));
    let main = [
        Verb::NextCheck,
        Verb::Repair,
        Verb::Cure,
        Verb::Prove,
        Verb::Ready,
        Verb::NoFault,
        Verb::Withdraw,
        Verb::Cautions,
    ];
    list.extend(main.map(Binding::verb));
    let hold = if job.hold.is_some() { Verb::Release } else { Verb::Hold };
    let clock = if is_interrupted(state) { Verb::Resume } else { Verb::Interrupt };
    list.extend([Verb::PutBack, Verb::PassOn, Verb::Lane, clock].map(Binding::verb));
    let rare = [Verb::Elsewhere, hold, Verb::Course, Verb::Confiscate, Verb::Missing, Verb::Correct];
    list.extend(rare.map(|verb| Binding { foot: false, ..Binding::verb(verb) }));
    list
}

/// Whether the armourer was called away from the job in hand.
pub fn is_interrupted(state: &State) -> bool {
    state.bench.and_then(|bench| state.board.bench(bench)).is_some_and(|view| view.interrupted)
}

fn idle_keys(state: &State) -> Vec<Binding> {
    let mut list = Vec::new();
    if !state.is_unchosen() {
        list.push(Binding::verb(Verb::Take));
    }
    if state.home.pointer.at.is_some() {
        list.push(Binding::key(KeyCode::Enter, Act::Enter, "the item"));
    }
    list.push(Binding::new(Press::Digit, Act::Scan, "scan a tag: take it"));
    list
}

/// The keys of the lane.
pub fn lane_keys(state: &State, pointer: &Pointer<JobId>) -> Vec<Binding> {
    let mut list = Vec::new();
    if pointer.gone && !lane_jobs(state).is_empty() {
        list.push(keys::choose_again());
    } else if pointer.at.is_some() {
        list.push(Binding::key(KeyCode::Enter, Act::Enter, "the item"));
    }
    list.push(layer::tag());
    list.extend(keys::moving());
    list.extend(keys::leaving());
    list
}

/// Moves the chosen fault.
pub fn move_fault(state: &mut State, act: Act) {
    let faults = state.in_hand().map_or(0, |job| faults::listed(job).len());
    state.home.fault = moved(state.home.fault, faults, act);
}

/// The job that the bench should take next, as its lane shows it.
pub fn first(state: &State) -> Option<JobId> {
    lane_jobs(state).first().copied()
}
