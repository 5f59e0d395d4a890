//! Adaptive conformal inference: how wide a bound must be so that the share of misses comes out right in the long run,
//! whatever the scores do.
//!
//! The update is that of I. Gibbs and E. Candès, "Adaptive Conformal Inference Under Distribution Shift", `NeurIPS` 2021
//! (arXiv 2106.00170), Proposition 4.1, in count form: after `resolved` outcomes of which `misses` were misses,
//! `alpha_t = start + gamma (resolved alpha − misses)`. It is never clipped: the guarantee is a telescoping sum.
//! Conventions, and every case of them as numbers, are held against series under `tests/reference/planning`.

/// A number is taken for a whole one, and `alpha_t` for 0 or 1, when it is this near.
const RANK_SLACK: f64 = 1e-9;
const EDGE_SLACK: f64 = 1e-12;

/// How one share of misses is steered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steering {
    /// The share of misses aimed at, between 0 and 1.
    pub alpha: f64,
    /// The step: how far one outcome moves `alpha_t`. Above 0.
    pub gamma: f64,
    /// `alpha_t` before the first outcome, between 0 and 1.
    pub start: f64,
}

/// What a bound lets in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// Nothing: minus infinity.
    Nothing,
    /// Scores up to this one.
    Score(i64),
    /// Everything: plus infinity.
    Everything,
}

/// Outcomes so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Outcomes {
    /// How many are known.
    pub resolved: u64,
    /// How many of them were misses.
    pub misses: u64,
}

impl Bound {
    /// Whether a score lies above it. A score equal to the bound does not.
    pub fn is_missed_by(self, score: i64) -> bool {
        match self {
            Self::Nothing => true,
            Self::Score(bound) => score > bound,
            Self::Everything => false,
        }
    }
}

impl Steering {
    /// `alpha_t` after these outcomes.
    pub fn alpha_t(self, outcomes: Outcomes) -> f64 {
        let (resolved, misses) = (outcomes.resolved as f64, outcomes.misses as f64);
        self.start + self.gamma * (resolved * self.alpha - misses)
    }

    /// How far the share of misses among `resolved` outcomes can be from `alpha`, whatever the scores were, when at most
    /// `open` quotes were waiting for their outcome at any time, the one just made included. 1 = each outcome was known
    /// before the next quote: then it is the bound of Gibbs and Candès.
    ///
    /// With delayed outcomes `alpha_t` can travel `open` steps past 0 or 1 before it is seen, so it stays within
    /// `open` times gamma of 0..1; the sum telescopes over the resolved outcomes, in whatever order they come. The wider
    /// range is our own derivation and has no source.
    pub fn farthest(self, resolved: u64, open: u64) -> f64 {
        let range = self.start.max(1.0 - self.start) + open as f64 * self.gamma;
        range / (resolved as f64 * self.gamma)
    }
}

/// The bound at `alpha_t` over scores that are sorted ascending: the split-conformal rank `⌈(n + 1)(1 − alpha_t)⌉`.
pub fn bound(alpha_t: f64, sorted: &[i64]) -> Bound {
    if alpha_t >= 1.0 - EDGE_SLACK {
        return Bound::Nothing;
    }
    if alpha_t <= EDGE_SLACK {
        return Bound::Everything;
    }
    let rank = rank(alpha_t, sorted.len());
    sorted.get(rank.max(1) - 1).map_or(Bound::Everything, |score| Bound::Score(*score))
}

fn rank(alpha_t: f64, scores: usize) -> usize {
    ((scores as f64 + 1.0) * (1.0 - alpha_t) - RANK_SLACK).ceil() as usize
}

/// A bound that can be said. Where the exact one is infinite it is the largest score seen, and beyond that one `step`
/// for every gamma that `alpha_t` lies below 0; likewise on the other side.
///
/// What is left of the guarantee: while scores stay between two limits `spread` apart, a bound that has grown by
/// `spread` is never missed, so `alpha_t` travels at most `spread / step + 1` gammas further than with an infinite bound, and
/// [`Steering::farthest`] holds with so many more open quotes. Nothing is promised against scores without limit. (The
/// idea of a bound that grows as the misses pile up is that of a saturating integrator; the constant is our own.)
pub fn sayable(steering: Steering, alpha_t: f64, sorted: &[i64], step: i64) -> i64 {
    let steps = |beyond: f64| ((1.0 + beyond.max(0.0) / steering.gamma) * step as f64) as i64;
    match bound(alpha_t, sorted) {
        Bound::Score(score) => score,
        Bound::Everything => sorted.last().map_or(0, |largest| largest.saturating_add(steps(-alpha_t))),
        Bound::Nothing => sorted.first().map_or(0, |smallest| smallest.saturating_sub(steps(alpha_t - 1.0))),
    }
}

#[cfg(test)]
#[path = "conformal_tests.rs"]
mod tests;
