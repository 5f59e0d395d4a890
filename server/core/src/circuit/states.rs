//! An item in the states that faults and hands bring about. What apparatus, lamp and meter show of a state is worked
//! out once: most actions leave most faults alone, and many actions are the same to the circuit.

use super::action::{Action, Hands};
use super::apparatus::Inputs;
use super::fault::{Change, Way};
use super::lamps::{Lamp, Lamps};
use super::ohmmeter::Reading;
use super::parts::Side;
use super::probe::{OnBench, Probe, probes};
use super::setup::Setup;
use super::table::Measured;
use super::test_lamp;
use crate::gear::{ItemKind, Weapon};

/// Changes that are there at the same time.
pub(super) type Changes = Vec<&'static Change>;

/// Every state that the circuit goes through: each way calm or stirred, in all combinations; the calm one first.
pub(super) fn states(ways: &[&Way], actions: &[Action]) -> Vec<Changes> {
    let mut all = vec![Changes::new()];
    for way in ways {
        let by = actions.iter().find(|action| way.by.contains(action));
        let Some(action) = by.or(actions.first()) else { continue };
        let of_way = way.states(*action);
        let both = |before: &Changes| -> Vec<Changes> {
            of_way.iter().map(|more| [before.as_slice(), more].concat()).collect()
        };
        all = all.iter().flat_map(both).collect();
    }
    all
}

/// The apparatus's lamps in one state of a strip that is sound otherwise.
pub(super) fn lit(strip: &Setup, weapon: Weapon, changes: &Changes, hands: &[Hands]) -> Lamps {
    let inputs = Inputs::of(&strip.after(changes, hands));
    Lamps { own: inputs.lit(weapon, Side::Own), other: inputs.lit(weapon, Side::Other) }
}

/// Lamp and meter at a place in one state.
#[derive(Clone, Copy, Debug)]
struct At {
    glows: bool,
    reading: Reading,
}

/// What is known of one state.
#[derive(Debug)]
struct State {
    hands: Hands,
    lamps: Option<Lamps>,
    bench: Option<Vec<At>>,
}

/// An item, and every state of it that was asked for.
#[derive(Debug)]
pub(super) struct Item {
    pub(super) kind: ItemKind,
    pub(super) weapon: Weapon,
    strip: Setup,
    bench: Setup,
    states: Vec<(Changes, Vec<State>)>,
}

impl Item {
    /// A sound one, used with that weapon.
    pub(super) fn new(kind: ItemKind, weapon: Weapon) -> Self {
        Self {
            kind,
            weapon,
            strip: Setup::strip(weapon),
            bench: Setup::bench(kind, weapon),
            states: Vec::new(),
        }
    }

    /// What the apparatus shows while the circuit goes through these states.
    pub(super) fn apparatus(&mut self, states: &[Changes], action: Action) -> Lamps {
        let hands = action.hands(self.weapon);
        let lit = |changes: &Changes| {
            let state = state(&mut self.states, changes, &hands);
            *state
                .lamps
                .get_or_insert_with(|| lit(&self.strip, self.weapon, changes, std::slice::from_ref(&hands)))
        };
        Lamps::over(&states.iter().map(lit).collect::<Vec<_>>())
    }

    /// Lamp and meter on the item alone, the usual place first.
    pub(super) fn measured(&mut self, states: &[Changes], action: Action) -> Vec<Measured> {
        let hands = action.hands(self.weapon);
        let places = probes(self.kind, self.weapon);
        let on_bench = |changes: &Changes| {
            let state = state(&mut self.states, changes, &hands);
            let bench = state.bench.get_or_insert_with(|| {
                let item = OnBench::new(&self.bench.after(changes, std::slice::from_ref(&hands)), places);
                places.iter().map(|probe| at(&item, probe)).collect()
            });
            bench.clone()
        };
        let seen: Vec<Vec<At>> = states.iter().map(on_bench).collect();
        let over = |(number, probe): (usize, &'static Probe)| {
            let readings: Vec<Reading> = seen.iter().map(|state| state[number].reading).collect();
            let lamp = Lamp::over(seen.iter().map(|state| state[number].glows));
            Measured { probe, lamp, reading: Reading::over(&readings) }
        };
        places.iter().enumerate().map(over).collect()
    }
}

fn at(item: &OnBench, probe: &Probe) -> At {
    let reading = Reading::of(item, probe);
    At { glows: test_lamp::glows(item, probe), reading }
}

/// What is known of a state; nothing when it comes for the first time.
fn state<'s>(states: &'s mut Vec<(Changes, Vec<State>)>, changes: &Changes, hands: &Hands) -> &'s mut State {
    let number = states.iter().position(|(known, _)| known == changes).unwrap_or_else(|| {
        states.push((changes.clone(), Vec::new()));
        states.len() - 1
    });
    let by_hands = &mut states[number].1;
    let number = by_hands.iter().position(|known| known.hands == *hands).unwrap_or_else(|| {
        by_hands.push(State { hands: hands.clone(), lamps: None, bench: None });
        by_hands.len() - 1
    });
    &mut by_hands[number]
}
