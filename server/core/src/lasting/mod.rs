//! Lasting repair or stop-gap: what each costs in expectation. Both are shown; the armourer decides.
//!
//! The loss of a way, in weighted late minutes:
//!
//! ```text
//! loss = w · E[(X + c - d)⁺] + P(fails again within u) · w · (E[L] + a)
//! ```
//!
//! w is the weight of the need ([`Need::weight`]), X the bench minutes (log-normal: median and spread of the estimate),
//! c the minutes for which glue sets, d the minutes left until it must be ready, u the hours of fencing until the
//! fencer can spare it again or is out, L the minutes of the lasting repair with its setting, a what a failure costs besides. A failure in use is a
//! new stay that is wanted at once: all of it is late, at the weight of the need that the fencer has now. Nothing is
//! charged for the bench's own time: the lasting repair has to be done some time, and what stands in the lanes is the
//! plan's business.
//!
//! For X log-normal with parameters m and s, and d > 0, the mean of (X - d)⁺ is
//!
//! ```text
//! e^(m + s²/2) · Φ((m + s² - ln d)/s) - d · Φ((m - ln d)/s)
//! ```
//!
//! the formula of a call option without interest (Black 1976; from memory, held against numerical integration by a test).

mod estimates;
mod hazard;
mod here;

use statrs::function::erf::erfc;

use crate::armoury::Need;
use crate::times::Spread;

pub use estimates::{Estimates, EstimatesProblem, TwoWays, Way, parse};
pub use hazard::{Hazard, Returns};
pub use here::{advice, owed_words, owed_work};

/// Hours of fencing after which a fencer can usually spare the item for what lasts. Estimate of ours, no source.
pub const SPARED_AFTER_H: f64 = 1.0;

/// What the choice depends on besides the fault.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circumstances {
    /// What the fencer still has.
    pub need: Need,
    /// Minutes until it must be ready, walk already taken off; negative when it is late already.
    pub left_min: f64,
    /// Hours of fencing until the fencer can spare it for what lasts, or is out.
    pub to_fence_h: f64,
    /// What was seen of stop-gaps of this fault on this item.
    pub stop_gaps: Returns,
}

/// What one way costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cost {
    /// Minutes until it is ready in the mean, glue set.
    pub ready_min: f64,
    /// Chance that it is ready too late.
    pub late: f64,
    /// Minutes late in the mean.
    pub late_min: f64,
    /// Chance that it fails again while the fencer still needs it.
    pub fails: f64,
    /// All told, in weighted late minutes.
    pub loss: f64,
}

/// Both ways, weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed<'e> {
    /// What they are.
    pub ways: &'e TwoWays,
    /// The stop-gap's cost.
    pub stop_gap: Cost,
    /// The lasting repair's.
    pub lasting: Cost,
}

impl Weighed<'_> {
    /// Whether the stop-gap costs less. The same cost speaks for what lasts.
    pub fn for_stop_gap(&self) -> bool {
        self.stop_gap.loss < self.lasting.loss
    }

    /// Both ways in one line each, what lasts first, and which costs less.
    pub fn lines(&self) -> [String; 3] {
        let less = if self.for_stop_gap() { "the stop-gap" } else { "the lasting repair" };
        [
            line("Lasting", &self.ways.lasting, &self.lasting),
            line("Stop-gap", &self.ways.stop_gap, &self.stop_gap),
            format!(
                "By these figures {less} costs less; you decide. After a stop-gap the lasting repair is owed: tell the fencer."
            ),
        ]
    }
}

/// One way in one line: what is done, when it is ready, how late that is, whether it fails again, what it costs.
fn line(name: &str, way: &Way, cost: &Cost) -> String {
    format!(
        "{name:9} {}: ready in {:.0} min, late {:.0} % (by {:.1} min in the mean), fails again {:.0} %, costs {:.0}",
        way.what,
        cost.ready_min,
        100.0 * cost.late,
        cost.late_min,
        100.0 * cost.fails,
        cost.loss
    )
}

/// Weighs both ways of mending a fault by the minutes of the estimates; `None` where there is no choice.
pub fn weigh<'e>(estimates: &'e Estimates, fault: &str, now: &Circumstances) -> Option<Weighed<'e>> {
    weigh_by(estimates, fault, now, Way::spread)
}

/// Weighs both ways, with the bench minutes of each as `takes` says.
pub fn weigh_by<'e>(
    estimates: &'e Estimates,
    fault: &str,
    now: &Circumstances,
    takes: impl Fn(&Way) -> Spread,
) -> Option<Weighed<'e>> {
    let ways = estimates.of(fault)?;
    let (quick, whole) = (takes(&ways.stop_gap), takes(&ways.lasting));
    let again_min = ready_min(&ways.lasting, whole) + estimates.again_min;
    let lasting = Hazard::prior(estimates.lasting_holds_h, estimates.worth_failures);
    let stop_gap = Hazard::prior(ways.holds_h, estimates.worth_failures).after(now.stop_gaps);
    Some(Weighed {
        ways,
        stop_gap: cost(&ways.stop_gap, quick, stop_gap, again_min, now),
        lasting: cost(&ways.lasting, whole, lasting, again_min, now),
    })
}

