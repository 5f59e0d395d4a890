//! How a form looks: a line a field, and below the chosen one what to fill in.

use ratatui::text::{Line, Span};
use remise_core::gear::{self, Fault};

use crate::screens::field::{Choice, Entry, Field, Name, Value};
use crate::screens::form::Form;
use crate::screens::paint::{Pane, first_shown, line, paragraph, plain, window};
use crate::screens::state::State;
use crate::screens::text::{cut, pad, width};
use crate::screens::verb::Verb;
use crate::screens::wanted;

/// Columns of labels.
const LABEL: usize = 13;

/// The form's lines.
pub fn lines(state: &State, form: &Form, sending: bool, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = vec![super::title(&form.title, pane)];
    for note in &form.notes {
        lines.extend(super::indented(note, pane, pane.theme.heed()));
    }
    lines.extend(so_far(form, pane));
    let mut fields = Vec::new();
    let mut chosen = (0, 0);
    for (at, field) in form.fields.iter().enumerate().filter(|(_, field)| form.is_asked(field)) {
        let focused = at == form.focus;
        let from = fields.len();
        fields.push(field_line(field, focused, pane));
        if focused {
            fields.extend(under(form, field, pane));
            chosen = (from, fields.len() - 1);
        }
    }
    fields.extend(below(state, form, sending, pane));
    let room = pane.lines.saturating_sub(lines.len());
    let from = first_shown(chosen, fields.len(), room);
    lines.extend(window(fields, from, room, pane.theme.quiet()));
    lines
}

/// Items of a hand-in and tags of a count that are filled in already.
fn so_far(form: &Form, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    for (number, item) in form.lot.iter().enumerate() {
        let text = format!(" Item {}: {}, {}", number + 1, item.kind.title(), item.complaint.title());
        lines.push(line(cut(&text, pane.columns), pane.theme.good()));
    }
    if form.verb == Verb::Count {
        let tags: Vec<String> = form.tags.iter().map(|tag| tag.digits()).collect();
        let text = format!("Scanned: {}. {}", tags.len(), tags.join(" "));
        lines.extend(super::indented(&text, pane, pane.theme.good()));
    }
    lines
}

fn field_line(field: &Field, focused: bool, pane: Pane) -> Line<'static> {
    let mark = if focused { " ▸ " } else { "   " };
    let label = if focused { pane.theme.strong() } else { pane.theme.quiet() };
    let mut spans = vec![Span::styled(format!("{mark}{} ", pad(&field.label, LABEL)), label)];
    let room = pane.columns.saturating_sub(LABEL + 6);
    match &field.entry {
        Entry::Choice(choice) => {
            let text = choice.chosen.and_then(|at| choice.options.get(at)).map_or("", |option| &option.label);
            spans.push(Span::raw(cut(text, room)));
            if focused && choice.chosen.is_none() {
                spans.push(Span::styled(" ", pane.theme.chosen()));
            }
        }
        Entry::Text(input, _) if focused && field.fresh => {
            spans.push(Span::styled(cut(input.value(), room), pane.theme.chosen()));
        }
        Entry::Text(input, _) => text_spans(&mut spans, input.value(), input.cursor(), focused, room, pane),
    }
    Line::from(spans)
}

/// The text around its caret; a long one is cut on the left, so that the caret is seen.
fn text_spans(
    spans: &mut Vec<Span<'static>>,
    text: &str,
    caret: usize,
    focused: bool,
    room: usize,
    pane: Pane,
) {
    if !focused {
        spans.push(Span::raw(cut(text, room)));
        return;
    }
    let mut before: String = text.chars().take(caret).collect();
    while width(&before) + 1 > room {
        before.remove(0);
    }
    let at = text.chars().nth(caret).map_or_else(|| " ".to_owned(), String::from);
    let after: String = text.chars().skip(caret + 1).collect();
    let left = room.saturating_sub(width(&before) + 1);
    spans.push(Span::raw(before));
    spans.push(Span::styled(at, pane.theme.chosen()));
    spans.push(Span::raw(cut(&after, left)));
}

/// What to fill in there, its completion and what is wrong with it.
fn under(form: &Form, field: &Field, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if let Some((Some(name), why)) = &form.problem
        && *name == field.name
    {
        lines.extend(below_label(
            &format!("! {}", crate::screens::send::sentence(why)),
            pane,
            pane.theme.alarm(),
        ));
    }
    match &field.entry {
        Entry::Choice(choice) if choice.options.is_empty() => {
            lines.extend(below_label("There is nothing to choose yet.", pane, pane.theme.quiet()));
        }
        Entry::Choice(choice) => lines.extend(options(choice, pane)),
        Entry::Text(..) => {
            let hint = match field.completion() {
                Some(known) => format!("Tab completes: {known}"),
                None => field.hint.clone(),
            };
            lines.extend(below_label(&hint, pane, pane.theme.quiet()));
        }
    }
    lines
}

