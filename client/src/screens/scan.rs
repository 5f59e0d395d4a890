//! Tags, typed or scanned: a scanner types digits and Enter at any time.

use remise_core::armoury::State as JobState;
use remise_core::tag::{Tag, did_you_mean};

use super::board;
use super::keys::Act;
use super::layer::{Layer, List, Pick, Said, Sheet};
use super::open;
use super::send::{send, sentence};
use super::state::{Role, State, Task};

/// Longest row of digits that is kept.
const LONGEST: usize = 12;

/// The first digit of a tag.
pub fn begin(state: &mut State, typed: Option<char>) -> Vec<Task> {
    if let Some(digit) = typed.filter(char::is_ascii_digit) {
        state.sheets.push(Sheet::new(Layer::Scan(digit.to_string())));
    }
    Vec::new()
}

/// A key while digits are typed.
pub fn act(state: &mut State, act: Act, typed: Option<char>) -> Vec<Task> {
    let Some(Sheet { layer: Layer::Scan(digits), .. }) = state.sheets.last_mut() else { return Vec::new() };
    match (act, typed) {
        (Act::Type, Some(c)) if digits.len() < LONGEST => digits.push(c),
        (Act::Erase, _) => {
            digits.pop();
            if digits.is_empty() {
                state.sheets.pop();
            }
        }
        (Act::Enter, _) => {
            let typed = digits.clone();
            state.sheets.pop();
            // A list that an earlier tag led to is done with; a scanner never chooses from it.
            if matches!(state.top().map(|sheet| &sheet.layer), Some(Layer::List(_))) {
                state.sheets.pop();
            }
            return look_up(state, &typed);
        }
        _ => {}
    }
    Vec::new()
}

fn look_up(state: &mut State, typed: &str) -> Vec<Task> {
    let live = state.board.jobs.iter().filter_map(|job| job.tag);
    let near = did_you_mean(typed, live);
    let tag = match Tag::parse(typed) {
        Ok(tag) => tag,
        Err(problem) => {
            let mut lines = vec![sentence(&problem.to_string()), "Nothing was changed.".to_owned()];
            lines.extend(near.map(|near| format!("Did you mean {near}?")));
            state.sheets.push(Sheet::new(Layer::Said(Said::bad(format!("“{typed}” is no tag"), lines))));
            return Vec::new();
        }
    };
    let Some(job) = board::with_tag(&state.board, tag).cloned() else { return unknown(state, tag, near) };
    match (state.role, job.state) {
        (Role::Counter, JobState::OnItsWay) => {
            let what = format!("scanned in: {}", board::name(&job));
            return send(state, open::scan_in_command(job.job, None), what);
        }
        (Role::Counter, JobState::Ready | JobState::Withdrawn | JobState::CalledOff) => {
            let form = open::hand_back_form(state, &job);
            state.sheets.push(Sheet::new(Layer::Form(Box::new(form))));
        }
        (Role::Bench, JobState::Waiting | JobState::Curing) if state.in_hand().is_none() => {
            return open::take(state, job.job);
        }
        _ => state.sheets.push(Sheet::new(Layer::Job(job.job))),
    }
    Vec::new()
}

/// A tag that is tied to nothing on this board. At the counter it may be tied to what has come in.
fn unknown(state: &mut State, tag: Tag, near: Option<Tag>) -> Vec<Task> {
    let mut rows: Vec<(String, Pick)> =
        near.map(|near| (format!("Did you mean tag {near}?"), Pick::Look(near))).into_iter().collect();
    if state.role == Role::Counter {
        let untagged =
            state.board.jobs.iter().filter(|job| job.state == JobState::OnItsWay && job.tag.is_none());
        rows.extend(untagged.map(|job| {
            let from = board::spot(state.venue.as_ref(), job.came_from);
            let what = format!("scanned in with tag {tag}: {}", board::name(job));
            let command = open::scan_in_command(job.job, Some(tag));
            (format!("Tie it to: {} from {from}", board::name(job)), Pick::Send(Box::new(command), what))
        }));
        rows.push(("Hand in something new with this tag".to_owned(), Pick::HandIn(tag)));
    }
    if rows.is_empty() {
        return vec![Task::Search(tag.digits())];
    }
    let list = List { title: format!("Tag {tag} is on no item here"), rows, row: 0 };
    state.sheets.push(Sheet::new(Layer::List(list)));
    Vec::new()
}
