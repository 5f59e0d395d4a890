//! Tests of editions, proofs and verdicts. What a proof must hold is common practice as the design states it,
//! no source; limits themselves are held against the reference in `reference.rs`.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;
use crate::rules::{Answer, Asks, Bound, Limit, Motion, ReadingProblem, Status, proof_lines};

fn fie() -> &'static Edition {
    edition("fie-2026").unwrap()
}

fn codes(kind: ItemKind, works: &[Work], no_fault_found: bool) -> BTreeSet<&'static str> {
    fie().proof_for(kind, works, no_fault_found).into_iter().map(|check| check.code.as_str()).collect()
}

fn has(kind: ItemKind, works: &[Work], wanted: &[&str]) {
    let codes = codes(kind, works, false);
    for code in wanted {
        assert!(codes.contains(code), "{kind:?} after {works:?} lacks {code}: {codes:?}");
    }
}

#[test]
fn every_edition_reads_and_codes_are_unique() {
    for edition in editions() {
        let codes: BTreeSet<&str> = edition.checks.iter().map(|check| check.code.as_str()).collect();
        assert_eq!(codes.len(), edition.checks.len());
        assert!(edition.checks.len() > 60);
    }
}

#[test]
fn a_mistyped_edition_gets_a_suggestion() {
    assert_eq!(edition("fie2026").unwrap_err().suggestion, Some("fie-2026"));
    assert_eq!(
        edition("FIE-2025").unwrap_err().to_string(),
        "no edition of the rules has that code; nothing was changed. Did you mean fie-2026? Known: fie-2026"
    );
    assert_eq!(edition("zzz").unwrap_err().suggestion, None);
    assert_eq!(edition(&"fie-2026".repeat(1_000_000)).unwrap_err().suggestion, None);
}

/// All 16 kinds and all 1024 sets of works, with and without a fault.
#[test]
fn no_proof_is_ever_empty() {
    for kind in ItemKind::ALL {
        for set in 0..1_u32 << Work::ALL.len() {
            let works: Vec<Work> =
                (0..).zip(Work::ALL).filter(|(bit, _)| set >> bit & 1 == 1).map(|(_, work)| work).collect();
            for no_fault_found in [false, true] {
                let proof = fie().proof_for(kind, &works, no_fault_found);
                assert!(!proof.is_empty(), "{kind:?} {works:?}");
                assert!(proof.iter().all(|check| check.kinds.contains(&kind)));
            }
        }
    }
}

#[test]
fn a_repair_calls_for_the_checks_that_it_touches() {
    let steady = ["steady_press", "steady_bend", "steady_wiggle", "steady_knock"];
    has(ItemKind::Foil, &[Work::Point], &["foil_point_weight", "tip_screws", "foil_resistance", "foil_tape"]);
    has(ItemKind::Foil, &[Work::BladeWire], &steady);
    has(
        ItemKind::Epee,
        &[Work::Point],
        &["epee_point_weight", "epee_travel_total", "epee_travel_after", "tip_screws", "epee_resistance"],
    );
    has(ItemKind::Sabre, &[Work::SabreContacts], &["sabre_resistance", "sabre_insulation"]);
    has(ItemKind::BodyCordTwoPin, &[Work::CordEnds], &["body_cord_resistance", "cord_steady_wiggle"]);
    has(ItemKind::MaskCord, &[Work::CordContinuity], &["mask_cord_resistance"]);
    for kind in [ItemKind::Mask, ItemKind::MaskFoil, ItemKind::MaskSabre] {
        has(kind, &[Work::Mask], &["mask_punch", "mask_strap", "mask_bib_height", "mask_bib_sound"]);
    }
    has(ItemKind::Reel, &[Work::Apparatus], &["reel_resistance", "reel_safety"]);
    has(ItemKind::FloorCable, &[], &["floor_cable_resistance"]);
    has(ItemKind::Box, &[], &["box_lamps"]);
}

#[test]
fn the_curve_is_measured_only_when_the_blade_was_touched() {
    for (kind, code) in
        [(ItemKind::Foil, "foil_curve"), (ItemKind::Epee, "epee_curve"), (ItemKind::Sabre, "sabre_curve")]
    {
        assert!(codes(kind, &[Work::Blade], false).contains(code));
        for work in Work::ALL.into_iter().filter(|work| *work != Work::Blade) {
            assert!(!codes(kind, &[work], true).contains(code), "{kind:?} {work:?}");
        }
    }
}

#[test]
fn without_a_fault_every_functional_check_is_made() {
    for kind in ItemKind::ALL {
        let all: BTreeSet<&str> = fie()
            .checks
            .iter()
            .filter(|check| check.functional && check.kinds.contains(&kind))
            .map(|check| check.code.as_str())
            .collect();
        assert_eq!(codes(kind, &[], true), all, "{kind:?}");
        assert_eq!(codes(kind, &[], false), all, "{kind:?}");
        for work in Work::ALL {
            assert!(codes(kind, &[work], true).is_superset(&all), "{kind:?} {work:?}");
        }
    }
}

