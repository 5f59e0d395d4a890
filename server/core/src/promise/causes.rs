//! What a job may still need, cause by cause: the mixture over faults with what is left of the work in each.
//!
//! Model: nothing is wrong, or one of the faults that the complaint and the findings leave possible; hands-on
//! minutes of a fault are log-normal around the learned median. Around the repair stand minutes to examine before and
//! to prove after it. Glue splits the work: some of the repair comes after it has set. What has been worked already is
//! taken as known: the minutes are drawn on the condition that they are longer than that.

use crate::armoury::{Armoury, Job, State};
use crate::gear::Fault;
use crate::plan::mixture;
use crate::plan::mixture::is_found;
use crate::time::Stamp;

/// Share of jobs in which no fault is found in the item. An estimate of our own.
const NOTHING_FOUND: f64 = 0.15;
/// Median minutes of an examination that finds nothing, and the spread of their logarithm. Estimates of our own.
const EXAMINED: (f64, f64) = (4.0, 0.4);
/// Minutes to examine before the repair, and as many to prove after it. An estimate of our own.
pub(super) const HALF_AROUND: f64 = 1.0;
/// Share of the repair that comes after the glue has set. An estimate of our own.
pub(crate) const AFTER_GLUE: f64 = 1.0 / 6.0;
/// No repair is shorter, in minutes.
const SHORTEST: f64 = 0.25;

/// One cause, as the draws use it. All times in minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cause {
    /// Probability of this cause or an earlier one.
    pub up_to: f64,
    minutes: LogNormal,
    /// Probability that the minutes are no longer than what has been worked already.
    worked: f64,
    /// Glue sets for so long; 0 = no glue.
    pub curing: f64,
    /// Worked already.
    elapsed: f64,
}

/// What is left of a job in one draw, in minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Left {
    /// At a bench, until it is ready or laid to cure.
    pub head: f64,
    /// On the curing shelf; 0 = nothing cures.
    pub curing: f64,
    /// At a bench after curing.
    pub tail: f64,
}

/// Hands-on minutes of one repair.
#[derive(Clone, Copy, Debug, PartialEq)]
struct LogNormal {
    mu: f64,
    sigma: f64,
}

impl LogNormal {
    /// Probability of no more than so many minutes.
    fn up_to(self, minutes: f64) -> f64 {
        if minutes <= 0.0 { 0.0 } else { normal_cdf((minutes.ln() - self.mu) / self.sigma) }
    }

    /// The minutes with that probability below them. The one place where minutes are drawn.
    fn draw_min(self, uniform: f64) -> f64 {
        (self.mu + self.sigma * normal_quantile(uniform)).exp().max(SHORTEST)
    }
}

impl Cause {
    fn glued(&self) -> bool {
        self.curing > 0.0
    }

    /// Minutes of the repair and around it until it is ready or laid to cure, if the repair takes `minutes`.
    fn head(&self, minutes: f64) -> f64 {
        if self.glued() { HALF_AROUND + (1.0 - AFTER_GLUE) * minutes } else { 2.0 * HALF_AROUND + minutes }
    }

    /// Both are there, and one is mended after the other; what cures, cures together. The sum of two log-normal times is
    /// taken for log-normal around the sum of the medians, with the larger spread.
    fn and(self, other: Self) -> Self {
        let (one, two) = (self.minutes, other.minutes);
        let minutes = LogNormal { mu: (one.mu.exp() + two.mu.exp()).ln(), sigma: one.sigma.max(two.sigma) };
        Self { minutes, curing: self.curing.max(other.curing), ..self }
    }

    fn condition(&mut self, elapsed: f64) {
        let worked = if self.glued() {
            (elapsed - HALF_AROUND) / (1.0 - AFTER_GLUE)
        } else {
            elapsed - 2.0 * HALF_AROUND
        };
        self.elapsed = elapsed;
        // However long it has been there, some of the distribution is left.
        self.worked = self.minutes.up_to(worked).min(0.999);
    }

    /// What is left, by a uniform number in 0..1.
    pub fn draw(&self, uniform: f64) -> Left {
        let minutes = self.minutes.draw_min(self.worked + uniform * (1.0 - self.worked));
        let head = (self.head(minutes) - self.elapsed).max(0.1);
        let tail = if self.glued() { HALF_AROUND + AFTER_GLUE * minutes } else { 0.0 };
        Left { head, curing: self.curing, tail }
    }
}

/// The causes of a job, with what has been worked taken into account; `None` when the repair is done and only the rest
/// of it, or the proof, is left.
pub(super) fn of(room: &Armoury, job: &Job, now: Stamp) -> Option<Vec<Cause>> {
    if job.state() == State::Curing || !job.course.repairs.is_empty() || job.course.no_fault {
        return None;
    }
    let elapsed = job.course.clock.total(now).as_min();
    let mut causes = weighted(room, job);
    let mut total = 0.0;
    for cause in &mut causes {
        cause.condition(elapsed);
        total += cause.up_to * (1.0 - cause.worked);
        cause.up_to = total;
    }
    for cause in &mut causes {
        cause.up_to /= total;
    }
    Some(causes)
}

/// Minutes left when the repair is done: what comes after the glue, or the proof.
pub(crate) fn rest(job: &Job) -> f64 {
    let repaired: f64 = job.course.repairs.iter().map(|repair| repair.hands_on.as_min()).sum();
    if job.course.dry_at.is_some() {
        HALF_AROUND + (repaired - HALF_AROUND).max(0.0) * AFTER_GLUE / (1.0 - AFTER_GLUE)
    } else {
        HALF_AROUND
    }
}

