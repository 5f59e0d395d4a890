//! How a bench's lane looks: what comes next, what dries, what else waits.

use ratatui::style::Style;
use ratatui::text::Line;
use remise_core::armoury::State as JobState;
use remise_core::gear::{self, Work};
use remise_core::ids::JobId;
use remise_link::view::{CallState, JobView, LaneSlot};

use super::super::board::{self, Late};
use super::super::paint::{Pane, cells, first_shown, line, over, plain, reasons, window};
use super::super::pointer::Pointer;
use super::super::state::{RowKey, State};
use super::super::text::{cut, width};

/// A job in the list, and why it stands there.
#[derive(Clone, Copy)]
enum Entry<'s> {
    Title(&'static str),
    Job(&'s JobView, Option<&'s LaneSlot>),
}

/// The jobs of the list in the order in which they are shown.
pub fn lane_jobs(state: &State) -> Vec<JobId> {
    let of = |entry| match entry {
        Entry::Job(job, _) => Some(job.job),
        Entry::Title(_) => None,
    };
    entries(state).into_iter().filter_map(of).collect()
}

fn entries(state: &State) -> Vec<Entry<'_>> {
    let hand = state.in_hand().map(|job| job.job);
    let slots = state.bench.and_then(|bench| state.board.lane(bench)).map_or(&[][..], |lane| &lane.slots);
    let open = |id: JobId| state.board.job(id).filter(|job| Some(job.job) != hand);
    let lane: Vec<Entry<'_>> =
        slots.iter().filter_map(|slot| open(slot.job).map(|job| Entry::Job(job, Some(slot)))).collect();
    let can = |job: &&JobView| can_do(state, job);
    let in_lane = |job: &&JobView| !slots.iter().any(|slot| slot.job == job.job) && Some(job.job) != hand;
    let of = |wanted: JobState| {
        let jobs = state.board.jobs.iter().filter(move |job| job.state == wanted);
        jobs.filter(in_lane).filter(can).map(|job| Entry::Job(job, None)).collect::<Vec<_>>()
    };
    let parts = [
        ("Your lane: what to take next", lane),
        ("Curing", of(JobState::Curing)),
        ("Waiting in no lane of yours", of(JobState::Waiting)),
        ("On their way in", of(JobState::OnItsWay)),
    ];
    let mut all = Vec::new();
    for (title, jobs) in parts.into_iter().filter(|(_, jobs)| !jobs.is_empty()) {
        all.push(Entry::Title(title));
        all.extend(jobs);
    }
    all
}

/// Whether the bench does any work that the item may need. What it has worked on is its own in any case.
fn can_do(state: &State, job: &JobView) -> bool {
    let own = job.bench == state.bench && job.state == JobState::Curing || job.pinned == state.bench;
    let bench = state.venue.as_ref().zip(state.bench).and_then(|(venue, bench)| venue.bench(bench));
    let able =
        |works: &[Work]| gear::works(job.kind, job.complaint).iter().any(|(work, _)| works.contains(work));
    own || bench.is_none_or(|bench| able(&bench.works))
}

/// Where the armourer is called to.
pub fn call_lines(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if let Some(call) = super::call(state) {
        let strip = board::strip(state.venue.as_ref(), call.strip);
        let note = call.note.as_ref().map(|note| format!(" “{note}”")).unwrap_or_default();
        let text = match call.state {
            CallState::Called => format!("GO TO {strip}: it stands still.{note} g when you are there."),
            CallState::AtStrip => format!("You are at {strip}.{note} g when it runs again."),
        };
        lines.push(line(format!(" {}", cut(&text, pane.columns.saturating_sub(2))), pane.theme.alarm()));
    }
    let view = state.bench.and_then(|bench| state.board.bench(bench));
    if let Some(until) = view.and_then(|view| view.away_until) {
        let text =
            format!(" The bench is unattended until {}. B when you are back.", state.clock.both(until));
        lines.push(line(text, pane.theme.heed()));
    }
    if view.is_some_and(|view| !view.open) {
        lines.push(line(" The bench is closed at the moment; the head opens it.", pane.theme.heed()));
    }
    lines
}

