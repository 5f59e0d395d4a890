//! The tournament file: what an organiser writes once, checked as a whole.
//!
//! [`parse`] reads the file's bytes and tells every problem at once, each with its line and column. It looks at
//! nothing else but the time zone database. The layout is explained by the comments of [`example`].

mod benches;
mod competitions;
mod days;
mod fields;
mod hours;
pub mod local;
mod opening;
mod problem;
mod strips;
pub mod suggest;
#[cfg(test)]
mod tests;
mod unique;

use std::collections::BTreeMap;

use remise_core::ids::BenchId;
use remise_core::venue::Venue;
use toml_edit::Document;

pub use problem::{Problem, shown};

use fields::Fields;
use problem::{Findings, Places, start};

/// Largest tournament file, in bytes: 1 MiB.
pub const BYTES_MAX: usize = 1 << 20;
/// Rules editions that [`parse`] accepts.
pub const EDITIONS: [&str; 1] = ["fie-2026"];
/// Minutes before a bout by which an item must be back, when the file does not say.
const MARGIN_MIN: u16 = 5;
const KEYS: [&str; 9] =
    ["name", "time_zone", "counter", "rules", "margin_min", "days", "strips", "benches", "competitions"];

/// A tournament as its file describes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tournament {
    /// All but people's names; `Bench::armourer` is `None` until the names table has given it a row.
    pub venue: Venue,
    /// The armourer of each bench.
    pub armourers: BTreeMap<BenchId, String>,
    /// What is allowed and probably not meant, ordered by place.
    pub warnings: Vec<Problem>,
}

/// Reads a tournament file. On refusal: every problem, ordered by place; of a file that is no TOML, the first.
pub fn parse(bytes: &[u8]) -> Result<Tournament, Vec<Problem>> {
    parse_with(bytes, &EDITIONS)
}

/// As [`parse`], with the codes of the rules editions that are known.
pub fn parse_with(bytes: &[u8], editions: &[&str]) -> Result<Tournament, Vec<Problem>> {
    let text = decode(bytes).map_err(|problem| vec![problem])?;
    let places = Places::new(text);
    let document = Document::parse(text).map_err(|error| vec![syntax(&error, &places)])?;
    let mut findings = Findings::default();
    let read = read(&document, editions, &mut findings);
    let (problems, warnings) = findings.placed(&places);
    match read {
        Some((venue, armourers)) if problems.is_empty() => Ok(Tournament { venue, armourers, warnings }),
        _ => Err(problems),
    }
}

/// A commented tournament file of an invented tournament, to start from.
pub fn example() -> &'static str {
    include_str!("../../../deploy/example-tournament.toml")
}

fn read(
    document: &Document<&str>,
    editions: &[&str],
    findings: &mut Findings,
) -> Option<(Venue, BTreeMap<BenchId, String>)> {
    let root = Fields::open(document.as_table(), 0, &KEYS, findings);
    let name = root.name("name", findings);
    let counter = root.name("counter", findings);
    let edition = read_edition(&root, editions, findings);
    let margin = root.number_if_any("margin_min", 0..=60, findings);
    let days = days::read(&root, findings);
    let strips = strips::read(&root, findings);
    let benches = benches::read(&root, &days, findings);
    let competitions = competitions::read(&root, &days, &strips, findings);
    let venue = Venue {
        name: name?.value,
        zone: days.zone.iana_name()?.to_owned(),
        days: days.list.iter().map(|day| day.window).collect(),
        counter: counter?.value,
        strips: strips.strips,
        benches: benches.benches,
        competitions,
        edition: edition?,
        margin_min: margin.map_or(MARGIN_MIN, |margin| margin.value),
    };
    Some((venue, benches.armourers))
}

fn read_edition(root: &Fields<'_>, editions: &[&str], findings: &mut Findings) -> Option<String> {
    let code = root.string("rules", findings)?;
    if editions.contains(&code.value) {
        return Some(code.value.to_owned());
    }
    let what = format!("unknown rules edition `{}`", shown(code.value));
    findings.hinted(code.at, what, suggest::hint(code.value, editions));
    None
}

/// The bytes as text, without a byte order mark.
fn decode(bytes: &[u8]) -> Result<&str, Problem> {
    if bytes.len() > BYTES_MAX {
        let what = "the file is larger than 1 MiB".to_owned();
        let hint = Some("a tournament file has a few hundred lines; is this the right file?".to_owned());
        return Err(Problem { line: 1, column: 1, what, hint });
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let good = std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default();
        let (line, column) = Places::new(good).of(good.len());
        let hint = Some("save the file as UTF-8".to_owned());
        Problem { line, column, what: "this is not UTF-8 text".to_owned(), hint }
    })
}

fn syntax(error: &toml_edit::TomlError, places: &Places<'_>) -> Problem {
    let (line, column) = places.of(start(error.span(), 0));
    let what = format!("this is not TOML: {}", error.message().replace('\n', ", "));
    let hint = "the rest is checked when this is mended".to_owned();
    Problem { line, column, what, hint: Some(hint) }
}
