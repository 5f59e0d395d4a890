//! How likely a repair fails again in use.
//!
//! A repair fails at a constant rate for each hour of fencing; the rate is not known but believed to be gamma
//! distributed. Each failure seen and each hour fenced without one moves the belief (the conjugate update of a Poisson
//! process, textbook knowledge, not looked up): shape + failures, hours + hours fenced. The chance that it fails within
//! h hours is 1 - (hours / (hours + h))^shape, the Lomax distribution.

/// What was seen of repairs of one kind after they went back.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Returns {
    /// How many came back with the same fault.
    pub failures: u32,
    /// Hours of fencing that they stood all told, those that did not come back among them.
    pub hours: f64,
}

/// The belief about the rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hazard {
    /// Shape of the gamma distribution.
    shape: f64,
    /// Its rate parameter, hours.
    hours: f64,
}

impl Hazard {
    /// A belief by which half of the repairs have failed after so many hours, worth so many failures seen.
    pub fn prior(half_after_h: f64, worth_failures: f64) -> Self {
        // The median of the Lomax distribution: hours · (2^(1/shape) - 1).
        let hours = half_after_h / (2_f64.powf(1.0 / worth_failures) - 1.0);
        Self { shape: worth_failures, hours }
    }

    /// The belief after these returns.
    #[must_use]
    pub fn after(self, seen: Returns) -> Self {
        Self { shape: self.shape + f64::from(seen.failures), hours: self.hours + seen.hours.max(0.0) }
    }

    /// The chance that it fails within so many hours of fencing.
    pub fn fails_within(self, hours: f64) -> f64 {
        1.0 - (self.hours / (self.hours + hours.max(0.0))).powf(self.shape)
    }

    /// Shape and rate parameter (in hours) of the gamma distribution of the rate, for who draws from it.
    pub fn parameters(self) -> (f64, f64) {
        (self.shape, self.hours)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_have_failed_after_the_hours_that_the_estimate_says() {
        for (hours, worth) in [(4.0, 2.0), (300.0, 2.0), (3.0, 7.5)] {
            let hazard = Hazard::prior(hours, worth);
            assert!((hazard.fails_within(hours) - 0.5).abs() < 1e-12);
            assert!(hazard.fails_within(0.0).abs() < 1e-12 && hazard.fails_within(1e9) > 0.999);
        }
    }

    /// Worked by hand: shape 2 and 10 hours; one failure in 5 hours makes shape 3 and 15 hours; within 15 hours
    /// 1 - (1/2)³ = 7/8 fail.
    #[test]
    fn what_was_seen_moves_the_belief() {
        let prior = Hazard { shape: 2.0, hours: 10.0 };
        let after = prior.after(Returns { failures: 1, hours: 5.0 });
        assert_eq!(after.parameters(), (3.0, 15.0));
        assert!((after.fails_within(15.0) - 0.875).abs() < 1e-12);
        // 400 hours with one failure each 100 hours: close to 1 - exp(-1/100).
        let much = prior.after(Returns { failures: 400, hours: 40_000.0 });
        assert!((much.fails_within(1.0) - 0.01).abs() < 0.001);
    }
}
