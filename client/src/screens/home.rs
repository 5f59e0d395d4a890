//! Keys of the home layers and of the lane.

use remise_core::ids::JobId;

use super::act::by;
use super::keys::Act;
use super::layer::{Layer, Said, Sheet};
use super::state::{Role, State, Task};
use super::{bench, head, open, update};

/// What a key does in the home layer.
pub fn act(state: &mut State, act: Act, typed: Option<char>) -> Vec<Task> {
    match (act, state.role) {
        (Act::Pick, Role::Bench) => {
            let digit = typed.and_then(|c| c.to_digit(10)).unwrap_or(0) as usize;
            return open::finding(state, digit.saturating_sub(1));
        }
        (Act::Next, Role::Head) => head::section(state, 1),
        (Act::Previous, Role::Head) => head::section(state, -1),
        (Act::Enter, Role::Bench) if state.in_hand().is_some() => {
            return open::finding(state, state.home.fault);
        }
        (Act::Enter, _) => return enter(state),
        (other, Role::Bench) if state.in_hand().is_some() => bench::move_fault(state, other),
        (other, _) => update::home_moves(state, other),
    }
    Vec::new()
}

fn enter(state: &mut State) -> Vec<Task> {
    if state.is_unchosen() {
        update::choose_row(state);
    } else if let Some(id) = state.chosen_job() {
        state.sheets.push(Sheet::new(Layer::Job(id)));
    }
    Vec::new()
}

/// A key that would act on a row, while none is chosen.
pub fn unchosen(state: &mut State) -> Vec<Task> {
    let lines = vec![
        "What you had chosen has left this list, and nothing was sent.".to_owned(),
        "Then Enter chooses what stands in its place; Up and Down choose too.".to_owned(),
    ];
    state.sheets.push(Sheet::new(Layer::Said(Said::note("Choose a line first", lines))));
    Vec::new()
}

/// What a key does in the lane.
pub fn lane_act(state: &mut State, act: Act) -> Vec<Task> {
    let rows: Vec<JobId> = bench::lane_jobs(state);
    let Some(Sheet { layer: Layer::Lane(pointer), .. }) = state.sheets.last_mut() else { return Vec::new() };
    match act {
        Act::Enter if pointer.gone => pointer.choose(&rows),
        Act::Enter => {
            let chosen = pointer.at;
            state.sheets.extend(chosen.map(|id| Sheet::new(Layer::Job(id))));
        }
        other => pointer.step(by(other), &rows),
    }
    Vec::new()
}
