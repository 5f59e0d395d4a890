//! How late things are under each rule for the lanes, on the same invented days: `policies --seeds 1..40`. At three loads
//! of the busiest two hours, the mean weighted lateness of the usual plan and of every rule, and the difference paired by
//! day, with 95 % intervals over the days. `plenty` is the usual plan with so many benches that nothing waits for one:
//! what is late there is late whatever the plan. Prints one JSON object a line.

use anyhow::Context as _;
use remise_rehearsal::day::DayOptions;
use remise_rehearsal::play::Policy;
use remise_rehearsal::pool::Mean;
use remise_tests::days::{Twist, play, seeds};
use serde::Serialize;

const LOADS: [f64; 3] = [0.7, 0.85, 0.95];
/// Benches beside which nothing waits.
const PLENTY: u16 = 20;

#[derive(Clone, Debug, Serialize)]
struct Line {
    load: f64,
    rule: &'static str,
    days: usize,
    /// Mean weighted lateness of the rule, minutes.
    lateness_min: Option<Mean>,
    /// The usual plan's lateness less the rule's, minutes, day by day: negative when the usual plan is better.
    usual_less_rule_min: Option<Mean>,
    /// The same as a share of the rule's mean lateness, which is taken as known.
    usual_less_rule_share: Option<Mean>,
}

fn main() -> anyhow::Result<()> {
    let seeds = seeds()?;
    for load in LOADS {
        let usual = lateness(&seeds, load, None, None)?;
        tell(load, "usual", &usual, &usual)?;
        for policy in Policy::ALL.iter().filter(|policy| **policy != Policy::Lanes) {
            let rule = lateness(&seeds, load, Some(*policy), None)?;
            tell(load, policy.name(), &usual, &rule)?;
        }
        let plenty = lateness(&seeds, load, None, Some(PLENTY))?;
        tell(load, "plenty", &usual, &plenty)?;
    }
    Ok(())
}

/// Mean weighted lateness of each day.
fn lateness(
    seeds: &[u64],
    load: f64,
    policy: Option<Policy>,
    benches: Option<u16>,
) -> anyhow::Result<Vec<f64>> {
    let options = DayOptions { load, ..DayOptions::default() };
    let twist = Twist { options, policy, benches, ..Twist::default() };
    let days = play(seeds, &twist)?;
    days.iter()
        .map(|day| day.figures.weighted_lateness_min.context("a day on which nothing was wanted by a time"))
        .collect()
}

fn tell(load: f64, rule: &'static str, usual: &[f64], own: &[f64]) -> anyhow::Result<()> {
    let lateness_min = Mean::of(own);
    let usual_less_rule_min = Mean::of_differences(own, usual);
    let base = lateness_min.map(|lateness| lateness.mean).filter(|lateness| *lateness > 0.0);
    let usual_less_rule_share = base.and_then(|base| Some(usual_less_rule_min?.times(1.0 / base)));
    let days = own.len();
    let line = Line { load, rule, days, lateness_min, usual_less_rule_min, usual_less_rule_share };
    println!("{}", serde_json::to_string(&line)?);
    Ok(())
}
