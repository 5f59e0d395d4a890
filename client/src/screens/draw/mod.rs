//! How layers look: full ones in place of the body, questions and answers as a band at its foot.

mod form;
mod job;
mod proof;

use ratatui::text::Line;

use super::advice::{Asks, NextCheck};
use super::keys::Binding;
use super::layer::{Ask, Layer, List, Reader, Said, Sheet};
use super::open;
use super::paint::{Pane, first_shown, line, over, paragraph, plain, window};
use super::state::State;
use super::text::pad;

/// Whether the layer takes the whole body.
pub fn is_full(layer: &Layer) -> bool {
    !matches!(
        layer,
        Layer::Ask(_) | Layer::Said(_) | Layer::Scan(_) | Layer::Finding(..) | Layer::Check { .. }
    )
}

/// A full layer.
pub fn full(state: &State, sheet: &Sheet, pane: Pane) -> Vec<Line<'static>> {
    match &sheet.layer {
        Layer::Help(reader) | Layer::Reader(reader) => text(reader, pane),
        Layer::Form(form) => form::lines(state, form, sheet.waiting.is_some(), pane),
        Layer::Job(id) => job::lines(state, *id, pane),
        Layer::List(list) => list_lines(list, pane),
        Layer::Lane(pointer) => super::bench::lane_lines(state, pointer, pane),
        Layer::Proof(proof) => proof::lines(state, proof, pane),
        _ => Vec::new(),
    }
}

/// A band: a rule, and what it says.
pub fn band(state: &State, sheet: &Sheet, pane: Pane) -> Vec<Line<'static>> {
    let theme = pane.theme;
    let mut lines = vec![line("━".repeat(pane.columns), theme.strong())];
    match &sheet.layer {
        Layer::Ask(Ask { question, lines: more, .. }) => {
            lines.extend(indented(question, pane, theme.strong()));
            for text in more {
                lines.extend(indented(text, pane, ratatui::style::Style::new()));
            }
        }
        Layer::Said(said) => lines.extend(said_lines(said, pane)),
        Layer::Scan(digits) => {
            lines.push(line(format!(" Tag: {digits}▏"), theme.strong()));
            lines.push(plain(" Enter looks it up. A scanner presses Enter by itself."));
        }
        Layer::Finding(job, fault) => {
            let title = open::fault_title(fault);
            lines.extend(indented(&format!("What did the check show: {title}?"), pane, theme.strong()));
            let known = remise_core::gear::fault(fault);
            if let Some(fault) = known {
                lines.extend(indented(&format!("Look: {}", fault.test), pane, ratatui::style::Style::new()));
                for caution in super::faults::cautions(fault) {
                    lines.extend(indented(&format!("! {caution}"), pane, theme.heed()));
                }
            }
            if let Some(showed) = super::faults::showed(state.course_of(*job), fault) {
                lines.push(plain(format!(" Recorded so far: {showed}")));
            }
        }
        Layer::Check { next, sure, .. } => lines.extend(check_lines(next, *sure, pane)),
        _ => {}
    }
    if sheet.waiting.is_some() {
        lines.push(line(" Sending …", theme.heed()));
    }
    lines.push(plain(""));
    lines
}

fn indented(text: &str, pane: Pane, style: ratatui::style::Style) -> Vec<Line<'static>> {
    let lines = paragraph(text, pane.columns.saturating_sub(2), 0, style);
    lines
        .into_iter()
        .map(|mut line| {
            line.spans.insert(0, ratatui::text::Span::raw(" "));
            line
        })
        .collect()
}

/// A check and its answers by number.
fn check_lines(next: &NextCheck, sure: bool, pane: Pane) -> Vec<Line<'static>> {
    let quite = if sure { "" } else { ", NOT QUITE SURE" };
    let title = format!("{} · {}: what does it show{quite}?", super::text::capital(&next.title), next.with);
    let mut lines = indented(&title, pane, pane.theme.strong());
    for opening in &next.first {
        lines.extend(indented(&format!("First: {opening}"), pane, ratatui::style::Style::new()));
    }
    let Asks::Shows(_, results) = &next.asks else { return lines };
    let answers = results.iter().enumerate().map(|(at, result)| format!("{} {}", at + 1, long(result)));
    lines.extend(indented(&answers.collect::<Vec<_>>().join(" · "), pane, pane.theme.key()));
    lines
}

