//! What a verb opens: a form, a question, a list; or the command at once where nothing more is to be said.

mod bench;
mod handin;
mod head;
mod job;
mod people;

use remise_core::armoury::Command;

use super::field::Field;
use super::form::{Form, Subject};
use super::layer::{Ask, Layer, Said, Sheet, Yes};
use super::send;
use super::state::{State, Task};
use super::verb::Verb;

pub use bench::{finding, take, taken};
pub use handin::another;
pub use job::{correct_form, fault_title, scan_in_command};
pub use people::hand_back_form;

/// Begins what the verb does.
pub fn begin(state: &mut State, verb: Verb) -> Vec<Task> {
    use Verb as V;
    match verb {
        V::HandIn => handin::open(state, None),
        V::CallOut => people::call_out(state),
        V::FencerOut | V::FencerIn => people::out_or_in(state, verb),
        V::Lend | V::LoanBack => people::loan(state, verb),
        V::HandBack => people::hand_back(state),
        V::Claim => people::claim(state),
        V::Search => people::search(state),
        V::Count => people::count(state),
        V::Exchange => people::exchange(state),
        V::Confirm => job::confirm(state),
        V::ScanIn
        | V::BackTo
        | V::WantBy
        | V::Need
        | V::CallOff
        | V::Missing
        | V::FoundAgain
        | V::CollectedUnseen
        | V::Confiscate
        | V::Hold
        | V::Release
        | V::Course
        | V::Correct => job::open(state, verb),
        V::Pin | V::TakeOver | V::ReadyAnyway => head::of_job(state, verb),
        V::OpenBench | V::CloseBench | V::Redirect | V::EndOwed => head::of_row(state, verb),
        V::Night => vec![Task::ReadNight],
        V::CloseDay => head::close_day(state),
        _ => bench::open(state, verb),
    }
}

/// Hand in with a tag that was scanned and is tied to nothing.
pub fn hand_in_with(state: &mut State, tag: remise_core::tag::Tag) -> Vec<Task> {
    handin::open(state, Some(tag))
}

/// Puts a form on top.
pub(super) fn form(state: &mut State, form: Form) -> Vec<Task> {
    state.sheets.push(Sheet::new(Layer::Form(Box::new(form))));
    Vec::new()
}

/// A form of a few fields.
pub(super) fn fill(verb: Verb, about: Subject, title: &str, fields: Vec<Field>) -> Form {
    Form::new(verb, about, title, fields)
}

/// Puts a question on top, whose yes sends a command.
pub(super) fn ask(
    state: &mut State,
    question: String,
    lines: Vec<String>,
    command: Command,
    what: String,
) -> Vec<Task> {
    let yes = Yes::Send(Box::new(command), what);
    state.sheets.push(Sheet::new(Layer::Ask(Ask { question, lines, yes })));
    Vec::new()
}

/// Says that there is nothing to act on.
pub(super) fn nothing(state: &mut State, why: &str) -> Vec<Task> {
    let said = Said::note(why, vec!["Nothing was sent.".to_owned()]);
    state.sheets.push(Sheet::new(Layer::Said(said)));
    Vec::new()
}

/// Sends at once.
pub(super) fn at_once(state: &mut State, command: Command, what: String) -> Vec<Task> {
    send::send(state, command, what)
}
