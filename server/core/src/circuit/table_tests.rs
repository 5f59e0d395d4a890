//! The derived table against `tests/reference/circuit-lamps.csv` (each row with its basis and source) and against
//! common practice.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use super::*;
use crate::circuit::lamps::Lights;
use crate::circuit::{End, Line, Part, fault_modes, probes, strip_actions};
use crate::reference_table::fields;

const REFERENCE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/circuit-lamps.csv"));

fn lights(cell: &str) -> Lights {
    let mut lights = Lights::default();
    for word in cell.split('+').filter(|word| *word != "none") {
        let (name, lamp) =
            word.strip_suffix("-on-off").map_or((word, Lamp::On), |name| (name, Lamp::Flicker));
        match name {
            "coloured" => lights.coloured = lamp,
            "white" => lights.white = lamp,
            "yellow" => lights.yellow = lamp,
            "orange" => lights.earth = lamp,
            other => panic!("lamp {other}"),
        }
    }
    lights
}

fn way(cell: &str, weapon: Weapon) -> Option<&'static Way> {
    let (fault, code) = cell.split_once('#')?;
    let fault = fault_mode(fault).unwrap_or_else(|| panic!("fault {fault}"));
    Some(fault.ways(weapon).into_iter().find(|way| way.code == code).unwrap_or_else(|| panic!("way {cell}")))
}

fn weapon(cell: &str) -> Weapon {
    [Weapon::Foil, Weapon::Epee, Weapon::Sabre]
        .into_iter()
        .find(|weapon| format!("{weapon:?}").to_lowercase() == cell)
        .unwrap()
}

