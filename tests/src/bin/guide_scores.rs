//! Prints how the guide does over sampled faults of every kind of item, how often its first three hold the true cause,
//! and how long its answers take.
//!
//! `cargo run --release -p remise-tests --bin guide_scores -- [FAULTS] [SEED]`; 2,000 faults a kind unless said otherwise.

use std::time::Instant;

use anyhow::Context as _;
use remise_core::circuit::{symptoms, usual_weapon};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::guide::{Case, Check, Estimates, Finding, Found, Guide, Looked, Manner};
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
    times()
}

/// How long a next check, a whole table of symptoms and making a guide take.
fn times() -> anyhow::Result<()> {
    let mut next_us = Vec::new();
    let (mut table_ms, mut made_ms) = ((0.0, ""), (0.0, ""));
    for kind in ItemKind::ALL {
        let (worst, _) = timed(|| symptoms(kind, usual_weapon(kind)));
        if worst > table_ms.0 {
            table_ms = (worst, kind.code());
        }
        let (made, guide) = timed(|| Guide::new(kind, usual_weapon(kind), Estimates::built_in()));
        let guide = guide.context("every kind is estimated")?;
        if made > made_ms.0 {
            made_ms = (made, kind.code());
        }
        for complaint in Complaint::for_kind(kind) {
            ask_all(&guide, Case::new(*complaint), &mut next_us)?;
        }
    }
    next_us.sort_by(f64::total_cmp);
    let at = |share: f64| next_us[((next_us.len() - 1) as f64 * share) as usize];
    println!(
        "next check, {} asked: median {:.0} us, 99 % {:.0} us, worst {:.0} us",
        next_us.len(),
        at(0.5),
        at(0.99),
        at(1.0)
    );
    println!(
        "table of symptoms: worst {:.1} ms ({}); making a guide: worst {:.1} ms ({})",
        table_ms.0, table_ms.1, made_ms.0, made_ms.1
    );
    Ok(())
}

/// Asks for the next check until twelve were done, every answer "nothing to tell" or "absent".
fn ask_all(guide: &Guide, mut case: Case, next_us: &mut Vec<f64>) -> anyhow::Result<()> {
    for _ in 0..12 {
        let (ms, next) = timed(|| guide.next(&case, Manner::Quickest));
        next_us.push(1000.0 * ms);
        let next = next.context("a kind has causes")?;
        let found = match next.check {
            Check::Stir(_) => Found::SawNothingSure { check: next.code },
            Check::Look(cause) => Found::Looked { fault: cause.fault, looked: Looked::Absent },
        };
        case.findings.push(Finding::sure(found));
    }
    Ok(())
}

/// Milliseconds that it took: the least of five, as other programs share the machine.
fn timed<T>(work: impl Fn() -> T) -> (f64, T) {
    let once = || {
        let from = Instant::now();
        let done = work();
        (from.elapsed().as_secs_f64() * 1000.0, done)
    };
    let (mut least, done) = once();
    for _ in 0..4 {
        least = least.min(once().0);
    }
    (least, done)
}
