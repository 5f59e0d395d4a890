//! From one state to the next: what a message changes, and what has to be carried out. Pure: time comes in with
//! messages.

use crossterm::event::{KeyCode, KeyEvent};
use remise_core::armoury::{JobRef, Spot};
use remise_core::tag::Tag;
use remise_core::time::Stamp;
use remise_link::view::{Board, Course, VenueView, Welcome};

use super::keys::{self, Act};
use super::layer::{self, Layer, Sheet};
use super::state::{Home, Line, Msg, ReadFor, Role, RowKey, State, Task};
use super::{act, advice, bench, head, read, scan, send, strip, trial};

/// Takes a message in.
pub fn update(state: &mut State, msg: Msg) -> Vec<Task> {
    match msg {
        Msg::Tick(local) => tick(state, local),
        Msg::Key(key) => return press(state, key),
        Msg::Scan(digits) => return scan::came(state, &digits),
        Msg::Paste(text) => return paste(state, &text),
        Msg::Hello(welcome) => return hello(state, &welcome),
        Msg::Venue(venue) => set_venue(state, *venue),
        Msg::Board(board) => return take_board(state, *board),
        Msg::Away(since, why) => {
            let since = state.clock.of_local(since);
            if state.line == Line::Up || state.line == Line::Opening {
                state.line = Line::Away { since, why };
            }
        }
        Msg::Over(error) => {
            let why = format!("{} {}", send::sentence(&error.to_string()), error.hint());
            state.line = Line::Over { since: state.clock.now(), why };
        }
        Msg::Answered { ticket, sent, result } => return send::answered(state, ticket, sent, result),
        Msg::Course(why, result) => return read::course(state, why, *result),
        Msg::Found(text, result) => read::found(state, &text, *result),
        Msg::Tried(what, result) => trial::came(state, &what, *result),
        Msg::Night(result) => read::night(state, *result),
    }
    Vec::new()
}

/// A second has passed. A list that was seen to be empty has nothing that a person could still mean; and at a bench
/// where nobody has chosen, what stands first is what comes next, as soon as it can be seen to stand there.
fn tick(state: &mut State, local: Stamp) {
    state.clock.tick(local);
    let untouched = state.role == Role::Bench && !state.home.pointer.moved;
    let rows = rows(state);
    if state.home.pointer.tick(&rows) && (untouched || rows.is_empty()) {
        state.home.pointer.rest();
        settle_row(state);
    }
}

fn press(state: &mut State, key: KeyEvent) -> Vec<Task> {
    let Some(act) = keys::act_of(&layer::bindings(state), key) else { return Vec::new() };
    let typed = match key.code {
        KeyCode::Char(c) => Some(c),
        _ => None,
    };
    act::perform(state, act, typed)
}

/// A pasted tag is as good as a scanned one. Other texts go where letters go; where none go, nothing happens.
fn paste(state: &mut State, text: &str) -> Vec<Task> {
    const MOST: usize = 400;
    if Tag::parse(text.trim()).is_ok() {
        return scan::came(state, text.trim());
    }
    let takes_text = matches!(state.top().map(|sheet| &sheet.layer), Some(Layer::Form(_) | Layer::Proof(_)));
    if takes_text {
        for c in text.chars().filter(|c| !c.is_control()).take(MOST) {
            press(state, KeyEvent::from(KeyCode::Char(c)));
        }
    }
    Vec::new()
}

fn hello(state: &mut State, welcome: &Welcome) -> Vec<Task> {
    welcome.tournament.clone_into(&mut state.tournament);
    state.clock.set_zone(&welcome.zone);
    state.clock.heard(welcome.now);
    if state.role == Role::Strip && state.spot.is_none() {
        state.spot = welcome.strip.map(Spot::Strip);
    }
    if state.role == Role::Bench && state.bench.is_none() {
        state.bench = welcome.bench;
    }
    vec![Task::ReadVenue]
}

fn set_venue(state: &mut State, venue: VenueView) {
    venue.name.clone_into(&mut state.tournament);
    state.clock.set_zone(&venue.zone);
    state.venue = Some(venue);
}

fn take_board(state: &mut State, board: Board) -> Vec<Task> {
    state.clock.heard(board.at);
    let had = state.in_hand().is_some();
    state.board.apply(board);
    if had && state.in_hand().is_none() {
        // Whoever has finished a job takes the first in the lane, not the one that is still known from before.
        state.home = Home::default();
    }
    state.board_at = Some(state.clock.now());
    state.line = Line::Up;
    settle_row(state);
    advice::settle(state);
    ask_course(state)
}

/// The rows that can be chosen in the home layer.
pub fn rows(state: &State) -> Vec<RowKey> {
    match state.role {
        Role::Strip | Role::Counter => strip::rows(state),
        Role::Bench => bench::rows(state),
        Role::Head => head::rows(state),
    }
}

/// Keeps what is chosen chosen while it is there, in the home layer and in the lane over it.
pub fn settle_row(state: &mut State) {
    let rows = rows(state);
    state.home.pointer.settle(&rows);
    let lane = bench::lane_jobs(state);
    for Sheet { layer, .. } in &mut state.sheets {
        if let Layer::Lane(pointer) = layer {
            pointer.settle(&lane);
        }
    }
}

/// Chooses the row where the chosen one has gone.
pub fn choose_row(state: &mut State) {
    let rows = rows(state);
    state.home.pointer.choose(&rows);
}

/// A bench reads the course of its job in hand whenever something touched the job.
fn ask_course(state: &mut State) -> Vec<Task> {
    let Some(job) = state.in_hand() else { return Vec::new() };
    let wanted = (job.job, job.changed);
    if state.course_asked == Some(wanted) {
        return Vec::new();
    }
    if state.course_asked.is_none_or(|(job, _)| job != wanted.0) {
        state.home.fault = 0;
    }
    state.course_asked = Some(wanted);
    vec![Task::ReadCourse(JobRef::Job(wanted.0), ReadFor::Bench)]
}

/// The bench's course has come.
pub fn take_course(state: &mut State, course: Course) {
    for Sheet { layer, .. } in &mut state.sheets {
        if let Layer::Proof(proof) = layer
            && proof.job == course.job.job
        {
            proof.refresh(&course);
        }
    }
    state.course = Some(course);
    advice::settle(state);
}

/// Moves the chosen row of the home layer.
pub fn home_moves(state: &mut State, act: Act) {
    let rows = rows(state);
    match act::by(act) {
        0 => {}
        by => state.home.pointer.step(by, &rows),
    }
}
