//! Plays the invented day of many seeds, in order and as a race, and fails when anything was lost or held twice, or when
//! a day did not end: `seeds --seeds 1..20`.

use std::process::ExitCode;

use anyhow::{Context as _, bail};
use remise_rehearsal::day::{DayOptions, invented_day};
use remise_rehearsal::play::{Scene, Settings, play};
use remise_rehearsal::report::{Figures, figures};
use tokio::sync::watch;

fn main() -> ExitCode {
    match run() {
        Ok(0) => ExitCode::SUCCESS,
        Ok(failed) => {
            eprintln!("{failed} days failed");
            ExitCode::FAILURE
        }
        Err(error) => {
            eprintln!("seeds: {error:#}");
            ExitCode::from(2)
        }
    }
}

fn run() -> anyhow::Result<u32> {
    let (first, last) = seeds(&std::env::args().collect::<Vec<_>>())?;
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    let mut failed = 0;
    for seed in first..=last {
        let once = runtime.block_on(one(seed, false))?;
        let again = runtime.block_on(one(seed, false))?;
        let race = runtime.block_on(one(seed, true))?;
        let same = once.journal_sha256 == again.journal_sha256;
        println!("{}", serde_json::to_string(&once)?);
        println!("{}", serde_json::to_string(&race)?);
        for (what, good) in [("in order", is_good(&once)), ("as a race", is_good(&race)), ("repeated", same)]
        {
            if !good {
                eprintln!("seed {seed}: failed {what}");
                failed += 1;
            }
        }
    }
    Ok(failed)
}

fn seeds(args: &[String]) -> anyhow::Result<(u64, u64)> {
    let [_, option, range] = args else { bail!("usage: seeds --seeds FIRST..LAST") };
    if option != "--seeds" {
        bail!("unknown option {option}; usage: seeds --seeds FIRST..LAST");
    }
    let (first, last) = range.split_once("..").context("a range is FIRST..LAST")?;
    Ok((first.parse()?, last.parse()?))
}

fn is_good(figures: &Figures) -> bool {
    figures.lost == 0 && figures.double_held == 0 && figures.open_at_end == 0
}

async fn one(seed: u64, race: bool) -> anyhow::Result<Figures> {
    let options = DayOptions { seed, ..DayOptions::default() };
    let day = invented_day(&options).map_err(|problems| anyhow::anyhow!("{problems:?}"))?;
    let (scenes, _) = watch::channel(Scene::default());
    let played = play(&day, Settings { seed, race, policy: None, server: None, scenes }).await?;
    let (figures, judged) = figures(seed, &played);
    for fault in &judged.faults {
        eprintln!("seed {seed}: {fault}");
    }
    Ok(figures)
}
