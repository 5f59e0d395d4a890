//! What frames every screen: who and when above, keys below, and a word instead when the window is too small.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span, Text};
use ratatui::widgets::{Clear, Paragraph};

use super::board;
use super::draw;
use super::keys::Binding;
use super::layer;
use super::paint::{Pane, between, line, plain};
use super::send::sentence;
use super::state::{Line as Wire, Role, State};
use super::text::{cut, width, wrap};
use super::theme::Theme;
use super::{bench, head, strip};

/// Fewest columns.
const COLUMNS: u16 = 60;
/// Fewest lines.
const LINES: u16 = 18;
/// Most lines that the word on how things stand takes: two while the screen is cut off from the server.
const STATUS: usize = 2;
/// Lines of keys.
const FOOT: u16 = 2;

/// Draws a state.
pub fn view(state: &State, frame: &mut Frame<'_>, theme: Theme) {
    let area = frame.area();
    if area.width < COLUMNS || area.height < LINES {
        frame.render_widget(Paragraph::new(too_small(area)), area);
        return;
    }
    let columns = usize::from(area.width);
    let top = top(state, columns, theme);
    let above = top.len() as u16;
    let body = Rect { y: above, height: area.height - above - FOOT, ..area };
    frame.render_widget(Paragraph::new(top), Rect { height: above, ..area });
    let pane = Pane { columns, lines: usize::from(body.height), theme };
    draw_body(state, frame, body, pane);
    let foot = Rect { y: area.height - FOOT, height: FOOT, ..area };
    frame.render_widget(Paragraph::new(foot_lines(&layer::bindings(state), columns, theme)), foot);
}

fn too_small(area: Rect) -> Text<'static> {
    let said = format!(
        "This window has {} columns and {} lines. The screen needs {COLUMNS} and {LINES}. Make it larger: nothing \
         that you typed is lost.",
        area.width, area.height
    );
    Text::from(wrap(&said, usize::from(area.width)).into_iter().map(plain).collect::<Vec<_>>())
}

fn top(state: &State, columns: usize, theme: Theme) -> Vec<Line<'static>> {
    let time = format!(" {} ", state.clock.at(state.clock.now()));
    let who = match state.tournament.as_str() {
        "" => format!(" {}", who(state)),
        tournament => format!(" {} · {tournament}", who(state)),
    };
    let (says, style) = status(state, theme);
    let room = columns.saturating_sub(2);
    let mut says = if state.is_fresh() { vec![says] } else { wrap(&says, room) };
    if says.len() > STATUS {
        // What does not fit is the end of the reason.
        let rest = says.split_off(STATUS - 1).join(" ");
        says.push(rest);
    }
    let mut lines = vec![between(&who, &time, columns, theme.strong())];
    lines.extend(says.iter().map(|part| line(format!(" {}", cut(part, room)), style)));
    lines.push(line("─".repeat(columns), theme.quiet()));
    lines
}

fn who(state: &State) -> String {
    let venue = state.venue.as_ref();
    match state.role {
        Role::Strip => state
            .spot
            .map_or_else(|| "Strip".to_owned(), |spot| super::text::capital(&board::spot(venue, spot))),
        Role::Counter => venue.map_or_else(|| "Counter".to_owned(), |venue| venue.counter.clone()),
        Role::Bench => state.bench.map_or_else(
            || "Bench".to_owned(),
            |id| {
                let view = state.board.bench(id);
                let armourer = view.and_then(|view| view.armourer.as_ref());
                let name = board::bench(venue, id);
                armourer.map_or(name.clone(), |armourer| format!("{name}, {armourer}"))
            },
        ),
        Role::Head => "Head armourer".to_owned(),
    }
}

