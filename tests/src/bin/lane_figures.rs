//! Plays the same invented days with several planners and prints what comes of it: on time, weighted lateness, calm, and
//! how long plans took: `lane_figures FIRST..LAST [LOAD [PLANNER [MOST]]]`. The days are invented; figures compare planners, no
//! more. With `MOST` it fails when the benches' next jobs change more often than that in 100 takes.

use anyhow::{Context as _, Result, ensure};
use remise_core::plan::construct::Rule;
use remise_core::plan::{LanePlanner, Planner, RulePlanner, UrgencyPlanner};
use remise_rehearsal::day::{DayOptions, invented_day};
use remise_rehearsal::play::{Scene, Settings, play_with};
use remise_rehearsal::report::figures;
use remise_tests::calm::{Calm, Watched};
use tokio::sync::watch;

/// A planner's name, and how it is made.
type Named = (&'static str, fn() -> Box<dyn Planner>);

/// Planners by name.
const PLANNERS: [Named; 4] = [
    ("search", || Box::new(LanePlanner::default())),
    ("urgency", || Box::new(UrgencyPlanner)),
    ("edd", || Box::new(RulePlanner(Rule::Edd))),
    ("fifo", || Box::new(RulePlanner(Rule::Fifo))),
];

fn main() -> Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let range = args.first().context("usage: lane_figures FIRST..LAST [LOAD [PLANNER [MOST]]]")?;
    let (first, last) = range.split_once("..").context("a range is FIRST..LAST")?;
    let (first, last): (u64, u64) = (first.parse()?, last.parse()?);
    let load = args.get(1).map_or(Ok(DayOptions::default().load), |load| load.parse())?;
    let only = args.get(2);
    let most: Option<f64> = args.get(3).map(|most| most.parse()).transpose()?;
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    println!("planner   seed  jobs on time  lateness  changes unprompted  plans  p99 ms  wall s");
    for (name, planner) in PLANNERS.iter().filter(|(name, _)| only.is_none_or(|only| only == name)) {
        let mut sum = (0.0, 0.0, Calm::default());
        for seed in first..=last {
            let (share, late, calm) = runtime.block_on(one(name, planner(), seed, load))?;
            sum = (sum.0 + share, sum.1 + late, sum.2.with(calm));
        }
        let days = (last + 1 - first) as f64;
        let (share, late) = (100.0 * sum.0 / days, sum.1 / days);
        println!(
            "{name:<9} mean       {share:>6.1} % {late:>9.3} {:>8.1} {:>10.1}\n",
            sum.2.per_100_takes(sum.2.changes),
            sum.2.per_100_takes(sum.2.unprompted)
        );
        let changes = sum.2.per_100_takes(sum.2.changes);
        ensure!(
            most.is_none_or(|most| changes <= most),
            "{name} changes a bench's next {changes:.1} times in 100 takes; {most:?} are allowed"
        );
    }
    Ok(())
}

async fn one(name: &str, planner: Box<dyn Planner>, seed: u64, load: f64) -> Result<(f64, f64, Calm)> {
    let (watched, count) = Watched::new(planner);
    let day = invented_day(&DayOptions { seed, load, ..DayOptions::default() })
        .map_err(|problems| anyhow::anyhow!("{problems:?}"))?;
    let (scenes, _) = watch::channel(Scene::default());
    let settings = Settings { seed, race: false, policy: None, server: None, scenes };
    let played = play_with(&day, settings, Some(Box::new(watched))).await?;
    let (got, _) = figures(seed, &played);
    let calm = *count.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let share = got.on_time_share.unwrap_or(0.0);
    let late = got.weighted_lateness_min.unwrap_or(0.0);
    println!(
        "{name:<9} {seed:>4} {:>5} {:>6.1} % {late:>9.3} {:>8.1} {:>10.1} {:>6} {:>7.2} {:>7.2}",
        got.jobs,
        100.0 * share,
        calm.per_100_takes(calm.changes),
        calm.per_100_takes(calm.unprompted),
        calm.plans,
        got.plan_ms_p99.unwrap_or(0.0),
        got.wall_s
    );
    Ok((share, late, calm))
}
