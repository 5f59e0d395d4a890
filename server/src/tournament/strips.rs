//! The strips and their way to the armoury.

use remise_core::ids::StripId;
use remise_core::venue::Strip;

use super::fields::{At, Fields};
use super::problem::Findings;
use super::unique::Unique;

/// Most strips of a tournament.
const STRIPS_MAX: usize = 200;
/// Longest walk in minutes.
const WALK_MAX: u16 = 60;
/// Highest number of a strip.
const NUMBER_MAX: u16 = 999;

/// The strips as far as they could be read.
#[derive(Debug)]
pub struct Strips {
    /// Ascending by number.
    pub strips: Vec<Strip>,
    /// Whether every strip has a number of its own; if not, nothing can be said about strips that are missing.
    pub whole: bool,
}

/// Reads `strips`.
pub fn read(root: &Fields<'_>, findings: &mut Findings) -> Strips {
    let (mut numbers, mut names) = (Unique::new("strip number"), Unique::new("strip name"));
    let (mut strips, mut whole) = (Vec::new(), true);
    let before = findings.count();
    let tables = root.tables("strips", STRIPS_MAX, findings);
    whole &= findings.count() == before;
    for table in tables {
        let fields = Fields::open(table.value, table.at, &["number", "name", "walk_min"], findings);
        let number = fields.number("number", 1..=NUMBER_MAX, findings);
        let walk = fields.number("walk_min", 0..=WALK_MAX, findings);
        let Some(number) = number else {
            // Its name is looked at all the same.
            fields.name_if_any("name", findings);
            whole = false;
            continue;
        };
        let new = numbers.check(&number.value.to_string(), number.at, findings);
        whole &= new;
        let given = fields.name_if_any("name", findings);
        let name = given.unwrap_or_else(|| At { value: number.value.to_string(), at: number.at });
        // A name that was refused, or left out beside a number that was, has had its complaint.
        if new || fields.get("name").is_some_and(|item| item.at == name.at) {
            names.check(&name.value, name.at, findings);
        }
        strips.push(Strip {
            id: StripId(number.value),
            name: name.value,
            walk_min: walk.map_or(0, |walk| walk.value),
        });
    }
    strips.sort_by_key(|strip| strip.id);
    Strips { strips, whole }
}
