//! The scoring apparatus: which line closed or open for how long shows which lamp. It knows the resistances between
//! its seven inputs (each pair measured with the others left open) and nothing else. Thresholds and times are those
//! of [`super::published`]; where no value is published, the choice is named here.
//!
//! It is not the armourer's test lamp: see [`super::test_lamp`].

use super::lamps::{Lamp, Lights};
use super::network::Network;
use super::parts::{Line, Node, Side, Spot};
use super::published as limits;
use super::setup::{End, Setup};
use crate::gear::Weapon;

/// The seven inputs, in the order in which the network is seen from them.
const INPUTS: [Node; 7] = [
    Node::own(Spot::Box(Line::A)),
    Node::own(Spot::Box(Line::B)),
    Node::own(Spot::Box(Line::C)),
    Node::other(Spot::Box(Line::A)),
    Node::other(Spot::Box(Line::B)),
    Node::other(Spot::Box(Line::C)),
    Node::own(Spot::BoxPiste),
];
const PISTE: usize = 6;

/// Resistances between the inputs.
#[derive(Clone, Debug)]
pub struct Inputs(Network);

/// The inputs as one side's weapon meets them.
#[derive(Clone, Copy)]
struct Lines {
    a: usize,
    b: usize,
    c: usize,
    their_a: usize,
    their_c: usize,
}

impl Lines {
    fn of(side: Side) -> Self {
        match side {
            Side::Own => Self { a: 0, b: 1, c: 2, their_a: 3, their_c: 5 },
            Side::Other => Self { a: 3, b: 4, c: 5, their_a: 0, their_c: 2 },
        }
    }
}

impl Inputs {
    /// As the box sees a circuit.
    pub fn of(setup: &Setup) -> Self {
        Self(setup.seen_from(&INPUTS, End::Likely))
    }

    fn between(&self, a: usize, b: usize) -> f64 {
        self.0.resistance_between(a, b)
    }

    fn nearest(&self, from: usize, to: &[usize]) -> f64 {
        to.iter().map(|to| self.between(from, *to)).fold(f64::INFINITY, f64::min)
    }

    /// The lamps of one side for a state that lasts longer than any time that the rules name.
    pub fn lit(&self, weapon: Weapon, side: Side) -> Lights {
        let lines = Lines::of(side);
        match weapon {
            Weapon::Foil => self.foil(lines),
            Weapon::Epee => self.epee(lines),
            Weapon::Sabre => self.sabre(lines),
        }
    }

    /// Whether own clothing and own weapon are joined.
    fn own_short(&self, lines: Lines) -> bool {
        self.nearest(lines.a, &[lines.b, lines.c]) < limits::YELLOW_BELOW_OHM
    }

    /// A break of B to C is a hit: on target when B reaches the opponent's A, none when it reaches earth. A path
    /// to both is a hit on a weapon that touches its owner's jacket, which counts (m.51.1).
    fn foil(&self, lines: Lines) -> Lights {
        // Published: closed up to 200 ohm. That it is open above is our reading.
        let broken = self.between(lines.b, lines.c) > limits::FOIL_CLOSED_OHM;
        let on_target = self.between(lines.b, lines.their_a) <= limits::FOIL_VALID_OHM;
        let earthed = self.nearest(lines.b, &[lines.their_c, PISTE]) <= limits::EARTH_OHM;
        Lights {
            coloured: Lamp::when(broken && on_target),
            white: Lamp::when(broken && !on_target && !earthed),
            yellow: Lamp::when(self.own_short(lines)),
            earth: Lamp::Off,
        }
    }

    /// A joined to B is a hit, unless it reaches earth: a guard, its own too, or the piste.
    fn epee(&self, lines: Lines) -> Lights {
        let closed = self.between(lines.a, lines.b) <= limits::EPEE_CLOSED_OHM;
        let earth = [lines.c, lines.their_c, PISTE];
        let earthed = self.nearest(lines.a, &earth).min(self.nearest(lines.b, &earth)) <= limits::EARTH_OHM;
        Lights {
            coloured: Lamp::when(closed && !earthed),
            white: Lamp::Off,
            yellow: Lamp::Off,
            earth: Lamp::when(closed && earthed),
        }
    }

