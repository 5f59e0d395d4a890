//! How the card of the job in hand looks: whose it is, what to heed, what may be wrong, how far it is.

use ratatui::style::Style;
use ratatui::text::{Line, Span};
use remise_core::gear::Fault;
use remise_link::view::JobView;

use super::digits;
use super::lane::{call_lines, lane_column};
use super::ways;
use crate::screens::advice;
use crate::screens::board::{self, Late};
use crate::screens::clock::{length, whole_min};
use crate::screens::faults;
use crate::screens::paint::{Pane, cells, first_shown, line, over, paragraph, plain, window};
use crate::screens::state::State;
use crate::screens::text::{capital, cut, pad, wrap};

/// Columns beside the name of a possible fault.
const BESIDE_NAME: usize = 26;
/// From that many columns the lane stands beside the card.
const WIDE: usize = 140;

/// The card's lines.
pub fn lines(state: &State, job: &JobView, pane: Pane) -> Vec<Line<'static>> {
    if pane.columns < WIDE {
        return card(state, job, pane);
    }
    let left = pane.columns * 3 / 5;
    let card = card(state, job, pane.sized(left, pane.lines));
    let lane = lane_column(state, pane.sized(pane.columns - left - 3, pane.lines));
    beside(card, lane, left, pane.lines)
}

/// Two columns of lines, with a rule between.
pub fn beside(
    left: Vec<Line<'static>>,
    right: Vec<Line<'static>>,
    columns: usize,
    lines: usize,
) -> Vec<Line<'static>> {
    let mut left = left.into_iter();
    let mut right = right.into_iter();
    (0..lines)
        .map(|_| {
            let mut line = left.next().unwrap_or_default();
            let missing = columns.saturating_sub(line.width());
            line.spans.push(Span::raw(" ".repeat(missing)));
            line.spans.push(Span::raw(" │ "));
            line.spans.extend(right.next().unwrap_or_default().spans);
            line
        })
        .collect()
}

fn card(state: &State, job: &JobView, pane: Pane) -> Vec<Line<'static>> {
    let mut lines = call_lines(state, pane);
    lines.extend(head(state, job, pane));
    lines.extend(heed(state, job, pane));
    let done = done(state, job, pane);
    let room = pane.lines.saturating_sub(lines.len() + done.len());
    lines.extend(may_be_wrong(state, job, pane.sized(pane.columns, room)));
    let gap = pane.lines.saturating_sub(lines.len() + done.len());
    lines.extend(std::iter::repeat_n(plain(""), gap));
    lines.extend(done);
    lines
}

/// The tag in tall digits, and beside it the facts.
fn head(state: &State, job: &JobView, pane: Pane) -> Vec<Line<'static>> {
    let tall = digits::tall(&board::tag(job));
    let room = pane.columns.saturating_sub(digits::WIDE + 3);
    let facts = facts(state, job, pane, room);
    let mut lines = Vec::new();
    for at in 0..facts.len().max(digits::HIGH) {
        let digits = tall.get(at).map_or("", String::as_str);
        let mut spans = vec![Span::styled(format!(" {} ", pad(digits, digits::WIDE)), pane.theme.strong())];
        spans.extend(facts.get(at).cloned().unwrap_or_default().spans);
        lines.push(Line::from(spans));
    }
    lines
}

fn facts(state: &State, job: &JobView, pane: Pane, room: usize) -> Vec<Line<'static>> {
    let (venue, clock, theme) = (state.venue.as_ref(), &state.clock, pane.theme);
    let who = format!("{} · {}", capital(job.kind.title()), board::whose(job));
    let mut lines = vec![line(cut(&who, room), theme.strong())];
    lines.push(line(cut(&capital(job.complaint.title()), room), theme.strong()));
    if let Some(note) = &job.note {
        lines.push(plain(cut(&format!("“{note}”"), room)));
    }
    let late = board::late(state, job);
    let wanted =
        job.wanted_by.map_or_else(|| "no time said".to_owned(), |at| format!("wanted by {}", clock.both(at)));
    let mark = if late == Late::No { String::new() } else { format!(" · {}", board::late_mark(late)) };
    let style = if late == Late::No { Style::new() } else { theme.alarm() };
    lines.push(line(cut(&format!("{wanted}{mark}"), room), style));
    let hands = length(whole_min(job.hands_on_at(clock.now())));
    let running = if job.in_hand_since.is_some() { "in hand" } else { "CLOCK STOPPED at" };
    let to = board::spot(venue, job.back_to);
    lines.push(plain(cut(&format!("has {} · back to {to} · {running} {hands}", job.need.title()), room)));
    let mut more = Vec::new();
    more.extend(job.hold.as_ref().map(|hold| format!("HELD: {}", hold.reason.title())));
    if job.earlier_stays > 0 {
        more.push(format!("was here {} times before", job.earlier_stays));
    }
    if !job.owed.is_empty() {
        more.push("a lasting repair is owed on it".to_owned());
    }
    if !more.is_empty() {
        lines.push(line(cut(&more.join(" · "), room), theme.heed()));
    }
    lines
}

fn chosen_fault(state: &State, job: &JobView) -> Option<&'static Fault> {
    faults::listed(job).get(state.home.fault).map(|(fault, _)| *fault)
}

