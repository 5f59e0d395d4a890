//! Names that may be spoken in certain places only: the wire's types at the edge, the world outside never in the
//! core, floats never in an event.

use super::Violation;
use super::source::{Source, Token};
use super::spans::follows;

/// Where the generated types of the wire may be named, tests apart: they are turned into our own types there.
const WIRE: &[&str] = &["server/src/wire/", "server/src/stations/", "client/link/src/", "tests/"];

/// What the core must not name: whatever differs between two runs of the same journal, or touches the world.
const WORLD: &[&str] = &[
    "tokio",
    "tonic",
    "prost",
    "rusqlite",
    "tracing",
    "rand",
    "SystemTime",
    "Instant",
    "HashMap",
    "HashSet",
    "RandomState",
    "println",
    "eprintln",
    "print",
    "eprint",
];

/// Parts of the standard library that the core must not name.
const STD_WORLD: &[&str] = &["fs", "net", "env", "process", "thread", "io", "os"];

/// Files whose types are journalled.
const JOURNALLED: &[&str] = &[
    "server/core/src/armoury/event.rs",
    "server/core/src/armoury/words.rs",
    "server/core/src/gear/complaint.rs",
    "server/core/src/gear/kind.rs",
    "server/core/src/venue.rs",
];

/// Names out of place.
pub fn check(sources: &[Source]) -> Vec<Violation> {
    sources.iter().flat_map(check_one).collect()
}

fn check_one(source: &Source) -> Vec<Violation> {
    let tokens = source.shipped();
    let path = source.path.as_str();
    let mut found = Vec::new();
    let mut tell = |token: &Token<'_>, what: String| found.push(Violation::new(path, token.line, what));
    if !WIRE.iter().any(|place| path.starts_with(place)) {
        for token in tokens.iter().filter(|token| token.text == "remise_proto") {
            tell(token, "the wire's types are named in its mapping modules only".to_owned());
        }
    }
    if path.starts_with("server/core/src/") {
        for token in tokens.iter().filter(|token| WORLD.contains(&token.text)).chain(&std_world(&tokens)) {
            tell(token, format!("`{}`: the core is pure; pass it in, or do it outside", token.text));
        }
    }
    if JOURNALLED.contains(&path) {
        for token in tokens.iter().filter(|token| matches!(token.text, "f32" | "f64")) {
            tell(token, format!("`{}`: no floats in what is journalled", token.text));
        }
    }
    found
}

/// `std::fs`, and `fs` in `use std::{…}`.
fn std_world<'a>(tokens: &[Token<'a>]) -> Vec<Token<'a>> {
    let mut found = Vec::new();
    for at in 0..tokens.len() {
        if !follows(&tokens[at..], &["std", ":", ":"]) {
            continue;
        }
        let named = &tokens[at + 3..];
        let group = named.first().is_some_and(|token| token.text == "{");
        let end = if group { named.iter().position(|token| token.text == ";").unwrap_or(0) } else { 1 };
        found.extend(named.iter().take(end).filter(|token| STD_WORLD.contains(&token.text)));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(path: &str, text: &str) -> usize {
        check(&[Source::new(path, text)]).len()
    }

    #[test]
    fn the_wire_stays_at_the_edge() {
        let text = "use remise_proto::v1::Job;";
        for (path, breaches) in [
            ("server/src/desk/batch.rs", 1),
            ("client/src/screens/head.rs", 1),
            ("client/rehearsal/src/lib.rs", 1),
            ("server/core/src/plan.rs", 1),
            ("server/src/wire/decode/mod.rs", 0),
            ("client/link/src/encode/mod.rs", 0),
            ("server/src/desk/tests.rs", 0),
        ] {
            assert_eq!(told(path, text), breaches, "{path}");
        }
    }

    #[test]
    fn the_core_names_nothing_of_the_world() {
        let path = "server/core/src/plan.rs";
        for name in WORLD {
            assert_eq!(told(path, &format!("let a = {name}::b();")), 1, "{name}");
        }
        for name in STD_WORLD {
            assert_eq!(told(path, &format!("std::{name}::a();")), 1, "{name}");
            assert_eq!(told(path, &format!("use std::{{fmt, {name}::a}};")), 1, "{name}");
        }
        assert_eq!(told(path, "use std::fmt; // no HashMap, no std::fs\nlet fs = 1;"), 0);
        assert_eq!(told(path, "#[cfg(test)]\nmod tests { use std::fs; }"), 0);
        assert_eq!(told("server/src/clock.rs", "use std::time::Instant;"), 0);
    }

    #[test]
    fn no_floats_in_events() {
        assert_eq!(told(JOURNALLED[0], "pub struct A { b: f64 }"), 1);
        assert_eq!(told("server/core/src/times.rs", "pub struct A { b: f64 }"), 0);
    }

    #[test]
    fn the_journalled_files_exist() {
        for path in JOURNALLED {
            assert!(super::super::root().join(path).is_file(), "{path}");
        }
    }
}
