//! From a log to a day.

use remise_server::tournament::Tournament;
use remise_server::tournament::local::local;

use super::line::{Reader, Said};
use super::problem::LineProblem;
use super::sheet::Sheet;
use crate::day::causes;
use crate::day::invent::habits;
use crate::day::plan::{Day, HandInPlan, Labour, TrueState};
use crate::day::stream::{Subject, stream};

/// Reads a recorded log for a tournament. What it does not say is drawn from the seed: for a line with minutes the
/// fault that most likely took them, for one without a fault of its complaint and that fault's minutes.
///
/// # Errors
/// Everything that is wrong, by line. Nothing is played then.
pub fn parse(bytes: &[u8], tournament: &Tournament, seed: u64) -> Result<Day, Vec<LineProblem>> {
    let zone = local(&tournament.venue);
    let mut reader = Reader { venue: &tournament.venue, zone, problems: Vec::new() };
    let sheet = Sheet::open(bytes, &mut reader.problems);
    let rows = sheet.map_or_else(Vec::new, |sheet| sheet.rows(&mut reader.problems));
    let said: Vec<Said> = rows.iter().filter_map(|row| reader.read(row)).collect();
    if !reader.problems.is_empty() {
        reader.problems.sort();
        return Err(reader.problems);
    }
    let plan = |(index, said)| plan(tournament, seed, index, said);
    let mut hand_ins: Vec<HandInPlan> = (0..).zip(said).map(plan).collect();
    hand_ins.sort_by_key(|hand_in| hand_in.at);
    Ok(Day { tournament: tournament.clone(), hand_ins, call_outs: Vec::new(), swaps: Vec::new() })
}

fn plan(tournament: &Tournament, seed: u64, index: u32, said: Said) -> HandInPlan {
    let mut people = stream(seed, Subject::People, index);
    // Nobody called off what was repaired, as far as a log of hand-ins says.
    let (quirks, _) = habits(&tournament.venue, said.at, said.spot, false, &mut people);
    HandInPlan {
        truth: truth(&said, seed, index),
        at: said.at,
        spot: said.spot,
        fencer: said.fencer,
        official: None,
        kind: said.kind,
        complaint: said.complaint,
        need: said.need,
        wanted: said.wanted,
        call_off: None,
        quirks,
    }
}

/// Minutes that were noted were spent on a fault; where none were, there may have been none.
fn truth(said: &Said, seed: u64, index: u32) -> TrueState {
    let mut rng = stream(seed, Subject::Causes, index);
    let (fault, outcome, labour) = if let Some(minutes) = said.hands_on {
        let fault = causes::fault_that_took(said.kind, said.complaint, minutes, &mut rng);
        (fault, causes::mended(fault, &mut rng), Labour::of(minutes, causes::curing(fault)))
    } else {
        let fault = causes::fault_behind(said.kind, said.complaint, &mut rng);
        let (fault, outcome) = causes::outcome(said.kind, fault, &mut rng);
        (fault, outcome, causes::labour(fault, &mut stream(seed, Subject::Minutes, index)))
    };
    TrueState { fault: fault.map(|fault| fault.id), labour, outcome }
}
