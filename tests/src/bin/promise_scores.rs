//! Plays days and prints how the first promises were kept, by need, and where the ends lay on the raw scale: the figures
//! that `server/core/src/promise/start.rs` starts from.
//!
//! `cargo run --release -p remise-tests --bin promise_scores -- [--dump FOLDER] SEED…`; tune on seeds from 101 on and never on 1 to 40, which
//! are for measuring. All people and numbers of a day are invented.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

use anyhow::{Context, anyhow};
use clap::Parser;
use remise_checker::Row;
use remise_core::armoury::record::from_json;
use remise_core::armoury::{Armoury, Event, Need, Recorded};
use remise_core::ids::{JobId, Seq};
use remise_core::plan::{Planner as _, UrgencyPlanner};
use remise_core::promise::{Raw, quote};
use remise_core::time::{Span, Stamp};
use remise_rehearsal::day::{DayOptions, Labour, invented_day};
use remise_rehearsal::play::{Scene, Settings, play};
use tokio::sync::watch;

#[derive(Parser)]
struct Options {
    /// Writes each day's journal there as text, a row a line.
    #[arg(long)]
    dump: Option<PathBuf>,
    /// Bench minutes demanded per bench minute open in the busiest two hours.
    #[arg(long, default_value_t = 0.85)]
    load: f64,
    /// Repairs really take so many times what the fault table says.
    #[arg(long, default_value_t = 1.0)]
    slow: f64,
    /// Seeds of the days.
    seeds: Vec<u64>,
}

/// A first promise and what became of it.
struct First {
    need: Need,
    likely: Stamp,
    safe: Stamp,
    raw: Raw,
    ended: Option<Stamp>,
    /// Jobs that had ended when it was said.
    after: usize,
    /// Minutes from likely to safe when its fault had just been found, as a plan made then would say.
    known_width: Option<f64>,
}

#[tokio::main]
async fn main() -> anyhow::Result<()> {
    let options = Options::parse();
    let mut all = Vec::new();
    for seed in &options.seeds {
        let rows = day(*seed, &options).await?;
        if let Some(folder) = &options.dump {
            std::fs::write(folder.join(format!("{seed}.jsonl")), text(&rows))?;
        }
        let firsts = firsts(&rows)?;
        println!("seed {seed}: {}", line(&firsts.iter().collect::<Vec<_>>()));
        all.extend(firsts);
    }
    report(&all);
    Ok(())
}

async fn day(seed: u64, options: &Options) -> anyhow::Result<Vec<Row>> {
    let invented = DayOptions { seed, load: options.load, ..DayOptions::default() };
    let mut day = invented_day(&invented).map_err(|problems| anyhow!("{problems:?}"))?;
    for plan in &mut day.hand_ins {
        let labour = plan.truth.labour;
        let hands_on = Span((labour.hands_on().0 as f64 * options.slow) as i64);
        plan.truth.labour = Labour::of(hands_on, labour.curing);
    }
    let (scenes, _) = watch::channel(Scene::default());
    let played = play(&day, Settings { seed, race: false, server: None, scenes, policy: None }).await?;
    Ok(played.rows)
}

fn text(rows: &[Row]) -> String {
    rows.iter().fold(String::new(), |mut text, row| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{} {} {} {}", row.seq, row.at_us, row.happened_at_us, row.body);
        text
    })
}

fn firsts(rows: &[Row]) -> anyhow::Result<Vec<First>> {
    let mut room = Armoury::new();
    let (mut firsts, mut ends) = (BTreeMap::new(), 0);
    for row in rows {
        let body: serde_json::Value = serde_json::from_str(&row.body)?;
        let (kind, v) = (body["kind"].as_str().context("a kind")?, body["v"].as_u64().context("a version")?);
        let event = from_json(kind, u16::try_from(v)?, &row.body)?;
        let said = if let Event::PromiseSaid(said) = &event { Some(said.job) } else { None };
        let found = matches!(event, Event::Found(_));
        ends += usize::from(matches!(event, Event::MadeReady(_) | Event::Withdrawn(_)));
        let touched = event.job(Seq(row.seq));
        let (at, happened_at) = (Stamp(row.at_us), Stamp(row.happened_at_us));
        room.apply(&Recorded { seq: Seq(row.seq), at, happened_at, event });
        let Some(job) = touched.and_then(|job| room.job(job)) else { continue };
        if said == Some(job.id)
            && let Some(promise) = job.first_promise
            && let (Some(safe), Some(raw)) = (promise.safe, promise.raw)
        {
            let (need, likely) = (job.declared, promise.likely);
            let first = First { need, likely, safe, raw, ended: None, after: ends, known_width: None };
            firsts.entry(job.id).or_insert(first);
        }
        if let Some(first) = firsts.get_mut(&job.id) {
            first.ended = job.course.ended;
            if found {
                first.known_width = width(&room, job.id, at);
            }
        }
    }
    Ok(firsts.into_values().collect())
}

/// Minutes from likely to safe in a plan made now.
fn width(room: &Armoury, job: JobId, now: Stamp) -> Option<f64> {
    let mut plan = UrgencyPlanner.plan(room, now);
    quote(room, &mut plan, now);
    let (_, slot) = plan.slot(job)?;
    Some(slot.safe?.since(slot.likely).as_min())
}

fn median(mut of: Vec<f64>) -> f64 {
    of.sort_by(f64::total_cmp);
    of.get(of.len() / 2).copied().unwrap_or_default()
}

fn line(firsts: &[&First]) -> String {
    let share = |kept: &dyn Fn(&First, Stamp) -> bool| {
        let kept = firsts.iter().filter(|first| first.ended.is_some_and(|ended| kept(first, ended))).count();
        100.0 * kept as f64 / firsts.len().max(1) as f64
    };
    let widths = firsts.iter().map(|first| first.safe.since(first.likely).as_min()).collect();
    let known = firsts.iter().filter_map(|first| first.known_width).collect();
    format!(
        "{} promises, kept: likely {:.1} %, safe {:.1} %; width {:.0} min in the median, {:.1} once the fault is found (raw model: {:.1} %, {:.1} %)",
        firsts.len(),
        share(&|first, ended| ended <= first.likely),
        share(&|first, ended| ended <= first.safe),
        median(widths),
        median(known),
        share(&|first, ended| ended <= first.raw.likely),
        share(&|first, ended| ended <= first.raw.safe),
    )
}

fn report(all: &[First]) {
    println!("all: {}", line(&all.iter().collect::<Vec<_>>()));
    println!(
        "said after 40 ends: {}",
        line(&all.iter().filter(|first| first.after >= 40).collect::<Vec<_>>())
    );
    for need in Need::ALL {
        let of_need: Vec<_> = all.iter().filter(|first| first.need == *need).collect();
        if !of_need.is_empty() {
            println!("{need}: {}", line(&of_need));
        }
    }
    let mut scores: Vec<_> =
        all.iter().filter_map(|first| first.ended.map(|ended| first.raw.score(ended))).collect();
    scores.sort_unstable();
    let quantiles = (0..100).filter_map(|i| scores.get((2 * i + 1) * scores.len() / 200));
    let quantiles: Vec<_> = quantiles.map(ToString::to_string).collect();
    println!("scores at (i + 1/2) / 100: {}", quantiles.join(" "));
}
