//! Many invented days played for figures: which seeds, which twist, and what is kept of each.

use anyhow::{Context as _, bail};
use remise_checker::{Life, lives};
use remise_rehearsal::day::{DayOptions, invented_day, slowed, with_benches};
use remise_rehearsal::many::{in_threads, play_alone};
use remise_rehearsal::play::Policy;
use remise_rehearsal::report::{Figures, figures};

/// How the days are drawn and played.
#[derive(Clone, Debug)]
pub struct Twist {
    /// Load, benches, shifted causes; the seed is each day's own.
    pub options: DayOptions,
    /// Repairs take so many times what was drawn.
    pub slow: f64,
    /// Who plans; as a venue's server does when nothing is named.
    pub policy: Option<Policy>,
    /// The same day with so many benches instead.
    pub benches: Option<u16>,
}

impl Default for Twist {
    fn default() -> Self {
        Self { options: DayOptions::default(), slow: 1.0, policy: None, benches: None }
    }
}

/// One day that was played.
#[derive(Clone, Debug)]
pub struct PlayedDay {
    /// Its figures.
    pub figures: Figures,
    /// The life of every job.
    pub lives: Vec<Life>,
}

/// Plays the days of these seeds, several at once, and returns them in order.
///
/// # Errors
/// A day that could not be played, or on which anything was lost or held twice.
pub fn play(seeds: &[u64], twist: &Twist) -> anyhow::Result<Vec<PlayedDay>> {
    in_threads(seeds.len(), |at| one(seeds[at], twist))
}

fn one(seed: u64, twist: &Twist) -> anyhow::Result<PlayedDay> {
    let options = DayOptions { seed, ..twist.options.clone() };
    let day = invented_day(&options).map_err(|problems| anyhow::anyhow!("{problems:?}"))?;
    let day = match twist.benches {
        Some(benches) => with_benches(&day, benches, seed),
        None => day,
    };
    let played = play_alone(&slowed(day, twist.slow), seed, twist.policy)?;
    let (figures, judged) = figures(seed, &played);
    if !judged.is_clean() {
        bail!("seed {seed}: the journal is at fault: {judged}");
    }
    Ok(PlayedDay { figures, lives: lives(&played.rows) })
}

/// The seeds that `--seeds FIRST..LAST` names; 1 to 40 when nothing does.
///
/// # Errors
/// A command line that says something else.
pub fn seeds() -> anyhow::Result<Vec<u64>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let range = match args.as_slice() {
        [] => "1..40",
        [option, range] if option == "--seeds" => range,
        _ => bail!("only --seeds FIRST..LAST is understood"),
    };
    let (first, last) = range.split_once("..").context("a range is FIRST..LAST")?;
    Ok((first.parse()?..=last.parse()?).collect())
}