#[test]
fn the_four_motions_are_asked_one_by_one() {
    let motions: Vec<Motion> = fie()
        .proof_for(ItemKind::Foil, &[Work::Point], false)
        .into_iter()
        .filter_map(|check| match check.asks {
            Asks::Steady(motion) => Some(motion),
            _ => None,
        })
        .collect();
    assert_eq!(motions, Motion::ALL);
}

/// The wording of a result; the limits are those of tests/reference/standards.md.
#[test]
fn a_verdict_says_what_it_rests_on() {
    let said = |code: &str, answer| fie().check(code).unwrap().judge(&answer).unwrap().sentence();
    assert_eq!(
        said("foil_resistance", Answer::Reading(1800)),
        "1.8 ohm: pass (at most 2 ohm, m.10-m.13 area, FIE 2026, status C)"
    );
    assert_eq!(
        said("foil_resistance", Answer::Failed),
        "Resistance of the circuit from the socket, point at rest: fail (at most 2 ohm, m.10-m.13 area, FIE 2026, status C)"
    );
    assert_eq!(
        said("foil_jacket_resistance", Answer::Reading(5001)),
        "5.001 ohm: fail, to be confirmed (at most 5 ohm, m.28, FIE 2026, status M: value from memory)"
    );
    assert_eq!(
        said("steady_knock", Answer::Passed),
        "Lamp steady while the guard is knocked: pass (the lamp stays as it is: no flicker, common practice, no source)"
    );
}

#[test]
fn a_value_from_memory_does_not_refuse_by_itself() {
    for check in &fie().checks {
        let verdict = check.judge(&Answer::Failed).unwrap();
        assert_eq!(verdict.refuses(), check.status != Status::M, "{}", check.code);
        assert!(!verdict.pass && !check.judge(&Answer::Passed).unwrap().refuses());
    }
}

#[test]
fn every_proof_ends_with_who_decides() {
    let check = fie().check("foil_resistance").unwrap();
    let lines = proof_lines(&[check.judge(&Answer::Reading(2000)).unwrap()]);
    assert_eq!(lines.len(), 2);
    assert!(lines[0].starts_with("Resistance of the circuit from the socket, point at rest: 2 ohm: pass"));
    assert_eq!(lines[1], CLOSING);
    assert_eq!(proof_lines(&[]), [CLOSING]);
}

#[test]
fn a_figure_where_none_is_asked_is_refused() {
    let judge = |code: &str, value| fie().check(code).unwrap().judge(&Answer::Reading(value));
    assert_eq!(judge("steady_bend", 3), Err(ReadingProblem::NoFigureHere));
    assert!(matches!(judge("foil_resistance", -1), Err(ReadingProblem::Negative(_))));
    assert!(judge("foil_point_weight", 5001).unwrap().pass);
    assert!(!judge("foil_point_weight", 5000).unwrap().pass);
}

/// Both sides of every boundary of every edition: "less than" excludes the limit, "at most" includes it.
#[test]
fn both_sides_of_every_boundary() {
    let mut seen = 0;
    for check in editions().iter().flat_map(|edition| &edition.checks) {
        let Some(Limit { bound, .. }) = check.limit else { continue };
        let cases: Vec<(i64, bool)> = match bound {
            Bound::LessThan(at) => vec![(at - 1, true), (at, false), (at + 1, false)],
            Bound::AtMost(at) => vec![(at - 1, true), (at, true), (at + 1, false)],
            Bound::MoreThan(at) => vec![(at - 1, false), (at, false), (at + 1, true)],
            Bound::AtLeast(at) => vec![(at - 1, false), (at, true), (at + 1, true)],
            Bound::Between(low, high) => {
                vec![(low - 1, false), (low, true), (high, true), (high + 1, false)]
            }
        };
        for (value, pass) in cases {
            let verdict = check.judge(&Answer::Reading(value)).unwrap();
            assert_eq!(verdict.pass, pass, "{} at {value}", check.code);
            seen += 1;
        }
    }
    assert!(seen > 100, "{seen}");
}

proptest! {
    /// Between two passing readings nothing fails; and where there is no lower limit, less passes too.
    #[test]
    fn judging_is_monotone(index in any::<prop::sample::Index>(), mut values in prop::array::uniform3(0_i64..3_000_000)) {
        let limited: Vec<&Check> = fie().checks.iter().filter(|check| check.limit.is_some()).collect();
        let check = limited[index.index(limited.len())];
        values.sort_unstable();
        let [low, mid, high] = values.map(|value| check.judge(&Answer::Reading(value)).unwrap().pass);
        prop_assert!(mid || !(low && high));
        match check.limit.unwrap().bound {
            Bound::LessThan(_) | Bound::AtMost(_) => prop_assert!(low >= mid && mid >= high),
            Bound::MoreThan(_) | Bound::AtLeast(_) => prop_assert!(low <= mid && mid <= high),
            Bound::Between(..) => {}
        }
    }
}
