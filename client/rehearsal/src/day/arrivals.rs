//! When and where things are handed in: an intensity that follows the phases of the day.
//!
//! Every strip in use hands in at the rate of its phase, and the counter at a low rate all day. Only the ratios
//! matter here, since the number of hand-ins follows from the load asked for. All of them are our own.

use rand_chacha::ChaCha8Rng;
use remise_core::armoury::Spot;
use remise_core::gear::Weapon;
use remise_core::time::{Span, Stamp, Window};
use remise_core::venue::Venue;

use super::phases::{Phase, Stage, timetable};
use super::stream::{below, chance, pick, unit};

/// Hand-ins per hour of one strip in the first half hour of a first wave of pools: gear that nobody tried at home.
const RATE_OPENING: f64 = 1.1;
/// The same later in the pools.
const RATE_POOLS: f64 = 0.95;
/// In direct elimination.
const RATE_ELIMINATION: f64 = 0.95;
/// In team matches.
const RATE_TEAMS: f64 = 2.2;
/// At the counter, per hour and strip in the hall.
const RATE_COUNTER: f64 = 0.3;
/// At the counter before the first bout of the day.
const RATE_COUNTER_EARLY: f64 = 1.0;
/// Share of what strips find that is brought to the counter by the fencer.
const TO_COUNTER: f64 = 0.12;
/// The first half hour.
const OPENING: Span = Span::minutes(30);
/// Nothing is handed in so shortly before the close.
const LAST: Span = Span::minutes(30);
/// The counter counts from so long after the opening.
const COUNTER_FROM: Span = Span::minutes(10);

/// Where and when hand-ins come from.
pub(super) struct Arrivals {
    /// The phases of the day.
    pub phases: Vec<Phase>,
    pieces: Vec<Piece>,
}

/// A stretch of constant intensity.
#[derive(Clone, Copy)]
struct Piece {
    window: Window,
    /// The phase, or the counter.
    phase: Option<usize>,
    /// Expected hand-ins, up to one common factor.
    weight: f64,
}

/// One arrival.
pub(super) struct Arrival {
    pub at: Stamp,
    pub spot: Spot,
    /// The phase from which it comes, by its place; for the counter the phase of a competition that is on.
    pub phase: usize,
}

impl Arrivals {
    pub fn new(venue: &Venue) -> Self {
        let phases = timetable(venue);
        let mut pieces = Vec::new();
        for (number, phase) in phases.iter().enumerate() {
            for (window, rate) in rates(phase) {
                pieces.extend(venue.days.iter().filter_map(|day| {
                    let hours = Window { from: day.from, to: day.to - LAST };
                    piece(window, hours, Some(number), rate * phase.strips.len() as f64)
                }));
            }
        }
        for day in &venue.days {
            let hours = Window { from: day.from + COUNTER_FROM, to: day.to - LAST };
            let (first, last) = fenced(&phases, *day);
            let strips = venue.strips.len() as f64;
            let early = Window { from: day.from, to: first };
            pieces.extend(piece(early, hours, None, RATE_COUNTER_EARLY * strips));
            pieces.extend(piece(Window { from: first, to: last }, hours, None, RATE_COUNTER * strips));
        }
        Self { phases, pieces }
    }

    /// Draws one arrival; `None` when nothing is ever fenced while the armoury is open.
    pub fn draw(&self, rng: &mut ChaCha8Rng) -> Option<Arrival> {
        let piece = pick(rng, self.pieces.iter().map(|piece| (*piece, piece.weight)))?;
        let seconds = piece.window.to.since(piece.window.from).0 / Span::seconds(1).0;
        let at = piece.window.from + Span::seconds((unit(rng) * seconds as f64) as i64);
        let Some(phase) = piece.phase else {
            return Some(Arrival { at, spot: Spot::Counter, phase: self.some_phase(at, rng)? });
        };
        let strips = &self.phases[phase].strips;
        let spot = Spot::Strip(strips[below(rng, strips.len())]);
        let spot = if chance(rng, TO_COUNTER) { Spot::Counter } else { spot };
        Some(Arrival { at, spot, phase })
    }

