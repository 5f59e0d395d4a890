//! The advice on lasting repairs and stop-gaps played out: jobs with minutes, failures and rates drawn, the armourer doing
//! always the one, always the other, or what is advised. The cost is what it is in `remise_core::lasting`: weighted
//! lateness and repeat failures.

use rand::RngExt as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, Exp1, Gamma, LogNormal};
use remise_core::armoury::Need;
use remise_core::lasting::{Circumstances, Estimates, Hazard, Returns, TwoWays, Way, weigh};

/// How the world is off from what is believed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off {
    /// Repairs fail at so many times the rate.
    pub fails: f64,
    /// Repairs take so many times the minutes.
    pub takes: f64,
}

impl Off {
    /// The world is as believed.
    pub const NONE: Self = Self { fails: 1.0, takes: 1.0 };
}

/// What one way came to in one job.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Came {
    /// Late minutes, weighted by need.
    pub late: f64,
    /// It failed again while the fencer still needed it.
    pub failed: bool,
    /// Weighted minutes that the failure cost.
    pub again: f64,
}

impl Came {
    /// All told, in weighted late minutes.
    pub fn cost(self) -> f64 {
        self.late + self.again
    }
}

/// What became of one job each way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Played {
    /// With the stop-gap.
    pub stop_gap: Came,
    /// With what lasts.
    pub lasting: Came,
    /// Whether the stop-gap was advised.
    pub for_stop_gap: bool,
}

/// What came of one way of deciding.
pub type Taken = fn(&Played) -> Came;

impl Played {
    /// With what was advised.
    pub fn advised(&self) -> Came {
        if self.for_stop_gap { self.stop_gap } else { self.lasting }
    }
}

/// Plays one job: any fault that has both ways, half of the items with stop-gaps before, up to eight hours to fence.
/// Both ways get their draws from the same stream, so that the ways of a job can be compared in pairs.
pub fn play(rng: &mut ChaCha8Rng, need: Need, left_min: f64, off: Off) -> Played {
    let estimates = Estimates::built_in();
    let ways = &estimates.faults[rng.random_range(0..estimates.faults.len())];
    let rate = off.fails * rate(rng, ways.holds_h, estimates);
    let now = Circumstances {
        need,
        left_min,
        to_fence_h: rng.random_range(0.2..8.0),
        stop_gaps: before(rng, rate),
    };
    let for_stop_gap = weigh(estimates, ways.fault, &now).is_some_and(|weighed| weighed.for_stop_gap());
    let lasting_rate = rate_of_lasting(rng, estimates);
    let again_min =
        off.takes * minutes(rng, &ways.lasting) + f64::from(ways.lasting.curing_min) + estimates.again_min;
    let mut came = |way: &Way, rate: f64| {
        let ready = off.takes * minutes(rng, way) + f64::from(way.curing_min);
        let stood: f64 = Exp1.sample(rng);
        let weight = f64::from(need.weight());
        let failed = stood / rate < now.to_fence_h;
        let again = if failed { weight * again_min } else { 0.0 };
        Came { late: weight * (ready - left_min).max(0.0), failed, again }
    };
    let TwoWays { stop_gap, lasting, .. } = ways;
    Played { stop_gap: came(stop_gap, rate), lasting: came(lasting, lasting_rate), for_stop_gap }
}

/// A rate of failing, for each hour of fencing, as the belief draws it.
fn rate(rng: &mut ChaCha8Rng, holds_h: f64, estimates: &Estimates) -> f64 {
    let (shape, hours) = Hazard::prior(holds_h, estimates.worth_failures).parameters();
    Gamma::new(shape, 1.0 / hours).map_or(0.0, |rates| rates.sample(rng))
}

fn rate_of_lasting(rng: &mut ChaCha8Rng, estimates: &Estimates) -> f64 {
    rate(rng, estimates.lasting_holds_h, estimates)
}

/// What was seen of this item before: of half of them nothing, of the others one to three stop-gaps that failed at the
/// item's own rate or were not needed any more after some hours.
fn before(rng: &mut ChaCha8Rng, rate: f64) -> Returns {
    let mut seen = Returns::default();
    if rng.random_bool(0.5) {
        for _ in 0..rng.random_range(1..=3) {
            let needed: f64 = rng.random_range(0.5..6.0);
            let stood: f64 = Exp1.sample(rng);
            seen.failures += u32::from(stood / rate < needed);
            seen.hours += needed.min(stood / rate);
        }
    }
    seen
}

fn minutes(rng: &mut ChaCha8Rng, way: &Way) -> f64 {
    let spread = way.spread();
    let normal = LogNormal::new(spread.likely_min.ln(), spread.sigma_ln);
    normal.map_or(spread.likely_min, |minutes| minutes.sample(rng))
}

/// Mean and half of its 95 % interval.
pub fn mean(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean, 1.96 * (variance / n).sqrt())
}

/// Jobs of one need with one time left.
#[derive(Clone, Debug)]
pub struct Cell {
    /// The jobs.
    pub jobs: Vec<Played>,
}

