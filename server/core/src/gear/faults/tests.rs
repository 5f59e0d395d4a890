//! The fault table against its source, and the estimates against what is commonly held.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};

use super::*;
use crate::reference_table::fields;

const CSV: &str = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/faults.csv"));

fn rows() -> Vec<Vec<String>> {
    let rows: Vec<_> = CSV.lines().skip(1).map(fields).collect();
    assert!(rows.iter().all(|row| row.len() == 10), "a row of the source is not ten fields wide");
    rows
}

/// The kinds that a first column of the source may stand for.
fn kinds_of(column: &str) -> &'static [ItemKind] {
    use ItemKind as K;
    match column {
        "foil" => &[K::Foil],
        "epee" => &[K::Epee],
        "sabre" => &[K::Sabre],
        "body cord" => &[K::BodyCordTwoPin, K::BodyCordBayonet, K::BodyCordThreePin],
        "mask cord" => &[K::MaskCord],
        "mask" => &[K::Mask, K::MaskFoil, K::MaskSabre],
        "jacket" => &[K::JacketFoil, K::JacketSabre],
        "sabre glove or cuff" => &[K::SabreGlove],
        "reel" => &[K::Reel],
        // A strip's conductive floor is joined to the apparatus by the floor cables.
        "floor cable" | "piste" => &[K::FloorCable],
        "box" => &[K::Box],
        other => panic!("unknown first column {other}"),
    }
}

fn lasting_of(column: &str) -> Lasting {
    match (column.contains("lasting"), column.contains("stop-gap")) {
        (true, true) => Lasting::Either,
        (true, false) => Lasting::Lasting,
        (false, true) => Lasting::StopGap,
        (false, false) => Lasting::NoRepair,
    }
}

fn shown(text: &str) -> String {
    text.replace("epee", "épée")
}

fn assert_same(fault: &Fault, row: &[String]) {
    let kinds = kinds_of(&row[0]);
    assert!(fault.kinds.iter().all(|kind| kinds.contains(kind)), "{}: kinds", fault.id);
    assert_eq!(fault.title, shown(&row[1]), "{}", fault.id);
    // One row refers to the row above it; ours says it in full.
    if !row[3].starts_with("as ") {
        assert_eq!(fault.test, shown(&row[3]), "{}", fault.id);
    }
    assert_eq!(fault.repair, shown(&row[4]), "{}", fault.id);
    let minutes = row[5..8].iter().map(|field| field.parse().unwrap()).collect::<Vec<u16>>();
    assert_eq!(fault.minutes, super::minutes(minutes[0], minutes[1], minutes[2]), "{}", fault.id);
    assert_eq!(fault.lasting, lasting_of(&row[8]), "{}", fault.id);
    assert_eq!(fault.source, row[9], "{}", fault.id);
}

/// Held against `tests/reference/faults.csv`, both ways and in order.
#[test]
fn the_table_is_its_source_row_by_row() {
    let mut faults = all().peekable();
    for row in rows() {
        let fault = faults.next().unwrap();
        assert_same(fault, &row);
        // One row may be split by kind of plug, under one title.
        while faults.peek().is_some_and(|next| next.title == fault.title && next.kinds != fault.kinds)
            && kinds_of(&row[0]).contains(&faults.peek().unwrap().kinds[0])
        {
            assert_same(faults.next().unwrap(), &row);
        }
    }
    assert_eq!(faults.next(), None, "a fault without a row");
}

#[test]
fn ids_are_distinct_and_found() {
    let ids: BTreeSet<_> = all().map(|fault| fault.id).collect();
    assert_eq!(ids.len(), all().count());
    for one in all() {
        assert_eq!(fault(one.id), Some(one));
        assert!(one.id.chars().all(|c| c.is_ascii_lowercase() || c == '_'), "{}", one.id);
    }
    assert_eq!(fault("no_such_fault"), None);
}

#[test]
fn every_fault_can_be_reported_and_every_complaint_explained() {
    for kind in ItemKind::ALL {
        let offered = Complaint::for_kind(kind);
        for fault in faults(kind) {
            assert!(
                fault.complaints.iter().any(|complaint| offered.contains(complaint)),
                "{kind:?} never shows {}",
                fault.id
            );
        }
        for complaint in offered.iter().filter(|complaint| **complaint != Complaint::Other) {
            assert!(
                faults(kind).any(|fault| fault.complaints.contains(complaint)),
                "nothing explains {complaint:?} of {kind:?}"
            );
        }
    }
}

#[test]
fn no_fault_lists_other_or_one_complaint_twice() {
    for fault in all() {
        let distinct: BTreeSet<_> = fault.complaints.iter().collect();
        assert_eq!(distinct.len(), fault.complaints.len(), "{}", fault.id);
        assert!(!distinct.contains(&Complaint::Other), "{}: Other is implied", fault.id);
    }
}

