//! Numbers and names that may stand in the file only once.

use std::collections::BTreeSet;

use remise_core::text::folded;

use super::problem::{Findings, shown};

/// The ones seen so far.
#[derive(Debug)]
pub struct Unique {
    what: &'static str,
    seen: BTreeSet<String>,
}

impl Unique {
    /// Nothing seen yet; `what` names the kind in messages.
    pub fn new(what: &'static str) -> Self {
        Self { what, seen: BTreeSet::new() }
    }

    /// Notes a problem when the text was seen before, in whatever spelling; says whether it is new.
    pub fn check(&mut self, text: &str, at: usize, findings: &mut Findings) -> bool {
        let new = self.seen.insert(folded(text));
        if !new {
            findings.problem(at, format!("{} `{}` stands in the file twice", self.what, shown(text)));
        }
        new
    }
}
