//! How long the guide takes, kind by kind: making the first one, when what the circuit shows is worked out, and another;
//! the next check at the start and after one, two and three findings; a whole table of symptoms. Wall times of this
//! machine and moment, in milliseconds.
//!
//! `cargo run --release -p remise-tests --bin bench_guide -- [CASES] [SEED]`; 400 cases a kind unless said otherwise.
//!
//! The findings of a case are drawn: mostly the check that the guide asked for with any of its results, now and then
//! another that the armourer did unasked: what the box shows on the strip, a reading in ohms.

use std::hint::black_box;
use std::time::Instant;

use anyhow::{Context as _, Result};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use remise_core::circuit::{
    Colour, Lamp, OhmClass, Seen, Sight, bench_actions, probes, strip_actions, symptoms, usual_weapon,
};
use remise_core::gear::{Complaint, ItemKind, Weapon};
use remise_core::guide::{Case, Check, Estimates, Finding, Found, Guide, Held, Looked, Manner, Next};

/// Findings after which the next check is asked for.
const FINDINGS: usize = 4;
/// A step is done so often and the least time counts: other programs share the machine.
const TIMES: usize = 9;
/// Guides and tables made of each kind.
const ROUNDS: usize = 31;

/// What is aimed at, in milliseconds: the slowest hundredth of the next checks, and a table.
const AIM_NEXT_MS: f64 = 1.0;
const AIM_TABLE_MS: f64 = 50.0;

const LAMPS: [Lamp; 3] = [Lamp::Off, Lamp::On, Lamp::Flicker];
const CLASSES: [OhmClass; 4] = [OhmClass::Low, OhmClass::High, OhmClass::Open, OhmClass::Jumps];
const COLOURS: [Colour; 3] = [Colour::Coloured, Colour::White, Colour::Yellow];

fn main() -> Result<()> {
    let mut args = std::env::args().skip(1);
    let cases: usize = args.next().map_or(Ok(400), |typed| typed.parse()).context("how many cases")?;
    let seed: u64 = args.next().map_or(Ok(1), |typed| typed.parse()).context("the seed")?;
    println!("{cases} cases a kind, seed {seed}; milliseconds, median and slowest hundredth");
    println!(
        "{:20}{:>10}{:>15}{:>15}{:>15}{:>15}{:>15}",
        "kind", "first made", "another", "next: start", "1 finding", "2 findings", "3 findings"
    );
    let mut slowest: f64 = 0.0;
    for kind in ItemKind::ALL {
        slowest = slowest.max(guide(kind, cases, seed)?);
    }
    println!("\nwhole table of symptoms; milliseconds, median and slowest hundredth");
    let mut slowest_table: f64 = 0.0;
    for kind in ItemKind::ALL {
        for weapon in Weapon::ALL.into_iter().filter(|weapon| kind.serves(*weapon)) {
            slowest_table = slowest_table.max(table(kind, weapon));
        }
    }
    println!();
    aim("next check, slowest hundredth of the slowest kind", slowest, AIM_NEXT_MS);
    aim("whole table of symptoms, slowest kind", slowest_table, AIM_TABLE_MS);
    Ok(())
}

fn aim(of: &str, is: f64, most: f64) {
    let met = if is < most { "met" } else { "missed" };
    println!("{of}: {is:.3} ms, aim under {most} ms, {met}");
}

/// Prints a kind's row; the slowest hundredth of its next checks.
fn guide(kind: ItemKind, cases: usize, seed: u64) -> Result<f64> {
    let make = || Guide::new(kind, usual_weapon(kind), Estimates::built_in());
    let (first_ms, guide) = once(make);
    let guide = guide.context("every kind is estimated")?;
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut next_ms: [Vec<f64>; FINDINGS] = std::array::from_fn(|_| Vec::new());
    let offered = Complaint::for_kind(kind);
    for number in 0..cases {
        let mut case = Case::new(offered[number % offered.len()]);
        for next_ms in &mut next_ms {
            let (ms, next) = timed(|| guide.next(&case, Manner::Quickest));
            next_ms.push(ms);
            let found = found(&guide, next.context("a kind has causes")?, &mut rng);
            case.findings.push(Finding { found, sure: rng.random_bool(0.9) });
        }
    }
    let mut made: Vec<f64> = (0..ROUNDS).map(|_| timed(make).0).collect();
    print!("{:20}{first_ms:10.3}{}", kind.code(), pair(&mut made).1);
    let mut slowest: f64 = 0.0;
    for mut step in next_ms {
        let (hundredth, text) = pair(&mut step);
        slowest = slowest.max(hundredth);
        print!("{text}");
    }
    println!();
    Ok(slowest)
}