/// One line on how things stand: the connection first, then what is on its way, then what was done.
fn status(state: &State, theme: Theme) -> (String, ratatui::style::Style) {
    let clock = &state.clock;
    let old = state.board_at.map_or_else(
        || "nothing has come from it yet".to_owned(),
        |at| format!("what you see is OLD, as of {}", clock.at(at)),
    );
    let sending = match state.pending.len() {
        0 => String::new(),
        number => format!(" {number} not sent yet."),
    };
    match &state.line {
        Wire::Opening => ("Waiting for the server …".to_owned(), theme.heed()),
        Wire::Away { since, why } => (
            format!(
                "SERVER AWAY since {} ({}): {old}.{sending} {}",
                clock.at(*since),
                clock.since(*since),
                sentence(why)
            ),
            theme.alarm(),
        ),
        Wire::Over { since, why } => (
            format!("NOT CONNECTED since {}: {old}. F5 connects again. {why}", clock.at(*since)),
            theme.alarm(),
        ),
        Wire::Up => match (state.pending.first(), &state.done) {
            (Some(pending), _) => (format!("Sending: {} …", pending.what), theme.heed()),
            (None, Some(done)) => (format!("Done at {}: {}", clock.at(done.at), done.what), theme.good()),
            (None, None) => ("Up to date".to_owned(), theme.quiet()),
        },
    }
}

/// The home layer or the topmost full layer, and over it the questions and answers that lie above.
fn draw_body(state: &State, frame: &mut Frame<'_>, area: Rect, pane: Pane) {
    let full = state.sheets.iter().rposition(|sheet| draw::is_full(&sheet.layer));
    let lines = match full {
        Some(at) => draw::full(state, &state.sheets[at], pane),
        None if state.board_at.is_none() => nothing_yet(state, pane),
        None => match state.role {
            Role::Strip | Role::Counter => strip::lines(state, pane),
            Role::Bench => bench::lines(state, pane),
            Role::Head => head::lines(state, pane),
        },
    };
    frame.render_widget(Paragraph::new(lines), area);
    for sheet in &state.sheets[full.map_or(0, |at| at + 1)..] {
        let lines = draw::band(state, sheet, pane);
        let height = (lines.len() as u16).min(area.height);
        let band = Rect { y: area.y + area.height - height, height, ..area };
        frame.render_widget(Clear, band);
        frame.render_widget(Paragraph::new(lines), band);
    }
}

/// Before anything has come: what is missing, whole, and what to do about it.
fn nothing_yet(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let (why, next) = match &state.line {
        Wire::Opening | Wire::Up => ("Waiting for the server …".to_owned(), ""),
        Wire::Away { why, .. } => (
            sentence(why),
            "Check that the server runs, and that the address after --server is right. It is tried again by itself: \
             nothing has to be typed.",
        ),
        Wire::Over { why, .. } => (sentence(why), "F5 connects again; q quits."),
    };
    let columns = pane.columns.saturating_sub(2);
    let parts = wrap(&why, columns).into_iter().chain([String::new()]).chain(wrap(next, columns));
    parts.map(|part| plain(format!(" {part}").trim_end().to_owned())).collect()
}

/// The keys of the topmost layer, as many as fit in two lines.
fn foot_lines(bindings: &[Binding], columns: usize, theme: Theme) -> Vec<Line<'static>> {
    let mut shown: Vec<&Binding> = bindings.iter().filter(|binding| binding.foot).collect();
    // Back, help and quit stand at the end of the list and must not be cut off.
    while rows(&shown, columns).len() > usize::from(FOOT) && shown.len() > 4 {
        let at = shown.len() - 4;
        shown.remove(at);
    }
    let paint = |row: Vec<&Binding>| {
        let mut spans = vec![Span::raw(" ")];
        for binding in row {
            spans.push(Span::styled(binding.name(), theme.key()));
            spans.push(Span::raw(format!(" {}  ", binding.label)));
        }
        Line::from(spans)
    };
    rows(&shown, columns).into_iter().take(usize::from(FOOT)).map(paint).collect()
}

fn rows<'b>(shown: &[&'b Binding], columns: usize) -> Vec<Vec<&'b Binding>> {
    let mut rows: Vec<Vec<&Binding>> = vec![Vec::new()];
    let mut used = 1;
    for binding in shown {
        let takes = width(&binding.name()) + width(binding.label) + 3;
        if used + takes > columns && used > 1 {
            rows.push(Vec::new());
            used = 1;
        }
        used += takes;
        if let Some(row) = rows.last_mut() {
            row.push(binding);
        }
    }
    rows
}
