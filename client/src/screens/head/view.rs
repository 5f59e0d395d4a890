//! How the head armourer's screen looks.

use ratatui::style::Style;
use ratatui::text::{Line, Span};
use remise_core::ids::{BenchId, CallId, OwedId};
use remise_link::view::{CallState, JobView, LaneSlot};

use super::{Entry, Section, chosen_section, entries};
use crate::commands::share;
use crate::screens::board::{self, Late};
use crate::screens::paint::{Pane, cells, first_shown, line, over, plain, reasons, window};
use crate::screens::read::owed_text;
use crate::screens::state::State;
use crate::screens::text::{cut, width};

/// From that many columns two lists stand side by side.
const WIDE: usize = 140;

/// The body's lines.
pub fn lines(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let section = chosen_section(state);
    let trouble = state.board.planner.as_ref().and_then(|planner| planner.trouble.as_ref());
    let alarm = |text: &String| line(cut(&format!(" {text}"), pane.columns), pane.theme.alarm());
    let second = trouble.map_or_else(|| promises(state, pane), alarm);
    let mut lines = vec![names(state, section, pane), second];
    let room = pane.lines.saturating_sub(lines.len());
    if pane.columns < WIDE {
        lines.extend(list(state, section, true, pane.sized(pane.columns, room)));
        return lines;
    }
    let left = pane.columns / 2;
    let other = if section == Section::Needs { Section::Lanes } else { Section::Needs };
    let first = list(state, section, true, pane.sized(left, room));
    let beside = pane.sized(pane.columns - left - 3, room);
    let mut second = vec![line(other.title(), pane.theme.strong())];
    second.extend(list(state, other, false, beside.sized(beside.columns, room.saturating_sub(1))));
    lines.extend(crate::screens::bench::beside(first, second, left, room));
    lines
}

/// The names of the lists with how much is in each; the one that is shown stands in brackets.
fn names(state: &State, shown: Section, pane: Pane) -> Line<'static> {
    let mut spans = Vec::new();
    for section in Section::ALL {
        let number = entries(state, section).iter().filter(|entry| counts(entry)).count();
        let text = format!("{} {number}", section.title());
        let alarm = section == Section::Needs && number > 0;
        let style = if alarm { pane.theme.heed() } else { Style::new() };
        spans.push(if section == shown {
            Span::styled(format!(" [{text}] "), pane.theme.strong())
        } else {
            Span::styled(format!("  {text}  "), style)
        });
    }
    Line::from(spans)
}

/// How the times first promised were kept so far; empty as long as nothing is known.
fn promises(state: &State, pane: Pane) -> Line<'static> {
    let kept = state.board.promises();
    let all = kept.first().filter(|all| all.likely_kept + all.likely_missed > 0);
    let text = all.map_or_else(String::new, |all| {
        let likely = share(all.likely_kept, all.likely_missed);
        format!("  Promises: likely {likely}, safe {}", share(all.safe_kept, all.safe_missed))
    });
    line(cut(&text, pane.columns), pane.theme.quiet())
}

/// Lanes are counted by their jobs, other lists by their lines.
fn counts(entry: &Entry<'_>) -> bool {
    !matches!(entry, Entry::Title(_) | Entry::Bench(_))
}

fn list(state: &State, section: Section, can_choose: bool, pane: Pane) -> Vec<Line<'static>> {
    let entries = entries(state, section);
    if entries.is_empty() {
        let says = match section {
            _ if state.board_at.is_none() => "",
            Section::Lanes => " No bench is known.",
            Section::Needs => " Nothing needs you.",
            Section::All => " No job is open.",
            Section::Owed => " Nothing is owed.",
        };
        return vec![plain(says)];
    }
    let mut rows = Vec::new();
    let mut seen = None;
    let near = state.home.pointer.near(&super::rows(state)).filter(|_| can_choose);
    let mut found = false;
    for entry in &entries {
        // A job may stand in two parts of a list: the first is the chosen one.
        let is_chosen = can_choose && !found && entry.key().is_some() && entry.key() == state.home.pointer.at;
        found |= is_chosen;
        let from = rows.len();
        for row in entry_lines(state, entry, is_chosen, pane) {
            rows.push(if is_chosen { over(row, pane.theme.chosen()) } else { row });
        }
        if seen.is_none() && near.is_some() && entry.key() == near {
            seen = Some((from.saturating_sub(1), rows.len() - 1));
        }
    }
    let from = first_shown(seen.unwrap_or_default(), rows.len(), pane.lines);
    window(rows, from, pane.lines, pane.theme.quiet())
}