/// What the armourer finds: nine times in ten what the guide asked for, else anything that may be seen.
fn found(guide: &Guide, next: Next, rng: &mut ChaCha8Rng) -> Found {
    if rng.random_bool(0.1)
        && let Some(unasked) = unasked(guide, rng)
    {
        return unasked;
    }
    match next.check {
        Check::Look(cause) => {
            let looked = [Looked::Absent, Looked::Absent, Looked::Mended, Looked::Unsure];
            Found::Looked { fault: cause.fault, looked: one(&looked, rng) }
        }
        Check::Stir(_) if rng.random_bool(0.1) => Found::SawNothingSure { check: next.code },
        Check::Stir(stir) => {
            let (sight, place) = match stir.held {
                Held::Lamp => (Sight::TestLamp(one(&LAMPS, rng)), None),
                Held::Meter(place) => (Sight::Ohm(one(&CLASSES, rng)), place),
            };
            Found::Saw { seen: Seen { action: stir.action, sight }, place }
        }
    }
}

/// What the box shows on the strip, or a value at one of the places of the bench.
fn unasked(guide: &Guide, rng: &mut ChaCha8Rng) -> Option<Found> {
    let strip = strip_actions(guide.kind, guide.weapon);
    let places = probes(guide.kind, guide.weapon);
    if places.is_empty() || rng.random_bool(0.5) {
        if strip.is_empty() {
            return None;
        }
        let sight = Sight::Apparatus(vec![(one(&COLOURS, rng), one(&LAMPS[1..], rng))]);
        return Some(Found::Saw { seen: Seen { action: one(strip, rng), sight }, place: None });
    }
    let action = one(bench_actions(guide.kind), rng);
    let sight = Sight::Value(rng.random_range(0.1..5.0));
    Some(Found::Saw { seen: Seen { action, sight }, place: Some(one(places, rng).code) })
}

fn one<T: Copy>(of: &[T], rng: &mut ChaCha8Rng) -> T {
    of[rng.random_range(0..of.len())]
}

/// Prints how long the table of a kind takes; the slowest hundredth.
fn table(kind: ItemKind, weapon: Weapon) -> f64 {
    let mut times: Vec<f64> = (0..ROUNDS).map(|_| timed(|| symptoms(kind, weapon)).0).collect();
    let rows = symptoms(kind, weapon).len();
    let (hundredth, text) = pair(&mut times);
    let weapon = format!("{weapon:?}").to_lowercase();
    println!("{:22}{weapon:8}{rows:6} rows{text}", kind.code());
    hundredth
}

/// The slowest hundredth, and text of median and slowest hundredth.
fn pair(times: &mut [f64]) -> (f64, String) {
    times.sort_by(f64::total_cmp);
    let at = |share: f64| times[((times.len() - 1) as f64 * share).ceil() as usize];
    (at(0.99), format!("{:8.3}{:7.3}", at(0.5), at(0.99)))
}

/// Milliseconds that it took.
fn once<T>(work: impl Fn() -> T) -> (f64, T) {
    let from = Instant::now();
    let done = black_box(work());
    (from.elapsed().as_secs_f64() * 1000.0, done)
}

/// Milliseconds that it took at the least.
fn timed<T>(work: impl Fn() -> T) -> (f64, T) {
    let (mut least, done) = once(&work);
    for _ in 1..TIMES {
        least = least.min(once(&work).0);
    }
    (least, done)
}
