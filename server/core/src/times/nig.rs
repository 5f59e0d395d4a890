//! Normal-inverse-gamma: what is believed of the mean and variance of a normal quantity.
//!
//! x | m, s² ~ N(m, s²); m | s² ~ N(`m`, s² / `k`); s² ~ inverse gamma (`a`, `b`). Conjugate updates after K. Murphy 2007,
//! "Conjugate Bayesian analysis of the Gaussian distribution" (from memory, not checked); the numbers are held against
//! `tests/reference/planning/nig*.csv`.

use super::student::Predictive;

/// The four figures of the belief.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nig {
    /// Expected mean.
    pub m: f64,
    /// How many observations the mean is worth.
    pub k: f64,
    /// Shape of the variance: twice it are the degrees of freedom.
    pub a: f64,
    /// Scale of the variance: the variance is about b / a.
    pub b: f64,
}

impl Nig {
    /// The belief after `count` observations with that mean and that sum of squares about their mean.
    #[must_use]
    pub fn update(self, count: f64, mean: f64, about_mean: f64) -> Self {
        if count <= 0.0 {
            return self;
        }
        let k = self.k + count;
        let off = mean - self.m;
        Self {
            m: (self.k * self.m + count * mean) / k,
            k,
            a: self.a + count / 2.0,
            b: self.b + about_mean.max(0.0) / 2.0 + self.k * count * off * off / (2.0 * k),
        }
    }

    /// The next observation.
    pub fn predictive(self) -> Predictive {
        self.predictive_of(1.0)
    }

    /// The next observation of something whose own standard deviation is `ratio` times the usual one.
    pub(super) fn predictive_of(self, ratio: f64) -> Predictive {
        let variance = self.b / self.a * (ratio * ratio + 1.0 / self.k);
        Predictive { centre_ln: self.m, scale_ln: variance.sqrt(), dof: 2.0 * self.a }
    }

    /// The prior of one among several that differ from this one by a standard deviation of `between`: the same centre,
    /// worth less, and the same variance, worth `a`.
    #[must_use]
    pub(super) fn child(self, between: f64, a: f64) -> Self {
        let variance = self.b / self.a;
        let k = variance / (variance / self.k + between * between);
        Self { m: self.m, k, a, b: variance * a }
    }
}