fn entry_lines(state: &State, entry: &Entry<'_>, chosen: bool, pane: Pane) -> Vec<Line<'static>> {
    let pointer = if chosen { "▸" } else { " " };
    match entry {
        Entry::Title(title) => vec![line(format!(" {title}"), pane.theme.strong())],
        Entry::Bench(bench) => vec![bench_line(state, *bench, pointer, pane)],
        Entry::Slot(job, slot) => {
            let mut lines = vec![lane_line(state, job, Some(slot), pointer, pane)];
            if chosen {
                lines.extend(reasons(slot, pane));
            }
            lines
        }
        Entry::Hand(job) => vec![lane_line(state, job, None, pointer, pane)],
        Entry::Job(job) => job_lines(state, job, pointer, pane),
        Entry::Call(call) => vec![call_line(state, *call, pointer, pane)],
        Entry::Owed(owed) => vec![owed_line(state, *owed, pointer, pane)],
    }
}

fn bench_line(state: &State, id: BenchId, pointer: &str, pane: Pane) -> Line<'static> {
    let Some(bench) = state.board.bench(id) else { return plain("") };
    let mut parts = vec![bench.name.clone()];
    parts.extend(bench.armourer.clone());
    parts.push(if bench.open { "open" } else { "CLOSED" }.to_owned());
    parts.extend(bench.away_until.map(|until| format!("away until {}", state.clock.at(until))));
    if bench.call.is_some() {
        parts.push("on a call-out".to_owned());
    }
    if bench.interrupted {
        parts.push("work interrupted".to_owned());
    }
    if bench.in_hand.is_none() && bench.open {
        parts.push("nothing in hand".to_owned());
    }
    line(cut(&format!("{pointer} {}", parts.join(" · ")), pane.columns), pane.theme.strong())
}

fn lane_line(
    state: &State,
    job: &JobView,
    slot: Option<&LaneSlot>,
    pointer: &str,
    pane: Pane,
) -> Line<'static> {
    let (clock, theme) = (&state.clock, pane.theme);
    let ready = slot.and_then(|slot| slot.ready).or(job.planned).or(job.promise);
    let when = match slot {
        Some(slot) => format!("from {}", clock.at(slot.starts)),
        None => "in hand".to_owned(),
    };
    let ready = ready.map_or_else(String::new, |ready| format!("ready {}", clock.at(ready.likely)));
    let late = board::late(state, job);
    let mark = board::late_mark(late);
    let alarm = if matches!(late, Late::By(_)) { theme.alarm() } else { theme.heed() };
    let plain = Style::new();
    let name = pane.columns.saturating_sub(4 + 7 + 14 + 12 + 13 + 12);
    cells(&[
        ("", 1, plain),
        (pointer, 1, plain),
        (&board::tag(job), 6, theme.strong()),
        (job.kind.short(), 13, plain),
        (&board::whose(job), name, plain),
        (&when, 11, plain),
        (&ready, 12, plain),
        (&mark, 11, alarm),
    ])
}

fn job_lines(state: &State, job: &JobView, pointer: &str, pane: Pane) -> Vec<Line<'static>> {
    let (venue, clock, theme) = (state.venue.as_ref(), &state.clock, pane.theme);
    let late = board::late(state, job);
    let alarm = if matches!(late, Late::By(_)) { theme.alarm() } else { theme.heed() };
    let standing = board::standing(job, venue, clock);
    let plain = Style::new();
    let name = pane.columns.saturating_sub(2 + 7 + 14 + 24 + 13);
    let first = cells(&[
        (pointer, 1, plain),
        (&board::tag(job), 6, theme.strong()),
        (job.kind.short(), 13, plain),
        (&board::whose(job), name, plain),
        (&standing, 23, plain),
        (&board::late_mark(late), 12, alarm),
    ]);
    let mut parts = vec![job.need.title().to_owned()];
    parts.extend(job.wanted_by.map(|at| format!("wanted {}", clock.at(at))));
    parts.extend(board::back(state, job).map(|back| format!("back {}", clock.at(back.likely))));
    parts.push(format!("to {}", board::spot(venue, job.back_to)));
    let (room, rest) = (pane.columns.saturating_sub(10), parts.join(" · "));
    let complaint = board::complaint(job, room.saturating_sub(width(&rest) + 3));
    let second = line(format!("         {}", cut(&format!("{complaint} · {rest}"), room)), theme.quiet());
    vec![first, second]
}

fn call_line(state: &State, id: CallId, pointer: &str, pane: Pane) -> Line<'static> {
    let Some(call) = state.board.calls.iter().flatten().find(|call| call.call == id) else {
        return plain("");
    };
    let strip = board::strip(state.venue.as_ref(), call.strip);
    let bench = board::bench(state.venue.as_ref(), call.bench);
    let stands = match call.state {
        CallState::Called => format!("{bench} is on the way"),
        CallState::AtStrip => format!("{bench} is there"),
    };
    let note = call.note.as_ref().map(|note| format!(" “{note}”")).unwrap_or_default();
    let text =
        format!("{pointer} {strip} stands still since {}: {stands}{note}", state.clock.at(call.called));
    line(cut(&text, pane.columns), pane.theme.alarm())
}

fn owed_line(state: &State, id: OwedId, pointer: &str, pane: Pane) -> Line<'static> {
    let Some(owed) = state.board.owed.iter().flatten().find(|owed| owed.owed == id) else { return plain("") };
    let text = format!("{pointer} since {}: {}", state.clock.at(owed.since), owed_text(owed));
    plain(cut(&text, pane.columns))
}
