//! The days of the tournament and the clock of its venue.

use jiff::civil::Date;
use jiff::tz::{TimeZone, TimeZoneDatabase};
use remise_core::time::{Stamp, Window};

use super::fields::{At, Fields};
use super::hours::{Clock, Hours};
use super::local::{self, LocalProblem};
use super::problem::{Findings, shown};
use super::suggest;

/// Most days of a tournament.
pub const DAYS_MAX: usize = 10;

/// One day, from opening to close.
#[derive(Clone, Copy, Debug)]
pub struct Day {
    /// Its date.
    pub date: Date,
    /// Its hours as written.
    pub hours: Hours,
    /// Its hours as moments.
    pub window: Window,
    at: usize,
}

/// The days as far as they could be read.
#[derive(Debug)]
pub struct Days {
    /// The venue's zone; UTC when the file's was refused.
    pub zone: TimeZone,
    /// Ascending by date.
    pub list: Vec<Day>,
    /// Whether all were read; if not, nothing can be said about what lies outside of them.
    pub whole: bool,
}

impl Days {
    /// The day of that date.
    pub fn on(&self, date: Date) -> Option<&Day> {
        self.list.iter().find(|day| day.date == date)
    }

    /// Whether a moment lies in one of the days, as far as they are known.
    pub fn hold(&self, at: Stamp) -> bool {
        !self.whole || self.list.iter().any(|day| day.window.contains(at))
    }

    /// The dates, for messages.
    pub fn dates(&self) -> Vec<String> {
        self.list.iter().map(|day| day.date.to_string()).collect()
    }
}

/// Reads `time_zone` and `days`.
pub fn read(root: &Fields<'_>, findings: &mut Findings) -> Days {
    let before = findings.count();
    let zone = read_zone(root, findings).unwrap_or(TimeZone::UTC);
    let mut days: Vec<Day> = Vec::new();
    for table in root.tables("days", DAYS_MAX, findings) {
        days.extend(read_day(table, &zone, findings));
    }
    days.sort_by_key(|day| (day.date, day.at));
    for pair in days.windows(2) {
        check_apart(&pair[0], &pair[1], findings);
    }
    Days { zone, list: days, whole: findings.count() == before }
}

fn read_zone(root: &Fields<'_>, findings: &mut Findings) -> Option<TimeZone> {
    let name = root.string("time_zone", findings)?;
    let zone = local::zone(name.value);
    if zone.is_none() {
        let database = TimeZoneDatabase::bundled();
        let known: Vec<String> = database.available().map(|zone| zone.as_str().to_owned()).collect();
        let hint = match suggest::nearest(name.value, known.iter().map(String::as_str)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "write an IANA name such as `Europe/Vienna`".to_owned(),
        };
        findings.hinted(name.at, format!("unknown time zone `{}`", shown(name.value)), hint);
    }
    zone
}

fn read_day(table: At<&dyn toml_edit::TableLike>, zone: &TimeZone, findings: &mut Findings) -> Option<Day> {
    let fields = Fields::open(table.value, table.at, &["date", "hours"], findings);
    let date = fields.date_text("date", findings);
    let date = date.and_then(|text| match local::parse_date(&text.value) {
        Ok(date) => Some(date),
        Err(problem) => {
            let what = format!("`date` is refused: {}", date_problem(problem));
            findings.problem(text.at, what);
            None
        }
    });
    let text = fields.string("hours", findings);
    let hours = text.and_then(|text| hours_of("hours", text, findings));
    let (date, hours, text) = (date?, hours?, text?);
    match hours.on(date, zone) {
        Ok(window) => Some(Day { date, hours, window, at: table.at }),
        Err((clock, problem)) => {
            note_clock("hours", text.at, clock, problem, findings);
            None
        }
    }
}

fn date_problem(problem: LocalProblem) -> &'static str {
    match problem {
        LocalProblem::OutOfRange => "there is no such date in the years 2000 to 2099",
        _ => "write a date as 2026-05-02",
    }
}

fn check_apart(earlier: &Day, later: &Day, findings: &mut Findings) {
    if earlier.date == later.date {
        findings.problem(later.at, format!("the day {} stands in the file twice", later.date));
    } else if later.window.from < earlier.window.to {
        let what = format!("the day {} opens before the day {} has closed", later.date, earlier.date);
        findings.problem(later.at, what);
    }
}

/// Reads hours, or notes what is wrong with them.
pub fn hours_of(key: &str, text: At<&str>, findings: &mut Findings) -> Option<Hours> {
    match Hours::parse(text.value) {
        Ok(hours) => Some(hours),
        Err(problem) => {
            let what = format!("`{key}` are not hours: `{}`", shown(text.value));
            findings.hinted(text.at, what, problem);
            None
        }
    }
}

/// Notes that a time of day has no place, or two, on its date.
pub fn note_clock(key: &str, at: usize, clock: Clock, problem: LocalProblem, findings: &mut Findings) {
    let what = format!("`{key}`: {clock}: {problem}");
    match problem {
        LocalProblem::Fold { .. } => {
            let hint = format!("write `{clock} first` or `{clock} second` for the earlier or the later one");
            findings.hinted(at, what, hint);
        }
        LocalProblem::Gap => findings.hinted(at, what, "write a time before or after the change"),
        _ => findings.problem(at, what),
    }
}