/// Cautions come before the work: those of the chosen fault, or of the likeliest that has any.
fn heed(state: &State, job: &JobView, pane: Pane) -> Vec<Line<'static>> {
    let listed = faults::listed(job);
    let chosen = chosen_fault(state, job).into_iter();
    let any = chosen
        .chain(listed.iter().map(|(fault, _)| *fault))
        .map(faults::cautions)
        .find(|all| !all.is_empty());
    let Some(cautions) = any else { return vec![plain("")] };
    let most = if pane.lines >= 30 { 4 } else { 2 };
    let mut lines: Vec<_> = cautions
        .iter()
        .take(most)
        .map(|text| line(format!(" ! {}", cut(text, pane.columns.saturating_sub(4))), pane.theme.heed()))
        .collect();
    lines.push(line(
        cut("   u shows all cautions; house rules and local law go first", pane.columns),
        pane.theme.quiet(),
    ));
    lines
}

/// The possible faults with what was found; below the chosen one what to look at.
fn may_be_wrong(state: &State, job: &JobView, pane: Pane) -> Vec<Line<'static>> {
    let quiet = pane.theme.quiet();
    let mut rows = Vec::new();
    let mut chosen = (0, 0);
    let listed = faults::listed(job);
    let likeliest = listed.iter().map(|(fault, _)| share(state, fault)).fold(0.0, f64::max);
    for (at, (fault, _)) in listed.into_iter().enumerate() {
        let strong = share(state, fault) >= likeliest;
        let row = fault_row(state, job, (at, fault), strong, pane);
        let from = rows.len();
        let is_chosen = at == state.home.fault;
        rows.push(if is_chosen { over(row, pane.theme.chosen()) } else { row });
        if is_chosen {
            rows.extend(look_at(fault, pane));
            rows.extend(ways::lines(state, job, fault, pane));
            chosen = (from, rows.len() - 1);
        }
    }
    let mut lines: Vec<_> = next_check(state, job, pane).into_iter().collect();
    lines.push(cells(&[
        ("", 1, quiet),
        ("", 1, quiet),
        ("What may be wrong", pane.columns.saturating_sub(BESIDE_NAME), quiet),
        ("now*", 6, quiet),
        ("shown", 9, quiet),
    ]));
    let room = pane.lines.saturating_sub(lines.len() + 1);
    let from = first_shown(chosen, rows.len(), room);
    lines.extend(window(rows, from, room, quiet));
    lines.push(line("   * by estimates of ours, the complaint and what was found so far", quiet));
    lines
}

/// One possible fault: its number, how likely it is now, what a look showed.
fn fault_row(
    state: &State,
    job: &JobView,
    (at, fault): (usize, &Fault),
    strong: bool,
    pane: Pane,
) -> Line<'static> {
    let number = if at < 9 { format!("{}", at + 1) } else { " ".to_owned() };
    let style = if strong { pane.theme.strong() } else { Style::new() };
    let showed = faults::showed(state.course_of(job.job), fault.id).map_or("", |showed| showed.title());
    let pointer = if at == state.home.fault { "▸" } else { " " };
    cells(&[
        (pointer, 1, pane.theme.quiet()),
        (&number, 1, pane.theme.key()),
        (fault.title, pane.columns.saturating_sub(BESIDE_NAME), style),
        (&percent(share(state, fault)), 6, style),
        (&showed.to_uppercase(), 9, pane.theme.strong()),
    ])
}

/// The check that finds the cause soonest, in one line.
fn next_check(state: &State, job: &JobView, pane: Pane) -> Option<Line<'static>> {
    let next = advice::wanted(state, job)?;
    let first =
        if next.first.is_empty() { String::new() } else { format!(" (first: {})", next.first.join("; ")) };
    let what = format!("{}{first}", next.title);
    let with = format!(" · {} · {} min", next.with, format_args!("{:.1}", next.minutes));
    let room = pane.columns.saturating_sub(9 + with.chars().count());
    let text = format!("{}{with}", cut(&what, room));
    Some(Line::from(vec![
        Span::raw(" "),
        Span::styled("n", pane.theme.key()),
        Span::raw(" next: "),
        Span::styled(text, pane.theme.strong()),
    ]))
}

/// How likely a fault is now, from 0 to 1.
fn share(state: &State, fault: &Fault) -> f64 {
    state.advice.as_ref().and_then(|advice| advice.share(fault.id)).unwrap_or(0.0)
}

fn look_at(fault: &Fault, pane: Pane) -> Vec<Line<'static>> {
    let text = format!("look: {}", fault.test);
    let lines = wrap(&text, pane.columns.saturating_sub(8));
    lines.into_iter().take(2).map(|text| line(format!("      {text}"), pane.theme.quiet())).collect()
}

fn percent(share: f64) -> String {
    if share < 0.01 { "< 1 %".to_owned() } else { format!("{:>3.0} %", 100.0 * share) }
}

/// What was done so far.
fn done(state: &State, job: &JobView, pane: Pane) -> Vec<Line<'static>> {
    let mut parts = Vec::new();
    let Some(course) = state.course_of(job.job) else {
        return vec![line(" Reading what was recorded …", pane.theme.quiet())];
    };
    for repair in &course.repairs {
        parts.push(format!("{} ({})", repair.work.short(), repair.lasting));
    }
    if course.job.no_fault {
        parts.push("no fault found".to_owned());
    }
    if let Some(place) = &course.elsewhere {
        parts.push(format!("fault elsewhere: {place}"));
    }
    let work = if parts.is_empty() { "nothing yet".to_owned() } else { parts.join(", ") };
    let passed = course.proof.iter().filter(|check| check.pass).count();
    let proof = if parts.is_empty() {
        String::new()
    } else {
        format!(" · proof {passed} of {} passed", course.proof.len())
    };
    paragraph(&format!("Done: {work}{proof}"), pane.columns.saturating_sub(1), 1, pane.theme.strong())
}
