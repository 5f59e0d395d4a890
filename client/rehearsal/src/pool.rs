//! Figures over many days: means with 95 % confidence intervals, and differences paired by day.

use serde::Serialize;

/// Student's t, two-sided 95 %, for 1 to 30 degrees of freedom: common tables, from memory; a test recomputes them.
const T_95: [f64; 30] = [
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131,
    2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
];
/// The normal distribution's, which t tends to.
const Z_95: f64 = 1.959_964;

/// A mean over independent days, with half the width of its 95 % confidence interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Mean {
    /// The mean.
    pub mean: f64,
    /// Half the width of the interval; `None` for a single day, of which nobody knows how far it strays.
    pub half_width_95: Option<f64>,
}

impl Mean {
    /// Of one figure a day; `None` without any.
    pub fn of(values: &[f64]) -> Option<Self> {
        let count = values.len() as f64;
        let mean = values.iter().sum::<f64>() / count;
        let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0);
        let half = (values.len() > 1).then(|| t_95(values.len() - 1) * (variance / count).sqrt());
        (!values.is_empty()).then_some(Self { mean, half_width_95: half })
    }

    /// Of the differences `after - before`, day by day.
    pub fn of_differences(before: &[f64], after: &[f64]) -> Option<Self> {
        let differences: Vec<f64> = before.iter().zip(after).map(|(before, after)| after - before).collect();
        Self::of(&differences)
    }

    /// Both ends of the interval, the mean itself when there is none.
    pub fn ends(self) -> (f64, f64) {
        let half = self.half_width_95.unwrap_or(0.0);
        (self.mean - half, self.mean + half)
    }

    /// The same in another unit.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        let half_width_95 = self.half_width_95.map(|half| half * factor.abs());
        Self { mean: self.mean * factor, half_width_95 }
    }
}

/// Student's t, two-sided 95 %. Beyond the table by its expansion in the inverse of the degrees of freedom (Fisher
/// and Cornish 1960; the terms from memory, held against a known value in the tests).
pub fn t_95(degrees: usize) -> f64 {
    if let Some(t) = degrees.checked_sub(1).and_then(|at| T_95.get(at)) {
        return *t;
    }
    let (z, n) = (Z_95, degrees as f64);
    z + (z.powi(3) + z) / (4.0 * n) + (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / (96.0 * n * n)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The density of Student's t, up to its constant.
    fn density(t: f64, degrees: f64) -> f64 {
        (1.0 + t * t / degrees).powf(-f64::midpoint(degrees, 1.0))
    }

    /// Share of the density within `t`, by Simpson's rule in the angle atan(t / sqrt(n)), where the range is finite.
    fn within(t: f64, degrees: f64) -> f64 {
        let integral = |to: f64| {
            let steps = 2_000;
            let at = |k: i32| {
                let angle = to * f64::from(k) / f64::from(steps);
                let t = degrees.sqrt() * angle.tan();
                density(t, degrees) * degrees.sqrt() / angle.cos().powi(2)
            };
            let weight = |k: i32| if k == 0 || k == steps { 1.0 } else { 2.0 + 2.0 * f64::from(k % 2) };
            (0..=steps).map(|k| weight(k) * at(k)).sum::<f64>() * to / f64::from(steps) / 3.0
        };
        integral((t / degrees.sqrt()).atan()) / integral(std::f64::consts::FRAC_PI_2 - 1e-9)
    }

    /// Held against the integral of the density.
    #[test]
    fn students_t_holds_95_percent() {
        for degrees in [1_usize, 2, 3, 5, 9, 15, 19, 30, 31, 39, 60, 200] {
            let share = within(t_95(degrees), degrees as f64);
            assert!((share - 0.95).abs() < 2e-4, "{degrees}: {share}");
        }
    }

    /// Worked by hand: 1, 2, 3 have mean 2 and variance 1; 4.303 times the root of a third is 2.484.
    #[test]
    fn a_mean_has_its_interval() {
        let mean = Mean::of(&[1.0, 2.0, 3.0]).unwrap();
        assert!((mean.mean - 2.0).abs() < 1e-12 && (mean.half_width_95.unwrap() - 2.484).abs() < 1e-3);
        assert_eq!(Mean::of(&[5.0]), Some(Mean { mean: 5.0, half_width_95: None }));
        assert_eq!(Mean::of(&[]), None);
        let paired = Mean::of_differences(&[10.0, 20.0], &[9.0, 19.0]).unwrap();
        assert_eq!(paired.ends(), (-1.0, -1.0));
    }
}
