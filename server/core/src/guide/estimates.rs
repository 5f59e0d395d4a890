//! What the guide is told about faults and checks: shares, minutes, error rates. The built-in ones stand in
//! `data/guide/estimates.txt`, which a person can read and change.

use std::sync::LazyLock;

use thiserror::Error;

use super::reading;
use crate::circuit::Action;
use crate::gear::{Fault, ItemKind};

const BUILT_IN: &str = include_str!("../../data/guide/estimates.txt");

static ESTIMATES: LazyLock<Estimates> = LazyLock::new(|| {
    parse(BUILT_IN.as_bytes()).expect("the built-in estimates are well formed; a test reads them")
});

/// How often an instrument's reading goes wrong, each from 0 to below 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rates {
    /// A flicker or jump that is there is not caused, or not seen.
    pub missed: f64,
    /// A flicker or jump is seen where none is.
    pub fancied: f64,
    /// One steady state is taken for another.
    pub misread: f64,
}

/// Something to be done once before some checks.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Code within the kind.
    pub code: String,
    /// Minutes, putting together again counted in.
    pub minutes: f64,
    /// The one that comes before it, by its place in [`OfKind::openings`].
    pub after: Option<usize>,
    /// What is done.
    pub what: String,
}

/// Where lamp or meter are held.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Held {
    /// The test lamp, at the item's usual place.
    Lamp,
    /// The meter; the code of the place, or the usual one.
    Meter(Option<&'static str>),
}

/// Something done with lamp or meter on.
#[derive(Clone, Debug, PartialEq)]
pub struct Stir {
    /// What is done.
    pub action: Action,
    /// Lamp or meter.
    pub held: Held,
    /// Minutes.
    pub minutes: f64,
    /// What has to be done before, by its place in [`OfKind::openings`].
    pub after: Option<usize>,
    /// Where on the item.
    pub place: String,
}

/// A cause and the look that settles it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// The fault.
    pub fault: &'static Fault,
    /// Of a thousand faulty items, how many have it; relative.
    pub share_permille: f64,
    /// Minutes of the look.
    pub minutes: f64,
    /// What has to be done before, by its place in [`OfKind::openings`].
    pub after: Option<usize>,
    /// By what one looks.
    pub with: String,
    /// Chance that the look shows it when it is there.
    pub sees: f64,
    /// Chance that the look seems to show it when it is not.
    pub fancies: f64,
    /// How often it comes in which way, by the way's code; relative. Empty where the circuit does not feel it.
    pub ways: Vec<(&'static str, f64)>,
    /// Where on the item.
    pub place: String,
}

/// One check of the fixed walk.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    /// Done with lamp or meter on.
    Stir(Stir),
    /// A look at a cause.
    Look(Cause),
}

/// What is known of some kinds of item.
#[derive(Clone, Debug, PartialEq)]
pub struct OfKind {
    /// The kinds.
    pub kinds: Vec<ItemKind>,
    /// What has to be done before some checks; each after the one that it needs.
    pub openings: Vec<Opening>,
    /// The checks, in the order of the fixed walk.
    pub walk: Vec<Line>,
}

impl OfKind {
    /// The causes, in the order of the walk.
    pub fn causes(&self) -> impl Iterator<Item = &Cause> {
        self.walk.iter().filter_map(|line| if let Line::Look(cause) = line { Some(cause) } else { None })
    }
}

/// All estimates.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimates {
    /// Of the test lamp.
    pub lamp: Rates,
    /// Of the meter.
    pub meter: Rates,
    /// Of what is seen on the scoring apparatus.
    pub apparatus: Rates,
    /// Chance that the complaint is not one that the fault gives.
    pub complaint_wrong: f64,
    /// How much less often a fault that comes and goes is reported as steady, or the other way round.
    pub way_mismatch: f64,
    /// How much of an unsure finding is a guess.
    pub unsure: f64,
    /// Chance that the fault was there, was mended, and the complaint stays.
    pub mended_in_vain: f64,
    /// Kind by kind.
    pub kinds: Vec<OfKind>,
}

impl Estimates {
    /// Those that are built in.
    pub fn built_in() -> &'static Self {
        &ESTIMATES
    }

    /// What is known of a kind. [`parse`] takes nothing in which a kind is missing.
    pub fn of(&self, kind: ItemKind) -> Option<&OfKind> {
        self.kinds.iter().find(|of| of.kinds.contains(&kind))
    }
}

/// A line that does not fit; its number from 1, and what is wrong.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("line {line}: {what}; the estimates in use were not changed")]
pub struct EstimatesProblem {
    /// Number of the line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub what: &'static str,
}

/// Reads estimates.
///
/// # Errors
/// The first line that does not fit: no text, too long, an unknown word, kind, fault, way, action or place, a figure
/// that is none or out of range, something given twice or left out.
pub fn parse(bytes: &[u8]) -> Result<Estimates, EstimatesProblem> {
    reading::parse(bytes)
}

#[cfg(test)]
#[path = "estimates_tests.rs"]
mod tests;
