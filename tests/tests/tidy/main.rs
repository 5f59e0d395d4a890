//! House rules as a test: what DEVELOPERS.md says about sizes, layers, words and places is read off the repository
//! itself. All violations are told at once, each with its file and line. Exceptions have a name and a reason, and one
//! that is no longer needed is a violation too, so the lists can only shrink.
//!
//! Every check is a function from sources to violations with a unit test beside it that shows it bite.

#![allow(clippy::unwrap_used)]

mod borders;
mod form;
mod ground;
mod guide;
mod layers;
mod leftovers;
mod manifest;
mod size;
mod source;
mod spans;
mod tree;

use std::collections::BTreeSet;
use std::fmt;
use std::path::PathBuf;

use source::Source;
use tree::Tree;

/// One breach of a rule. Sorts by place.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Violation {
    path: String,
    line: usize,
    what: String,
}

impl Violation {
    fn new(path: &str, line: usize, what: impl Into<String>) -> Self {
        Self { path: path.to_owned(), line, what: what.into() }
    }
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.path, self.line, self.what)
    }
}

/// The top of the repository.
fn root() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/..")).canonicalize().unwrap()
}

#[test]
fn tidy() {
    let tree = Tree::read(&root());
    let sources = Source::all(&tree);
    assert!(sources.len() > 100, "only {} Rust files found: is this the repository?", sources.len());
    let found: BTreeSet<Violation> = [
        size::check(&sources, size::LONG_FILES, size::LONG_FUNCTIONS),
        form::check(&tree, &sources),
        leftovers::check(&tree, &sources),
        layers::check(&tree),
        borders::check(&sources),
        ground::check(&tree),
        guide::check(&tree),
    ]
    .into_iter()
    .flatten()
    .collect();
    println!("{}", form::word_report(&sources));
    let told: Vec<_> = found.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "{} breaches of the house rules:\n{}\n", told.len(), told.join("\n"));
}
