//! What was seen of one kind of work, one bench, or the whole room: whole numbers that can be taken out again.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::prior::start;
use super::{Observation, SHORTEST};
use crate::time::Span;

/// Whole units of a ln that are kept.
pub(super) const UNIT: f64 = 1e6;
/// Unfinished work is kept in steps of 0.05 of the ln of its pace, rounded down: what took at least 5 minutes took at
/// least 4.8. So few steps keep every question quick.
const STEP: i64 = 50_000;

/// Observations.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seen {
    /// How many finished repairs.
    pub count: u32,
    /// Sum of their ln(minutes), in millionths.
    pub ln_sum: i64,
    /// Sum of their paces, ln(minutes / usual minutes), in millionths.
    pub pace_sum: i64,
    /// Sum of their squared paces, in millionths.
    pub pace_squares: i64,
    /// Unfinished work: how many, by the pace that they had reached, in steps.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub unfinished: BTreeMap<i64, u32>,
}

impl Seen {
    /// The geometric mean of the finished repairs, in minutes; an estimate of the median.
    pub fn median_min(&self) -> Option<f64> {
        (self.count > 0).then(|| (self.ln_sum as f64 / UNIT / f64::from(self.count)).exp())
    }

    /// Whether nothing was seen.
    pub fn is_empty(&self) -> bool {
        self.count == 0 && self.unfinished.is_empty()
    }

    /// Paces that unfinished work had reached, each with how many.
    pub(super) fn reached(&self) -> Vec<(f64, f64)> {
        let steps = self.unfinished.iter();
        steps.map(|(step, count)| ((step * STEP) as f64 / UNIT, f64::from(*count))).collect()
    }

    pub(super) fn put_in(&mut self, seen: &Observation) {
        let pace = Clipped::of(seen);
        if seen.censored {
            if let Some(step) = pace.step() {
                *self.unfinished.entry(step).or_default() += 1;
            }
            return;
        }
        self.count += 1;
        self.ln_sum += pace.ln;
        self.pace_sum += pace.pace;
        self.pace_squares += pace.square;
    }

    /// Takes out what [`Self::put_in`] put in; nothing when it is not there.
    pub(super) fn take_out(&mut self, seen: &Observation) {
        let pace = Clipped::of(seen);
        if seen.censored {
            if let Some(step) = pace.step()
                && let Some(count) = self.unfinished.get_mut(&step)
            {
                *count -= 1;
                if *count == 0 {
                    self.unfinished.remove(&step);
                }
            }
        } else if self.count > 0 {
            self.count -= 1;
            self.ln_sum -= pace.ln;
            self.pace_sum -= pace.pace;
            self.pace_squares -= pace.square;
        }
    }

    /// Everything of both.
    #[must_use]
    pub(super) fn with(mut self, other: &Self) -> Self {
        self.count += other.count;
        self.ln_sum += other.ln_sum;
        self.pace_sum += other.pace_sum;
        self.pace_squares += other.pace_squares;
        for (step, count) in &other.unfinished {
            *self.unfinished.entry(*step).or_default() += count;
        }
        self
    }

    /// This without a part of it.
    #[must_use]
    pub(super) fn without(mut self, part: &Self) -> Self {
        self.count = self.count.saturating_sub(part.count);
        self.ln_sum -= part.ln_sum;
        self.pace_sum -= part.pace_sum;
        self.pace_squares -= part.pace_squares;
        for (step, count) in &part.unfinished {
            let left = self.unfinished.get(step).copied().unwrap_or(0).saturating_sub(*count);
            if left == 0 {
                self.unfinished.remove(step);
            } else {
                self.unfinished.insert(*step, left);
            }
        }
        self
    }
}

/// One observation in whole units, its pace held between the bounds of its kind of work.
struct Clipped {
    ln: i64,
    pace: i64,
    square: i64,
    lowest: bool,
}

impl Clipped {
    fn of(seen: &Observation) -> Self {
        let usual = units(seen.usual.max(SHORTEST));
        let clip = start(seen.work).clip;
        let pace = (units(seen.hands_on.max(SHORTEST)) - usual).clamp(-clip, clip);
        let square = (pace as f64 * pace as f64 / UNIT).round() as i64;
        Self { ln: usual + pace, pace, square, lowest: pace == -clip }
    }

    /// The step of unfinished work; none when it was in hand too briefly to say anything.
    fn step(&self) -> Option<i64> {
        (!self.lowest).then(|| self.pace.div_euclid(STEP))
    }
}

fn units(span: Span) -> i64 {
    (span.as_min().ln() * UNIT).round() as i64
}
