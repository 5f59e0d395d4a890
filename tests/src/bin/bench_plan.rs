//! How long replanning takes, how it grows, and what more time gains: prints a table for made rooms of several sizes.
//! Times are wall times of this machine and moment; compare them within one run.

use std::time::{Duration, Instant};

use anyhow::Result;
use hdrhistogram::Histogram;
use remise_core::plan::problem::Objective;
use remise_core::plan::search::{improve, repair};
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
    println!(
        "{:>6} {:>8} {:>9} {:>9} {:>9} {:>13} {:>12}",
        "jobs", "benches", "p50", "p99", "max", "evaluations", "p50/(n ln n)"
    );
    let mut gains = Vec::new();
    for (jobs, benches) in ROOMS {
        let mut room = Room::new(jobs, benches, 1);
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
        let us = |nanoseconds: u64| nanoseconds as f64 / 1000.0;
        let (p50, size) = (us(times.value_at_quantile(0.5)), jobs as f64);
        println!(
            "{jobs:>6} {benches:>8} {p50:>9.0} {:>9.0} {:>9.0} {:>13} {:>12.4}",
            us(times.value_at_quantile(0.99)),
            us(times.max()),
            looks / EVENTS,
            p50 / (size * size.ln()),
        );
        gains.push((jobs, benches, gain(&room, plan)));
    }
    println!("\nwhat {} ms more of improvement gain over the repaired plan", MORE.as_millis());
    println!(
        "{:>6} {:>8} {:>12} {:>12} {:>8} {:>13}",
        "jobs", "benches", "repaired", "improved", "gain", "evaluations"
    );
    for (jobs, benches, (before, after, looks)) in gains {
        let share = 100.0 * (1.0 - after.cost as f64 / (before.cost as f64).max(1.0));
        println!("{jobs:>6} {benches:>8} {:>12} {:>12} {share:>7.1}% {looks:>13}", before.cost, after.cost);
    }
    Ok(())
}

/// Objective before and after, and the evaluations that fitted in.
fn gain(room: &Room, plan: remise_core::plan::search::Outcome) -> (Objective, Objective, u64) {
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
