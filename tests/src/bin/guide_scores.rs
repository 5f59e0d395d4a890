//! Prints how the guide does over sampled faults of every kind of item, and how often its first three hold the true
//! cause. How long its answers take: `bench_guide`.
//!
//! `cargo run --release -p remise-tests --bin guide_scores -- [FAULTS] [SEED]`; 2,000 faults a kind unless said otherwise.

use anyhow::Context as _;
use remise_core::gear::ItemKind;
use remise_tests::guided::World;

fn main() -> anyhow::Result<()> {
    let mut args = std::env::args().skip(1);
    let faults: usize = args.next().map_or(Ok(2000), |typed| typed.parse()).context("how many faults")?;
    let seed: u64 = args.next().map_or(Ok(1), |typed| typed.parse()).context("the seed")?;
    println!("{faults} faults a kind, seed {seed}; true shares from half to twice the estimates'");
    println!(
        "{:18}{:>8}{:>8}{:>8}   first three before any check      first three after three checks",
        "kind", "guide", "walk", "share"
    );
    println!(
        "{:18}{:>8}{:>8}{:>8}   {:>7}{:>9}{:>9}{:>8}   {:>5}{:>9}{:>9}{:>8}",
        "", "min", "min", "", "guide", "knows", "knows", "ratio", "guide", "knows", "knows", "ratio"
    );
    println!(
        "{:42}   {:>7}{:>9}{:>9}{:>8}   {:>5}{:>9}{:>9}",
        "", "", "prior", "truth", "", "", "prior", "truth"
    );
    for kind in ItemKind::ALL {
        let scores = World::new(kind).scores(faults, seed);
        print!(
            "{:18}{:8.2}{:8.2}{:7.1}%",
            kind.code(),
            scores.guide_min,
            scores.walk_min,
            100.0 * scores.minutes_share()
        );
        for [guide, prior, truth] in scores.first_three {
            print!(
                "   {:6.1}%{:8.1}%{:8.1}%{:7.1}%",
                100.0 * guide,
                100.0 * prior,
                100.0 * truth,
                100.0 * guide / prior
            );
        }
        println!();
    }
    Ok(())
}