/// The home layer while nothing is in hand.
pub fn home_lines(state: &State, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = call_lines(state, pane);
    if super::first(state).is_none() {
        let says =
            if state.board_at.is_some() { " Nothing waits for you. The list fills by itself." } else { "" };
        lines.push(plain(says));
        return lines;
    }
    let near = match state.home.pointer.near(&super::rows(state)) {
        Some(RowKey::Job(id)) => Some(id),
        _ => None,
    };
    let room = pane.sized(pane.columns, pane.lines.saturating_sub(lines.len()));
    let mut rest = list(state, state.chosen_job(), near, room);
    lines.append(&mut rest);
    lines
}

/// The lane as a layer of its own.
pub fn lane_lines(state: &State, pointer: &Pointer<JobId>, pane: Pane) -> Vec<Line<'static>> {
    let jobs = lane_jobs(state);
    if jobs.is_empty() {
        return vec![plain(" Nothing else waits for you.")];
    }
    list(state, pointer.at, pointer.near(&jobs), pane)
}

/// The lane beside the card.
pub fn lane_column(state: &State, pane: Pane) -> Vec<Line<'static>> {
    if lane_jobs(state).is_empty() {
        return vec![line("Nothing else waits for you.", pane.theme.quiet())];
    }
    list(state, None, None, pane)
}

/// The lane; the lines of the job that is near are seen.
fn list(state: &State, chosen: Option<JobId>, near: Option<JobId>, pane: Pane) -> Vec<Line<'static>> {
    let mut rows = Vec::new();
    let mut at = (0, 0);
    for entry in entries(state) {
        let from = rows.len();
        match entry {
            Entry::Title(title) => rows.push(line(format!(" {title}"), pane.theme.strong())),
            Entry::Job(job, slot) => {
                let is_chosen = chosen == Some(job.job);
                for row in job_lines(state, job, slot, is_chosen, pane) {
                    rows.push(if is_chosen { over(row, pane.theme.chosen()) } else { row });
                }
                if near == Some(job.job) {
                    // The first job is shown together with its title.
                    at = (from.saturating_sub(1), rows.len() - 1);
                }
            }
        }
    }
    let from = first_shown(at, rows.len(), pane.lines);
    window(rows, from, pane.lines, pane.theme.quiet())
}

/// When a bench takes it up, in words.
fn taken_up(state: &State, job: &JobView, slot: Option<&LaneSlot>) -> String {
    match slot {
        Some(_) if job.state == JobState::OnItsWay => "still on its way".to_owned(),
        Some(slot) if slot.starts <= state.clock.now() => "now".to_owned(),
        Some(slot) => format!("from {}", state.clock.at(slot.starts)),
        None => board::standing(job, state.venue.as_ref(), &state.clock),
    }
}

fn job_lines(
    state: &State,
    job: &JobView,
    slot: Option<&LaneSlot>,
    chosen: bool,
    pane: Pane,
) -> Vec<Line<'static>> {
    let (clock, theme) = (&state.clock, pane.theme);
    let late = board::late(state, job);
    let wanted =
        job.wanted_by.map_or_else(|| "no time said".to_owned(), |at| format!("wanted {}", clock.at(at)));
    let mark = board::late_mark(late);
    let style = if late == Late::No { Style::new() } else { theme.alarm() };
    let pointer = if chosen { "▸" } else { " " };
    let need = format!("has {}", job.need.title());
    let plain = Style::new();
    let room = pane.columns.saturating_sub(2 + 7 + 14 + 16 + 13);
    let first = cells(&[
        (pointer, 1, plain),
        (&board::tag(job), 6, theme.strong()),
        (job.kind.short(), 14, plain),
        (&board::whose(job), room.saturating_sub(1), plain),
        (&wanted, 15, plain),
        (&mark, 12, style),
    ]);
    let when = taken_up(state, job, slot);
    let half = pane.columns.saturating_sub(30);
    let complaint = format!("{}, {need}", board::complaint(job, half.saturating_sub(width(&need) + 2)));
    let second = cells(&[
        ("", 1, plain),
        ("", 6, plain),
        (&complaint, half, theme.quiet()),
        (&when, 20, theme.quiet()),
    ]);
    let mut lines = vec![first, second];
    if chosen {
        lines.extend(slot.into_iter().flat_map(|slot| reasons(slot, pane)));
    }
    lines
}
