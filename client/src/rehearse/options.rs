//! The options of `remise rehearse`, and which of them do not go together.

use std::path::PathBuf;

use clap::Parser;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use remise_rehearsal::day::{FASTEST, SLOWEST};
use remise_rehearsal::play::Policy;

use super::ranges::{Benches, Seeds};

/// Play a day through a real server, with the clock running fast, and say how it went. With a range of benches, play
/// the same days for each number of them, and say how many benches are needed.
#[derive(Debug, Parser)]
#[command(name = "remise rehearse", max_term_width = 100, after_help = EXAMPLES)]
pub(super) struct Args {
    /// Seed of everything that is drawn [default: 1]
    #[arg(long, value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// Play many days: so many seeds, or the seeds FIRST..LAST [default with a range of benches: 10]
    #[arg(long, value_name = "COUNT|FIRST..LAST")]
    pub seeds: Option<Seeds>,
    /// Strips of the invented tournament
    #[arg(long, value_name = "NUMBER")]
    pub strips: Option<u16>,
    /// Benches of the invented tournament; FIRST..LAST plays the same days for each number of benches
    #[arg(long, value_name = "NUMBER|FIRST..LAST")]
    pub benches: Option<Benches>,
    /// Hours that the armoury is open
    #[arg(long, value_name = "NUMBER")]
    pub hours: Option<u16>,
    /// Work asked of the benches in the busiest two hours, 1 being all that they can do; with a range of benches, all
    /// that five benches, or a given tournament's own, can do
    #[arg(long, value_name = "SHARE")]
    pub load: Option<f64>,
    /// Repairs really take so many times what was drawn, 0.25 to 4
    #[arg(long, value_name = "FACTOR", value_parser = factor, conflicts_with = "server")]
    pub slow: Option<f64>,
    /// Draw true causes from shares between half and twice those that the plans are made by
    #[arg(long, conflicts_with_all = ["server", "day"])]
    pub shift: bool,
    /// Which rule plans the lanes; as a venue's server does without it
    #[arg(long, value_name = "RULE", value_parser = policies(), conflicts_with = "server")]
    pub policy: Option<Policy>,
    /// Play a recorded hand-in log; goes with --tournament
    #[arg(long, value_name = "FILE", requires = "tournament")]
    pub day: Option<PathBuf>,
    /// The tournament of the recorded log, or one to invent a day in
    #[arg(long, value_name = "FILE")]
    pub tournament: Option<PathBuf>,
    /// Write the day as a hand-in log instead of playing it
    #[arg(long, value_name = "FILE", conflicts_with = "day")]
    pub write_day: Option<PathBuf>,
    /// Play against a server that runs already; its journal keeps what is played
    #[arg(long, value_name = "ADDR", conflicts_with = "seeds")]
    pub server: Option<String>,
    /// Let everybody act at once, to show that nothing is held twice
    #[arg(long)]
    pub race: bool,
    /// Draw back in time and wait by number of benches; goes with a range of benches or --seeds
    #[arg(long, value_name = "FILE.svg")]
    pub chart: Option<PathBuf>,
    /// Print one JSON object
    #[arg(long)]
    pub json: bool,
}

const EXAMPLES: &str = "\
Examples:
  remise rehearse
  remise rehearse --seed 7 --benches 4 --json
  remise rehearse --benches 2..8 --seeds 20 --chart benches.svg
  remise rehearse --tournament cup.toml --benches 3..6
  remise rehearse --seeds 1..40 --slow 1.6
  remise rehearse --write-day day.csv
  remise rehearse --day day.csv --tournament cup.toml

All people, numbers and results of an invented day are invented.";

/// Seeds that are played for each number of benches when nobody says how many.
const SEEDS_USUAL: u64 = 10;

impl Args {
    /// The seed of a single day, and the first of many.
    pub fn seed(&self) -> u64 {
        self.seed.unwrap_or(1)
    }

    /// The seeds of many days.
    pub fn all_seeds(&self) -> Vec<u64> {
        self.seeds.unwrap_or(Seeds::Count(SEEDS_USUAL)).from(self.seed())
    }

    /// Whether more than one day is played.
    pub fn plays_many(&self) -> bool {
        self.seeds.is_some() || self.benches.is_some_and(|benches| benches.range().is_some())
    }

    /// What does not go together and the parser cannot tell.
    pub fn check(&self) -> Result<(), String> {
        let told = |what: &str| Err(format!("{what}. Nothing was played."));
        if self.seed.is_some() && matches!(self.seeds, Some(Seeds::Range(..))) {
            return told("--seeds FIRST..LAST names its first seed; leave --seed out");
        }
        if !self.plays_many() {
            return match self.chart {
                Some(_) => told("--chart goes with a range of benches, --benches 2..8, or with --seeds"),
                None => Ok(()),
            };
        }
        if self.server.is_some() {
            return told(
                "another server has its own benches: --benches FIRST..LAST does not go with --server",
            );
        }
        if self.race || self.write_day.is_some() {
            return told("--race and --write-day go with one day, not with --seeds or a range of benches");
        }
        Ok(())
    }
}

fn factor(text: &str) -> Result<f64, String> {
    let factor = text.parse::<f64>().ok().filter(|factor| (FASTEST..=SLOWEST).contains(factor));
    factor.ok_or_else(|| format!("a factor from {FASTEST} to {SLOWEST} is wanted"))
}

fn policies() -> impl TypedValueParser<Value = Policy> {
    let names = Policy::ALL
        .iter()
        .map(|policy| clap::builder::PossibleValue::new(policy.name()).help(policy.words()));
    PossibleValuesParser::new(names)
        .try_map(|name| Policy::of(&name).ok_or_else(|| format!("there is no rule {name}")))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn parsed(line: &str) -> Result<Args, String> {
        let words = ["rehearse"].into_iter().chain(line.split_whitespace());
        let args = Args::try_parse_from(words).map_err(|error| error.to_string())?;
        args.check().map(|()| args)
    }

    #[test]
    fn one_number_of_benches_is_one_day_and_a_range_is_many() {
        assert!(!parsed("--benches 4").unwrap().plays_many());
        assert!(parsed("--benches 4..4").unwrap().plays_many());
        let many = parsed("--benches 2..8 --seed 7").unwrap();
        assert_eq!((many.all_seeds().len(), many.all_seeds()[0]), (10, 7));
        assert_eq!(parsed("--seeds 3..5").unwrap().all_seeds(), [3, 4, 5]);
    }

    #[test]
    fn what_means_nothing_together_is_refused() {
        for line in [
            "--server 127.0.0.1 --slow 2",
            "--server 127.0.0.1 --shift",
            "--server 127.0.0.1 --policy simple",
            "--server 127.0.0.1 --benches 2..4",
            "--server 127.0.0.1 --seeds 4",
            "--tournament t.toml --day d.csv --shift",
            "--benches 2..4 --race",
            "--seeds 4 --write-day d.csv",
            "--seed 3 --seeds 4..6",
            "--chart c.svg",
            "--slow 0.2",
            "--slow 4.1",
            "--slow NaN",
            "--policy nosuch",
        ] {
            assert!(parsed(line).is_err(), "{line}");
        }
        assert_eq!(parsed("--slow 1.6 --policy simple --shift").unwrap().policy, Some(Policy::Simple));
    }

    #[test]
    fn the_parser_is_sound() {
        use clap::CommandFactory as _;
        Args::command().debug_assert();
    }
}
