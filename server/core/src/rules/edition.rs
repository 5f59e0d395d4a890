//! Editions of the rules, and the checks that an item of some kind needs after some work.

use std::sync::LazyLock;

use thiserror::Error;

use super::{Check, table};
use crate::gear::{ItemKind, Work};
use crate::text;

/// The built-in editions. A new one is a file in `data/rules` and a line here.
const FILES: [&str; 1] = [include_str!("../../data/rules/fie-2026.txt")];

/// The line with which every proof ends.
pub const CLOSING: &str = "The competition's own weapon control decides; this proof does not replace it.";

static EDITIONS: LazyLock<Vec<Edition>> = LazyLock::new(|| {
    FILES
        .iter()
        .map(|text| table::parse(text).expect("built-in editions are well formed; a test reads them all"))
        .collect()
});

/// An edition of the rules with its checks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edition {
    /// Stable code: `fie-2026`.
    pub code: String,
    /// Short title: `FIE 2026`.
    pub title: String,
    /// What was read for it.
    pub about: String,
    /// The checks, in the order in which they are made.
    pub checks: Vec<Check>,
}

/// No edition has that code.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("no edition of the rules has that code; nothing was changed.{} Known: {}", hint(*suggestion), known.join(", "))]
pub struct EditionProblem {
    /// What was probably meant.
    pub suggestion: Option<&'static str>,
    /// Every known code.
    pub known: Vec<&'static str>,
}

/// Every edition, the newest first.
pub fn editions() -> &'static [Edition] {
    &EDITIONS
}

/// The edition with that code.
pub fn edition(code: &str) -> Result<&'static Edition, EditionProblem> {
    editions().iter().find(|edition| edition.code == code).ok_or_else(|| unknown(code))
}

/// Likeness from which a code is worth suggesting.
const NEAR: f64 = 0.75;

fn unknown(code: &str) -> EditionProblem {
    let known: Vec<&'static str> = editions().iter().map(|edition| edition.code.as_str()).collect();
    // A long text is no mistyped code, and comparing it would take long.
    let suggestion = (code.len() <= 64).then(|| text::nearest(code, known.iter().copied(), NEAR)).flatten();
    EditionProblem { suggestion, known }
}

fn hint(suggestion: Option<&str>) -> String {
    suggestion.map_or_else(String::new, |code| format!(" Did you mean {code}?"))
}

impl Edition {
    /// The check with that code.
    pub fn check(&self, code: &str) -> Option<&Check> {
        self.checks.iter().find(|check| check.code == code)
    }

    /// The checks that an item of that kind needs after those kinds of work, in the order in which they are
    /// made. When no fault was found, when no work is recorded, or when the work touches no check, all those
    /// that tell whether the item works; so there is always at least one.
    pub fn proof_for(&self, kind: ItemKind, works: &[Work], no_fault_found: bool) -> Vec<&Check> {
        let of_kind = || self.checks.iter().filter(move |check| check.kinds.contains(&kind));
        let touched = |check: &&Check| check.covers.iter().any(|work| works.contains(work));
        let all_functional = no_fault_found || !of_kind().any(|check| touched(&check));
        of_kind().filter(|check| touched(check) || (all_functional && check.functional)).collect()
    }
}

#[cfg(test)]
#[path = "edition_tests.rs"]
mod tests;