/// A result in so many words that nobody takes it for another.
fn long(result: &str) -> &str {
    match result {
        "on" => "lamp stays on",
        "off" => "lamp stays off",
        "flicker" => "lamp flickers",
        "low" => "reading low",
        "high" => "reading high",
        "open" => "no contact",
        "jumps" => "reading jumps",
        other => other,
    }
}

fn said_lines(said: &Said, pane: Pane) -> Vec<Line<'static>> {
    let style = if said.bad { pane.theme.alarm() } else { pane.theme.strong() };
    let mut lines = indented(&said.title, pane, style);
    for text in &said.lines {
        lines.extend(indented(text, pane, ratatui::style::Style::new()));
    }
    lines
}

fn title(text: &str, pane: Pane) -> Line<'static> {
    line(format!(" {}", super::text::cut(text, pane.columns.saturating_sub(2))), pane.theme.strong())
}

fn text(reader: &Reader, pane: Pane) -> Vec<Line<'static>> {
    let mut body = Vec::new();
    for (number, entry) in reader.lines.iter().enumerate() {
        if number < reader.from {
            continue;
        }
        let indent = if entry.starts_with("  ") { 4 } else { 2 };
        let shown = if entry.starts_with("  ") { format!("  {}", entry.trim_start()) } else { entry.clone() };
        let mut wrapped = keep_columns(&shown, pane.columns.saturating_sub(2), indent);
        body.append(&mut wrapped);
    }
    let room = pane.lines.saturating_sub(2);
    let more = body.len() > room;
    body.truncate(if more { room.saturating_sub(1) } else { room });
    let mut lines = vec![title(&reader.title, pane), plain("")];
    lines.extend(body);
    if more {
        lines.push(line("  ↓ more below", pane.theme.quiet()));
    }
    lines
}

/// A line with aligned columns stays as it is when it fits; else it is wrapped.
fn keep_columns(text: &str, columns: usize, indent: usize) -> Vec<Line<'static>> {
    if super::text::width(text) <= columns {
        return vec![plain(format!(" {text}"))];
    }
    let lead = if text.starts_with(' ') { "   " } else { " " };
    let lines = paragraph(text, columns.saturating_sub(lead.len()), indent, ratatui::style::Style::new());
    lines
        .into_iter()
        .map(|mut line| {
            line.spans.insert(0, ratatui::text::Span::raw(lead));
            line
        })
        .collect()
}

fn list_lines(list: &List, pane: Pane) -> Vec<Line<'static>> {
    let mut rows = Vec::new();
    for (number, (text, _)) in list.rows.iter().enumerate() {
        let mark = if number == list.row { "▸" } else { " " };
        let row = plain(pad(&format!(" {mark} {text}"), pane.columns));
        rows.push(if number == list.row { over(row, pane.theme.chosen()) } else { row });
    }
    let room = pane.lines.saturating_sub(2);
    let from = first_shown((list.row, list.row), rows.len(), room);
    let mut lines = vec![title(&list.title, pane), plain("")];
    lines.extend(window(rows, from, room, pane.theme.quiet()));
    lines
}

/// Keys with their sentences, in as many columns as fit.
fn key_table(bindings: &[Binding], pane: Pane) -> Vec<Line<'static>> {
    let entries: Vec<(String, String)> = bindings
        .iter()
        .filter_map(|binding| match binding.act {
            super::keys::Act::Do(verb) => Some((binding.name(), verb.help().to_owned())),
            _ => None,
        })
        .collect();
    let across = if pane.columns >= 120 { 2 } else { 1 };
    let column = pane.columns / across;
    let down = entries.len().div_ceil(across);
    (0..down)
        .map(|row| {
            let mut spans = Vec::new();
            for part in 0..across {
                if let Some((key, help)) = entries.get(row + part * down) {
                    spans.push(ratatui::text::Span::styled(format!("  {key}  "), pane.theme.key()));
                    spans.push(ratatui::text::Span::raw(pad(help, column.saturating_sub(6))));
                }
            }
            Line::from(spans)
        })
        .collect()
}