    /// The weapon of each stretch of constant intensity, its window and its weight; at the counter the mean of
    /// all competitions is as good as any, so the weapon is left open.
    pub fn intensity(&self) -> impl Iterator<Item = (Option<Weapon>, Window, f64)> {
        let weapon = |phase: usize| self.phases[phase].weapon;
        self.pieces.iter().map(move |piece| (piece.phase.map(weapon), piece.window, piece.weight))
    }

    /// A phase that is on, or else the next to come, or else the last that was.
    fn some_phase(&self, at: Stamp, rng: &mut ChaCha8Rng) -> Option<usize> {
        let on: Vec<usize> =
            (0..self.phases.len()).filter(|phase| self.phases[*phase].window.contains(at)).collect();
        if !on.is_empty() {
            return Some(on[below(rng, on.len())]);
        }
        let distance = |phase: &usize| {
            let window = self.phases[*phase].window;
            window.from.since(at).0.max(at.since(window.to).0)
        };
        (0..self.phases.len()).min_by_key(distance)
    }
}

fn piece(window: Window, hours: Window, phase: Option<usize>, per_hour: f64) -> Option<Piece> {
    let window = Window { from: window.from.max(hours.from), to: window.to.min(hours.to) };
    let minutes = window.to.since(window.from).as_min();
    (minutes > 0.0).then_some(Piece { window, phase, weight: per_hour * minutes / 60.0 })
}

/// The first start and the last end of what begins on that day; the opening twice when nothing does.
fn fenced(phases: &[Phase], day: Window) -> (Stamp, Stamp) {
    let windows = phases.iter().map(|phase| phase.window).filter(|window| day.contains(window.from));
    let (first, last) =
        (windows.clone().map(|window| window.from).min(), windows.map(|window| window.to).max());
    (first.unwrap_or(day.from), last.unwrap_or(day.from))
}

fn rates(phase: &Phase) -> Vec<(Window, f64)> {
    let window = phase.window;
    match phase.stage {
        Stage::Pools { wave: 1, .. } => {
            let turn = (window.from + OPENING).min(window.to);
            vec![
                (Window { from: window.from, to: turn }, RATE_OPENING),
                (Window { from: turn, to: window.to }, RATE_POOLS),
            ]
        }
        Stage::Pools { .. } => vec![(window, RATE_POOLS)],
        Stage::Elimination { .. } => vec![(window, RATE_ELIMINATION)],
        Stage::Teams { .. } => vec![(window, RATE_TEAMS)],
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::stream::{Subject, stream};
    use crate::day::{DayOptions, invented};

    #[test]
    fn arrivals_come_from_strips_that_are_in_use_while_the_armoury_is_open() {
        let venue = invented(&DayOptions::default()).unwrap().venue;
        let arrivals = Arrivals::new(&venue);
        for index in 0..2_000 {
            let drawn = arrivals.draw(&mut stream(5, Subject::Arrivals, index)).unwrap();
            assert!(venue.days[0].contains(drawn.at));
            if let Spot::Strip(strip) = drawn.spot {
                let phase = &arrivals.phases[drawn.phase];
                assert!(phase.strips.contains(&strip) && phase.window.contains(drawn.at));
            }
        }
    }

    /// Common sense and no source: in the last hour two finals are left and the armoury soon closes.
    #[test]
    fn the_end_of_the_day_is_quieter_than_the_pools() {
        let venue = invented(&DayOptions::default()).unwrap().venue;
        let arrivals = Arrivals::new(&venue);
        let hour_of = |index| {
            let at = arrivals.draw(&mut stream(5, Subject::Arrivals, index)).unwrap().at;
            at.since(venue.days[0].from).ceil_min() / 60
        };
        let hours: Vec<i64> = (0..4_000).map(hour_of).collect();
        let in_hour = |hour| hours.iter().filter(|other| **other == hour).count();
        assert!(in_hour(1) > 3 * in_hour(9), "{} {}", in_hour(1), in_hour(9));
    }
}
