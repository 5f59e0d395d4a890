//! What a key does in the layer that has it.

use remise_core::armoury::{Command, JobRef};

use super::field::{Moved, Name};
use super::form::Form;
use super::keys::Act;
use super::layer::{Ask, Layer, List, Pick, Reader, Said, Sheet, Yes};
use super::proof::Reads;
use super::send::{send, send_again, send_from_top};
use super::state::{State, Task};
use super::submit::{self, Ready};
use super::{advice, help, home, open, scan, trial};

/// Does what a key stands for.
pub fn perform(state: &mut State, act: Act, typed: Option<char>) -> Vec<Task> {
    match act {
        Act::Quit => return quit(state),
        Act::Help => return help::open(state),
        Act::Back => return back(state),
        Act::Do(verb) => return open::begin(state, verb),
        Act::Reconnect => return vec![Task::Reconnect],
        Act::Scan => return scan::begin(state, typed),
        Act::Try => return trial::begin(state),
        Act::Unchosen => return home::unchosen(state),
        _ => {}
    }
    let Some(sheet) = state.sheets.last_mut() else { return home::act(state, act, typed) };
    match &mut sheet.layer {
        Layer::Help(reader) | Layer::Reader(reader) => reader.scroll(act),
        Layer::Form(_) => return in_form(state, act, typed),
        Layer::Proof(proof) => match (act, typed) {
            (Act::Enter, _) => return record(state),
            (Act::Next, _) => proof.step(true),
            (Act::Previous, _) => proof.step(false),
            (Act::Type, Some(c)) => proof.put(c),
            (other, _) => proof.edit(other),
        },
        Layer::Ask(_) => return yes(state),
        Layer::Said(_) => return again(state),
        Layer::List(list) => match act {
            Act::Enter => return choose(state),
            other => list.row = moved(list.row, list.rows.len(), other),
        },
        Layer::Scan(_) => return scan::act(state, act, typed),
        Layer::Job(_) => {}
        Layer::Lane(_) => return home::lane_act(state, act),
        Layer::Finding(..) => return found(state, act),
        Layer::Check { .. } => return advice::answer(state, act, typed),
    }
    Vec::new()
}

/// Records what the check of a possible fault showed. The mark beside the fault comes with the server's answer; the
/// next key must not wait for it.
fn found(state: &mut State, act: Act) -> Vec<Task> {
    let (Some(Sheet { layer: Layer::Finding(job, fault), .. }), Act::Show(showed)) =
        (state.sheets.last(), act)
    else {
        return Vec::new();
    };
    let (job, fault) = (JobRef::Job(*job), (*fault).to_owned());
    let what = format!("{showed}: {}", open::fault_title(&fault));
    state.sheets.pop();
    send(state, Command::Find { job, fault, showed, note: None }, what)
}

/// A chosen line after a key that moves.
pub fn moved(row: usize, rows: usize, act: Act) -> usize {
    row.saturating_add_signed(by(act)).min(rows.saturating_sub(1))
}

/// What a number key chooses, from 1.
pub fn numbered<T>(typed: Option<char>, list: &[T]) -> Option<&T> {
    list.get((typed?.to_digit(10)? as usize).checked_sub(1)?)
}

/// How many lines down a key moves.
pub fn by(act: Act) -> isize {
    match act {
        Act::Up => -1,
        Act::Down => 1,
        Act::PageUp => -10,
        Act::PageDown => 10,
        _ => 0,
    }
}

impl Reader {
    fn scroll(&mut self, act: Act) {
        self.from = moved(self.from, self.lines.len(), act);
    }
}

fn quit(state: &mut State) -> Vec<Task> {
    if state.sheets.iter().any(|sheet| matches!(&sheet.layer, Layer::Ask(Ask { yes: Yes::Quit, .. }))) {
        return Vec::new();
    }
    let mut lines =
        vec!["What the server has recorded stays; the screen can be opened again at any time.".to_owned()];
    if !state.pending.is_empty() {
        lines.push("Something is still being sent: it may not arrive.".to_owned());
    }
    if state.sheets.iter().any(is_typed) {
        lines.push("What you have typed and not sent is lost.".to_owned());
    }
    let ask = Ask { question: "Quit?".to_owned(), lines, yes: Yes::Quit };
    state.sheets.push(Sheet::new(Layer::Ask(ask)));
    Vec::new()
}

/// Whether something was typed there that would be lost with it.
pub fn is_typed(sheet: &Sheet) -> bool {
    match &sheet.layer {
        Layer::Form(form) => form.touched,
        Layer::Proof(proof) => proof.touched(),
        _ => false,
    }
}

/// One layer back; what was typed is not dropped without asking.
fn back(state: &mut State) -> Vec<Task> {
    let Some(sheet) = state.sheets.last() else { return Vec::new() };
    let question = match sheet.waiting {
        Some(_) => Some("It is still being sent. Leave it, and drop what was typed here?"),
        None if is_typed(sheet) => Some("Drop what you have typed?"),
        None => None,
    };
    let Some(question) = question else {
        state.sheets.pop();
        return Vec::new();
    };
    let lines = if sheet.waiting.is_some() {
        vec!["It goes on being sent; you are told what becomes of it.".to_owned()]
    } else {
        vec!["Nothing of it was sent.".to_owned()]
    };
    let ask = Ask { question: question.to_owned(), lines, yes: Yes::Discard };
    state.sheets.push(Sheet::new(Layer::Ask(ask)));
    Vec::new()
}

