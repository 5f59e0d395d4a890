//! The advice played out: jobs with minutes, failures and rates drawn, the armourer doing always the one, always the
//! other, or what is advised. The cost is what it is in the module: weighted lateness and repeat failures.
#![allow(clippy::unwrap_used)]

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, Exp1, Gamma, LogNormal};

use super::*;

/// What each way would have cost in one job, in weighted late minutes.
struct Played {
    stop_gap: f64,
    lasting: f64,
    advised: f64,
}

/// One job. The true rates are `off` times what is drawn from the belief.
fn play(rng: &mut ChaCha8Rng, need: Need, left_min: f64, off: f64) -> Played {
    let estimates = Estimates::built_in();
    let ways = &estimates.faults[rng.random_range(0..estimates.faults.len())];
    let now = Circumstances {
        need,
        left_min,
        to_fence_h: rng.random_range(0.2..8.0),
        stop_gaps: Returns::default(),
    };
    let took = |rng: &mut ChaCha8Rng, way: &Way| {
        let (mu, sigma) = log_normal(way.minutes);
        LogNormal::new(mu, sigma).unwrap().sample(rng) + f64::from(way.curing_min)
    };
    let again = took(rng, &ways.lasting) + estimates.again_min;
    let mut cost = |way: &Way, holds_h: f64, off: f64| {
        let (shape, hours) = Hazard::prior(holds_h, estimates.worth_failures).parameters();
        let rate = off * Gamma::new(shape, 1.0 / hours).unwrap().sample(rng);
        let stood: f64 = Exp1.sample(rng);
        let fails = stood / rate < now.to_fence_h;
        let late = (took(rng, way) - left_min).max(0.0);
        f64::from(need.weight()) * (late + if fails { again } else { 0.0 })
    };
    let stop_gap = cost(&ways.stop_gap, ways.holds_h, off);
    let lasting = cost(&ways.lasting, estimates.lasting_holds_h, 1.0);
    let advised = weigh(estimates, ways.fault, &now).unwrap().for_stop_gap();
    Played { stop_gap, lasting, advised: if advised { stop_gap } else { lasting } }
}

/// Mean and half of the 95 % interval.
fn mean(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean, 1.96 * (variance / n).sqrt())
}

/// 10,000 jobs at every need, from 2 to 90 minutes left, 500 at each time; the true rates of failing as believed.
#[test]
fn the_advice_is_nowhere_worse_than_the_better_of_always_one_way() {
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    let (mut against_stop_gap, mut against_lasting) = (Vec::new(), Vec::new());
    for need in Need::ALL {
        for step in 0..20 {
            let left = 2.0 + 88.0 * f64::from(step) / 19.0;
            let jobs: Vec<Played> = (0..500).map(|_| play(&mut rng, *need, left, 1.0)).collect();
            let sum = |of: fn(&Played) -> f64| jobs.iter().map(of).sum::<f64>();
            let better: fn(&Played) -> f64 = if sum(|job| job.stop_gap) < sum(|job| job.lasting) {
                |job| job.stop_gap
            } else {
                |job| job.lasting
            };
            let more: Vec<f64> = jobs.iter().map(|job| job.advised - better(job)).collect();
            let (worse, half) = mean(&more);
            assert!(worse - half <= 0.0, "{need:?} with {left:.0} min: worse by {worse:.2} ± {half:.2}");
            against_stop_gap.extend(jobs.iter().map(|job| job.advised - job.stop_gap));
            against_lasting.extend(jobs.iter().map(|job| job.advised - job.lasting));
        }
    }
    for (less, half) in [mean(&against_stop_gap), mean(&against_lasting)] {
        assert!(less + half < 0.0, "clearly better all told: {less:.2} ± {half:.2}");
    }
}

/// Also where stop-gaps really hold half or twice as long as believed it is better than always the same.
#[test]
fn a_wrong_belief_by_a_factor_of_two_still_helps() {
    for off in [0.5, 2.0] {
        let mut rng = ChaCha8Rng::seed_from_u64(11);
        let jobs: Vec<Played> =
            (0..10_000).map(|n| play(&mut rng, Need::ALL[n % Need::ALL.len()], rng_left(n), off)).collect();
        let sum = |of: fn(&Played) -> f64| jobs.iter().map(of).sum::<f64>();
        let advised = sum(|job| job.advised);
        assert!(advised < sum(|job| job.stop_gap) && advised < sum(|job| job.lasting), "{off}");
    }
}

/// From 2 to 90 minutes, in turn.
fn rng_left(n: usize) -> f64 {
    2.0 + (n * 7 % 89) as f64
}
