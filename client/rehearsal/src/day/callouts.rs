//! Strips that stop: some during the day, and a reel that fails late in a final. How many, how long they take and
//! what is swapped are numbers of our own.

use rand_chacha::ChaCha8Rng;
use remise_core::gear::ItemKind;
use remise_core::ids::StripId;
use remise_core::time::{Span, Stamp};
use remise_core::venue::Venue;

use super::causes::of_swapped;
use super::phases::{Phase, Stage};
use super::plan::{CallOutPlan, SwappedUnit};
use super::stream::{Subject, below, chance, log_normal, pick, stream, unit};

/// One strip stops in so many hours of strips in use.
const STRIP_HOURS_PER_CALL: f64 = 40.0;
/// Share of calls after which something is swapped.
const SWAPPED: f64 = 0.6;
/// Median and spread of the time at the strip: minutes, and standard deviation of their logarithm.
const AT_STRIP: (f64, f64) = (6.0, 0.5);
/// A strip does not stop again within so long.
const APART: Span = Span::minutes(60);
/// The last half hour is left out, save for the final.
const LAST: Span = Span::minutes(30);
/// Where in a final its reel fails: after so many hundredths.
const LATE_IN_FINAL: i64 = 60;

const NOTES: [&str; 4] = [
    "one side is dead on every test",
    "white light without a hit, both fencers have changed cords",
    "hits on the floor light",
    "the box went dark for a moment",
];

/// Every stopped strip of the day, by time.
pub(super) fn call_outs(venue: &Venue, phases: &[Phase], seed: u64) -> Vec<CallOutPlan> {
    let open: Vec<&Phase> = phases.iter().filter(|phase| in_hours(venue, phase)).collect();
    let hours =
        |phase: &&Phase| phase.window.to.since(phase.window.from).as_min() / 60.0 * phase.strips.len() as f64;
    let count = (open.iter().map(hours).sum::<f64>() / STRIP_HOURS_PER_CALL).round() as u32;
    let mut calls: Vec<CallOutPlan> = late_final(&open, seed).into_iter().collect();
    for index in 0..count {
        let mut rng = stream(seed, Subject::CallOuts, index);
        let Some(phase) = pick(&mut rng, open.iter().map(|phase| (*phase, hours(phase)))) else { break };
        let call = some_call(phase, seed, index, &mut rng);
        let apart = |other: &CallOutPlan| {
            other.strip != call.strip || call.at.since(other.at).max(other.at.since(call.at)) >= APART
        };
        if calls.iter().all(apart) {
            calls.push(call);
        }
    }
    calls.sort_by_key(|call| (call.at, call.strip));
    calls
}

fn in_hours(venue: &Venue, phase: &Phase) -> bool {
    venue.days.iter().any(|day| day.from <= phase.window.from && phase.window.to + LAST <= day.to)
}

fn some_call(phase: &Phase, seed: u64, index: u32, rng: &mut ChaCha8Rng) -> CallOutPlan {
    let seconds = phase.window.to.since(phase.window.from).0 / Span::seconds(1).0;
    let at = phase.window.from + Span::seconds((unit(rng) * seconds as f64) as i64);
    let strip = phase.strips[below(rng, phase.strips.len())];
    let note = NOTES[below(rng, NOTES.len())];
    let swapped = chance(rng, SWAPPED);
    let kinds = [(ItemKind::Reel, 0.5), (ItemKind::FloorCable, 0.3), (ItemKind::Box, 0.2)];
    let kind = pick(rng, kinds).filter(|_| swapped);
    call(at, strip, note, kind, seed, index)
}

/// The reel of the last final that ends while the armoury is open.
fn late_final(open: &[&Phase], seed: u64) -> Option<CallOutPlan> {
    let is_final = |phase: &&&Phase| matches!(phase.stage, Stage::Elimination { table: 2, .. });
    let phase = open.iter().filter(is_final).max_by_key(|phase| phase.window.to)?;
    let length = phase.window.to.since(phase.window.from);
    let at: Stamp = phase.window.from + Span(length.0 / 100 * LATE_IN_FINAL);
    let note = "final: the reel on the left side comes and goes";
    Some(call(at, *phase.strips.first()?, note, Some(ItemKind::Reel), seed, u32::MAX))
}

fn call(
    at: Stamp,
    strip: StripId,
    note: &'static str,
    kind: Option<ItemKind>,
    seed: u64,
    index: u32,
) -> CallOutPlan {
    let mut causes = stream(seed, Subject::Causes, u32::MAX - index);
    let mut minutes = stream(seed, Subject::Minutes, u32::MAX - index);
    let tenths = (log_normal(&mut minutes, f64::ln(AT_STRIP.0), AT_STRIP.1).min(40.0) * 10.0).round() as i64;
    let at_strip = Span::seconds(6 * tenths.max(5));
    let unit = |kind| SwappedUnit { kind, truth: of_swapped(kind, &mut causes, &mut minutes) };
    CallOutPlan { at, strip, note, at_strip, swapped: kind.map(unit) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::{DayOptions, invented, timetable};

    #[test]
    fn a_reel_fails_late_in_the_last_final() {
        let venue = invented(&DayOptions::default()).unwrap().venue;
        let phases = timetable(&venue);
        for seed in 0..20 {
            let calls = call_outs(&venue, &phases, seed);
            let last_final = phases
                .iter()
                .filter(|phase| matches!(phase.stage, Stage::Elimination { table: 2, .. }))
                .max_by_key(|phase| phase.window.to)
                .unwrap();
            let reel = calls.iter().find(|call| call.note.starts_with("final")).unwrap();
            assert!(last_final.window.contains(reel.at));
            let half = Span(last_final.window.to.since(last_final.window.from).0 / 2);
            assert!(reel.at > last_final.window.from + half);
            assert_eq!(reel.swapped.as_ref().map(|unit| unit.kind), Some(ItemKind::Reel));
        }
    }

    #[test]
    fn a_strip_that_was_called_for_does_not_stop_again_at_once() {
        let venue = invented(&DayOptions { strips: 2, ..DayOptions::default() }).unwrap().venue;
        for seed in 0..50 {
            let calls = call_outs(&venue, &timetable(&venue), seed);
            assert!(calls.is_sorted_by_key(|call| call.at));
            for (place, call) in calls.iter().enumerate() {
                let again = calls[place + 1..].iter().find(|other| other.strip == call.strip);
                assert!(again.is_none_or(|other| other.at.since(call.at) >= APART));
            }
        }
    }
}