fn yes(state: &mut State) -> Vec<Task> {
    let Some(Sheet { layer: Layer::Ask(ask), .. }) = state.sheets.last() else { return Vec::new() };
    match ask.yes.clone() {
        Yes::Send(command, what) => send_from_top(state, *command, what),
        Yes::Quit => {
            state.over = true;
            Vec::new()
        }
        Yes::Discard => {
            state.sheets.pop();
            state.sheets.pop();
            Vec::new()
        }
    }
}

/// Sends the same once more; the form that it came from waits for it again.
fn again(state: &mut State) -> Vec<Task> {
    let Some(Sheet { layer: Layer::Said(Said { again: Some((sent, what)), from_below, .. }), .. }) =
        state.sheets.last()
    else {
        return Vec::new();
    };
    let (sent, what, from_below) = (sent.clone(), what.clone(), *from_below);
    state.sheets.pop();
    let tasks = send_again(state, sent, what);
    let ticket = state.tickets;
    if let Some(below) = state.sheets.last_mut().filter(|_| from_below) {
        below.waiting = Some(ticket);
    }
    tasks
}

/// Does what the chosen line of a list says; the list goes, except under a question.
fn choose(state: &mut State) -> Vec<Task> {
    let Some(Sheet { layer: Layer::List(List { rows, row, .. }), .. }) = state.sheets.last() else {
        return Vec::new();
    };
    let Some((_, pick)) = rows.get(*row).cloned() else { return Vec::new() };
    state.sheets.pop();
    match pick {
        Pick::Open(job) => state.sheets.push(Sheet::new(Layer::Job(job))),
        Pick::Fill(form) => state.sheets.push(Sheet::new(Layer::Form(form))),
        Pick::HandIn(tag) => return open::hand_in_with(state, tag),
        Pick::Send(command, what) => return send(state, *command, what),
        Pick::Look(tag) => return vec![Task::Search(tag.digits())],
    }
    Vec::new()
}

fn form_of(state: &mut State) -> Option<&mut Form> {
    match &mut state.sheets.last_mut()?.layer {
        Layer::Form(form) => Some(form),
        _ => None,
    }
}

/// A key in a form.
pub fn in_form(state: &mut State, act: Act, typed: Option<char>) -> Vec<Task> {
    let Some(form) = form_of(state) else { return Vec::new() };
    match (act, typed) {
        (Act::Enter, _) => return enter(state),
        (Act::SendNow, _) => return submit(state),
        (Act::Another, _) => submit::another(state),
        (Act::Complete, _) => form.complete(),
        (Act::Next, _) => {
            form.next();
        }
        (Act::Previous, _) => form.previous(),
        (Act::Type, Some(c)) => {
            if form.put(c) == Moved::Done && !form.next() && form.fields.len() == 1 {
                return submit(state);
            }
        }
        (other, _) => form.edit(other),
    }
    Vec::new()
}

/// On to the next field, or off when there is none. A count takes one tag after the other.
fn enter(state: &mut State) -> Vec<Task> {
    let Some(form) = form_of(state) else { return Vec::new() };
    let counting = form.focused().is_some_and(|field| field.name == Name::Tags);
    if counting && form.typed(Name::Tags).is_some() {
        submit::count_tag(form);
        return Vec::new();
    }
    if form.next() { Vec::new() } else { submit(state) }
}

fn submit(state: &mut State) -> Vec<Task> {
    let Some(Sheet { layer: Layer::Form(form), .. }) = state.sheets.last() else { return Vec::new() };
    match submit::read(state, form) {
        Ok(Ready::Send(command, what)) => send_from_top(state, *command, what),
        Ok(Ready::Search(text)) => {
            state.sheets.pop();
            vec![Task::Search(text)]
        }
        Err((name, why)) => {
            if let Some(form) = form_of(state) {
                form.refuse(name, why);
            }
            Vec::new()
        }
    }
}

/// Records the chosen check of the proof.
fn record(state: &mut State) -> Vec<Task> {
    let edition = state.venue.as_ref().map(|venue| venue.edition.clone()).unwrap_or_default();
    let Some(Sheet { layer: Layer::Proof(proof), .. }) = state.sheets.last_mut() else { return Vec::new() };
    let Some(row) = proof.rows.get(proof.row).filter(|row| row.sending.is_none()) else { return Vec::new() };
    match row.reads(&edition) {
        Reads::Good(answer, _) => {
            let (check, title) = (row.check.check.clone(), row.check.title.clone());
            let job = JobRef::Job(proof.job);
            let tasks =
                send(state, Command::Prove { job, check, answer }, format!("check recorded: {title}"));
            let ticket = state.tickets;
            if let Some(Sheet { layer: Layer::Proof(proof), .. }) = state.sheets.last_mut() {
                proof.sent(ticket);
            }
            tasks
        }
        Reads::Bad(why) => {
            proof.problem = Some(why);
            Vec::new()
        }
        Reads::Nothing => {
            proof.problem = Some("Type p for pass, f for fail, or the reading.".to_owned());
            Vec::new()
        }
    }
}