impl Cell {
    /// Plays it.
    pub fn of(rng: &mut ChaCha8Rng, need: Need, left_min: f64, off: Off, jobs: usize) -> Self {
        Self { jobs: (0..jobs).map(|_| play(rng, need, left_min, off)).collect() }
    }

    /// Mean cost of a way and half of its 95 % interval.
    pub fn cost(&self, way: Taken) -> (f64, f64) {
        mean(&self.jobs.iter().map(|job| way(job).cost()).collect::<Vec<_>>())
    }

    /// What the advice costs more than a way, job by job; below 0 where it costs less.
    pub fn more_than(&self, way: Taken) -> Vec<f64> {
        self.jobs.iter().map(|job| job.advised().cost() - way(job).cost()).collect()
    }

    /// The way that was better here when it was always done.
    pub fn better(&self) -> Taken {
        let (stop_gap, lasting): (Taken, Taken) = (|job| job.stop_gap, |job| job.lasting);
        if self.cost(stop_gap).0 < self.cost(lasting).0 { stop_gap } else { lasting }
    }

    /// What the advice costs more than the better of the two, in the mean of the pairs, and half of its 95 % interval.
    pub fn worse(&self) -> (f64, f64) {
        mean(&self.more_than(self.better()))
    }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng as _;

    use super::*;

    /// 500 jobs at each of 20 times from 2 to 90 minutes, at every need. The `advice_scores` binary plays 10,000.
    #[test]
    fn the_advice_is_nowhere_worse_than_the_better_of_always_one_way() {
        let mut rng = ChaCha8Rng::seed_from_u64(7);
        let (mut stop_gap, mut lasting) = (Vec::new(), Vec::new());
        for need in Need::ALL {
            for step in 0..20 {
                let left = 2.0 + 88.0 * f64::from(step) / 19.0;
                let cell = Cell::of(&mut rng, *need, left, Off::NONE, 500);
                let (worse, half) = cell.worse();
                assert!(worse - half <= 0.0, "{need:?} with {left:.0} min: worse by {worse:.2} ± {half:.2}");
                stop_gap.extend(cell.more_than(|job| job.stop_gap));
                lasting.extend(cell.more_than(|job| job.lasting));
            }
        }
        for (less, half) in [mean(&stop_gap), mean(&lasting)] {
            assert!(less + half < 0.0, "clearly better all told: {less:.2} ± {half:.2}");
        }
    }

    /// Also where stop-gaps really hold half or twice as long as believed, or all work takes half as long again, it is
    /// better than always the same.
    #[test]
    fn a_wrong_belief_still_helps() {
        for off in [
            Off { fails: 0.5, ..Off::NONE },
            Off { fails: 2.0, ..Off::NONE },
            Off { takes: 1.5, ..Off::NONE },
        ] {
            let mut rng = ChaCha8Rng::seed_from_u64(11);
            let left = |n: usize| 2.0 + (n * 7 % 89) as f64;
            let need = |n: usize| Need::ALL[n % Need::ALL.len()];
            let jobs = (0..10_000).map(|n| play(&mut rng, need(n), left(n), off)).collect();
            let cell = Cell { jobs };
            for way in [(|job| job.stop_gap) as Taken, |job| job.lasting] {
                let (more, half) = mean(&cell.more_than(way));
                assert!(more + half < 0.0, "{off:?}: {more:.2} ± {half:.2}");
            }
        }
    }

    /// An item whose stop-gaps failed is advised what lasts more often than one whose stop-gaps held.
    #[test]
    fn what_was_seen_of_an_item_is_worth_knowing() {
        let mut rng = ChaCha8Rng::seed_from_u64(3);
        let estimates = Estimates::built_in();
        let (mut knowing, mut blind) = (0.0, 0.0);
        for n in 0..20_000 {
            let ways = &estimates.faults[n % estimates.faults.len()];
            let rate = rate(&mut rng, ways.holds_h, estimates);
            let left_min = 2.0 + (n * 7 % 89) as f64;
            let mut now = Circumstances {
                need: Need::OneLeft,
                left_min,
                to_fence_h: rng.random_range(0.2..8.0),
                stop_gaps: before(&mut rng, rate),
            };
            // The expected cost under the item's own rate, so that only the choice differs.
            let cost = |now: &Circumstances| {
                let weighed = weigh(estimates, ways.fault, now);
                weighed.map_or(0.0, |weighed| {
                    let again = weighed.lasting.ready_min + estimates.again_min;
                    let fails = 1.0 - (-rate * now.to_fence_h).exp();
                    let weight = f64::from(now.need.weight());
                    let stop_gap = weight * (weighed.stop_gap.late_min + fails * again);
                    if weighed.for_stop_gap() { stop_gap } else { weighed.lasting.loss }
                })
            };
            knowing += cost(&now);
            now.stop_gaps = Returns::default();
            blind += cost(&now);
        }
        assert!(knowing < blind, "{knowing:.0} against {blind:.0}");
    }
}
