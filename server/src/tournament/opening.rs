//! When a bench is open: its hours on each day less its breaks.
//!
//! `hours` is missing (open all day, every day), one text for every day, or a table with a text for each date on
//! which the bench is there. `breaks` is a list for every day, or a table with a list for each date.

use jiff::civil::Date;
use remise_core::time::Window;
use toml_edit::Item;

use super::days::{DAYS_MAX, Day, Days, hours_of, note_clock};
use super::fields::{At, Fields, note_length, wrong_kind};
use super::hours::{Hours, without};
use super::local::parse_date;
use super::problem::{Findings, shown, start};

/// Most breaks in a list.
const BREAKS_MAX: usize = 24;

/// Hours of one date, or of every day.
#[derive(Clone, Copy, Debug)]
struct Entry {
    /// The date; every day when `None`.
    date: Option<Date>,
    hours: Hours,
    at: usize,
}

impl Entry {
    fn is_for(&self, day: &Day) -> bool {
        self.date.is_none_or(|date| date == day.date)
    }
}

/// Reads `hours` and `breaks` of a bench: when it is open, ascending and apart.
pub fn read(fields: &Fields<'_>, days: &Days, findings: &mut Findings) -> Vec<Window> {
    let before = findings.count();
    let hours = fields.get("hours").map(|item| entries("hours", item, days, findings));
    let breaks = fields.get("breaks").map(|item| entries("breaks", item, days, findings)).unwrap_or_default();
    let mut open = Vec::new();
    for day in &days.list {
        let entry = match &hours {
            None => Entry { date: None, hours: day.hours, at: fields.at },
            Some(entries) => match entries.iter().find(|entry| entry.is_for(day)) {
                Some(entry) => *entry,
                None => continue,
            },
        };
        open.extend(open_on(day, entry, &breaks, days, findings));
    }
    if open.is_empty() && days.whole && findings.count() == before {
        findings.problem(fields.at, "this bench is never open");
    }
    open
}

fn open_on(day: &Day, entry: Entry, breaks: &[Entry], days: &Days, findings: &mut Findings) -> Vec<Window> {
    let Some(whole) = place("hours", entry, day.hours, day, days, findings) else { return Vec::new() };
    if whole.from < day.window.from || whole.to > day.window.to {
        findings.problem(entry.at, format!("the bench is open outside the hours of {}", day.date));
        return Vec::new();
    }
    let mut pauses: Vec<(Window, usize)> = Vec::new();
    for pause in breaks.iter().filter(|pause| pause.is_for(day)) {
        let Some(window) = place("breaks", *pause, entry.hours, day, days, findings) else { continue };
        if window.from < whole.from || window.to > whole.to {
            findings.problem(pause.at, format!("the break lies outside the bench's hours on {}", day.date));
        } else if pauses.iter().any(|(other, _)| window.from < other.to && other.from < window.to) {
            findings.problem(pause.at, format!("the break overlaps another one on {}", day.date));
        } else {
            pauses.push((window, pause.at));
        }
    }
    let windows: Vec<Window> = pauses.iter().map(|(window, _)| *window).collect();
    let open = without(whole, &windows);
    if let (true, Some((_, at))) = (open.is_empty(), pauses.first()) {
        findings.problem(*at, format!("the breaks leave no time on {}", day.date));
    }
    open
}

fn place(
    key: &str,
    entry: Entry,
    outer: Hours,
    day: &Day,
    days: &Days,
    findings: &mut Findings,
) -> Option<Window> {
    match entry.hours.within(outer, day.date, &days.zone) {
        Ok(window) => Some(window),
        Err((clock, problem)) => {
            note_clock(key, entry.at, clock, problem, findings);
            None
        }
    }
}

fn entries(key: &str, item: At<&Item>, days: &Days, findings: &mut Findings) -> Vec<Entry> {
    let mut entries = Vec::new();
    if let Some(table) = item.value.as_table_like() {
        note_length(key, table.len(), DAYS_MAX, item.at, findings);
        for (name, dated) in table.iter().take(DAYS_MAX) {
            let key_at = start(table.key(name).and_then(toml_edit::Key::span), item.at);
            let date = date_of(name, key_at, days, findings);
            let dated = At { value: dated, at: start(dated.span(), key_at) };
            add(key, dated, date, &mut entries, findings);
            if date.is_none() {
                // Its hours were checked; without a date they count for no day.
                entries.retain(|entry| entry.date.is_some());
            }
        }
    } else {
        add(key, item, None, &mut entries, findings);
    }
    entries
}

/// `hours` are one text, `breaks` a list of them.
fn add(key: &str, item: At<&Item>, date: Option<Date>, entries: &mut Vec<Entry>, findings: &mut Findings) {
    let mut one = |value: Option<&str>, at: usize, form: &str| match value {
        Some(value) => {
            let hours = hours_of(key, At { value, at }, findings);
            entries.extend(hours.map(|hours| Entry { date, hours, at }));
        }
        None => wrong_kind(key, form, At { value: item.value, at }, findings),
    };
    if key == "hours" {
        one(item.value.as_str(), item.at, "a text such as \"08:00-18:30\", or a table of dates");
        return;
    }
    let form = "a list such as [\"12:00-12:30\"], or a table of dates";
    match item.value.as_array() {
        Some(list) => {
            for value in list.iter().take(BREAKS_MAX) {
                one(value.as_str(), start(value.span(), item.at), form);
            }
            note_length(key, list.len(), BREAKS_MAX, item.at, findings);
        }
        None => one(None, item.at, form),
    }
}

fn date_of(name: &str, at: usize, days: &Days, findings: &mut Findings) -> Option<Date> {
    let date = parse_date(name).ok();
    let known = date.is_some_and(|date| days.on(date).is_some());
    if !known && (days.whole || date.is_none()) {
        let what = format!("`{}` is none of the tournament's days", shown(name));
        findings.hinted(at, what, format!("they are {}", days.dates().join(", ")));
    }
    date
}
