//! The table "fault and action: what the lamps do, what the ohmmeter reads", derived from the circuit. Nothing in
//! it is typed in.

use super::action::{Action, Hands};
use super::fault::{FaultMode, SOUND, Way, fault_mode, fault_modes_of};
use super::lamps::{Lamp, Lamps};
use super::ohmmeter::{OhmClass, Reading};
use super::probe::Probe;
use super::setup::Setup;
use super::shown::shown;
use super::states::{Item, lit, states};
use super::tried::{bench_actions, tried};
use crate::gear::{ItemKind, Weapon};

/// What lamp and meter show between two places of the item on the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Where.
    pub probe: &'static Probe,
    /// The armourer's test lamp.
    pub lamp: Lamp,
    /// The ohmmeter.
    pub reading: Reading,
}

impl Measured {
    /// The reading's class against the place's limit.
    pub fn class(&self) -> OhmClass {
        self.reading.class(self.probe.limit_ohm)
    }

    /// Whether an armourer would call both the same: same place, same lamp, same class, nearly the same reading.
    pub fn is_like(&self, other: &Self) -> bool {
        self.probe == other.probe
            && self.lamp == other.lamp
            && self.class() == other.class()
            && self.reading.is_like(other.reading)
    }
}

/// One line of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The fault; none for a sound item.
    pub fault: Option<&'static FaultMode>,
    /// The way in which it comes.
    pub way: &'static Way,
    /// What is done.
    pub action: Action,
    /// What the scoring apparatus shows.
    pub apparatus: Lamps,
    /// What test lamp and ohmmeter show, the usual place first; empty for what is not done on the bench.
    pub bench: Vec<Measured>,
}

impl Row {
    /// The test lamp at the usual place.
    pub fn test_lamp(&self) -> Option<Lamp> {
        self.bench.first().map(|measured| measured.lamp)
    }

    /// Whether an armourer would see the same in both, whatever was done.
    pub fn shows_like(&self, other: &Self) -> bool {
        self.apparatus == other.apparatus
            && self.bench.len() == other.bench.len()
            && self.bench.iter().zip(&other.bench).all(|(ours, theirs)| ours.is_like(theirs))
    }

    /// The ohmmeter at the usual place.
    pub fn ohm(&self) -> Option<Reading> {
        self.bench.first().map(|measured| measured.reading)
    }
}

/// What one looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Instrument {
    /// The scoring apparatus.
    Apparatus,
    /// The armourer's test lamp, at the item's usual place.
    TestLamp,
    /// The ohmmeter, at the item's usual place.
    Ohmmeter,
}

/// What an instrument shows, in few words, to be compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shows {
    /// The apparatus's lamps.
    Apparatus(Lamps),
    /// The test lamp.
    TestLamp(Lamp),
    /// The ohmmeter's class.
    Ohm(OhmClass),
}

impl Row {
    /// What an instrument shows; none where it is not used for that action.
    pub fn shows(&self, instrument: Instrument) -> Option<Shows> {
        match instrument {
            Instrument::Apparatus => Some(Shows::Apparatus(self.apparatus)),
            Instrument::TestLamp => self.test_lamp().map(Shows::TestLamp),
            Instrument::Ohmmeter => self.bench.first().map(|measured| Shows::Ohm(measured.class())),
        }
    }
}

/// The weapon with which a kind of item is looked at when none is named: its own, or foil where it serves several.
pub fn usual_weapon(kind: ItemKind) -> Weapon {
    match kind {
        ItemKind::Epee | ItemKind::BodyCordThreePin | ItemKind::Mask => Weapon::Epee,
        ItemKind::Sabre | ItemKind::MaskSabre | ItemKind::JacketSabre | ItemKind::SabreGlove => Weapon::Sabre,
        _ => Weapon::Foil,
    }
}

/// What the apparatus shows when all of this is done at once to an item with these faults.
pub fn apparatus_shows(weapon: Weapon, ways: &[&Way], actions: &[Action]) -> Lamps {
    let strip = Setup::strip(weapon);
    let hands: Vec<Hands> = actions.iter().map(|action| action.hands(weapon)).collect();
    let lit = states(ways, actions).into_iter().map(|changes| lit(&strip, weapon, &changes, &hands));
    Lamps::over(&lit.collect::<Vec<_>>())
}

/// Lamp and meter on the bench: as [`Row::bench`], and as they are when the fault happens not to stir.
pub fn stirred_and_calm(
    kind: ItemKind,
    weapon: Weapon,
    way: &Way,
    action: Action,
) -> (Vec<Measured>, Vec<Measured>) {
    let [stirred, calm] = shown(kind, weapon, way, action).into_owned().bench;
    (stirred, calm)
}

pub(super) fn row(
    item: &mut Item,
    fault: Option<&'static FaultMode>,
    way: &'static Way,
    action: Action,
) -> Row {
    let states = states(&[way], &[action]);
    let on_bench = bench_actions(item.kind).contains(&action);
    let bench = if on_bench { item.measured(&states, action) } else { Vec::new() };
    Row { fault, way, action, apparatus: item.apparatus(&states, action), bench }
}

fn rows(item: &mut Item, fault: Option<&'static FaultMode>, way: &'static Way) -> Vec<Row> {
    tried(item.kind, item.weapon).into_iter().map(|action| row(item, fault, way, action)).collect()
}

fn rows_of(item: &mut Item, fault: &'static FaultMode) -> Vec<Row> {
    fault.ways(item.weapon).into_iter().flat_map(|way| rows(item, Some(fault), way)).collect()
}

/// What a sound item shows, action by action.
pub fn sound(kind: ItemKind, weapon: Weapon) -> Vec<Row> {
    rows(&mut Item::new(kind, weapon), None, &SOUND)
}

/// What an item with this fault shows: every way, action by action.
pub fn symptoms_of(fault: &'static FaultMode, kind: ItemKind, weapon: Weapon) -> Vec<Row> {
    rows_of(&mut Item::new(kind, weapon), fault)
}

/// The whole table of a kind of item.
pub fn symptoms(kind: ItemKind, weapon: Weapon) -> Vec<Row> {
    let mut item = Item::new(kind, weapon);
    fault_modes_of(kind).flat_map(|fault| rows_of(&mut item, fault)).collect()
}

/// What an instrument shows of a fault on an item, one answer for each way in which it comes (commonest first).
/// Empty for an unknown fault, and where the instrument is not used for that action.
pub fn shows(fault: &str, kind: ItemKind, action: Action, instrument: Instrument) -> Vec<Shows> {
    let weapon = usual_weapon(kind);
    let Some(fault) = fault_mode(fault) else { return Vec::new() };
    let mut item = Item::new(kind, weapon);
    let of_way = |way| row(&mut item, Some(fault), way, action).shows(instrument);
    fault.ways(weapon).into_iter().filter_map(of_way).collect()
}

/// What an instrument shows of a sound item; none where it is not used for that action.
pub fn sound_shows(kind: ItemKind, action: Action, instrument: Instrument) -> Option<Shows> {
    row(&mut Item::new(kind, usual_weapon(kind)), None, &SOUND, action).shows(instrument)
}

#[cfg(test)]
#[path = "table_tests.rs"]
mod tests;