    /// The weapon joined to the opponent's A is a hit; B to C open is a fault. A hit on a weapon that touches its
    /// owner's conductive clothing counts through it.
    fn sabre(&self, lines: Lines) -> Lights {
        let to_target = self.nearest(lines.b, &[lines.their_a]).min(self.between(lines.c, lines.their_a));
        let through_weapon = self.between(lines.their_a, lines.their_c) < limits::YELLOW_BELOW_OHM;
        let on_target = to_target <= limits::SABRE_CLOSED_OHM
            || (through_weapon && to_target < limits::SABRE_THROUGH_WEAPON_OHM);
        Lights {
            coloured: Lamp::when(on_target),
            white: Lamp::when(self.between(lines.b, lines.c) > limits::SABRE_CONTROL_OHM),
            yellow: Lamp::when(self.own_short(lines)),
            earth: Lamp::Off,
        }
    }
}

/// Whether something of such a length counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counts {
    /// It must.
    Yes,
    /// The rules leave it open.
    Either,
    /// It must not.
    No,
}

impl Counts {
    /// Nothing below `least` may count, everything above `most` must; in between either is right.
    fn between(value: u32, least: u32, most: u32) -> Self {
        if value < least {
            Self::No
        } else if value > most {
            Self::Yes
        } else {
            Self::Either
        }
    }

    fn not(self) -> Self {
        match self {
            Self::Yes => Self::No,
            Self::Either => Self::Either,
            Self::No => Self::Yes,
        }
    }
}

/// Breaks (foil) or contacts (épée, sabre) that are shorter than the first never register, those that are longer
/// than the second always do; microseconds (MAT26, Annex B, status B).
pub fn registering_us(weapon: Weapon) -> (u32, u32) {
    match weapon {
        Weapon::Foil => limits::FOIL_BREAK_US,
        Weapon::Epee => limits::EPEE_CONTACT_US,
        Weapon::Sabre => limits::SABRE_CONTACT_US,
    }
}

/// Whether a break (foil) or contact (épée, sabre) of so many microseconds registers.
pub fn registers(weapon: Weapon, microseconds: u32) -> Counts {
    let (least, most) = registering_us(weapon);
    Counts::between(microseconds, least, most)
}

/// Whether an open control circuit of a sabre shows white after so many microseconds.
pub fn sabre_break_shows(microseconds: u32) -> Counts {
    let (least, most) = limits::SABRE_CONTROL_US;
    Counts::between(microseconds, least, most)
}

/// Whether the other side's hit, so many milliseconds after the first, still registers.
pub fn second_hit_registers(weapon: Weapon, milliseconds: u32) -> Counts {
    let (both, first_only) = match weapon {
        Weapon::Foil => limits::FOIL_WINDOW_MS,
        Weapon::Epee => limits::EPEE_WINDOW_MS,
        Weapon::Sabre => limits::SABRE_WINDOW_MS,
    };
    Counts::between(milliseconds, both, first_only).not()
}

/// Whether a sabre hit that whips over the opponent's blade registers, so many milliseconds after the blades met
/// and with so many interruptions of their contact.
pub fn whip_over_registers(milliseconds: u32, interruptions: u32) -> Counts {
    let (until_least, until_most) = limits::SABRE_WHIP_FREE_MS;
    let (again_least, again_most) = limits::SABRE_WHIP_AGAIN_MS;
    if milliseconds < until_least || interruptions > limits::SABRE_WHIP_INTERRUPTIONS {
        return Counts::Yes;
    }
    if milliseconds <= until_most {
        return Counts::Either;
    }
    Counts::between(milliseconds, again_least, again_most)
}

#[cfg(test)]
#[path = "apparatus_tests.rs"]
mod tests;
