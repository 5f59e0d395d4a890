//! Unfinished work: it is known only to take longer than it was in hand (right-censored).
//!
//! Expectation-maximisation (Dempster, Laird & Rubin 1977, from memory): each unfinished one counts as what the belief
//! expects of it beyond the point it had reached, the belief is renewed, and so on for a fixed number of rounds. In the
//! end each counts only for as much as it tells: 1 - Var(x | x > c) / s², next to nothing when it was hardly begun.

use statrs::function::erf::erfc;

use super::nig::Nig;
use super::seen::{Seen, UNIT};

/// Rounds of renewal; a test shows that more change little.
const ROUNDS: usize = 8;

/// The belief about paces after what was seen.
pub(super) fn posterior(prior: Nig, seen: &Seen, reached: &[(f64, f64)]) -> Nig {
    let all = Sums {
        count: f64::from(seen.count),
        sum: seen.pace_sum as f64 / UNIT,
        squares: seen.pace_squares as f64 / UNIT,
    };
    if reached.is_empty() { all.update(prior) } else { renewed(prior, &all, reached, ROUNDS) }
}

fn renewed(prior: Nig, finished: &Sums, reached: &[(f64, f64)], rounds: usize) -> Nig {
    let mut belief = finished.update(prior);
    let mut told = 0.0;
    for _ in 0..rounds {
        let s = (belief.b / belief.a).sqrt();
        let mut all = *finished;
        told = 0.0;
        for (from, count) in reached {
            let z = (from - belief.m) / s;
            let hazard = hazard(z);
            let known = (hazard * (hazard - z)).clamp(0.0, 1.0);
            let mean = belief.m + s * hazard;
            all.count += count;
            all.sum += count * mean;
            all.squares += count * (mean * mean + s * s * (1.0 - known));
            told += count * known;
        }
        belief = all.update(prior);
    }
    let a = prior.a + 0.5 * (finished.count + told);
    Nig { m: belief.m, k: prior.k + finished.count + told, a, b: belief.b / belief.a * a }
}

#[derive(Clone, Copy)]
struct Sums {
    count: f64,
    sum: f64,
    squares: f64,
}

impl Sums {
    fn update(&self, prior: Nig) -> Nig {
        if self.count <= 0.0 {
            return prior;
        }
        let mean = self.sum / self.count;
        prior.update(self.count, mean, self.squares - self.count * mean * mean)
    }
}

/// Density over upper tail of the standard normal at `z`.
fn hazard(z: f64) -> f64 {
    if z > 8.0 {
        // Two terms of the asymptotic series; the tail itself would lose its digits.
        return z + 1.0 / z;
    }
    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    density / (0.5 * erfc(z / std::f64::consts::SQRT_2))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRIOR: Nig = Nig { m: 0.0, k: 1.5, a: 4.0, b: 0.5 };

    /// Held against textbook values of the normal hazard (from memory, not checked): 0.7979 at 0, 2.3732 at 2.
    #[test]
    fn the_hazard_is_right_and_without_a_jump() {
        assert!((hazard(0.0) - 0.797_884_56).abs() < 1e-7);
        assert!((hazard(2.0) - 2.373_215_5).abs() < 1e-6);
        assert!((hazard(8.0) - hazard(8.000_001)).abs() < 0.01);
        assert!(hazard(-40.0) >= 0.0 && hazard(400.0).is_finite());
    }

    /// Common sense, no source: hardly begun tells nothing, long in hand tells much.
    #[test]
    fn unfinished_work_tells_as_much_as_it_was_in_hand() {
        let none = Sums { count: 0.0, sum: 0.0, squares: 0.0 };
        let brief = renewed(PRIOR, &none, &[(-2.0, 20.0)], ROUNDS);
        assert!(brief.m.abs() < 0.01 && brief.k < PRIOR.k + 0.1, "{brief:?}");
        let long = renewed(PRIOR, &none, &[(1.0, 5.0)], ROUNDS);
        assert!(long.m > 0.5 && long.k < PRIOR.k + 5.0, "{long:?}");
    }

    #[test]
    fn more_rounds_change_little() {
        let seen = Sums { count: 10.0, sum: 1.0, squares: 1.5 };
        let (few, many) =
            [ROUNDS, 200].map(|rounds| renewed(PRIOR, &seen, &[(0.3, 3.0), (0.0, 2.0)], rounds)).into();
        assert!(
            (few.m - many.m).abs() < 0.01 && (few.b / few.a - many.b / many.a).abs() < 0.01,
            "{few:?} {many:?}"
        );
    }
}
