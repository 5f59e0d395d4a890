//! Which day is played: an invented one, or a recorded log. Every problem is told at once, and nothing is half played.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use remise_rehearsal::day::{self, Day, DayOptions, csv};
use remise_rehearsal::tournament::{self, Tournament};

use super::options::Args;
use super::ranges::Benches;

/// The day that the command line names, for that seed, or what is wrong with it, in lines.
pub(super) fn choose(args: &Args, seed: u64) -> Result<Day, String> {
    let day = drawn(args, seed)?;
    Ok(match args.slow {
        Some(factor) => day::slowed(day, factor),
        None => day,
    })
}

fn drawn(args: &Args, seed: u64) -> Result<Day, String> {
    let tournament = args.tournament.as_deref().map(read_tournament).transpose()?;
    let options = options(args, seed);
    match (&args.day, tournament) {
        (Some(path), Some(tournament)) => {
            let bytes = read(path, csv::BYTES_MAX)?;
            csv::parse(&bytes, &tournament, seed).map_err(|problems| list(path, &problems))
        }
        (_, Some(tournament)) => day::day_in(tournament, &options).map_err(|problems| lines(&problems)),
        (_, None) => day::invented_day(&options).map_err(|problems| lines(&problems)),
    }
}

fn options(args: &Args, seed: u64) -> DayOptions {
    let usual = DayOptions::default();
    DayOptions {
        seed,
        strips: args.strips.unwrap_or(usual.strips),
        benches: args.benches.and_then(Benches::one).unwrap_or(usual.benches),
        hours: args.hours.unwrap_or(usual.hours),
        load: args.load.unwrap_or(usual.load),
        shift: args.shift,
    }
}

fn read_tournament(path: &Path) -> Result<Tournament, String> {
    let bytes = read(path, tournament::BYTES_MAX)?;
    tournament::parse(&bytes).map_err(|problems| list(path, &problems))
}

fn read(path: &Path, most: usize) -> Result<Vec<u8>, String> {
    let told =
        |why: &str| format!("{} cannot be read: {why}. Nothing was played; check the path.", path.display());
    let size = fs::metadata(path).map_err(|error| told(&error.to_string()))?.len();
    if size > most as u64 {
        return Err(told(&format!("it is larger than {most} bytes")));
    }
    fs::read(path).map_err(|error| told(&error.to_string()))
}

fn list<P: std::fmt::Display>(path: &Path, problems: &[P]) -> String {
    let mut text = format!("{} has {} problem(s); nothing was played.", path.display(), problems.len());
    for problem in problems {
        let _ = write!(text, "\n  {problem}");
    }
    text
}

fn lines<P: std::fmt::Display>(problems: &[P]) -> String {
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}
