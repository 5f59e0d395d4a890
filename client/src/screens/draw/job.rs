//! How the card of one job looks.

use ratatui::text::Line;
use remise_core::ids::JobId;
use remise_link::view::{JobView, NoticeView};

use crate::screens::board::{self, Late};
use crate::screens::layer;
use crate::screens::paint::{Pane, line, plain};
use crate::screens::state::State;
use crate::screens::text::pad;

/// The card's lines.
pub fn lines(state: &State, id: JobId, pane: Pane) -> Vec<Line<'static>> {
    let Some(job) = state.job(id) else {
        return vec![
            line(format!(" Job {id} is closed."), pane.theme.strong()),
            plain(
                " The item was handed back or has left the armoury. Find it by its tag or fencer if it comes in anew.",
            ),
        ];
    };
    let mut lines = vec![super::title(&super::super::text::capital(&board::name(job)), pane)];
    if state.board.job(id).is_none() {
        lines.push(line(
            " As it stood when you searched; search again for how it stands now.",
            pane.theme.heed(),
        ));
    }
    for (label, value) in facts(state, job) {
        let text = format!(" {} {value}", pad(label, 13));
        lines.extend(super::keep_columns(text.trim_start(), pane.columns.saturating_sub(2), 14));
    }
    let late = board::late(state, job);
    if late != Late::No {
        lines.push(line(format!(" {}", board::late_mark(late)), pane.theme.alarm()));
    }
    lines.push(plain(""));
    lines.extend(super::key_table(&layer::bindings(state), pane));
    lines.truncate(pane.lines);
    lines
}

/// What is known of the job, each with its label; what is not said is left out.
fn facts(state: &State, job: &JobView) -> Vec<(&'static str, String)> {
    let (venue, clock) = (state.venue.as_ref(), &state.clock);
    let mut facts = vec![
        ("Stands", board::whereabouts(job, venue, clock)),
        ("Complaint", job.complaint.title().to_owned()),
    ];
    facts.extend(job.note.iter().map(|note| ("Remark", note.clone())));
    facts.push(("Still has", job.need.title().to_owned()));
    facts.extend(job.wanted_by.map(|at| ("Wanted by", clock.both(at))));
    let walk = board::walk_min(venue, job.back_to);
    let to = board::spot(venue, job.back_to);
    facts.push(("Goes back to", if walk > 0 { format!("{to}, {walk} min on foot") } else { to }));
    if board::awaits_work(job) {
        facts.push(("Back there", board::back_words(state, job)));
    }
    facts.extend(job.hold.as_ref().map(|hold| {
        let note = hold.note.as_ref().map(|note| format!(": {note}")).unwrap_or_default();
        ("Held", format!("{}{note} (since {})", hold.reason.title(), clock.at(hold.since)))
    }));
    facts.extend(job.pinned.map(|bench| ("Kept for", board::bench(venue, bench))));
    facts.extend(job.notice.map(|notice| ("Notice", notice_words(state, &notice))));
    if job.earlier_stays > 0 {
        facts.push(("Here before", format!("{} times", job.earlier_stays)));
    }
    if !job.owed.is_empty() {
        facts.push(("Owed", format!("{} lasting repair(s)", job.owed.len())));
    }
    facts.extend(job.bringer.iter().map(|name| ("Brought by", name.clone())));
    facts.push((
        "Handed in",
        format!("{} from {}", clock.at(job.handed_in), board::spot(venue, job.came_from)),
    ));
    facts
}

fn notice_words(state: &State, notice: &NoticeView) -> String {
    let clock = &state.clock;
    let confirmed = match notice.confirmed {
        Some(at) => format!("confirmed {}", clock.at(at)),
        None if notice.raised => "NOT CONFIRMED for long".to_owned(),
        None => "not confirmed yet".to_owned(),
    };
    format!("{}, {}, {confirmed}", notice.kind.title(), clock.at(notice.sent))
}
