//! The head armourer's moves.

use remise_core::armoury::{Command, OwedEnd};
use remise_core::text::NOTE_MAX;

use super::{ask, fill, form, nothing};
use crate::screens::board;
use crate::screens::field::{Field, Name, Value};
use crate::screens::form::Subject;
use crate::screens::options::{benches, option, words};
use crate::screens::read::owed_text;
use crate::screens::state::{RowKey, State, Task};
use crate::screens::verb::Verb;

/// Moves of one job.
pub fn of_job(state: &mut State, verb: Verb) -> Vec<Task> {
    let Some(job) = state.subject().and_then(|id| state.job(id)).cloned() else {
        return nothing(state, "Choose an item first");
    };
    let about = Subject::Job(job.job);
    let reason = |hint: &str| Field::text(Name::Note, "Reason", hint, NOTE_MAX);
    // Benches come first, so that a bench's own number chooses it.
    let mut any = benches(state);
    any.push(option("no bench in particular", Value::Nothing));
    let mut sheet = match verb {
        Verb::Pin => fill(verb, about, "Keep it for one bench", vec![Field::choice(Name::Bench, "For", any)]),
        Verb::TakeOver => {
            let to = Field::choice(Name::Bench, "Give it to", any);
            fill(verb, about, "Take over", vec![to, reason("Why it is taken from its bench.")])
        }
        _ => {
            let mut sheet = fill(
                verb,
                about,
                "Ready without a complete proof",
                vec![reason("Why it may go all the same.")],
            );
            sheet.notes.push("Your name stands for it. Never for a blade or a mask that failed.".to_owned());
            sheet.notes.push(remise_core::rules::CLOSING.to_owned());
            sheet
        }
    };
    sheet.title = format!("{}: {}", sheet.title, board::name(&job));
    form(state, sheet)
}

/// Moves of a bench, a call-out or something owed: whichever row is chosen.
pub fn of_row(state: &mut State, verb: Verb) -> Vec<Task> {
    match (verb, state.home.pointer.at) {
        (Verb::OpenBench, Some(RowKey::Bench(bench))) => {
            let name = board::bench(state.venue.as_ref(), bench);
            let lines = vec!["It stays open until you close it.".to_owned()];
            ask(
                state,
                format!("Open {name} now?"),
                lines,
                Command::OpenBench { bench },
                format!("open {name}"),
            )
        }
        (Verb::CloseBench, Some(RowKey::Bench(bench))) => {
            let name = board::bench(state.venue.as_ref(), bench);
            let when = Field::text(Name::Time, "At", "14:00, or +30 for minutes from now. Empty: now.", 20);
            let mut sheet = fill(verb, Subject::Bench(bench), &format!("Close {name}"), vec![when]);
            sheet.notes.push("What waits there then goes to the other benches.".to_owned());
            form(state, sheet)
        }
        (Verb::Redirect, Some(RowKey::Call(call))) => {
            let fields = vec![Field::choice(Name::Bench, "Send", benches(state))];
            form(state, fill(verb, Subject::Call(call), "Send somebody else to the strip", fields))
        }
        (Verb::EndOwed, Some(RowKey::Owed(owed))) => {
            let ends = words(OwedEnd::ALL, OwedEnd::title, Value::End);
            let fields = vec![Field::choice(Name::End, "It is", ends)];
            let known = state.board.owed.iter().flatten().find(|one| one.owed == owed);
            let title = known.map_or_else(String::new, |one| format!(": {}", owed_text(one)));
            form(state, fill(verb, Subject::Owed(owed), &format!("End what is owed{title}"), fields))
        }
        _ => nothing(state, "Choose a bench, a call-out or something owed first"),
    }
}

/// Closes the day.
pub fn close_day(state: &mut State) -> Vec<Task> {
    let lines = vec![
        "Every place must have been counted since it last changed; the night list says what stands in the way.".into(),
        "Jobs that are still open stay open for the next day.".into(),
    ];
    ask(state, "Close the day?".into(), lines, Command::CloseDay, "close the day".into())
}
