//! Sending commands, and what becomes of their answers. Nothing is shown as done before the server said so.

use remise_core::armoury::Command;
use remise_link::{Accepted, LinkError, Sent};

use super::layer::{Ask, Layer, Said, Sheet, Yes};
use super::state::{Done, Pending, State, Task};
use super::text::capital;

/// Sends; no layer waits for it.
pub fn send(state: &mut State, command: Command, what: String) -> Vec<Task> {
    let ticket = ticket(state, what);
    vec![Task::Send { ticket, command: Box::new(command) }]
}

/// Sends; the topmost layer waits for the answer.
pub fn send_from_top(state: &mut State, command: Command, what: String) -> Vec<Task> {
    let ticket = ticket(state, what);
    if let Some(sheet) = state.sheets.last_mut() {
        sheet.waiting = Some(ticket);
    }
    vec![Task::Send { ticket, command: Box::new(command) }]
}

/// Sends the same once more, under its first id.
pub fn send_again(state: &mut State, sent: Box<Sent>, what: String) -> Vec<Task> {
    let ticket = ticket(state, what);
    vec![Task::SendAgain { ticket, sent }]
}

fn ticket(state: &mut State, what: String) -> u64 {
    state.tickets += 1;
    let ticket = state.tickets;
    state.pending.push(Pending { ticket, what });
    ticket
}

/// A command was answered.
pub fn answered(
    state: &mut State,
    ticket: u64,
    sent: Box<Sent>,
    result: Result<Accepted, LinkError>,
) -> Vec<Task> {
    let Some(at) = state.pending.iter().position(|pending| pending.ticket == ticket) else {
        return Vec::new();
    };
    let what = state.pending.remove(at).what;
    tell_proof(state, ticket, result.is_ok());
    let waiting = state.sheets.iter().position(|sheet| sheet.waiting == Some(ticket));
    match result {
        Ok(accepted) => {
            if let Some(at) = waiting {
                finish(state, at);
            }
            state.done = Some(Done { at: state.clock.now(), what });
            advise(state, &accepted);
        }
        Err(error) => {
            let kept = waiting.is_some_and(|at| stop_waiting(state, at));
            refused(state, sent, &error, what, kept);
        }
    }
    Vec::new()
}

/// The layer that waited is done.
fn finish(state: &mut State, at: usize) {
    drop_leave_question(state, at);
    state.sheets.remove(at);
}

/// A check of a proof was answered.
fn tell_proof(state: &mut State, ticket: u64, recorded: bool) {
    for sheet in &mut state.sheets {
        if let Layer::Proof(proof) = &mut sheet.layer {
            proof.answered(ticket, recorded);
        }
    }
}

/// The layer can be corrected and sent again, unless it is a question: that has nothing to keep.
fn stop_waiting(state: &mut State, at: usize) -> bool {
    state.sheets[at].waiting = None;
    drop_leave_question(state, at);
    let keeps = !matches!(state.sheets[at].layer, Layer::Ask(_));
    if !keeps {
        state.sheets.remove(at);
    }
    keeps
}

/// Somebody was being asked whether to leave it: that is settled now.
fn drop_leave_question(state: &mut State, at: usize) {
    let above = state.sheets.get(at + 1).map(|sheet| &sheet.layer);
    if matches!(above, Some(Layer::Ask(Ask { yes: Yes::Discard, .. }))) {
        state.sheets.remove(at + 1);
    }
}

fn advise(state: &mut State, accepted: &Accepted) {
    if !accepted.advice.is_empty() {
        let said = Said::note("Done. Please note:", accepted.advice.clone());
        state.sheets.push(Sheet::new(Layer::Said(said)));
    }
}

fn refused(state: &mut State, sent: Box<Sent>, error: &LinkError, what: String, kept: bool) {
    let title =
        if error.is_unsure() { format!("Not known to be done: {what}") } else { format!("Not done: {what}") };
    let mut lines = vec![sentence(&error.to_string()), error.unharmed().to_owned()];
    if !error.hint().is_empty() {
        lines.push(hint(error).to_owned());
    }
    if error.is_unsure() && kept {
        lines.push("Before you fill the form in anew, look whether it is on the board.".to_owned());
    }
    let mut said = Said::bad(title, lines);
    said.from_below = kept;
    if error.may_retry() || error.is_unsure() {
        said.again = Some((sent, what));
    }
    // The same told twice is read once.
    let said = Layer::Said(said);
    state.sheets.retain(|sheet| kept || sheet.layer != said);
    state.sheets.push(Sheet::new(said));
}

/// What to do next, in terms of this screen's keys.
fn hint(error: &LinkError) -> &str {
    match error {
        LinkError::Away { .. } => "Check the network and the server, then press r to send it again.",
        LinkError::Expired { .. } => "Press r to send it again.",
        LinkError::Overloaded { .. } => "Wait a moment, then press r.",
        other => other.hint(),
    }
}

/// An error of a read: what happened, what is unharmed, what to do.
pub fn read_failed(state: &mut State, what: &str, error: &LinkError) {
    let lines = vec![
        sentence(&error.to_string()),
        "Nothing was changed.".to_owned(),
        "Try again in a moment.".to_owned(),
    ];
    state.sheets.push(Sheet::new(Layer::Said(Said::bad(format!("{what} could not be read"), lines))));
}

/// As a sentence: a capital at its beginning, a full stop at its end.
pub fn sentence(text: &str) -> String {
    let text = capital(text.trim());
    if text.ends_with(['.', '!', '?']) { text } else { format!("{text}.") }
}
