//! How the strip's and the counter's screen looks.

use ratatui::style::Style;
use ratatui::text::Line;
use remise_core::armoury::NoticeKind;
use remise_link::view::{CallState, JobView};

use crate::screens::board::{self, Late};
use crate::screens::paint::{Pane, cells, first_shown, line, over, paragraph, plain, window};
use crate::screens::state::{RowKey, State};
use crate::screens::text::{capital, cut};

/// From that many columns a job takes one line.
const WIDE: usize = 120;
/// Most notices shown at once.
const NOTICES: usize = 4;

/// The body's lines.
pub fn lines(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = calls(state, pane);
    lines.extend(notices(state, pane));
    let details = details(state, pane);
    let room = pane.lines.saturating_sub(lines.len() + details.len());
    lines.extend(table(state, pane.sized(pane.columns, room)));
    let gap = pane.lines.saturating_sub(lines.len() + details.len());
    lines.extend(std::iter::repeat_n(plain(""), gap));
    lines.extend(details);
    lines
}

fn calls(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let clock = &state.clock;
    let mut lines = Vec::new();
    for call in state.board.calls.iter().flatten() {
        let strip = capital(&board::strip(state.venue.as_ref(), call.strip));
        let bench = board::bench(state.venue.as_ref(), call.bench);
        let text = match (call.state, call.arrival) {
            (CallState::AtStrip, _) => format!("{strip} stands still: {bench} is there."),
            (CallState::Called, Some(at)) => {
                format!("{strip} stands still: {bench} is coming, there about {}.", clock.both(at))
            }
            (CallState::Called, None) => format!("{strip} stands still: {bench} is coming."),
        };
        lines.push(line(format!(" {}", cut(&text, pane.columns.saturating_sub(2))), pane.theme.heed()));
    }
    lines
}

/// What a strip has to do about a notice.
fn told(kind: NoticeKind) -> &'static str {
    match kind {
        NoticeKind::Ready => "is READY: fetch it",
        NoticeKind::Withdrawn => "is WITHDRAWN, not fit for use: fetch it, tell the fencer",
        NoticeKind::CalledOff => "was called off and not mended: fetch it",
        NoticeKind::Gone => "CANNOT BE FOUND: tell the fencer",
        NoticeKind::Promise => "has a NEW TIME: tell the fencer",
    }
}

fn notices(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let waiting = board::notices(&state.board, state.spot);
    let mut lines = Vec::new();
    for job in waiting.iter().take(NOTICES) {
        let Some(notice) = job.notice else { continue };
        let when = match notice.kind {
            NoticeKind::Promise => {
                format!(": {}", board::back_said(state, job))
            }
            _ => String::new(),
        };
        let text = format!(" ● {} {}{when}", capital(&board::name(job)), told(notice.kind));
        lines.push(line(cut(&text, pane.columns.saturating_sub(1)), pane.theme.heed()));
    }
    if waiting.len() > NOTICES {
        lines.push(line(format!("   and {} more", waiting.len() - NOTICES), pane.theme.heed()));
    }
    if !lines.is_empty() {
        lines.push(line("   y confirms that you have read it", pane.theme.quiet()));
        lines.push(plain(""));
    }
    lines
}

fn table(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let jobs = board::desk_order(state);
    if jobs.is_empty() {
        let text = if state.board_at.is_some() {
            " Nothing is here at the moment. i hands something in."
        } else {
            ""
        };
        return vec![plain(text)];
    }
    let mut rows = Vec::new();
    let mut seen = (0, 0);
    let near = state.home.pointer.near(&super::rows(state));
    for job in jobs {
        let key = RowKey::Job(job.job);
        let is_chosen = state.home.pointer.at == Some(key);
        let from = rows.len();
        for row in job_lines(state, job, is_chosen, pane) {
            rows.push(if is_chosen { over(row, pane.theme.chosen()) } else { row });
        }
        if near == Some(key) {
            seen = (from, rows.len() - 1);
        }
    }
    let mut lines = vec![heading(pane)];
    let room = pane.lines.saturating_sub(1);
    let from = first_shown(seen, rows.len(), room);
    lines.extend(window(rows, from, room, pane.theme.quiet()));
    lines
}

fn heading(pane: Pane) -> Line<'static> {
    let quiet = pane.theme.quiet();
    if pane.columns < WIDE {
        return cells(&[
            ("", 1, quiet),
            ("tag", 6, quiet),
            ("item", 13, quiet),
            ("whose", 18, quiet),
            ("stands", 17, quiet),
            ("back by", 18, quiet),
        ]);
    }
    cells(&[
        ("", 1, quiet),
        ("tag", 6, quiet),
        ("item", 14, quiet),
        ("complaint", 24, quiet),
        ("whose", 24, quiet),
        ("stands", 26, quiet),
        ("ready + walk = back by", 26, quiet),
        ("wanted by", 12, quiet),
        ("", 12, quiet),
    ])
}

