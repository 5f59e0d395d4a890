//! What was read for a person: a course in sentences, what a search found, the night list.

use remise_core::tag::Tag;
use remise_link::LinkError;
use remise_link::view::{Course, Found, JobView, NightList, OwedView};

use super::board;
use super::layer::{Layer, List, Pick, Reader, Said, Sheet};
use super::open;
use super::scan;
use super::send::read_failed;
use super::state::{ReadFor, State, Task};
use super::text::capital;
use super::update;

/// A course was read.
pub fn course(state: &mut State, why: ReadFor, result: Result<Course, LinkError>) -> Vec<Task> {
    let course = match (result, why) {
        (Ok(course), _) => course,
        (Err(_), ReadFor::Bench) => {
            // The next change of the board asks again.
            state.course_asked = None;
            return Vec::new();
        }
        (Err(error), _) => {
            read_failed(state, "The course", &error);
            return Vec::new();
        }
    };
    match why {
        ReadFor::Bench => update::take_course(state, course),
        ReadFor::Person => {
            let reader = Reader {
                title: capital(&board::name(&course.job)),
                lines: course_lines(state, &course),
                from: 0,
            };
            state.sheets.push(Sheet::new(Layer::Reader(reader)));
        }
        ReadFor::Correct => {
            let form = open::correct_form(state, &course);
            state.sheets.push(Sheet::new(Layer::Form(Box::new(form))));
        }
    }
    Vec::new()
}

/// A course in plain sentences, oldest first.
fn course_lines(state: &State, course: &Course) -> Vec<String> {
    let clock = &state.clock;
    let mut lines = vec![format!("Item {}, job {}.", course.job.item, course.job.job)];
    for line in &course.history {
        let late = if line.late {
            format!(" (entered late, {})", clock.at(line.recorded_at))
        } else {
            String::new()
        };
        let who = line.station.as_ref().map(|station| format!(" [{station}]")).unwrap_or_default();
        lines.push(format!("{}  {}{late}{who}", clock.at(line.happened_at), line.sentence));
    }
    if let Some(place) = &course.elsewhere {
        lines.push(format!("The fault lies elsewhere: {place}."));
    }
    if let Some(reason) = &course.anyway {
        lines.push(format!("Let go without a complete proof: {reason}."));
    }
    lines.extend(course.proof.iter().map(|check| {
        let result = match (check.answer.is_some(), check.pass) {
            (false, _) => "not made yet",
            (true, true) => "pass",
            (true, false) => "FAIL",
        };
        format!("Check: {}: {result} ({}, {}).", check.title, check.limit, check.status)
    }));
    lines.extend(course.owed.iter().map(|owed| format!("Still owed: {}.", owed.work.title())));
    if !course.proof.is_empty() {
        lines.push(remise_core::rules::CLOSING.to_owned());
    }
    lines
}

/// A search ended.
pub fn found(state: &mut State, text: &str, result: Result<Found, LinkError>) {
    let found = match result {
        Ok(found) => found,
        Err(error) => return read_failed(state, "The search", &error),
    };
    for job in &found.jobs {
        learn(state, job);
    }
    let tag = Tag::parse(text).ok();
    if let [job] = &found.jobs[..]
        && tag.is_some()
        && job.tag == tag
    {
        state.sheets.push(Sheet::new(Layer::Job(job.job)));
        return;
    }
    let mut rows: Vec<_> = found.jobs.iter().map(|job| (row_text(state, job), Pick::Open(job.job))).collect();
    rows.extend(found.near_tags.iter().map(|tag| (format!("Did you mean tag {tag}?"), Pick::Look(*tag))));
    if let Some(tag) = tag.filter(|_| found.jobs.is_empty()) {
        rows.extend(scan::free(state, tag));
        if !rows.is_empty() {
            let list = List { title: format!("Tag {tag} is on no item here"), rows, row: 0 };
            state.sheets.push(Sheet::new(Layer::List(list)));
            return;
        }
    }
    if rows.is_empty() {
        let lines =
            vec!["Only jobs that are open are found. Check the spelling, or read the tag again.".to_owned()];
        state
            .sheets
            .push(Sheet::new(Layer::Said(Said::note(format!("Nothing was found for “{text}”"), lines))));
        return;
    }
    let more = if found.more { " (more would fit)" } else { "" };
    let list = List { title: format!("Found for “{text}”{more}"), rows, row: 0 };
    state.sheets.push(Sheet::new(Layer::List(list)));
}

/// A job that this board does not show becomes known, so that its card can be opened.
fn learn(state: &mut State, job: &JobView) {
    state.found.retain(|known| known.job != job.job);
    if state.board.job(job.job).is_none() {
        state.found.push(job.clone());
    }
}

fn row_text(state: &State, job: &JobView) -> String {
    let whereabouts = board::whereabouts(job, state.venue.as_ref(), &state.clock);
    format!("{} {}, {} · {whereabouts}", job.kind.short(), board::tag(job), board::whose(job))
}

/// The night list was read.
pub fn night(state: &mut State, result: Result<NightList, LinkError>) {
    let list = match result {
        Ok(list) => list,
        Err(error) => return read_failed(state, "The night list", &error),
    };
    let lines = night_lines(state, &list);
    let reader = Reader { title: format!("Tonight, as of {}", state.clock.at(list.at)), lines, from: 0 };
    state.sheets.push(Sheet::new(Layer::Reader(reader)));
}

fn night_lines(state: &State, list: &NightList) -> Vec<String> {
    let mut lines = Vec::new();
    let parts: [(&str, &[JobView]); 5] = [
        ("On their way and never scanned in", &list.on_their_way),
        ("In the room and not finished", &list.unfinished),
        ("Not collected", &list.uncollected),
        ("Cannot be found", &list.missing),
        ("Confiscated", &list.confiscated),
    ];
    for (title, jobs) in parts {
        lines.push(format!("{title}: {}", jobs.len()));
        lines.extend(jobs.iter().map(|job| format!("  {}", row_text(state, job))));
    }
    lines.push(format!("Lasting repairs owed: {}", list.owed.len()));
    lines.extend(list.owed.iter().map(|owed| format!("  {}", owed_text(owed))));
    lines.push(format!("In the way of closing the day: {}", list.count_problems.len()));
    lines.extend(list.count_problems.iter().map(|problem| format!("  {problem}")));
    if !list.complaints.is_empty() {
        lines.push("What was complained of most".to_owned());
    }
    lines.extend(list.complaints.iter().take(5).map(|line| {
        let title = remise_core::gear::Complaint::from_code(&line.code)
            .map_or(line.code.as_str(), |known| known.title());
        format!("  {} × {title}", line.number)
    }));
    lines
}

/// Something owed in a line.
pub fn owed_text(owed: &OwedView) -> String {
    let whose = owed.fencer.as_deref().unwrap_or("nobody known");
    let here = if owed.job.is_some() { "is here" } else { "has gone out" };
    format!("{} of {whose}, item {}: {}; it {here}", owed.kind.title(), owed.item, owed.work.title())
}
