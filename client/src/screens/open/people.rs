//! Fencers, call-outs, handing back, searching, counting.

use remise_core::armoury::{Command, Spot};
use remise_core::text::{NAME_MAX, NOTE_MAX};
use remise_link::view::JobView;

use super::{ask, fill, form, nothing};
use crate::screens::board;
use crate::screens::field::{Field, Name};
use crate::screens::form::{Form, Subject};
use crate::screens::options::{kinds, places};
use crate::screens::state::{State, Task};
use crate::screens::verb::Verb;

/// A field for somebody's name, with the names on the board.
fn person(state: &State, label: &str, hint: &str) -> Field {
    Field::text(Name::Person, label, hint, NAME_MAX).knowing(board::people(&state.board))
}

/// The fencer of the job that keys act on, to begin with.
fn somebody(state: &State) -> String {
    let job = state.subject().and_then(|id| state.job(id));
    job.filter(|job| !job.team).and_then(|job| job.fencer.clone()).unwrap_or_default()
}

/// A strip calls with one key and a yes; others say which strip.
pub fn call_out(state: &mut State) -> Vec<Task> {
    if let Some(Spot::Strip(strip)) = state.spot {
        let name = board::strip(state.venue.as_ref(), strip);
        let question = format!("Does {name} stand still, and somebody must come?");
        let lines = vec![
            "An armourer leaves a bench for it. For anything that can be carried, hand it in.".to_owned(),
        ];
        let command = Command::CallOut { strip, note: None };
        return ask(state, question, lines, command, format!("call-out to {name}"));
    }
    let fields = vec![
        Field::text(Name::Spot, "Strip", "The number of the strip that stands still.", NAME_MAX),
        Field::text(Name::Note, "What is wrong", "In a few words; may be empty.", NOTE_MAX),
    ];
    form(state, fill(Verb::CallOut, Subject::Room, "Call somebody to a strip", fields))
}

/// Out of the competition, or not out after all.
pub fn out_or_in(state: &mut State, verb: Verb) -> Vec<Task> {
    let (title, note) = match verb {
        Verb::FencerOut => (
            "A fencer is out of the competition",
            "The fencer's gear is still mended and handed back, after what is more urgent.",
        ),
        _ => ("A fencer is not out after all", "What the fencer still has counts again as it did before."),
    };
    let field = person(state, "Fencer", "The name, as it was handed in.").filled(&somebody(state));
    let mut sheet = fill(verb, Subject::Room, title, vec![field]);
    sheet.notes.push(note.to_owned());
    form(state, sheet)
}

/// Lent, or given back.
pub fn loan(state: &mut State, verb: Verb) -> Vec<Task> {
    let title = if verb == Verb::Lend { "Something was lent to a fencer" } else { "A loan came back" };
    let fields = vec![
        person(state, "Fencer", "To whom it was lent.").filled(&somebody(state)),
        Field::choice(Name::Kind, "Item", kinds()),
    ];
    form(state, fill(verb, Subject::Room, title, fields))
}

/// Hands the job back that keys act on.
pub fn hand_back(state: &mut State) -> Vec<Task> {
    let Some(job) = state.subject().and_then(|id| state.job(id)) else {
        return nothing(state, "Choose an item first");
    };
    let sheet = hand_back_form(state, job);
    form(state, sheet)
}

/// The form for handing back; the owner's name stands in it already.
pub fn hand_back_form(state: &State, job: &JobView) -> Form {
    let to = person(state, "Handed to", "The person who takes it, by name.")
        .filled(job.fencer.as_deref().unwrap_or(""));
    let mut sheet = fill(Verb::HandBack, Subject::Job(job.job), "", vec![to]);
    sheet.title = format!("Hand back {}", board::name(job));
    if job.state == remise_core::armoury::State::Withdrawn {
        sheet
            .notes
            .push("It is withdrawn: NOT FIT FOR USE. Say so, and do not let it be fenced with.".to_owned());
    }
    if job.state == remise_core::armoury::State::CalledOff {
        sheet.notes.push("It was called off: it may still be faulty. Say so.".to_owned());
    }
    if !job.owed.is_empty() {
        sheet.notes.push("A lasting repair is still owed on it: say so to the fencer.".to_owned());
    }
    sheet
}

/// Says whose an unknown item is.
pub fn claim(state: &mut State) -> Vec<Task> {
    let Some(id) = state.subject() else { return nothing(state, "Choose an item first") };
    let fields = vec![person(state, "Fencer", "Whose it is.")];
    form(state, fill(Verb::Claim, Subject::Job(id), "Whose is it?", fields))
}

/// Searches.
pub fn search(state: &mut State) -> Vec<Task> {
    let hint = "A tag, a name, a strip, or part of a remark.";
    let fields = vec![Field::text(Name::Note, "Find", hint, NAME_MAX)];
    form(state, fill(Verb::Search, Subject::Room, "Find open jobs", fields))
}

/// Counts what lies at one place.
pub fn count(state: &mut State) -> Vec<Task> {
    let fields = vec![
        Field::choice(Name::Where, "Place", places(state)),
        Field::text(Name::Tags, "Tag", "Scan each tag. Enter on an empty line sends the count.", 20),
    ];
    let mut sheet = fill(Verb::Count, Subject::Room, "Count what lies at one place", fields);
    sheet.notes.push(
        "Scan every item there, then press Enter on the empty line. Nothing scanned = the place is empty."
            .into(),
    );
    form(state, sheet)
}

/// Two tags are on each other's items.
pub fn exchange(state: &mut State) -> Vec<Task> {
    let first = state.subject().and_then(|id| state.job(id)).and_then(|job| job.tag);
    let fields = vec![
        Field::text(Name::Tag, "Tag", "One of the two tags.", 20)
            .filled(&first.map(remise_core::tag::Tag::digits).unwrap_or_default()),
        Field::text(Name::OtherTag, "Other tag", "The tag that is on the other item.", 20),
    ];
    form(state, fill(Verb::Exchange, Subject::Room, "Two tags are on each other's items", fields))
}
