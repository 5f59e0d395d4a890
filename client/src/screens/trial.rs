//! What-if on the head's screen: what is filled in or asked is tried on the plan first; nothing is done by it. The form
//! or the question stays below what is told, to be sent or left.

use remise_core::armoury::Command;
use remise_core::time::{Span, Stamp};
use remise_link::LinkError;
use remise_link::view::{Fate, MovedJob, PlanSums, WhatIf};

use super::board;
use super::form::Form;
use super::layer::{Ask, Layer, Reader, Sheet, Yes};
use super::send::read_failed;
use super::state::{Role, State, Task};
use super::submit::{self, Ready};
use super::text::{capital, pad};
use super::verb::Verb;

/// Columns of whose it is, and of how a plan has it.
const WHOSE: usize = 10;
const FATE: usize = 15;

/// Whether what a form makes can be tried.
pub fn fits_form(role: Role, form: &Form) -> bool {
    use Verb as V;
    let tried = [
        V::Pin,
        V::TakeOver,
        V::Hold,
        V::WantBy,
        V::Need,
        V::CallOff,
        V::FencerOut,
        V::FencerIn,
        V::CloseBench,
    ];
    role == Role::Head && tried.contains(&form.verb)
}

/// Whether what a yes would send can be tried.
pub fn fits_ask(role: Role, ask: &Ask) -> bool {
    let Yes::Send(command, _) = &ask.yes else { return false };
    role == Role::Head && matches!(**command, Command::OpenBench { .. } | Command::Release { .. })
}

/// Asks what the topmost form or question would change.
pub fn begin(state: &mut State) -> Vec<Task> {
    let read = match state.top().map(|sheet| &sheet.layer) {
        Some(Layer::Ask(Ask { yes: Yes::Send(command, what), .. })) => Ok((command.clone(), what.clone())),
        Some(Layer::Form(form)) => match submit::read(state, form) {
            Ok(Ready::Send(command, what)) => Ok((command, what)),
            Ok(Ready::Search(_)) => return Vec::new(),
            Err(problem) => Err(problem),
        },
        _ => return Vec::new(),
    };
    match read {
        Ok((command, what)) => vec![Task::Try(command, what)],
        Err((name, why)) => {
            if let Some(Sheet { layer: Layer::Form(form), .. }) = state.sheets.last_mut() {
                form.refuse(name, why);
            }
            Vec::new()
        }
    }
}

/// The answer. Whoever has left the form meanwhile is not disturbed by it.
pub fn came(state: &mut State, what: &str, result: Result<WhatIf, LinkError>) {
    if !matches!(state.top().map(|sheet| &sheet.layer), Some(Layer::Form(_) | Layer::Ask(_))) {
        return;
    }
    match result {
        Ok(tried) => {
            let reader = Reader { title: format!("What if: {what}"), lines: told(state, &tried), from: 0 };
            state.sheets.push(Sheet::new(Layer::Reader(reader)));
        }
        Err(error) => read_failed(state, "What it would change", &error),
    }
}

/// What would change, in lines of at most 78 columns.
fn told(state: &State, tried: &WhatIf) -> Vec<String> {
    let mut lines = vec!["NOTHING IS DONE YET. Go back, then send it or leave it.".to_owned(), String::new()];
    if tried.moved.is_empty() {
        lines.push("No item would be ready at another time.".to_owned());
    } else {
        lines.push(cells(["tag", "item", "whose", "now", "then", "ready"]));
        lines.extend(tried.moved.iter().map(|moved| row(state, moved)));
    }
    lines.push(String::new());
    lines.extend(sums(tried.before, tried.after));
    lines.extend(tried.advice.iter().map(|advice| capital(advice)));
    lines
}

fn row(state: &State, moved: &MovedJob) -> String {
    let job = &moved.job;
    cells([
        &board::tag(job),
        job.kind.short(),
        &board::whose(job),
        &fate(state, &moved.before),
        &fate(state, &moved.after),
        &change(&moved.before, &moved.after),
    ])
}

fn cells([tag, item, whose, now, then, ready]: [&str; 6]) -> String {
    let cells = [(tag, 6), (item, 12), (whose, WHOSE), (now, FATE), (then, FATE)];
    let row: String = cells.iter().map(|(text, columns)| pad(text, *columns) + " ").collect();
    row + ready
}

/// `bench 2, 14:20`, or why no bench has it.
fn fate(state: &State, fate: &Fate) -> String {
    let Some(bench) = fate.bench else {
        return match fate.unplaced.as_deref() {
            Some("held") => "held",
            Some("no_bench") => "no bench can",
            Some("no_time") => "no bench's time",
            _ => "needs no bench",
        }
        .to_owned();
    };
    let ready = fate.ready.map(|ready| format!(", {}", state.clock.at(ready.likely))).unwrap_or_default();
    format!("bench {bench}{ready}")
}

/// By how many minutes it is ready at another time, and whether that makes it late or not late any more.
fn change(before: &Fate, after: &Fate) -> String {
    let likely = |fate: &Fate| fate.ready.map(|ready| ready.likely);
    let minutes = |later: Stamp, earlier: Stamp| later.since(earlier).ceil_min();
    let by = match (likely(before), likely(after)) {
        (Some(was), Some(is)) if is >= was => format!("+{} min", minutes(is, was)),
        (Some(was), Some(is)) => format!("-{} min", minutes(was, is)),
        _ => String::new(),
    };
    let late = |fate: &Fate| fate.late > Span::ZERO;
    let turn = match (late(before), late(after)) {
        (false, true) => " LATE",
        (true, false) => " in time",
        _ => "",
    };
    by + turn
}

fn sums(now: PlanSums, then: PlanSums) -> Vec<String> {
    let figure = |title: &str, now: i64, then: i64| format!("{} {now} now, {then} then", pad(title, 32));
    vec![
        figure("Late", now.late.into(), then.late.into()),
        figure("Minutes late, weighed by need", now.weighted_late_min, then.weighted_late_min),
        figure("No bench can, or has time", now.nowhere.into(), then.nowhere.into()),
    ]
}
