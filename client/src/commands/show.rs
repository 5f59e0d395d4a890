//! How things stand, in lines for people. For programs there is `--json`.

use remise_core::armoury::{Place, Spot};
use remise_core::rules::Answer;
use remise_core::tag::Tag;
use remise_link::view::{
    BenchView, Board, CallView, CheckView, Course, EventBatch, Found, JobView, Lane, NightList, OwedView,
    PromisesKept, ReadyBy, VenueView,
};
use unicode_width::UnicodeWidthStr;

use crate::local::VenueClock;

/// Longest text of an event that is shown to people, in characters.
const EVENT_MAX: usize = 240;

/// Rows in columns, the first row a heading.
pub(super) fn columns(rows: &[Vec<String>]) -> String {
    let count = rows.iter().map(Vec::len).max().unwrap_or_default();
    let width = |column: usize| rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.width()).max();
    let widths: Vec<usize> = (0..count).map(|column| width(column).unwrap_or_default()).collect();
    let line = |row: &Vec<String>| {
        let cell = |(cell, width): (&String, &usize)| format!("{cell}{}", " ".repeat(width - cell.width()));
        row.iter().zip(&widths).map(cell).collect::<Vec<_>>().join("  ").trim_end().to_owned() + "\n"
    };
    rows.iter().map(line).collect()
}