fn cost(way: &Way, takes: Spread, hazard: Hazard, again_min: f64, now: &Circumstances) -> Cost {
    let left = now.left_min - f64::from(way.curing_min);
    let (late, late_min) = over((takes.likely_min.ln(), takes.sigma_ln), left);
    let fails = hazard.fails_within(now.to_fence_h);
    let weight = f64::from(now.need.weight());
    let loss = weight * (late_min + fails * again_min);
    Cost { ready_min: ready_min(way, takes), late, late_min, fails, loss }
}

/// Minutes until it is ready in the mean, glue set.
fn ready_min(way: &Way, takes: Spread) -> f64 {
    takes.likely_min * (takes.sigma_ln * takes.sigma_ln / 2.0).exp() + f64::from(way.curing_min)
}

impl Way {
    /// Its bench minutes by the estimates, as [`crate::gear::Fault::minutes_lognormal`].
    pub fn spread(&self) -> Spread {
        let ratio = f64::from(self.minutes.high) / f64::from(self.minutes.low);
        Spread { likely_min: f64::from(self.minutes.likely), sigma_ln: ratio.ln() / (2.0 * 1.645) }
    }
}

/// The chance that a log-normal passes `limit`, and by how much in the mean.
fn over((mu, sigma): (f64, f64), limit: f64) -> (f64, f64) {
    let mean = (mu + sigma * sigma / 2.0).exp();
    if limit <= 0.0 {
        return (1.0, mean - limit);
    }
    let z = (mu - limit.ln()) / sigma;
    let late = normal(z);
    (late, (mean * normal(z + sigma) - limit * late).max(0.0))
}

/// The standard normal distribution function.
fn normal(z: f64) -> f64 {
    erfc(-z / std::f64::consts::SQRT_2) / 2.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn now(left_min: f64) -> Circumstances {
        Circumstances { need: Need::OneLeft, left_min, to_fence_h: 3.0, stop_gaps: Returns::default() }
    }

    fn for_stop_gap(fault: &str, now: &Circumstances) -> bool {
        weigh(Estimates::built_in(), fault, now).unwrap().for_stop_gap()
    }

    /// The closed form against a sum over a hundred thousand points of the distribution.
    #[test]
    fn the_mean_lateness_is_that_of_the_distribution() {
        let points = 100_000;
        for (mu, sigma) in [(3.0_f64.ln(), 0.4), (35_f64.ln(), 0.33), (8_f64.ln(), 0.7)] {
            for limit in [-4.0, 0.5, 3.0, 12.0, 40.0, 90.0] {
                let draw = |i: u32| {
                    let u = (f64::from(i) + 0.5) / f64::from(points);
                    (mu - sigma * std::f64::consts::SQRT_2 * statrs::function::erf::erfc_inv(2.0 * u)).exp()
                };
                let sum: f64 = (0..points).map(|i| (draw(i) - limit).max(0.0)).sum();
                let by_sum = sum / f64::from(points);
                let (_, by_form) = over((mu, sigma), limit);
                assert!(
                    (by_sum - by_form).abs() < 1e-3 * (1.0 + by_sum),
                    "{mu} {sigma} {limit}: {by_sum} {by_form}"
                );
            }
        }
    }

    /// Common practice, no source: with a bout at once a weapon is made to work, with an hour it is mended.
    #[test]
    fn with_little_time_a_stop_gap_and_with_an_hour_what_lasts() {
        for fault in ["foil_barrel_loose", "foil_wire_bare_patched", "jacket_dead_spot"] {
            assert!(for_stop_gap(fault, &now(6.0)), "{fault}");
            assert!(!for_stop_gap(fault, &now(90.0)), "{fault}");
        }
    }

    /// More time never speaks for the stop-gap, and what failed never for it either.
    #[test]
    fn once_what_lasts_is_better_more_time_does_not_change_that() {
        for ways in &Estimates::built_in().faults {
            let mut before = true;
            for left in 0..120 {
                let better = for_stop_gap(ways.fault, &now(f64::from(left)));
                assert!(before || !better, "{} at {left}", ways.fault);
                before = better;
            }
        }
    }

    #[test]
    fn what_was_seen_here_counts() {
        let holds = Circumstances { stop_gaps: Returns { failures: 0, hours: 500.0 }, ..now(20.0) };
        let fails = Circumstances { stop_gaps: Returns { failures: 20, hours: 10.0 }, ..now(20.0) };
        let fails_within = |now: Circumstances| {
            weigh(Estimates::built_in(), "foil_barrel_loose", &now).unwrap().stop_gap.fails
        };
        assert!(
            fails_within(holds) < fails_within(now(20.0)) && fails_within(now(20.0)) < fails_within(fails)
        );
        assert!(for_stop_gap("foil_barrel_loose", &holds));
    }

    #[test]
    fn where_there_is_no_choice_nothing_is_weighed() {
        assert_eq!(weigh(Estimates::built_in(), "foil_point_dirty", &now(10.0)), None);
    }
}
