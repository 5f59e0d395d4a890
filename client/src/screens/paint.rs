//! Lines of text with styles, cut to columns: what every view is made of.

use ratatui::style::Style;
use ratatui::text::{Line, Span};
use remise_link::view::LaneSlot;

use super::text::{pad, width, wrap};
use super::theme::Theme;

/// What a view needs to know of the window.
#[derive(Clone, Copy, Debug)]
pub struct Pane {
    /// Columns.
    pub columns: usize,
    /// Lines.
    pub lines: usize,
    /// How things look.
    pub theme: Theme,
}

impl Pane {
    /// The same look in another size.
    #[must_use]
    pub fn sized(self, columns: usize, lines: usize) -> Self {
        Self { columns, lines, ..self }
    }
}

/// A line of one style.
pub fn line(text: impl Into<String>, style: Style) -> Line<'static> {
    Line::from(Span::styled(text.into(), style))
}

/// A line without a style.
pub fn plain(text: impl Into<String>) -> Line<'static> {
    Line::from(text.into())
}

/// Cells of fixed width, one blank between them.
pub fn cells(parts: &[(&str, usize, Style)]) -> Line<'static> {
    let mut spans = Vec::new();
    for (text, columns, style) in parts {
        if *columns > 0 {
            spans.push(Span::styled(pad(text, *columns), *style));
            spans.push(Span::raw(" "));
        }
    }
    Line::from(spans)
}

/// Why a job stands where it stands in a lane, and why it will be late if it will.
pub fn reasons(slot: &LaneSlot, pane: Pane) -> Vec<Line<'static>> {
    let room = pane.columns.saturating_sub(9).max(1);
    let part = |text: &Option<String>, style| {
        let parts = text.iter().flat_map(|text| wrap(text, room));
        parts.map(|part| line(format!("        {part}"), style)).collect::<Vec<_>>()
    };
    [part(&slot.why, pane.theme.quiet()), part(&slot.late, pane.theme.heed())].concat()
}

/// A text in as many lines as it takes, the second and later ones indented.
pub fn paragraph(text: &str, columns: usize, indent: usize, style: Style) -> Vec<Line<'static>> {
    let room = columns.saturating_sub(indent).max(1);
    let mut lines = Vec::new();
    for (number, part) in wrap(text, room).into_iter().enumerate() {
        let before = if number == 0 { String::new() } else { " ".repeat(indent) };
        lines.push(line(before + &part, style));
    }
    lines
}

/// Left and right in one line, the left cut where they would meet.
pub fn between(left: &str, right: &str, columns: usize, style: Style) -> Line<'static> {
    let room = columns.saturating_sub(width(right));
    line(pad(left, room) + right, style)
}

/// Puts a style over a whole line.
pub fn over(mut text: Line<'static>, style: Style) -> Line<'static> {
    for span in &mut text.spans {
        span.style = span.style.patch(style);
    }
    text
}

/// The first line to show, so that the chosen lines are seen.
pub fn first_shown(chosen: (usize, usize), total: usize, room: usize) -> usize {
    if total <= room {
        return 0;
    }
    let (from, to) = chosen;
    let last = total - room;
    if to < room { 0 } else { (to + 1 - room).min(from).min(last) }
}

/// A part of the lines, with a mark where more lies above or below.
pub fn window(lines: Vec<Line<'static>>, from: usize, room: usize, quiet: Style) -> Vec<Line<'static>> {
    let total = lines.len();
    let from = from.min(total.saturating_sub(1));
    let mut shown: Vec<Line<'static>> = lines.into_iter().skip(from).take(room).collect();
    if from > 0 && shown.len() > 1 {
        shown[0] = line(format!("  ↑ {} more above", from + 1), quiet);
    }
    if from + room < total && room > 1 {
        shown[room - 1] = line(format!("  ↓ {} more below", total - from - room + 1), quiet);
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_chosen_is_always_seen() {
        assert_eq!(first_shown((3, 20), 30, 6), 3, "a block that is too long is shown from its beginning");
        for total in 0..30 {
            for room in 1..12 {
                for at in 0..total {
                    let from = first_shown((at, at), total, room);
                    assert!(from <= at && at < from + room, "{at} of {total} in {room}: from {from}");
                }
            }
        }
    }
}