fn below_label(text: &str, pane: Pane, style: ratatui::style::Style) -> Vec<Line<'static>> {
    let indent = LABEL + 4;
    let lines = paragraph(text, pane.columns.saturating_sub(indent + 1), 0, style);
    lines
        .into_iter()
        .map(|mut line| {
            line.spans.insert(0, Span::raw(" ".repeat(indent)));
            line
        })
        .collect()
}

/// Most lines of options; of longer lists the part around the chosen one is shown.
const OPTIONS: usize = 10;

/// The options with their numbers, in two columns when there are many.
fn options(choice: &Choice, pane: Pane) -> Vec<Line<'static>> {
    let all = option_lines(choice, pane);
    if all.len() <= OPTIONS {
        return all;
    }
    let chosen = choice.chosen.unwrap_or(0) % all.len();
    let total = all.len();
    let from = first_shown((chosen.saturating_sub(2), (chosen + 3).min(total - 1)), total, OPTIONS);
    window(all, from, OPTIONS, pane.theme.quiet())
        .into_iter()
        .map(|mut line| {
            if line.spans.len() == 1 {
                line.spans.insert(0, Span::raw(" ".repeat(LABEL + 2)));
            }
            line
        })
        .collect()
}

fn option_lines(choice: &Choice, pane: Pane) -> Vec<Line<'static>> {
    let room = pane.columns.saturating_sub(LABEL + 5);
    let longest = choice.options.iter().map(|option| width(&option.label)).max().unwrap_or(0) + 5;
    let across = if choice.options.len() > 6 && longest * 2 <= room { 2 } else { 1 };
    let down = choice.options.len().div_ceil(across);
    let column = room / across;
    let wide = width(&choice.number(choice.options.len().saturating_sub(1))).max(2);
    (0..down)
        .map(|row| {
            let mut spans = vec![Span::raw(" ".repeat(LABEL + 4))];
            for part in 0..across {
                let at = row + part * down;
                let Some(option) = choice.options.get(at) else { continue };
                let chosen = choice.chosen == Some(at);
                let mark = if chosen { "▸" } else { " " };
                spans.push(Span::styled(format!("{:>wide$}", choice.number(at)), pane.theme.key()));
                let text = pad(&format!("{mark}{}", option.label), column.saturating_sub(wide));
                let style = if chosen { pane.theme.strong() } else { ratatui::style::Style::new() };
                spans.push(Span::styled(text, style));
            }
            Line::from(spans)
        })
        .collect()
}

/// What the filled-in form comes to, what is known of the chosen work, and that it is being sent.
fn below(state: &State, form: &Form, sending: bool, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = vec![plain("")];
    if let Some(text) = wanted::preview(state, form) {
        lines.push(line(format!(" {text}"), pane.theme.strong()));
    }
    if form.verb == Verb::Repair {
        lines.extend(about_repair(form, pane));
    }
    if let Some((None, why)) = &form.problem {
        lines.extend(super::indented(&crate::screens::send::sentence(why), pane, pane.theme.alarm()));
    }
    if sending {
        lines.push(line(" Sending … nothing is done before the server says so.", pane.theme.heed()));
    }
    lines
}

/// Cautions come before the work; then what usually mends the fault.
fn about_repair(form: &Form, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    let fault: Option<&'static Fault> = match form.value(Name::Fault) {
        Some(Value::Fault(code)) => gear::fault(code),
        _ => None,
    };
    let cautions: Vec<_> = match (fault, form.value(Name::Work)) {
        (Some(fault), _) => fault.cautions().collect(),
        (None, Some(Value::Work(work))) => gear::cautions(*work).collect(),
        _ => Vec::new(),
    };
    for caution in cautions {
        lines.extend(super::indented(&format!("! {}", caution.text), pane, pane.theme.heed()));
    }
    if let Some(fault) = fault {
        let minutes = fault.minutes;
        let text = format!(
            "Usually: {} ({}; about {} min, {} to {}).",
            fault.repair,
            fault.lasting.title(),
            minutes.likely,
            minutes.low,
            minutes.high
        );
        lines.extend(super::indented(&text, pane, ratatui::style::Style::new()));
    }
    lines
}
