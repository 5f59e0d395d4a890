//! Many days: the same days for each number of benches, several at once on the machine's cores.

use std::fs::File;
use std::io::{self, IsTerminal as _, Write};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use remise_rehearsal::day::{Day, busiest_two_hours_load, with_benches};
use remise_rehearsal::many::{in_threads, play_alone};
use remise_rehearsal::report::figures;

use super::options::Args;
use super::table::{Outcome, Table};
use super::{chart, complain, day};
use crate::exit;

/// Plays them all and says what came of it. Returns the exit code.
pub(super) fn run(args: &Args, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let chart = match args.chart.as_deref().map(create).transpose() {
        Ok(chart) => chart,
        Err(problem) => return complain(err, &problem, exit::USAGE),
    };
    let days = match args.all_seeds().into_iter().map(|seed| Ok((seed, day::choose(args, seed)?))).collect() {
        Ok(days) => days,
        Err::<Vec<_>, String>(problem) => return complain(err, &problem, exit::USAGE),
    };
    let outcomes = match play_all(args, &days) {
        Ok(outcomes) => outcomes,
        Err(problem) => return complain(err, &problem, exit::BROKEN),
    };
    let seeds = days.iter().map(|(seed, _)| *seed).collect();
    let table = Table::of(seeds, &outcomes, title(args, &days));
    report(args, &table, chart, out, err)
}

/// Made before anything is played, so that nobody waits for what cannot be written.
fn create(path: &Path) -> Result<File, String> {
    File::create(path).map_err(|error| {
        format!("{} could not be written: {error}. Nothing was played; choose another path.", path.display())
    })
}

/// What is played, in a few words.
fn title(args: &Args, days: &[(u64, Day)]) -> String {
    let venue = days.first().map_or("", |(_, day)| day.tournament.venue.name.as_str());
    if args.day.is_some() { format!("{venue}, a recorded log") } else { format!("{venue}, invented days") }
}

fn play_all(args: &Args, days: &[(u64, Day)]) -> Result<Vec<Outcome>, String> {
    let numbers: Vec<Option<u16>> = match args.benches.and_then(super::ranges::Benches::range) {
        Some(range) => range.into_iter().map(Some).collect(),
        None => vec![None],
    };
    let all = numbers.len() * days.len();
    let played = AtomicUsize::new(0);
    let told = !args.json && io::stderr().is_terminal();
    let outcomes = in_threads(all, |index| {
        let ((seed, day), benches) = (&days[index % days.len()], numbers[index / days.len()]);
        let day = benches.map_or_else(|| day.clone(), |benches| with_benches(day, benches, *seed));
        let outcome = play_one(args, &day, *seed);
        let count = 1 + played.fetch_add(1, Ordering::Relaxed);
        if told {
            // Somebody is watching; nothing is lost when the line cannot be written.
            let _ = write!(io::stderr(), "\r{count} of {all} days played");
        }
        outcome
    });
    if told {
        let _ = writeln!(io::stderr());
    }
    outcomes
}

fn play_one(args: &Args, day: &Day, seed: u64) -> Result<Outcome, String> {
    let played = play_alone(day, seed, args.policy).map_err(|error| {
        format!("seed {seed}: {error}\nWhat was played so far is not judged; nothing else is affected.")
    })?;
    let (figures, judged) = figures(seed, &played);
    Ok(Outcome {
        benches: day.tournament.venue.benches.len(),
        seed,
        load: busiest_two_hours_load(day),
        faults: judged.faults.iter().map(ToString::to_string).collect(),
        figures,
    })
}

fn report(args: &Args, table: &Table, chart: Option<File>, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    for fault in table.faults() {
        // Nobody is left to tell when the error stream fails as well.
        let _ = writeln!(err, "remise: the journal is at fault: {fault}");
    }
    if let Some(mut file) = chart
        && let Err(error) = file.write_all(chart::draw(table).as_bytes())
    {
        let _ = writeln!(err, "remise: the chart could not be written: {error}; the figures are complete.");
    }
    let written = if args.json {
        serde_json::to_string(&table).map_err(Into::into).and_then(|json| writeln!(out, "{json}"))
    } else {
        writeln!(out, "{table}")
    };
    match written {
        Ok(()) if table.is_sound() => exit::DONE,
        Ok(()) => exit::BROKEN,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => exit::DONE,
        Err(error) => complain(err, &format!("the figures could not be written: {error}"), exit::BROKEN),
    }
}