#[test]
fn every_row_of_the_lamp_tables_follows_from_the_circuit() {
    let mut wrong = Vec::new();
    let mut rows = BTreeSet::new();
    for line in REFERENCE.lines().skip(1) {
        let cells = fields(line);
        let weapon = weapon(&cells[1]);
        let ways: Vec<&Way> = way(&cells[2], weapon).into_iter().collect();
        let actions: Vec<Action> = cells[3].split('+').map(|code| Action::from_code(code).unwrap()).collect();
        let expected = Lamps { own: lights(&cells[4]), other: lights(&cells[5]) };
        let derived = apparatus_shows(weapon, &ways, &actions);
        if derived != expected {
            wrong.push(format!("{line}\n  derived: {}", derived.title()));
        }
        rows.insert(cells[0].clone());
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // F1 to F30; E1 to E25 without E20, which is a matter of gauges; S1 to S13, S14 being a matter of time alone.
    let expected = (1..=30).map(|n| format!("F{n}")).chain((1..=25).map(|n| format!("E{n}")));
    let expected: BTreeSet<String> =
        expected.chain((1..=13).map(|n| format!("S{n}"))).filter(|row| row != "E20").collect();
    assert_eq!(rows, expected);
}

fn lamp(kind: ItemKind, action: Action) -> Lamp {
    let Some(Shows::TestLamp(lamp)) = sound_shows(kind, action, Instrument::TestLamp) else { panic!() };
    lamp
}

fn faulty_lamp(fault: &str, kind: ItemKind, action: Action) -> Shows {
    shows(fault, kind, action, Instrument::TestLamp)[0]
}

/// Common practice, no source: a foil at rest with nothing pressed lights the lamp, pressing puts it out; while
/// the apparatus shows nothing and white (F1, F2).
#[test]
fn lamp_and_apparatus_are_opposites_on_a_foil() {
    assert_eq!(lamp(ItemKind::Foil, Action::Rest), Lamp::On);
    assert_eq!(lamp(ItemKind::Foil, Action::Press), Lamp::Off);
    let apparatus = |action| sound_shows(ItemKind::Foil, action, Instrument::Apparatus).unwrap();
    let white = Lights { white: Lamp::On, ..Lights::default() };
    assert_eq!(apparatus(Action::Rest), Shows::Apparatus(Lamps::default()));
    assert_eq!(apparatus(Action::Press), Shows::Apparatus(Lamps { own: white, other: Lights::default() }));
}

/// Common practice, no source: the other way round on an épée.
#[test]
fn the_test_lamp_is_off_for_an_epee_at_rest() {
    assert_eq!(lamp(ItemKind::Epee, Action::Rest), Lamp::Off);
    assert_eq!(lamp(ItemKind::Epee, Action::Press), Lamp::On);
}

/// Common practice, no source: a light that changes when the button is turned but not pressed points to dirt, when
/// the barrel is twisted to a loose barrel.
#[test]
fn turning_the_button_points_to_dirt_and_twisting_the_barrel_to_a_loose_barrel() {
    let flickers = |action: Action| -> BTreeSet<&str> {
        symptoms(ItemKind::Foil, Weapon::Foil)
            .into_iter()
            .filter(|row| row.action == action && row.test_lamp() == Some(Lamp::Flicker))
            .map(|row| row.fault.unwrap().id)
            .collect()
    };
    let point = [
        "foil-dirty-or-rusty-point",
        "foil-weak-or-broken-pressure-spring",
        "foil-worn-or-bent-grub-screws-or-worn-tip-slots",
    ];
    assert_eq!(flickers(Action::TurnButton), BTreeSet::from(point));
    let barrel = ["foil-loose-barrel", "foil-loose-barrel-wire-cup-crushed"];
    assert_eq!(flickers(Action::TwistBarrel), BTreeSet::from(barrel));
}

/// The columns "test" of `faults.csv` that name a reading: wire short at the barrel "stays closed with tip
/// pressed"; dirt "jumps when tip is turned"; insulated wire "open or high at socket screw"; rust "above a few
/// tenths" on the C side.
#[test]
fn the_meter_reads_what_the_fault_table_says() {
    let ohm = |fault: &str, action| {
        shows(fault, ItemKind::Foil, action, Instrument::Ohmmeter)
            .into_iter()
            .map(|shown| if let Shows::Ohm(class) = shown { class } else { panic!() })
            .collect::<Vec<_>>()
    };
    let worn = ohm("foil-wire-insulation-worn-at-the-barrel", Action::Press);
    assert_eq!(worn, [OhmClass::Open, OhmClass::Low], "touching at times, always");
    assert_eq!(ohm("foil-dirty-or-rusty-point", Action::TurnButton), [OhmClass::Jumps]);
    assert_eq!(ohm("foil_point_dirty", Action::Rest), [OhmClass::Low]);
    let enamel = "foil-double-insulated-wire-not-cleaned-to-bright-copper-under-the-nut";
    assert_eq!(ohm(enamel, Action::Rest), [OhmClass::Low, OhmClass::Open, OhmClass::High]);
    let rust = symptoms_of(fault_mode("foil_socket_rust").unwrap(), ItemKind::Foil, Weapon::Foil);
    let body = rust.iter().find(|row| row.action == Action::Rest).unwrap().bench.last().unwrap();
    assert_eq!((body.probe.code, body.class()), ("body", OhmClass::High));
    assert_eq!(faulty_lamp("foil-tip-stuck-down", ItemKind::Foil, Action::Rest), Shows::TestLamp(Lamp::Off));
}

/// ARM-a (status C): a foil's loop is at most 2 ohm at rest and open when pressed, socket screw to tip near 0.9.
#[test]
fn a_sound_foil_reads_as_published() {
    let rows = sound(ItemKind::Foil, Weapon::Foil);
    let at = |action: Action| rows.iter().find(|row| row.action == action).unwrap();
    let Some(Reading::Steady(ohms)) = at(Action::Rest).ohm() else { panic!() };
    assert!(ohms.high <= 2.0 && (ohms.likely - 0.9).abs() < 0.1, "{ohms:?}");
    assert_eq!(at(Action::Press).ohm(), Some(Reading::Open));
}

/// Whatever is published as "at most" is never exceeded by a sound item, at the upper end of every part's range,
/// and what must be open is open.
#[test]
fn sound_items_keep_their_limits_at_the_ends_of_their_ranges() {
    for kind in ItemKind::ALL {
        let weapon = usual_weapon(kind);
        let closed = if kind == ItemKind::Epee { Action::Press } else { Action::Rest };
        for row in sound(kind, weapon).into_iter().filter(|row| row.action == closed) {
            for measured in row.bench {
                let place = format!("{} {}", kind.code(), measured.probe.code);
                match (measured.reading, measured.probe.limit_ohm) {
                    (Reading::Steady(ohms), Some(limit)) => {
                        assert!(ohms.low > 0.0 && ohms.low <= ohms.likely, "{place}");
                        assert!(ohms.likely <= ohms.high && ohms.high <= limit + 1e-9, "{place} {ohms:?}");
                    }
                    (reading, limit) => assert_eq!((reading, limit), (Reading::Open, None), "{place}"),
                }
            }
        }
    }
}

/// A fault that the circuit feels shows somewhere: in a lamp or a reading that a sound item does not give. One that
/// it does not feel shows nowhere.
#[test]
fn every_electrical_fault_differs_somewhere_from_a_sound_item() {
    for fault in fault_modes() {
        for kind in fault.kinds() {
            let weapon = usual_weapon(kind);
            let sound = sound(kind, weapon);
            let rows = symptoms_of(fault, kind, weapon);
            let same =
                |row: &Row| sound.iter().any(|sound| sound.action == row.action && sound.shows_like(row));
            let felt = rows.iter().any(|row| !same(row));
            assert_eq!(felt, fault.is_electrical(), "{} on {}", fault.id, kind.code());
        }
    }
}

/// Every way can be seen on the item itself or on the strip, unless it says that nothing is to be seen yet, or only
/// another piece of gear feels it.
#[test]
fn what_stirs_a_fault_is_tried() {
    for fault in fault_modes() {
        let tried: BTreeSet<Action> = fault
            .kinds()
            .flat_map(|kind| {
                let bench = bench_actions(kind).iter().copied();
                bench.chain(strip_actions(kind, usual_weapon(kind)).iter().copied()).collect::<Vec<_>>()
            })
            .collect();
        for way in [Weapon::Foil, Weapon::Epee, Weapon::Sabre].iter().flat_map(|weapon| fault.ways(*weapon)) {
            let stirs = !way.comes_and_goes() || way.by.iter().any(|action| tried.contains(action));
            assert!(stirs, "{}#{}", fault.id, way.code);
        }
    }
}

#[test]
fn unknown_faults_and_actions_off_the_bench_show_nothing() {
    assert!(shows("foil-nonsense", ItemKind::Foil, Action::Rest, Instrument::TestLamp).is_empty());
    assert!(shows("foil-loose-barrel", ItemKind::Foil, Action::HitPiste, Instrument::TestLamp).is_empty());
    assert_eq!(sound_shows(ItemKind::Box, Action::Rest, Instrument::Ohmmeter), None);
}

/// By hand: a body cord's line B is pin 0.05 + wire 0.25 + pin 0.05 = 0.35 ohm, and the worst 0.15 + 0.7 + 0.15 = 1.
#[test]
fn a_line_of_the_cord_adds_up() {
    let setup = Setup::bench(ItemKind::BodyCordTwoPin, Weapon::Foil);
    let probe = &probes(ItemKind::BodyCordTwoPin, Weapon::Foil)[0];
    let at = |end| setup.seen_from(&probe.ends(), end).resistance_between(0, 1);
    assert!((at(End::Likely) - 0.35).abs() < 1e-9 && (at(End::High) - 1.0).abs() < 1e-9);
    assert_eq!(Part::Cord(Line::B).title(), "body cord, line B");
}
