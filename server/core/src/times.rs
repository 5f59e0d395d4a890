//! Repair times: what the armoury expects and what it has learned of hands-on minutes for each kind of work.
//!
//! Model: hands-on minutes of a kind of work are log-normal. The expectation blends a prior with what was seen;
//! sums are kept in whole micro-units of ln(minutes), so that a correction takes out exactly what was put in.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::gear::Work;
use crate::time::Span;

/// How many observations the prior is worth. An estimate of our own.
const PRIOR_WEIGHT: f64 = 5.0;
/// Whole units of ln(minutes) kept per observation.
const LN_UNIT: f64 = 1e6;
/// Shorter than this cannot be a repair; it counts as this long.
pub(crate) const SHORTEST: Span = Span::seconds(15);

/// What was learned, by kind of work.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Learned {
    by_work: BTreeMap<Work, Seen>,
}

/// Observations of one kind of work.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seen {
    /// How many.
    pub count: u32,
    /// Sum of ln(minutes), in millionths.
    pub ln_sum: i64,
}

impl Seen {
    /// The geometric mean of what was seen, in minutes; an estimate of the median.
    pub fn median_min(&self) -> Option<f64> {
        (self.count > 0).then(|| (self.ln_sum as f64 / LN_UNIT / f64::from(self.count)).exp())
    }
}

impl Learned {
    /// Takes in one observation.
    pub fn learn(&mut self, work: Work, hands_on: Span) {
        let seen = self.by_work.entry(work).or_default();
        seen.count += 1;
        seen.ln_sum += ln_units(hands_on);
    }

    /// Takes one observation out again, exactly.
    pub fn unlearn(&mut self, work: Work, hands_on: Span) {
        if let Some(seen) = self.by_work.get_mut(&work)
            && seen.count > 0
        {
            seen.count -= 1;
            seen.ln_sum -= ln_units(hands_on);
            if seen.count == 0 {
                self.by_work.remove(&work);
            }
        }
    }

    /// What was seen of one kind of work.
    pub fn seen(&self, work: Work) -> Seen {
        self.by_work.get(&work).copied().unwrap_or_default()
    }

    /// Median minutes expected when the prior's median is `prior_min`: the weighted mean of ln(minutes), the prior
    /// counting as `PRIOR_WEIGHT` observations (posterior mean of a normal mean with known variance).
    pub fn median_min(&self, work: Work, prior_min: f64) -> f64 {
        let seen = self.seen(work);
        let sum = PRIOR_WEIGHT * prior_min.ln() + seen.ln_sum as f64 / LN_UNIT;
        (sum / (PRIOR_WEIGHT + f64::from(seen.count))).exp()
    }
}

fn ln_units(hands_on: Span) -> i64 {
    (hands_on.max(SHORTEST).as_min().ln() * LN_UNIT).round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_observations_the_prior_stands() {
        let learned = Learned::default();
        assert!((learned.median_min(Work::Point, 5.0) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn many_observations_outweigh_the_prior() {
        let mut learned = Learned::default();
        for _ in 0..500 {
            learned.learn(Work::Point, Span::minutes(10));
        }
        let median = learned.median_min(Work::Point, 5.0);
        assert!((9.5..10.0).contains(&median), "{median}");
    }

    #[test]
    fn what_is_unlearned_leaves_no_trace() {
        let mut learned = Learned::default();
        learned.learn(Work::Point, Span::seconds(443));
        learned.learn(Work::Cloth, Span::seconds(900));
        learned.unlearn(Work::Cloth, Span::seconds(900));
        assert_eq!(learned.by_work.len(), 1);
        let before = learned.clone();
        learned.learn(Work::Point, Span::seconds(1_017));
        learned.unlearn(Work::Point, Span::seconds(1_017));
        assert_eq!(learned, before);
    }
}
