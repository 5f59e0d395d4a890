//! Fault modes: how a fault changes the circuit, always or only while it is stirred. Each has the stable id of its
//! row in `tests/reference/faults.csv`; its title and the kinds that can have it come from [`crate::gear`].

use super::action::Action;
use super::faults;
use super::parts::{Line, Ohms, Part, Spot};
use crate::gear::{self, ItemKind, Weapon};

/// A change to the circuit of the side whose item it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// The part conducts no more: a break.
    Open(Part),
    /// The part gets that resistance: a film of dirt, insulation worn through.
    Become(Part, Ohms),
    /// The part's resistance grows by that: tarnish, a loose screw.
    Add(Part, Ohms),
    /// Two places touch that should not.
    Join(Spot, Spot),
    /// Two wires of the body cord end at each other's pin.
    Exchange(Line, Line),
    /// The floor cables of both sides are exchanged at the box.
    ExchangeSides,
    /// The tip cannot be pressed.
    StuckUp,
    /// The tip does not come back.
    StuckDown,
    /// The tip stays down under the test mass.
    MassStays,
    /// An épée's contact closes with the 0.5 mm gauge in.
    LightsEarly,
}

/// One way in which a fault comes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// Stable code within the fault.
    pub code: &'static str,
    /// Weapons with which it is met so; empty: all.
    pub weapons: &'static [Weapon],
    /// Changes that are there all the time.
    pub always: &'static [Change],
    /// Changes that come and go under an action of `by`, on top of the others.
    pub stirred: &'static [Change],
    /// What makes it come and go.
    pub by: &'static [Action],
}

impl Way {
    /// There all the time.
    pub const fn steady(code: &'static str, always: &'static [Change]) -> Self {
        Self { code, weapons: &[], always, stirred: &[], by: &[] }
    }

    /// Comes and goes while it is stirred; nothing of it shows otherwise.
    pub const fn stirred(code: &'static str, stirred: &'static [Change], by: &'static [Action]) -> Self {
        Self { code, weapons: &[], always: &[], stirred, by }
    }

    /// The same with some weapons only.
    #[must_use]
    pub const fn with(self, weapons: &'static [Weapon]) -> Self {
        Self { weapons, ..self }
    }

    /// Every part and place that it touches, for a drawing.
    pub fn changes(&self) -> impl Iterator<Item = &'static Change> {
        self.always.iter().chain(self.stirred)
    }

    /// Whether it only shows while it is stirred.
    pub fn comes_and_goes(&self) -> bool {
        !self.stirred.is_empty()
    }

    /// The states that the circuit goes through during an action: one, or two in turn.
    pub(super) fn states(&self, action: Action) -> Vec<Vec<&'static Change>> {
        let calm: Vec<&Change> = self.always.iter().collect();
        if self.by.contains(&action) {
            let stirred = calm.iter().copied().chain(self.stirred).collect();
            return vec![calm, stirred];
        }
        vec![calm]
    }
}

/// The way of an item without a fault of this kind.
pub const SOUND: Way = Way::steady("sound", &[]);

/// A fault as the circuit knows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaultMode {
    /// Stable id, made from the fault's row: item and text in lower case, words joined by hyphens.
    pub id: &'static str,
    /// The same fault in [`crate::gear`], commonest kind first.
    pub gear: &'static [&'static str],
    /// The ways in which it comes, commonest first. Empty: it changes nothing in the circuit (a cracked blade).
    ways: &'static [Way],
}

impl FaultMode {
    pub(super) const fn new(id: &'static str, gear: &'static [&'static str], ways: &'static [Way]) -> Self {
        Self { id, gear, ways }
    }

    /// Whether it changes anything in the circuit.
    pub fn is_electrical(&self) -> bool {
        !self.ways.is_empty()
    }

    /// The ways in which it comes with that weapon, commonest first; [`SOUND`] for a fault that the circuit does
    /// not feel.
    pub fn ways(&self, weapon: Weapon) -> Vec<&'static Way> {
        let of_it = |way: &&Way| way.weapons.is_empty() || way.weapons.contains(&weapon);
        let ways: Vec<&'static Way> = self.ways.iter().filter(of_it).collect();
        if ways.is_empty() { vec![&SOUND] } else { ways }
    }

    /// What is wrong, in words.
    pub fn title(&self) -> &'static str {
        self.in_gear().next().map_or(self.id, |fault| fault.title)
    }

    /// Whether a kind of item can have it.
    pub fn befalls(&self, kind: ItemKind) -> bool {
        self.in_gear().any(|fault| fault.kinds.contains(&kind))
    }

    /// The kinds of item that can have it.
    pub fn kinds(&self) -> impl Iterator<Item = ItemKind> + '_ {
        ItemKind::ALL.into_iter().filter(|kind| self.befalls(*kind))
    }

    fn in_gear(&self) -> impl Iterator<Item = &'static gear::Fault> {
        self.gear.iter().filter_map(|id| gear::fault(id))
    }
}

/// Every fault, item by item, in the order of the reference table.
pub fn fault_modes() -> impl Iterator<Item = &'static FaultMode> {
    faults::ALL.iter().copied().flatten()
}

/// The faults of a kind of item.
pub fn fault_modes_of(kind: ItemKind) -> impl Iterator<Item = &'static FaultMode> {
    fault_modes().filter(move |fault| fault.befalls(kind))
}

/// The fault with that id, or with that code of [`crate::gear`].
pub fn fault_mode(id: &str) -> Option<&'static FaultMode> {
    fault_modes().find(|fault| fault.id == id || fault.gear.contains(&id))
}
