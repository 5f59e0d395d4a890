//! Options of forms, and texts that are read as a strip, a number or a tag.

use std::ops::RangeInclusive;

use remise_core::armoury::{Place, Spot};
use remise_core::gear::{ItemKind, Work, faults};
use remise_core::ids::StripId;
use remise_core::tag::Tag;
use remise_link::view::BenchInfo;

use super::board;
use super::field::{Choose, Value};
use super::state::State;

/// One option.
pub fn option(label: impl Into<String>, value: Value) -> Choose {
    Choose { label: label.into(), value }
}

/// The options of a closed set of words.
pub fn words<T: Copy>(
    all: &[T],
    title: impl Fn(T) -> &'static str,
    value: impl Fn(T) -> Value,
) -> Vec<Choose> {
    all.iter().map(|word| option(title(*word), value(*word))).collect()
}

/// Every kind of item.
pub fn kinds() -> Vec<Choose> {
    words(&ItemKind::ALL, ItemKind::title, Value::Kind)
}

/// The kinds of work that an item of that kind may need.
pub fn works(kind: ItemKind) -> Vec<Choose> {
    let fits = |work: &&Work| faults(kind).any(|fault| fault.work == **work);
    let all: Vec<Work> = Work::ALL.iter().filter(fits).copied().collect();
    words(&all, Work::title, Value::Work)
}

/// The benches by name and number, with who works there and how they stand as far as this board shows it.
pub fn benches(state: &State) -> Vec<Choose> {
    let benches = state.venue.iter().flat_map(|venue| &venue.benches);
    benches.map(|bench| option(bench_words(state, bench), Value::Bench(bench.bench))).collect()
}

fn bench_words(state: &State, bench: &BenchInfo) -> String {
    let number = bench.bench.to_string();
    let mut parts = vec![if bench.name.contains(&number) {
        bench.name.clone()
    } else {
        format!("{} (bench {number})", bench.name)
    }];
    parts.extend(bench.armourer.clone());
    if let Some(view) = state.board.bench(bench.bench) {
        let hand = view.in_hand.and_then(|job| state.job(job));
        parts.extend(hand.map(|job| format!("has {} in hand", board::tag(job))));
        parts.extend((!view.open).then(|| "closed".to_owned()));
    }
    parts.join(", ")
}

/// Places inside the armoury.
pub fn places(state: &State) -> Vec<Choose> {
    let benches = state.venue.iter().flat_map(|venue| &venue.benches).map(|bench| Place::Bench(bench.bench));
    let all =
        [Place::ReadyShelf, Place::Counter, Place::CuringShelf, Place::LockedAway].into_iter().chain(benches);
    all.map(|place| option(board::place(state.venue.as_ref(), place), Value::Place(place))).collect()
}

/// Reads a strip by its number or name, or `c` for the counter.
///
/// # Errors
/// A sentence for a person.
pub fn read_spot(state: &State, typed: &str) -> Result<Spot, String> {
    let typed = typed.trim();
    if ["c", "counter", "the counter"].iter().any(|word| typed.eq_ignore_ascii_case(word)) {
        return Ok(Spot::Counter);
    }
    read_strip(state, typed).map(Spot::Strip)
}

/// Reads a strip by its number or name.
///
/// # Errors
/// A sentence for a person.
pub fn read_strip(state: &State, typed: &str) -> Result<StripId, String> {
    let Some(venue) = &state.venue else {
        return Err("the tournament's strips are not known here yet; wait a moment".into());
    };
    let named = venue.strips.iter().find(|strip| strip.name.eq_ignore_ascii_case(typed.trim()));
    let numbered = typed.trim().parse().ok().and_then(|number| venue.strip(StripId(number)));
    named
        .or(numbered)
        .map(|strip| strip.strip)
        .ok_or_else(|| "there is no such strip in this tournament; type its number".to_owned())
}

/// Reads a whole number.
///
/// # Errors
/// A sentence that says what fits.
pub fn read_number(typed: Option<String>, what: &str, fits: RangeInclusive<u16>) -> Result<u16, String> {
    let number = typed.and_then(|typed| typed.parse().ok()).filter(|number| fits.contains(number));
    number.ok_or_else(|| format!("{what}: a whole number from {} to {}", fits.start(), fits.end()))
}

/// Reads a tag that may be left out.
///
/// # Errors
/// What is wrong with it.
pub fn read_tag(typed: Option<String>) -> Result<Option<Tag>, String> {
    typed.map(|typed| Tag::parse(&typed).map_err(|problem| problem.to_string())).transpose()
}
