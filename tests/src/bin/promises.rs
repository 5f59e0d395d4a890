//! How well first promises are kept, over many invented days: as drawn, with repairs that take 1.6 times as long, and
//! with causes drawn from other shares: `promises --seeds 1..40`. Prints one JSON object a line for each.
//!
//! A first promise counts as in the figures of a rehearsal: none within 60 s of the hand-in is a miss, and so is an item
//! that never ended. With slow repairs only promises count that were first said after the day's 40th return.

use std::collections::BTreeMap;

use remise_checker::{Life, Promise};
use remise_rehearsal::day::DayOptions;
use remise_tests::days::{PlayedDay, Twist, play, seeds};
use serde::Serialize;

/// With slow repairs the first so many returns are for learning.
const RETURNS: usize = 40;

/// Promises of one class of need, or of all.
#[derive(Clone, Copy, Debug, Default, Serialize)]
struct Kept {
    jobs: u64,
    likely_share: Option<f64>,
    /// Jobs with a safe time.
    safe_jobs: u64,
    safe_share: Option<f64>,
}

/// Half of the widths from likely to safe are no greater.
#[derive(Clone, Copy, Debug, Serialize)]
struct Width {
    promises: usize,
    median_min: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct Line {
    days: &'static str,
    seeds: usize,
    all: Kept,
    by_need: BTreeMap<&'static str, Kept>,
    width_at_hand_in: Width,
    /// The first promise said after the cause was known, where there was one.
    width_once_known: Width,
}

fn main() -> anyhow::Result<()> {
    let seeds = seeds()?;
    let shift = Twist { options: DayOptions { shift: true, ..DayOptions::default() }, ..Twist::default() };
    let slow = Twist { slow: 1.6, ..Twist::default() };
    for (days, twist, skip) in [
        ("as drawn", Twist::default(), None),
        ("repairs take 1.6 times as long, after return 40", slow, Some(RETURNS)),
        ("causes from other shares", shift, None),
    ] {
        let played = play(&seeds, &twist)?;
        let lives: Vec<&Life> = played.iter().flat_map(|day| counted(day, skip)).collect();
        println!("{}", serde_json::to_string(&line(days, seeds.len(), &lives))?);
    }
    Ok(())
}

/// The jobs whose first promise counts.
fn counted(day: &PlayedDay, skip: Option<usize>) -> impl Iterator<Item = &Life> {
    let from = skip.map_or(Some(i64::MIN), |returns| {
        let mut left: Vec<i64> = day.lives.iter().filter_map(|life| life.left_us).collect();
        left.sort_unstable();
        left.get(returns - 1).copied()
    });
    // Without a promise, the hand-in says when it should have been said.
    let said = |life: &Life| life.promises.first().map_or(life.came_us, |first| first.recorded);
    day.lives.iter().filter(move |life| from.is_some_and(|from| said(life) > from))
}

fn line(days: &'static str, seeds: usize, lives: &[&Life]) -> Line {
    let mut by_need: BTreeMap<&'static str, Vec<&Life>> = BTreeMap::new();
    for life in lives {
        by_need.entry(life.need).or_default().push(life);
    }
    let first = |life: &&Life| life.promises.first().copied();
    let once_known = |life: &&Life| {
        let known = life.known_us?;
        life.promises.iter().find(|promise| promise.recorded >= known).copied()
    };
    Line {
        days,
        seeds,
        all: kept(lives),
        by_need: by_need.into_iter().map(|(need, lives)| (need, kept(&lives))).collect(),
        width_at_hand_in: width(lives.iter().filter_map(first)),
        width_once_known: width(lives.iter().filter_map(once_known)),
    }
}

fn kept(lives: &[&Life]) -> Kept {
    // As in the figures of a rehearsal: when no promise has a safe time, there is no share of those kept.
    let said = lives.iter().any(|life| life.promises.iter().any(|promise| promise.safe.is_some()));
    let safe: Vec<bool> = lives.iter().filter(|_| said).filter_map(|life| life.safe_kept).collect();
    let likely: Vec<bool> = lives.iter().map(|life| life.likely_kept).collect();
    Kept {
        jobs: likely.len() as u64,
        likely_share: share(&likely),
        safe_jobs: safe.len() as u64,
        safe_share: share(&safe),
    }
}

fn share(kept: &[bool]) -> Option<f64> {
    let count = kept.iter().filter(|kept| **kept).count();
    (!kept.is_empty()).then(|| rounded(count as f64 / kept.len() as f64))
}

fn width(promises: impl Iterator<Item = Promise>) -> Width {
    let mut widths: Vec<i64> = promises.filter_map(|one| Some(one.safe? - one.likely)).collect();
    widths.sort_unstable();
    let median = widths.get(widths.len() / 2).map(|us| rounded(*us as f64 / 6e7));
    Width { promises: widths.len(), median_min: median }
}

fn rounded(figure: f64) -> f64 {
    (figure * 1e4).round() / 1e4
}