/// Causes with their weights in `up_to`.
fn weighted(room: &Armoury, job: &Job) -> Vec<Cause> {
    let cause = |weight: f64, (mu, sigma): (f64, f64), curing: Option<u16>| Cause {
        up_to: weight,
        minutes: LogNormal { mu, sigma },
        worked: 0.0,
        curing: curing.map_or(0.0, f64::from),
        elapsed: 0.0,
    };
    let of_fault = |(fault, share): (&Fault, f64)| {
        let median = room.learned.median_min(fault.work, f64::from(fault.minutes.likely));
        cause(share, (median.ln(), fault.minutes_lognormal().1), fault.curing_min)
    };
    let mut causes: Vec<_> = mixture(job).into_iter().map(of_fault).collect();
    if is_found(job) {
        causes = causes.into_iter().reduce(Cause::and).into_iter().collect();
    } else {
        let sum: f64 = causes.iter().map(|cause| cause.up_to).sum();
        let nothing = sum * NOTHING_FOUND / (1.0 - NOTHING_FOUND);
        causes.push(cause(nothing.max(1e-9), (EXAMINED.0.ln(), EXAMINED.1), None));
    }
    causes
}

/// The standard normal distribution: Abramowitz and Stegun 7.1.26 for erf, within 1.5e-7 (from memory, held against
/// known values in the tests).
fn normal_cdf(z: f64) -> f64 {
    let x = z.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let poly = t
        * (0.254_829_592
            + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let erf = 1.0 - poly * (-x * x).exp();
    if z < 0.0 { 0.5 * (1.0 - erf) } else { 0.5 * (1.0 + erf) }
}

/// The inverse of the standard normal distribution: P. J. Acklam's rational approximation in the middle (relative error
/// below 1.2e-9; coefficients from memory, held against known values in the tests), Abramowitz and Stegun 26.2.23 in the
/// outer 2.4 % on either side (within 4.5e-4).
fn normal_quantile(p: f64) -> f64 {
    const A: [f64; 6] = [
        -39.696_830_286_653_76,
        220.946_098_424_520_5,
        -275.928_510_446_968_7,
        138.357_751_867_269,
        -30.664_798_066_147_16,
        2.506_628_277_459_239,
    ];
    const B: [f64; 6] = [
        -54.476_098_798_224_06,
        161.585_836_858_040_9,
        -155.698_979_859_886_6,
        66.801_311_887_719_72,
        -13.280_681_552_885_72,
        1.0,
    ];
    let q = p - 0.5;
    if q.abs() < 0.475_75 {
        let r = q * q;
        let value = |of: &[f64; 6]| of.iter().fold(0.0, |sum, coefficient| sum * r + coefficient);
        return q * value(&A) / value(&B);
    }
    let t = (-2.0 * p.min(1.0 - p).max(1e-6).ln()).sqrt();
    let above = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let below = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    (t - above / below).copysign(q)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Held against values of the standard normal distribution printed in every table (from memory).
    #[test]
    fn the_normal_distribution_is_that_of_the_tables() {
        for (z, p) in [(0.0, 0.5), (1.0, 0.841_345), (1.281_552, 0.9), (1.644_854, 0.95), (2.326_348, 0.99)] {
            assert!((normal_cdf(z) - p).abs() < 1e-6, "{z}");
            assert!((normal_cdf(-z) - (1.0 - p)).abs() < 1e-6, "{z}");
            assert!((normal_quantile(p) - z).abs() < 5e-4, "{p}");
            assert!((normal_quantile(1.0 - p) + z).abs() < 5e-4, "{p}");
        }
    }

    fn plain(curing: f64) -> Cause {
        Cause {
            up_to: 1.0,
            minutes: LogNormal { mu: f64::ln(6.0), sigma: 0.5 },
            worked: 0.0,
            curing,
            elapsed: 0.0,
        }
    }

    /// Worked by hand from the model.
    #[test]
    fn the_median_draw_is_the_median_repair_with_what_stands_around_it() {
        let left = plain(0.0).draw(0.5);
        assert!((left.head - 8.0).abs() < 1e-2 && left.tail.abs() < 1e-12, "{left:?}");
        let glued = plain(10.0).draw(0.5);
        assert!((glued.head - 6.0).abs() < 1e-2 && (glued.tail - 2.0).abs() < 1e-2, "{glued:?}");
        assert!((glued.curing - 10.0).abs() < 1e-12);
    }

    /// Worked by hand: the medians add up, the longer curing counts.
    #[test]
    fn two_faults_are_mended_one_after_the_other() {
        let both = plain(0.0).and(plain(10.0));
        assert!((both.minutes.mu.exp() - 12.0).abs() < 1e-9 && (both.curing - 10.0).abs() < 1e-12);
    }

    /// A law of conditioning: on the condition of more than e minutes, no draw is less, and what is left of a long
    /// job is not negative.
    #[test]
    fn what_was_worked_is_taken_as_known() {
        for elapsed in [0.0, 3.0, 8.0, 20.0, 500.0] {
            let mut cause = plain(0.0);
            cause.condition(elapsed);
            let draws: Vec<_> = (0..100).map(|i| cause.draw((f64::from(i) + 0.5) / 100.0).head).collect();
            assert!(draws.iter().all(|left| *left >= 0.1), "{elapsed}");
            assert!(draws.is_sorted(), "{elapsed}");
        }
        let mut cause = plain(0.0);
        cause.condition(8.0);
        let half_left = cause.draw(0.5).head;
        // Beyond the median: the 75 % point of the repair, 6 exp(0.5 · 0.6745), less the median.
        assert!((half_left - (6.0 * f64::exp(0.5 * 0.674_49) - 6.0)).abs() < 0.05, "{half_left}");
    }
}
