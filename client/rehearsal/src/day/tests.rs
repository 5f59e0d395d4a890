//! Tests of the invented day as a whole. The bounds are those that rehearsals are asked to keep; the figures of the
//! default day are its own and stand here so that it stays what it is.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fmt::Write;

use remise_core::armoury::{Need, Spot};
use remise_core::gear::{Complaint, Work, fault};

use super::*;

fn day(seed: u64) -> Day {
    invented_day(&DayOptions { seed, ..DayOptions::default() }).unwrap()
}

fn share(count: usize, day: &Day) -> f64 {
    count as f64 / day.hand_ins.len() as f64
}

#[test]
fn the_busiest_two_hours_have_the_load_and_few_are_called_off() {
    for seed in 1..=20 {
        let day = day(seed);
        let load = busiest_two_hours_load(&day);
        assert!((0.80..=0.90).contains(&load), "seed {seed}: {load}");
        let off = day.hand_ins.iter().filter(|plan| plan.call_off.is_some()).count();
        assert!(share(off, &day) <= 0.03, "seed {seed}: {off}");
        let count = day.hand_ins.len();
        assert!((145..=260).contains(&count), "seed {seed}: {count}");
    }
}

#[test]
fn another_load_is_reached_too() {
    for (load, benches) in [(0.4, 5), (0.6, 8), (1.0, 3), (1.3, 5)] {
        let day = invented_day(&DayOptions { benches, load, ..DayOptions::default() }).unwrap();
        let reached = busiest_two_hours_load(&day);
        assert!((reached / load - 1.0).abs() <= 0.03, "{load}: {reached}");
    }
}

#[test]
fn the_smallest_and_the_largest_days_can_be_made() {
    for (strips, benches, hours, load) in
        [(1, 2, 2, 0.05), (2, 2, 16, 0.5), (200, 60, 16, 0.3), (3, 60, 5, 0.2)]
    {
        let options = DayOptions { seed: 4, strips, benches, hours, load, shift: false };
        let day = invented_day(&options).unwrap();
        assert!(busiest_two_hours_load(&day) <= load * 1.03 + 0.2, "{options:?}");
        assert!(day.hand_ins.iter().all(|plan| day.tournament.venue.days[0].contains(plan.at)));
    }
}

/// The frozen default day: FNV-1a (Fowler, Noll and Vo) over its log and over what the log does not say, and its
/// figures. Whoever changes them makes all earlier figures incomparable.
#[test]
fn the_default_day_is_frozen() {
    let day = invented_day(&DayOptions::default()).unwrap();
    let mut text = csv::write(&day);
    for plan in &day.hand_ins {
        let (labour, quirks) = (plan.truth.labour, plan.quirks);
        let times = [labour.before, labour.curing, labour.after, quirks.scan_after, quirks.confirm_after];
        writeln!(text, "{:?} {times:?} {:?}", plan.truth.fault, quirks.collection).unwrap();
    }
    for call in &day.call_outs {
        writeln!(text, "{} {} {:?}", call.at.0, call.strip, call.at_strip).unwrap();
    }
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    let off = day.hand_ins.iter().filter(|plan| plan.call_off.is_some()).count();
    let load = (busiest_two_hours_load(&day) * 1_000.0).round() as u64;
    let figures = (day.hand_ins.len(), day.call_outs.len(), day.swaps.len(), off, load);
    assert_eq!((figures, hash), ((153, 3, 1, 1, 869), 15_031_102_455_380_835_583));
}

#[test]
fn the_same_options_make_the_same_day_and_another_seed_another() {
    assert_eq!(day(3), day(3));
    assert_ne!(day(3).hand_ins, day(4).hand_ins);
}

#[test]
fn every_hand_in_is_one_that_the_armoury_accepts() {
    for seed in 1..=5 {
        let day = day(seed);
        let venue = &day.tournament.venue;
        assert!(day.hand_ins.is_sorted_by_key(|plan| plan.at));
        for plan in &day.hand_ins {
            assert!(Complaint::for_kind(plan.kind).contains(&plan.complaint));
            assert!(plan.need != Need::StripStopped || plan.kind.is_apparatus());
            let known = matches!(plan.spot, Spot::Strip(strip) if venue.strip(strip).is_some());
            assert!(known || plan.spot == Spot::Counter);
            assert!(plan.truth.fault.is_none_or(|id| fault(id).is_some()));
            assert_eq!(plan.spot == Spot::Counter, plan.quirks.scan_after == remise_core::time::Span::ZERO);
        }
    }
}

/// Held against the shares that the generator names, within five standard errors over 40 days.
#[test]
fn people_do_what_their_shares_say() {
    let days: Vec<Day> = (1..=40).map(day).collect();
    let all: Vec<&HandInPlan> = days.iter().flat_map(|day| &day.hand_ins).collect();
    let share = |which: &dyn Fn(&HandInPlan) -> bool| {
        all.iter().filter(|plan| which(plan)).count() as f64 / all.len() as f64
    };
    let never = share(&|plan| plan.quirks.collection == Collection::Never);
    let silently = share(&|plan| plan.quirks.collection == Collection::TakenSilently);
    assert!((never - 0.03).abs() < 0.011, "{never}");
    assert!((silently - 0.02).abs() < 0.009, "{silently}");
    let off = share(&|plan| plan.call_off.is_some());
    assert!((0.010..0.026).contains(&off), "{off}");
}

#[test]
fn two_tags_get_onto_each_others_items() {
    for seed in 1..=20 {
        let day = day(seed);
        assert_eq!(day.swaps.len(), 1, "seed {seed}");
        let swap = day.swaps[0];
        let (a, b) = (&day.hand_ins[swap.a], &day.hand_ins[swap.b]);
        assert!(swap.a < swap.b && a.at <= b.at && b.at < swap.noticed);
    }
}

/// No set of kinds of work asks more of the benches that can do it than they have in the whole day: otherwise
/// no order of work would be in time, and a rehearsal would compare nothing.
#[test]
fn no_group_of_benches_has_more_than_it_can_do() {
    for seed in 1..=6 {
        let day = day(seed);
        let jobs: Vec<(Option<Work>, f64)> = day.hand_ins.iter().map(work_of).collect();
        for set in 1_u32..1 << Work::ALL.len() {
            let works: BTreeSet<Work> =
                (0..).zip(Work::ALL).filter(|(bit, _)| set >> bit & 1 == 1).map(|(_, work)| work).collect();
            let asked: f64 = jobs
                .iter()
                .filter(|(work, _)| work.is_some_and(|work| works.contains(&work)))
                .map(|(_, minutes)| minutes)
                .sum();
            let able =
                day.tournament.venue.benches.iter().filter(|bench| works.iter().any(|work| bench.can(*work)));
            let open: f64 =
                able.flat_map(|bench| &bench.open).map(|open| open.to.since(open.from).as_min()).sum();
            assert!(asked <= 0.7 * open, "seed {seed}, {works:?}: {asked} of {open}");
        }
    }
}

fn work_of(plan: &HandInPlan) -> (Option<Work>, f64) {
    let minutes = (plan.truth.labour.hands_on() + AROUND_A_JOB).as_min();
    (plan.truth.fault.and_then(fault).map(|fault| fault.work), minutes)
}
