//! Every row of `tests/reference/faults.csv` has its mode, under the id that the rule of slugs gives.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use crate::circuit::fault::{fault_mode, fault_modes, fault_modes_of};
use crate::gear::{self, ItemKind};

const REFERENCE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/faults.csv"));

/// The first two fields of a line, quotes taken off.
fn item_and_fault(line: &str) -> (String, String) {
    let (item, rest) = line.split_once(',').unwrap();
    let fault = rest.strip_prefix('"').map_or_else(
        || rest.split(',').next().unwrap().to_owned(),
        |quoted| quoted.split('"').next().unwrap().to_owned(),
    );
    (item.to_owned(), fault)
}

/// Lower case, words joined by hyphens.
fn slug(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect::<Vec<_>>().join("-")
}

/// Item and fault up to the first comma or bracket; where that is taken, with the words after the comma too.
fn ids() -> Vec<String> {
    let mut ids = Vec::new();
    for line in REFERENCE.lines().skip(1) {
        let (item, fault) = item_and_fault(line);
        let short = slug(&format!("{item} {}", fault.split([',', '(']).next().unwrap()));
        let long = slug(&format!("{item} {}", fault.split('(').next().unwrap()));
        ids.push(if ids.contains(&short) { long } else { short });
    }
    ids
}

#[test]
fn every_row_of_the_reference_has_its_mode_in_order() {
    let ours: Vec<&str> = fault_modes().map(|fault| fault.id).collect();
    assert_eq!(ours, ids());
    assert_eq!(ours.iter().collect::<BTreeSet<_>>().len(), ours.len(), "an id twice");
}

#[test]
fn every_fault_of_the_gear_is_one_of_them() {
    for kind in ItemKind::ALL {
        let gear: BTreeSet<&str> = gear::faults(kind).map(|fault| fault.id).collect();
        let ours: BTreeSet<&str> = fault_modes_of(kind)
            .flat_map(|fault| fault.gear.iter().copied())
            .filter(|id| gear::fault(id).unwrap().kinds.contains(&kind))
            .collect();
        assert_eq!(ours, gear, "{}", kind.code());
    }
    for fault in fault_modes() {
        assert!(
            !fault.gear.is_empty() && fault.gear.iter().all(|id| gear::fault(id).is_some()),
            "{}",
            fault.id
        );
        assert!(fault.gear.iter().all(|id| std::ptr::eq(fault_mode(id).unwrap(), fault)));
        assert!(fault.kinds().next().is_some());
    }
}

/// A blade that cracks, a screw that is lost: nothing that the circuit feels. Read from the reference's own words.
#[test]
fn only_mechanical_faults_change_nothing() {
    let silent: Vec<&str> =
        fault_modes().filter(|fault| !fault.is_electrical()).map(|fault| fault.id).collect();
    assert_eq!(
        silent,
        [
            "foil-grub-screw-lost",
            "foil-blade-curve-over-the-limit-or-s-bend",
            "foil-blade-cracked-or-broken",
            "epee-total-travel-too-small",
            "epee-grub-screw-lost",
            "epee-blade-cracked-or-broken",
            "sabre-blade-cracked-or-broken-at-tang",
            "mask-mesh-fails-punch",
            "mask-bib-torn-or-loose-from-the-mesh",
            "mask-second-safety-strap-missing-or-slack",
            "jacket-zip-or-fastening-broken",
            "reel-retracting-spring-broken",
            "box-fault-stays-when-all-cords-are-changed",
        ]
    );
}

#[test]
fn codes_of_ways_are_told_apart() {
    for fault in fault_modes() {
        for weapon in [gear::Weapon::Foil, gear::Weapon::Epee, gear::Weapon::Sabre] {
            let codes: Vec<&str> = fault.ways(weapon).iter().map(|way| way.code).collect();
            assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), codes.len(), "{}", fault.id);
        }
    }
    assert!(fault_mode("foil-no-such-fault").is_none());
}