/// `14:29 + 2 = 14:31`.
fn sum(state: &State, job: &JobView) -> String {
    if board::awaits_hand_back(job) {
        return "to be handed back".to_owned();
    }
    let Some(back) = board::back(state, job) else { return String::new() };
    let walk = board::walk_min(state.venue.as_ref(), job.back_to);
    let clock = &state.clock;
    format!("{} + {walk} = {}", clock.at(back.likely.plus_min(-walk)), clock.at(back.likely))
}

fn job_lines(state: &State, job: &JobView, chosen: bool, pane: Pane) -> Vec<Line<'static>> {
    if pane.columns < WIDE {
        two_lines(state, job, chosen, pane)
    } else {
        vec![one_line(state, job, chosen, pane)]
    }
}

/// The colour of where it stands: what is to be handed back stands out.
fn standing_style(job: &JobView, pane: Pane) -> Style {
    if board::awaits_hand_back(job) { pane.theme.good() } else { Style::new() }
}

fn pointer(chosen: bool) -> &'static str {
    if chosen { "▸" } else { " " }
}

fn two_lines(state: &State, job: &JobView, chosen: bool, pane: Pane) -> Vec<Line<'static>> {
    let (theme, plain) = (pane.theme, Style::new());
    let late = board::late(state, job);
    let back = board::back(state, job).map_or_else(String::new, |back| state.clock.at(back.likely));
    let standing = board::standing(job, state.venue.as_ref(), &state.clock);
    let when = format!("{back} {}", board::late_mark(late));
    // Where no time is known there is room for why.
    let (stands, times) = if when.trim().is_empty() { (37, 0) } else { (17, 19) };
    let first = cells(&[
        (pointer(chosen), 1, plain),
        (&board::tag(job), 6, theme.strong()),
        (job.kind.short(), 13, plain),
        (&board::whose(job), 18, plain),
        (&standing, stands, standing_style(job, pane)),
        (&when, times, late_style(late, pane)),
    ]);
    let wanted = job.wanted_by.map_or_else(String::new, |at| format!("wanted {}", state.clock.at(at)));
    let second = cells(&[
        ("", 1, plain),
        ("", 6, plain),
        (board::complaint(job, 34), 34, theme.quiet()),
        (&wanted, 14, theme.quiet()),
        (&sum(state, job), 20, theme.quiet()),
    ]);
    vec![first, second]
}

fn one_line(state: &State, job: &JobView, chosen: bool, pane: Pane) -> Line<'static> {
    let plain = Style::new();
    let late = board::late(state, job);
    let wanted = job.wanted_by.map_or_else(String::new, |at| state.clock.at(at));
    let standing = board::standing(job, state.venue.as_ref(), &state.clock);
    cells(&[
        (pointer(chosen), 1, plain),
        (&board::tag(job), 6, pane.theme.strong()),
        (job.kind.short(), 14, plain),
        (job.complaint.short(), 24, plain),
        (&board::whose(job), 24, plain),
        (&standing, 26, standing_style(job, pane)),
        (&sum(state, job), 26, plain),
        (&wanted, 12, plain),
        (&board::late_mark(late), 12, late_style(late, pane)),
    ])
}

fn late_style(late: Late, pane: Pane) -> Style {
    match late {
        Late::No => Style::new(),
        Late::Perhaps => pane.theme.heed(),
        Late::By(_) => pane.theme.alarm(),
    }
}

/// The chosen job in sentences: what to tell the fencer.
fn details(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let Some(job) = state.subject().and_then(|id| state.job(id)) else { return Vec::new() };
    let (venue, clock) = (state.venue.as_ref(), &state.clock);
    let mut parts = vec![format!("{}:", capital(&board::name(job))), sentence(state, job)];
    if let Some(wanted) = job.wanted_by {
        parts.push(format!("Wanted by {}.", clock.both(wanted)));
    }
    parts.push(format!("Still has: {}.", job.need.title()));
    parts.push(format!("Goes back to {}.", board::spot(venue, job.back_to)));
    if let Some(note) = &job.note {
        parts.push(format!("“{note}”"));
    }
    let mut lines = vec![line("─".repeat(pane.columns), pane.theme.quiet())];
    let text = paragraph(&parts.join(" "), pane.columns.saturating_sub(2), 0, Style::new());
    lines.extend(text.into_iter().take(3).map(|mut line| {
        line.spans.insert(0, ratatui::text::Span::raw(" "));
        line
    }));
    lines
}

fn sentence(state: &State, job: &JobView) -> String {
    let venue = state.venue.as_ref();
    if board::awaits_work(job) {
        let back = board::back_said(state, job);
        let late = board::late(state, job);
        let mark = if late == Late::No { String::new() } else { format!(" {}.", board::late_mark(late)) };
        return format!("{}, {back}.{mark}", board::standing(job, venue, &state.clock));
    }
    format!("{}.", board::whereabouts(job, venue, &state.clock))
}
