//! Prints how the advice on lasting repairs and stop-gaps does against always the one and always the other.
//!
//! `cargo run --release -p remise-tests --bin advice_scores -- [--jobs 10000] [--fails 2] [--takes 1.5] [--seed 7]`; it ends with
//! code 1 when the advice is worse than the better of the two somewhere by its 95 % interval, or not clearly better
//! all told. All jobs are invented; their minutes and rates are drawn from the estimates.

use std::process::ExitCode;

use clap::Parser;
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use remise_core::armoury::Need;
use remise_tests::stop_gaps::{Cell, Off, Played, Taken, mean};

#[derive(Parser)]
struct Options {
    /// Jobs at each need and time left.
    #[arg(long, default_value_t = 10_000)]
    jobs: usize,
    /// Repairs really fail at so many times the rate that is believed.
    #[arg(long, default_value_t = 1.0)]
    fails: f64,
    /// Repairs really take so many times the minutes that are believed.
    #[arg(long, default_value_t = 1.0)]
    takes: f64,
    /// Seed of the draws.
    #[arg(long, default_value_t = 7)]
    seed: u64,
}

/// Minutes left until it must be ready.
const LEFT_MIN: [u32; 17] = [2, 4, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 90];
const WAYS: [(&str, Taken); 3] = [
    ("always a stop-gap", |job| job.stop_gap),
    ("always lasting", |job| job.lasting),
    ("as advised", Played::advised),
];

fn main() -> ExitCode {
    let options = Options::parse();
    let off = Off { fails: options.fails, takes: options.takes };
    let mut rng = ChaCha8Rng::seed_from_u64(options.seed);
    let (mut all, mut worst) = (Cell { jobs: Vec::new() }, Vec::new());
    println!(
        "{:14} {:>8} {:>18} {:>15} {:>11} {:>24} {:>10}",
        "NEED",
        "LEFT MIN",
        "ALWAYS A STOP-GAP",
        "ALWAYS LASTING",
        "AS ADVISED",
        "AGAINST THE BETTER",
        "STOP-GAPS"
    );
    for need in Need::ALL {
        for left in LEFT_MIN {
            let cell = Cell::of(&mut rng, *need, f64::from(left), off, options.jobs);
            let (worse, half) = cell.worse();
            let [stop_gap, lasting, advised] = WAYS.map(|(_, way)| cell.cost(way).0);
            let stop_gaps = share(&cell, |job| job.for_stop_gap);
            let against = format!("{worse:+.2} ± {half:.2}");
            println!(
                "{:14} {left:>8} {stop_gap:>18.1} {lasting:>15.1} {advised:>11.1} {against:>24} {stop_gaps:>8.0} %",
                need.title()
            );
            if worse - half > 0.0 {
                worst.push(format!("{} with {left} min: {against}", need.title()));
            }
            all.jobs.extend(cell.jobs);
        }
    }
    report(&all, &worst)
}

fn share(cell: &Cell, of: impl Fn(&Played) -> bool) -> f64 {
    100.0 * cell.jobs.iter().filter(|job| of(job)).count() as f64 / cell.jobs.len() as f64
}

/// What it comes to all told, and where it was worse.
fn report(all: &Cell, worst: &[String]) -> ExitCode {
    println!("\nAll {} jobs, in weighted minutes a job", all.jobs.len());
    for (name, way) in WAYS {
        let late = mean(&all.jobs.iter().map(|job| way(job).late).collect::<Vec<_>>());
        let failed = share(all, |job| way(job).failed);
        let cost = all.cost(way);
        println!(
            "{name:18} {:7.2} ± {:.2}: late {:.2} ± {:.2}, failed again {failed:.1} %",
            cost.0, cost.1, late.0, late.1
        );
    }
    let mut clear = true;
    for (name, way) in &WAYS[..2] {
        let (more, half) = mean(&all.more_than(*way));
        println!("as advised against {name}: {more:+.2} ± {half:.2} (in pairs)");
        clear &= more + half < 0.0;
    }
    if worst.is_empty() {
        println!("Nowhere worse than the better of the two.");
    }
    for line in worst {
        println!("WORSE: {line}");
    }
    if worst.is_empty() && clear { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
