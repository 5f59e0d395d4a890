//! What is left of a repair that has been worked on for a while.
//!
//! Minutes are log-normal with centre m and scale s of their logarithm. What has been worked already is known: the repair
//! takes longer than e. With z = (ln e - m) / s and the standard normal distribution function Φ, the mean of what is left is
//!
//! ```text
//! E[X - e | X > e] = exp(m + s²/2) · Φ(s - z) / Φ(-z) - e
//! ```
//!
//! (the partial expectation of the log-normal; from memory, held against numerical integration by the tests). It grows
//! with e once e is well past the median: an armourer who is overdue is not about to be done. Over several possible faults it
//! is the mean weighted by P(fault) · Φ(-z), the chance that a repair of that fault would still be going on.

use statrs::function::erf::erfc;

/// Below this chance of still going on the ratio above loses its digits; its limit for large z is taken.
const RARE: f64 = 1e-6;

/// The minutes of one possible repair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Repair {
    /// How likely it is, as a weight.
    pub(super) weight: f64,
    /// Centre of ln(minutes).
    pub(super) centre_ln: f64,
    /// Scale of ln(minutes).
    pub(super) scale_ln: f64,
}

impl Repair {
    /// All of these repairs one after the other, taken for log-normal around the sum of the medians with the largest scale.
    pub(super) fn all(repairs: &[Self]) -> Option<Self> {
        let median: f64 = repairs.iter().map(|repair| repair.centre_ln.exp()).sum();
        let scale_ln = repairs.iter().map(|repair| repair.scale_ln).reduce(f64::max)?;
        Some(Self { weight: 1.0, centre_ln: median.ln(), scale_ln })
    }

    /// The chance that it takes longer than `worked_min`, and the mean minutes left then.
    fn left(&self, worked_min: f64) -> (f64, f64) {
        let (m, s) = (self.centre_ln, self.scale_ln.max(1e-6));
        if worked_min <= 0.0 {
            return (1.0, (m + s * s / 2.0).exp());
        }
        let z = (worked_min.ln() - m) / s;
        let longer = upper(z);
        if longer < RARE {
            return (longer, worked_min * s / z);
        }
        (longer, (m + s * s / 2.0).exp() * upper(z - s) / longer - worked_min)
    }
}

/// The mean minutes left of one of these repairs, whichever it is, after `worked_min`; none when there are none.
pub(super) fn left_min(repairs: &[Repair], worked_min: f64) -> Option<f64> {
    let (mut weights, mut minutes) = (0.0, 0.0);
    for repair in repairs {
        let (longer, left) = repair.left(worked_min);
        // However long it has been there, something is still being done.
        let weight = repair.weight * longer.max(1e-300);
        weights += weight;
        minutes += weight * left;
    }
    (weights > 0.0).then(|| minutes / weights)
}

/// The standard normal's upper tail.
fn upper(z: f64) -> f64 {
    erfc(z / std::f64::consts::SQRT_2) / 2.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const POINT: Repair = Repair { weight: 1.0, centre_ln: 1.6, scale_ln: 0.5 };

    /// By the midpoint rule over ln(minutes).
    fn integrated(repair: &Repair, worked_min: f64) -> f64 {
        let (mut mass, mut sum) = (0.0, 0.0);
        let steps = 200_000;
        for step in 0..steps {
            let z = -8.0 + 16.0 * (f64::from(step) + 0.5) / f64::from(steps);
            let minutes = (repair.centre_ln + repair.scale_ln * z).exp();
            if minutes > worked_min {
                let density = (-z * z / 2.0).exp();
                mass += density;
                sum += density * (minutes - worked_min);
            }
        }
        sum / mass
    }

    #[test]
    fn what_is_left_agrees_with_integration() {
        for worked_min in [0.0, 1.0, 4.0, 9.0, 20.0, 40.0] {
            let (ours, theirs) = (left_min(&[POINT], worked_min).unwrap(), integrated(&POINT, worked_min));
            assert!((ours - theirs).abs() < 2e-3 * theirs, "{worked_min}: {ours} {theirs}");
        }
    }

    /// The limit joins the formula.
    #[test]
    fn what_is_overdue_is_not_about_to_be_done() {
        let at = |worked_min: f64| left_min(&[POINT], worked_min).unwrap();
        assert!(
            at(5.0) < at(0.0) && at(30.0) > at(12.0) && at(200.0) > at(60.0),
            "{} {}",
            at(30.0),
            at(12.0)
        );
        assert!(at(1e6).is_finite());
        assert_eq!(left_min(&[], 3.0), None);
    }

    /// A quick fault that would be mended by now is no longer believed.
    #[test]
    fn time_speaks_for_the_longer_repair() {
        let wire = Repair { weight: 0.2, centre_ln: 3.4, scale_ln: 0.3 };
        let both = |worked_min| left_min(&[POINT, wire], worked_min).unwrap();
        assert!(both(15.0) > both(0.0), "{} {}", both(15.0), both(0.0));
        let all = Repair::all(&[POINT, wire]).unwrap();
        assert!(left_min(&[all], 0.0).unwrap() > left_min(&[wire], 0.0).unwrap());
    }
}