pub(super) fn heading(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

fn spot(spot: Spot) -> String {
    match spot {
        Spot::Strip(id) => format!("strip {id}"),
        Spot::Counter => "counter".to_owned(),
    }
}

fn place(place: Place) -> String {
    match place {
        Place::Strip(id) => format!("strip {id}"),
        Place::Bench(id) => format!("bench {id}"),
        Place::Counter => "counter".to_owned(),
        Place::CuringShelf => "curing shelf".to_owned(),
        Place::ReadyShelf => "ready shelf".to_owned(),
        Place::LockedAway => "locked away".to_owned(),
        Place::Gone => "nobody knows".to_owned(),
        Place::HandedBack => "handed back".to_owned(),
    }
}

fn ready(by: Option<ReadyBy>, clock: &VenueClock) -> String {
    match by {
        None => "-".to_owned(),
        Some(ReadyBy { likely, safe: Some(safe), .. }) if safe != likely => {
            format!("{} to {}", clock.show(likely), clock.show(safe))
        }
        Some(ReadyBy { likely, .. }) => format!("about {}", clock.show(likely)),
    }
}

/// What somebody should know of a job beside its columns.
fn remarks(job: &JobView) -> String {
    let mut remarks = Vec::new();
    if let Some(hold) = &job.hold {
        remarks.push(format!("held: {}", hold.reason));
    }
    if let Some(notice) = job.notice.filter(|notice| notice.confirmed.is_none()) {
        let raised = if notice.raised { ", nobody confirms it" } else { "" };
        remarks.push(format!("notice {}: {}{raised}", notice.notice, notice.kind));
    }
    if let Some(bench) = job.pinned {
        remarks.push(format!("kept for bench {bench}"));
    }
    if !job.owed.is_empty() {
        remarks.push("a lasting repair is owed".to_owned());
    }
    remarks.extend(job.note.clone());
    remarks.join("; ")
}

fn job_row(job: &JobView, clock: &VenueClock) -> Vec<String> {
    vec![
        job.job.to_string(),
        job.tag.map_or_else(|| "-".to_owned(), Tag::digits),
        job.kind.short().to_owned(),
        job.complaint.short().to_owned(),
        job.fencer.clone().unwrap_or_else(|| "-".to_owned()),
        job.state.to_string(),
        place(job.place),
        job.need.to_string(),
        spot(job.back_to),
        job.wanted_by.map_or_else(|| "-".to_owned(), |at| clock.show(at)),
        ready(job.promise.or(job.planned), clock),
        remarks(job),
    ]
}

fn jobs(jobs: &[JobView], clock: &VenueClock) -> String {
    if jobs.is_empty() {
        return "No jobs.\n".to_owned();
    }
    let words = [
        "JOB",
        "TAG",
        "ITEM",
        "SEEN",
        "WHOSE",
        "STATE",
        "PLACE",
        "STILL WORKS",
        "BACK TO",
        "WANTED",
        "READY",
        "",
    ];
    let mut rows = vec![heading(&words)];
    rows.extend(jobs.iter().map(|job| job_row(job, clock)));
    columns(&rows)
}

fn section(title: &str, body: &str) -> String {
    if body.is_empty() { String::new() } else { format!("\n{title}\n{body}") }
}

fn benches(list: &[BenchView], clock: &VenueClock) -> String {
    let row = |bench: &BenchView| {
        let hand =
            bench.in_hand.map_or_else(|| "nothing in hand".to_owned(), |job| format!("job {job} in hand"));
        let stands = match (bench.away_until, bench.call, bench.open) {
            (None, None, true) if bench.closes_at.is_some() => {
                let closes = bench.closes_at.map_or_else(String::new, |at| clock.show(at));
                format!("open, closes at {closes}")
            }
            (Some(until), _, _) => format!("unattended until {}", clock.show(until)),
            (None, Some(call), _) => format!("on call-out {call}"),
            (None, None, true) => "open".to_owned(),
            (None, None, false) => "closed".to_owned(),
        };
        let armourer = bench.armourer.clone().unwrap_or_default();
        vec![format!("bench {}", bench.bench), bench.name.clone(), armourer, stands, hand]
    };
    columns(&list.iter().map(row).collect::<Vec<_>>())
}

fn calls(list: &[CallView], clock: &VenueClock) -> String {
    let row = |call: &CallView| {
        let arrival = call.arrival.map_or_else(String::new, |at| format!("there about {}", clock.show(at)));
        let note = call.note.clone().unwrap_or_default();
        vec![
            format!("call-out {}", call.call),
            format!("strip {}", call.strip),
            format!("bench {}", call.bench),
            call.state.title().to_owned(),
            arrival,
            note,
        ]
    };
    columns(&list.iter().map(row).collect::<Vec<_>>())
}

fn lanes(list: &[Lane], clock: &VenueClock) -> String {
    let line = |lane: &Lane| {
        let slots: Vec<String> =
            lane.slots.iter().map(|slot| format!("{} at {}", slot.job, clock.show(slot.starts))).collect();
        format!(
            "bench {}: {}\n",
            lane.bench,
            if slots.is_empty() { "empty".to_owned() } else { slots.join(", ") }
        )
    };
    list.iter().map(line).collect()
}

fn owed(list: &[OwedView], clock: &VenueClock) -> String {
    let row = |owed: &OwedView| {
        vec![
            format!("owed {}", owed.owed),
            owed.kind.short().to_owned(),
            owed.work.short().to_owned(),
            owed.fencer.clone().unwrap_or_else(|| "-".to_owned()),
            format!("since {}", clock.show(owed.since)),
            owed.job.map_or_else(|| "not here".to_owned(), |job| format!("job {job}")),
        ]
    };
    columns(&list.iter().map(row).collect::<Vec<_>>())
}

/// A board.
pub(super) fn board(board: &Board, clock: &VenueClock) -> String {
    let mut text = jobs(&board.jobs, clock);
    text += &section("Benches", &benches(board.benches.as_deref().unwrap_or_default(), clock));
    if let Some(trouble) = board.planner.as_ref().and_then(|planner| planner.trouble.as_ref()) {
        text.extend(["\n", trouble, "\n"]);
    }
    text += &section("Lanes", &lanes(board.lanes.as_deref().unwrap_or_default(), clock));
    text += &section("Call-outs", &calls(board.calls.as_deref().unwrap_or_default(), clock));
    text + &section("Owed", &owed(board.owed.as_deref().unwrap_or_default(), clock))
}

/// How promises were kept.
pub(super) fn promises(kept: &[PromisesKept]) -> String {
    if kept.is_empty() {
        return "No time was promised yet.\n".to_owned();
    }
    let row = |class: &PromisesKept| {
        vec![
            class.need.map_or("all", |need| need.title()).to_owned(),
            format!("{} promised", class.promised),
            format!("likely {}", share(class.likely_kept, class.likely_missed)),
            format!("safe {}", share(class.safe_kept, class.safe_missed)),
        ]
    };
    let aim = "Aimed at: likely 50 %, safe 90 % of the times first promised. A share of few says little.\n";
    columns(&kept.iter().map(row).collect::<Vec<_>>()) + aim
}

/// `kept 51 % (18 of 35)`, of those whose outcome is known.
pub(crate) fn share(kept: u64, missed: u64) -> String {
    let known = kept + missed;
    // Half up, in whole numbers.
    let percent = (200 * kept + known).checked_div(2 * known);
    percent
        .map_or_else(|| "not known yet".to_owned(), |percent| format!("kept {percent} % ({kept} of {known})"))
}

/// The night's list.
pub(super) fn night(night: &NightList, clock: &VenueClock) -> String {
    let lists = [
        ("On their way, never scanned in", &night.on_their_way),
        ("In the room and not finished", &night.unfinished),
        ("Not collected", &night.uncollected),
        ("Cannot be found", &night.missing),
        ("Confiscated", &night.confiscated),
    ];
    let filled = lists.iter().filter(|(_, list)| !list.is_empty());
    let mut text: String = filled.map(|(title, list)| section(title, &jobs(list, clock))).collect();
    text += &section("Owed", &owed(&night.owed, clock));
    let mut problems = night.count_problems.join("\n");
    if !problems.is_empty() {
        problems.push('\n');
    }
    text += &section("Before the day can be closed", &problems);
    if text.is_empty() { "Nothing is left here tonight, and nothing is owed.\n".to_owned() } else { text }
}

/// What a search found.
pub(super) fn found(found: &Found, clock: &VenueClock) -> String {
    let mut text = jobs(&found.jobs, clock);
    if found.more {
        text += "There are more: search for something narrower.\n";
    }
    if !found.near_tags.is_empty() {
        let near: Vec<String> = found.near_tags.iter().map(|tag| tag.digits()).collect();
        text = format!("{text}Did you mean tag {}?\n", near.join(" or "));
    }
    text
}

fn answer(answer: Option<Answer>, unit: Option<&str>, parts: i64) -> String {
    match answer {
        None => "not done yet".to_owned(),
        Some(Answer::Passed) => "passed".to_owned(),
        Some(Answer::Failed) => "failed".to_owned(),
        Some(Answer::Reading(value)) => format!("{} {}", decimal(value, parts), unit.unwrap_or_default()),
    }
}

/// `1800` in parts of 1000: `1.8`. Exact; no floating point.
fn decimal(value: i64, parts: i64) -> String {
    let parts = parts.max(1);
    let digits = parts.checked_ilog10().unwrap_or_default() as usize;
    let (whole, rest) = (value / parts, (value % parts).abs());
    if rest == 0 {
        return whole.to_string();
    }
    let rest = format!("{rest:0digits$}");
    format!("{whole}.{}", rest.trim_end_matches('0'))
}

/// The checks, each with its limit and rule on a line of its own.
fn proof(checks: &[CheckView]) -> String {
    let line = |check: &CheckView| {
        let done = answer(check.answer, check.unit.as_deref(), check.parts_per_unit);
        let verdict = if check.answer.is_none() || check.pass { "" } else { ": does not hold" };
        let rule = check.rule.as_deref().unwrap_or("no rule number");
        format!(
            "{:24}{done}{verdict}\n    {}: {} ({rule}, {})\n",
            check.check, check.title, check.limit, check.status
        )
    };
    checks.iter().map(line).collect::<Vec<_>>().concat()
}

/// All that is known of a job.
pub(super) fn course(course: &Course, clock: &VenueClock) -> String {
    let mut text = jobs(std::slice::from_ref(&course.job), clock);
    text += &section("Proof; the competition's own weapon control decides", &proof(&course.proof));
    let findings = course.findings.iter().map(|finding| {
        vec![format!("finding {}", finding.finding), finding.fault.clone(), finding.showed.to_string()]
    });
    text += &section("Findings", &columns(&findings.collect::<Vec<_>>()));
    let sightings = course.sightings.iter().map(|saw| vec![format!("finding {}", saw.id), saw.seen.clone()]);
    text += &section("Seen with lamp, meter or box", &columns(&sightings.collect::<Vec<_>>()));
    let repairs = course.repairs.iter().map(|repair| {
        vec![format!("repair {}", repair.repair), repair.work.short().to_owned(), repair.lasting.to_string()]
    });
    text += &section("Repairs", &columns(&repairs.collect::<Vec<_>>()));
    let history = course.history.iter().map(|line| {
        let late = if line.late { "entered late" } else { "" };
        vec![clock.show(line.happened_at), line.sentence.clone(), late.to_owned()]
    });
    text + &section("What happened", &columns(&history.collect::<Vec<_>>()))
        + &section("Owed", &owed(&course.owed, clock))
}

/// The tournament.
pub(super) fn venue(venue: &VenueView, clock: &VenueClock) -> String {
    let days =
        venue.days.iter().map(|day| vec![format!("{} to {}", clock.show(day.from), clock.show(day.to))]);
    let strips = venue.strips.iter().map(|strip| {
        vec![format!("strip {}", strip.strip), strip.name.clone(), format!("{} min away", strip.walk_min)]
    });
    let benches = venue.benches.iter().map(|bench| {
        let works: Vec<&str> = bench.works.iter().map(|work| work.short()).collect();
        vec![format!("bench {}", bench.bench), bench.name.clone(), works.join(", ")]
    });
    let events = venue.competitions.iter().map(|event| {
        vec![
            event.name.clone(),
            event.weapon.title().to_owned(),
            clock.show(event.starts),
            event.entries.to_string(),
        ]
    });
    let name = if venue.name.is_empty() { "No tournament is open." } else { &venue.name };
    format!("{name}\n")
        + &section("Days", &columns(&days.collect::<Vec<_>>()))
        + &section("Strips", &columns(&strips.collect::<Vec<_>>()))
        + &section("Benches", &columns(&benches.collect::<Vec<_>>()))
        + &section("Competitions", &columns(&events.collect::<Vec<_>>()))
}

/// A text that fits a line or two; whole only with `--json`.
fn cut(text: &str) -> String {
    let mut short: String = text.chars().take(EVENT_MAX).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

/// Events.
pub(super) fn events(batch: &EventBatch, clock: &VenueClock) -> String {
    let rows = batch.events.iter().map(|event| {
        let station = event.station.clone().unwrap_or_else(|| "server".to_owned());
        vec![event.seq.to_string(), clock.show(event.recorded_at), station, cut(&event.event.to_string())]
    });
    let rows: Vec<_> = rows.collect();
    if rows.is_empty() { format!("Nothing after {}.\n", batch.covers_up_to) } else { columns(&rows) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_is_shown_exactly() {
        for (value, parts, shown) in [
            (1800, 1000, "1.8"),
            (2000, 1000, "2"),
            (5001, 1000, "5.001"),
            (7, 10, "0.7"),
            (45, 1, "45"),
            (5, 0, "5"),
        ] {
            assert_eq!(decimal(value, parts), shown);
        }
    }

    #[test]
    fn columns_line_up_by_what_a_terminal_shows() {
        let rows = vec![heading(&["A", "B"]), heading(&["épée", "1"]), heading(&["試合", "2"])];
        assert_eq!(columns(&rows), "A     B\népée  1\n試合  2\n");
    }
}
