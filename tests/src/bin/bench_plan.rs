//! How long replanning takes, how it grows, and what more time gains: prints a table for made rooms of several sizes.
//! Times are wall times of this machine and moment; compare them within one run.

use std::time::{Duration, Instant};

use anyhow::Result;
use hdrhistogram::Histogram;
use remise_core::plan::problem::Objective;
use remise_core::plan::search::{Outcome, improve, repair};
use remise_core::plan::{LanePlanner, Planner as _};
use remise_core::promise::draws::{DRAWS, draw};
use remise_core::time::Stamp;
use remise_tests::bench::room;
use remise_tests::made_lanes::Room;

/// Open jobs and benches. The last one has ten times the first one's jobs at the same load per bench.
const ROOMS: [(usize, usize); 4] = [(200, 12), (600, 36), (2_000, 40), (2_000, 120)];

/// Events in each room.
const EVENTS: u64 = 300;

/// What more time is given.
const MORE: Duration = Duration::from_millis(100);

/// Evaluations between two looks at the clock.
const SLICE: u64 = 20_000;

fn main() -> Result<()> {
    println!("repair after each of {EVENTS} events (one job finished, one new), microseconds");
    println!("  jobs  benches       p50       p99       max   evaluations p50/(n ln n)");
    let mut gains = Vec::new();
    for (jobs, benches) in ROOMS {
        let mut room = Room::new(jobs, benches, 1);
        let plan = repairs(&mut room, jobs, benches)?;
        gains.push((jobs, benches, gain(&room, plan)));
    }
    println!("\nwhat {} ms more of improvement gain over the repaired plan", MORE.as_millis());
    println!("  jobs  benches     repaired     improved     gain   evaluations");
    for (jobs, benches, (before, after, looks)) in gains {
        let share = 100.0 * (1.0 - after.cost as f64 / (before.cost as f64).max(1.0));
        println!("{jobs:>6} {benches:>8} {:>12} {:>12} {share:>7.1}% {looks:>13}", before.cost, after.cost);
    }
    drawing()
}

/// Open jobs, benches and draws for which promises are drawn.
const DRAWN: [(usize, u16, usize); 4] =
    [(200, 12, 1_000), (500, 12, DRAWS), (500, 64, DRAWS), (2_000, 40, DRAWS)];

/// How long the draws of one plan take.
fn drawing() -> Result<()> {
    let rounds = 9;
    println!("\npromises drawn through one plan, median of {rounds}, milliseconds");
    println!("  jobs  benches    draws        ms   us per job");
    for (jobs, benches, draws) in DRAWN {
        let now = Stamp(1_780_000_000_000_000);
        let armoury = room::open(jobs, benches, now)?;
        let plan = LanePlanner::default().repair(&armoury, now);
        let mut times = Vec::new();
        for _ in 0..rounds {
            let from = Instant::now();
            std::hint::black_box(draw(&armoury, &plan, now, draws));
            times.push(from.elapsed());
        }
        times.sort_unstable();
        let median = times[rounds / 2].as_secs_f64() * 1e3;
        println!("{jobs:>6} {benches:>8} {draws:>8} {median:>9.2} {:>12.2}", median * 1e3 / jobs as f64);
    }
    Ok(())
}

/// Repairs after each event, and prints how long that took.
fn repairs(room: &mut Room, jobs: usize, benches: usize) -> Result<Outcome> {
    let mut plan = repair(&room.problem, &[]);
    let mut times: Histogram<u64> = Histogram::new(3)?;
    let mut looks = 0;
    for _ in 0..EVENTS {
        let rows = room.step(&plan.schedule);
        let from = Instant::now();
        plan = repair(&room.problem, &rows);
        times.record(from.elapsed().as_nanos() as u64)?;
        looks += plan.evaluations;
    }
    let at = |quantile: f64| times.value_at_quantile(quantile) as f64 / 1000.0;
    let share = at(0.5) / (jobs as f64 * (jobs as f64).ln());
    let (p50, p99, max, looks) = (at(0.5), at(0.99), at(1.0), looks / EVENTS);
    println!("{jobs:>6} {benches:>8} {p50:>9.0} {p99:>9.0} {max:>9.0} {looks:>13} {share:>12.4}");
    Ok(plan)
}

/// Objective before and after, and the evaluations that fitted in.
fn gain(room: &Room, plan: Outcome) -> (Objective, Objective, u64) {
    let (before, from) = (plan.objective, Instant::now());
    let (mut best, mut looks) = (plan, 0);
    for seed in 1.. {
        best = improve(&room.problem, &best.schedule, SLICE, seed);
        looks += best.evaluations;
        if from.elapsed() >= MORE {
            break;
        }
    }
    (before, best.objective, looks)
}