/// The estimates of one kind are shares of one whole: 1000, less what another kind of its group has alone.
#[test]
fn shares_of_a_kind_make_up_a_whole() {
    for kind in ItemKind::ALL {
        let sum: u16 = faults(kind).map(|fault| fault.share_permille_estimate).sum();
        let expected = if kind == ItemKind::Mask { 700 } else { 1000 };
        assert_eq!(sum, expected, "{kind:?}");
    }
}

#[test]
fn priors_sum_to_a_thousand_exactly_and_fall() {
    for kind in ItemKind::ALL {
        for complaint in Complaint::ALL {
            let prior = prior(kind, complaint);
            assert_eq!(prior.iter().map(|(_, share)| share).sum::<u16>(), 1000, "{kind:?} {complaint:?}");
            assert!(prior.is_sorted_by(|a, b| a.1 >= b.1), "{kind:?} {complaint:?}");
        }
    }
}

#[test]
fn under_other_every_fault_counts_by_its_share() {
    let prior: BTreeMap<_, _> =
        prior(ItemKind::Foil, Complaint::Other).into_iter().map(|(fault, share)| (fault.id, share)).collect();
    assert_eq!(prior.len(), faults(ItemKind::Foil).count());
    assert_eq!(prior["foil_point_dirty"], fault("foil_point_dirty").unwrap().share_permille_estimate);
}

/// Common practice, no source: dirty point, loose barrel, wire and socket cover 90 to 95 % of the white lights
/// that come and go on a foil.
#[test]
fn common_causes_cover_nine_tenths_of_white_lights_that_come_and_go() {
    let common = [
        "foil_point_dirty",
        "foil_barrel_loose",
        "foil_barrel_cup_crushed",
        "foil_wire_broken",
        "foil_wire_bare",
        "foil_wire_bare_patched",
        "foil_socket_nut_loose",
        "foil_socket_worn",
    ];
    let prior = prior(ItemKind::Foil, Complaint::WhiteOnOff);
    let covered: u16 =
        prior.iter().filter(|(fault, _)| common.contains(&fault.id)).map(|(_, share)| share).sum();
    assert!((900..=950).contains(&covered), "they cover {covered} of 1000");
    assert_eq!(prior[0].0.id, "foil_point_dirty", "by far the commonest, as one foil club's page says");
}

/// Held against the circuit: a tip that is stuck up, or a wire shorted to the blade, gives no light at all, so
/// neither explains a white one; exchanged lines B and C show good hits white.
#[test]
fn complaints_follow_the_circuit() {
    let explains = |kind, complaint, id: &str| prior(kind, complaint).iter().any(|(fault, _)| fault.id == id);
    assert!(explains(ItemKind::Foil, Complaint::NoLight, "foil_tip_stuck_up"));
    assert!(!explains(ItemKind::Foil, Complaint::WhiteSteady, "foil_tip_stuck_up"));
    assert!(!explains(ItemKind::Foil, Complaint::WhiteSteady, "foil_wire_short_at_barrel"));
    assert!(explains(ItemKind::BodyCordTwoPin, Complaint::GoodHitsWhite, "cord_lines_exchanged"));
    assert!(!explains(ItemKind::BodyCordThreePin, Complaint::NoLight, "cord_wire_broken"));
}

/// Held against the formula: the ends of the central 90 % lie at the median times exp(± 1.645 sigma).
#[test]
fn the_lognormal_has_its_median_and_its_width() {
    for fault in all() {
        let (mu, sigma) = fault.minutes_lognormal();
        let Minutes { likely, low, high } = fault.minutes;
        assert!(low <= likely && likely <= high && low < high, "{}", fault.id);
        assert!((mu.exp() - f64::from(likely)).abs() < 1e-9, "{}", fault.id);
        let width = (2.0 * 1.645 * sigma).exp();
        assert!((width - f64::from(high) / f64::from(low)).abs() < 1e-9, "{}", fault.id);
    }
}

#[test]
fn glue_cures_and_nothing_else_does() {
    for fault in all() {
        assert_eq!(fault.curing_min.is_some(), fault.hazards.contains(&Hazard::Glue), "{}", fault.id);
    }
}

/// Held against the safety guidelines named in the source: mesh is not repaired, broken blades carry cautions.
#[test]
fn what_can_hurt_is_marked() {
    assert_eq!(fault("mask_mesh_failed").unwrap().lasting, Lasting::NoRepair);
    for fault in all().filter(|fault| fault.work == Work::Blade) {
        assert!(fault.hazards.contains(&Hazard::Blade), "{}", fault.id);
        assert_eq!(fault.cautions().last(), Some(&DEFERRING), "{}", fault.id);
    }
    assert_eq!(fault("epee_socket_wires_loose").unwrap().cautions().count(), 0);
}
