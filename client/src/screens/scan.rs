//! Tags, typed or scanned: a scanner types digits and Enter at any time.

use remise_core::armoury::{Command, State as JobState};
use remise_core::tag::{Tag, did_you_mean};
use remise_link::view::JobView;

use super::act::{in_form, is_typed};
use super::field::Name;
use super::keys::Act;
use super::layer::{Layer, Pick, Said, Sheet, Yes};
use super::send::{send, sentence};
use super::state::{Role, State, Task};
use super::verb::Verb;
use super::{board, open, submit};

/// Longest row of digits that is kept.
const LONGEST: usize = 12;
/// Most layers that a tag is put over.
const DEEPEST: usize = 4;

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
            return came(state, &typed);
        }
        _ => {}
    }
    Vec::new()
}

/// A tag has come, from a scanner or typed: at any moment, whatever is open. A form that asks for a tag takes it.
/// Otherwise what is only being looked at makes room, and what was typed or asked stays below.
pub fn came(state: &mut State, typed: &str) -> Vec<Task> {
    loop {
        if let Some(tasks) = into_form(state, typed) {
            return tasks;
        }
        if !state.top().is_some_and(|sheet| sheet.waiting.is_none() && !is_kept(sheet)) {
            break;
        }
        state.sheets.pop();
    }
    if state.sheets.len() >= DEEPEST {
        let lines =
            vec!["Too much is open at once. Finish or close something, then scan it again.".to_owned()];
        let said = Said::passing(format!("{typed} was scanned and not looked up"), lines);
        state.sheets.push(Sheet::new(Layer::Said(said)));
        return Vec::new();
    }
    look_up(state, typed)
}

/// What must not go for a tag that came: something typed, a question about work, something that must be read. Who scans
/// when asked whether to leave has answered: no.
fn is_kept(sheet: &Sheet) -> bool {
    match &sheet.layer {
        Layer::Ask(ask) => matches!(ask.yes, Yes::Send(..)),
        Layer::Said(said) => !said.passing,
        _ => is_typed(sheet),
    }
}

/// The open form takes the tag, if it has a place for it.
fn into_form(state: &mut State, typed: &str) -> Option<Vec<Task>> {
    let Some(Sheet { layer: Layer::Form(form), waiting: None }) = state.sheets.last_mut() else {
        return None;
    };
    let here = form.focused()?.name;
    let digits_only = here == Name::Item || here == Name::Note && form.verb == Verb::Search;
    if form.field(Name::Tags).is_some() {
        form.put_text(Name::Tags, typed);
        submit::count_tag(form);
        return Some(Vec::new());
    }
    if matches!(here, Name::Tag | Name::OtherTag) || digits_only {
        form.put_text(here, typed);
        return Some(in_form(state, Act::Enter, None));
    }
    form.field(Name::Tag)?;
    let before = form.typed(Name::Tag).filter(|before| before != typed);
    form.put_text(Name::Tag, typed);
    form.problem = before.map(|before| (None, format!("tag {typed} has taken the place of {before}")));
    Some(Vec::new())
}

fn look_up(state: &mut State, typed: &str) -> Vec<Task> {
    let live = state.board.jobs.iter().filter_map(|job| job.tag);
    let near = did_you_mean(typed, live);
    let tag = match Tag::parse(typed) {
        Ok(tag) => tag,
        Err(problem) => {
            let mut lines = vec![sentence(&problem.to_string()), "Nothing was changed.".to_owned()];
            lines.extend(near.map(|near| format!("Did you mean {near}?")));
            state.sheets.push(Sheet::new(Layer::Said(Said::passing(format!("“{typed}” is no tag"), lines))));
            return Vec::new();
        }
    };
    // What this board does not show may be anywhere in the house.
    let Some(job) = board::with_tag(&state.board, tag).cloned() else {
        return vec![Task::Search(tag.digits())];
    };
    match (state.role, job.state) {
        (Role::Counter, JobState::OnItsWay) => {
            let what = format!("scanned in: {}", board::name(&job));
            return once(state, open::scan_in_command(job.job, None), what);
        }
        (Role::Counter, JobState::Ready | JobState::Withdrawn | JobState::CalledOff) => {
            let form = open::hand_back_form(state, &job);
            state.sheets.push(Sheet::new(Layer::Form(Box::new(form))));
        }
        (Role::Bench, JobState::Waiting | JobState::Curing) if state.in_hand().is_none() => {
            if state.pending.iter().any(|pending| pending.what == open::taken(&job)) {
                return Vec::new();
            }
            return open::take(state, job.job);
        }
        _ => state.sheets.push(Sheet::new(Layer::Job(job.job))),
    }
    Vec::new()
}

/// Sends it, unless the same is being sent already: a trigger that is pressed twice means one thing.
fn once(state: &mut State, command: Command, what: String) -> Vec<Task> {
    if state.pending.iter().any(|pending| pending.what == what) {
        return Vec::new();
    }
    send(state, command, what)
}

/// A tag that no open job has. At the counter it may be tied to what has come in.
pub fn free(state: &State, tag: Tag) -> Vec<(String, Pick)> {
    if state.role != Role::Counter {
        return Vec::new();
    }
    let untagged = state.board.jobs.iter().filter(|job| job.state == JobState::OnItsWay && job.tag.is_none());
    let tie = |job: &JobView| {
        let from = board::spot(state.venue.as_ref(), job.came_from);
        let (kind, whose) = (job.kind.title(), board::whose(job));
        let what = format!("tag {tag} tied, scanned in: {kind}, {whose}");
        let command = open::scan_in_command(job.job, Some(tag));
        let says = format!("Tie it to: {kind}, {whose}, {from}: {}", job.complaint.title());
        (says, Pick::Send(Box::new(command), what))
    };
    let mut rows: Vec<(String, Pick)> = untagged.map(tie).collect();
    rows.push(("Hand in something new with this tag".to_owned(), Pick::HandIn(tag)));
    rows
}
