//! The table read backwards: which faults fit what was seen.

use std::fmt;

use thiserror::Error;

use super::action::Action;
use super::fault::{FaultMode, SOUND, Way, fault_modes_of};
use super::lamps::{Lamp, Lamps};
use super::ohmmeter::OhmClass;
use super::parts::Side;
use super::probe::probes;
use super::states::Item;
use super::table::{Row, row};
use super::tried::{bench_actions, strip_actions};
use crate::gear::{ItemKind, Weapon};
use crate::text;

/// Longest text of something seen, in bytes.
const LONGEST: usize = 200;

/// Something that was seen: what was done, and what an instrument showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// What was done.
    pub action: Action,
    /// What was shown.
    pub sight: Sight,
}

/// What an instrument showed.
#[derive(Clone, Debug, PartialEq)]
pub enum Sight {
    /// Lamps of the apparatus; empty: none was lit.
    Apparatus(Vec<(Colour, Lamp)>),
    /// The test lamp.
    TestLamp(Lamp),
    /// A class of the ohmmeter.
    Ohm(OhmClass),
    /// A value of the ohmmeter, in ohm.
    Value(f64),
}

/// A lamp of the apparatus.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colour {
    /// Hit on target.
    Coloured,
    /// Off target, or a sabre's control circuit.
    White,
    /// Own weapon on own clothing.
    Yellow,
    /// Hit on earth, on boxes that have it.
    Orange,
}

impl Colour {
    const ALL: [Self; 4] = [Self::Coloured, Self::White, Self::Yellow, Self::Orange];

    /// Word to show.
    pub fn title(self) -> &'static str {
        match self {
            Self::Coloured => "coloured",
            Self::White => "white",
            Self::Yellow => "yellow",
            Self::Orange => "orange",
        }
    }
}

/// Why something seen could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SeenProblem {
    /// No equals sign.
    #[error("`{0}` is not ACTION=WHAT-WAS-SEEN")]
    Shape(String),
    /// Far too long.
    #[error("it is longer than {LONGEST} bytes")]
    TooLong,
    /// No such action.
    #[error("there is no action `{typed}`{}", Meant(*near))]
    Action {
        /// As typed.
        typed: String,
        /// The nearest known one.
        near: Option<&'static str>,
    },
    /// Nothing that an instrument shows.
    #[error("no instrument shows `{typed}`{}", Meant(*near))]
    Sight {
        /// As typed.
        typed: String,
        /// The nearest known one.
        near: Option<&'static str>,
    },
    /// The action is not tried on that kind of item.
    #[error("`{}` is not tried on this item", .0.code())]
    NotTried(Action),
    /// Lamp and meter are not on the item then.
    #[error("test lamp and ohmmeter are not used for `{}` on this item", .0.code())]
    NotOnBench(Action),
}

/// A near miss, in brackets.
struct Meant(Option<&'static str>);

impl fmt::Display for Meant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.map_or(Ok(()), |near| write!(f, "; did you mean `{near}`?"))
    }
}

/// Likeness from which a word is worth suggesting. Tried on slips of our own keys.
const NEAR: f64 = 0.75;

/// The nearest of known words, when one is near.
pub fn nearest<'a>(typed: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    if typed.len() > LONGEST {
        return None;
    }
    text::nearest(typed, known, NEAR)
}

/// As typed, but so that it cannot paint a terminal.
fn safe(typed: &str) -> String {
    typed.trim().escape_debug().to_string()
}

/// Words for what test lamp and ohmmeter show.
const WORDS: [(&str, Sight); 7] = [
    ("on", Sight::TestLamp(Lamp::On)),
    ("off", Sight::TestLamp(Lamp::Off)),
    ("flicker", Sight::TestLamp(Lamp::Flicker)),
    ("low", Sight::Ohm(OhmClass::Low)),
    ("high", Sight::Ohm(OhmClass::High)),
    ("open", Sight::Ohm(OhmClass::Open)),
    ("jumps", Sight::Ohm(OhmClass::Jumps)),
];

impl Sight {
    /// From words. Test lamp: `on`, `off`, `flicker`. Apparatus: `none`, `white`, `coloured`, `yellow`, `orange`,
    /// each with `-on-off` when it comes and goes, several joined by `+`. Ohmmeter: `low`, `high`, `open`,
    /// `jumps`, or a value such as `2.4ohm`.
    pub fn parse(typed: &str) -> Result<Self, SeenProblem> {
        let word = typed.trim().to_lowercase();
        if let Some((_, sight)) = WORDS.into_iter().find(|(known, _)| *known == word) {
            return Ok(sight);
        }
        let ohm = word.strip_suffix("ohm").and_then(|number| number.trim().parse::<f64>().ok());
        if let Some(ohm) = ohm.filter(|ohm| ohm.is_finite() && *ohm >= 0.0) {
            return Ok(Self::Value(ohm));
        }
        if word == "none" {
            return Ok(Self::Apparatus(Vec::new()));
        }
        let lamps: Option<Vec<_>> = word.split('+').map(colour).collect();
        lamps.map(Self::Apparatus).ok_or_else(|| {
            let known =
                WORDS.iter().map(|(word, _)| *word).chain(Colour::ALL.iter().map(|colour| colour.title()));
            SeenProblem::Sight { near: nearest(&word, known.chain(["none"])), typed: safe(typed) }
        })
    }

    /// As [`Self::parse`] reads it.
    pub fn code(&self) -> String {
        if let Some((word, _)) = WORDS.iter().find(|(_, known)| known == self) {
            return (*word).to_owned();
        }
        let of_lamp = |(colour, lamp): &(Colour, Lamp)| match lamp {
            Lamp::Flicker => format!("{}-on-off", colour.title()),
            Lamp::On | Lamp::Off => colour.title().to_owned(),
        };
        match self {
            Self::Value(ohm) => format!("{ohm}ohm"),
            Self::Apparatus(lamps) if !lamps.is_empty() => {
                lamps.iter().map(of_lamp).collect::<Vec<_>>().join("+")
            }
            Self::Apparatus(_) | Self::TestLamp(_) | Self::Ohm(_) => "none".to_owned(),
        }
    }

    fn needs_bench(&self) -> bool {
        !matches!(self, Self::Apparatus(_))
    }

    fn fits(&self, row: &Row) -> bool {
        match self {
            Self::Apparatus(lamps) => lamps_fit(lamps, row.action, row.apparatus),
            Self::TestLamp(lamp) => row.test_lamp() == Some(*lamp),
            Self::Ohm(class) => row.bench.first().is_some_and(|measured| measured.class() == *class),
            Self::Value(ohm) => row.ohm().is_some_and(|reading| reading.may_be(*ohm)),
        }
    }
}

fn colour(word: &str) -> Option<(Colour, Lamp)> {
    let word = word.trim();
    let (name, lamp) = word.strip_suffix("-on-off").map_or((word, Lamp::On), |name| (name, Lamp::Flicker));
    Colour::ALL.into_iter().find(|known| known.title() == name).map(|colour| (colour, lamp))
}

/// The lamps that answer for the weapon that acts, and the own yellow one. The orange lamp is on some boxes only,
/// so that not having seen it means nothing.
pub(crate) fn lamps_fit(seen: &[(Colour, Lamp)], action: Action, apparatus: Lamps) -> bool {
    let side = if action.is_the_others() { Side::Other } else { Side::Own };
    let lights = apparatus.of(side);
    let shown = [
        (Colour::Coloured, lights.coloured),
        (Colour::White, lights.white),
        (Colour::Yellow, apparatus.own.yellow),
        (Colour::Orange, lights.earth),
    ];
    shown.into_iter().all(|(colour, lamp)| {
        let named = seen.iter().find(|(named, _)| *named == colour).map(|(_, lamp)| *lamp);
        named.unwrap_or(if colour == Colour::Orange { lamp } else { Lamp::Off }) == lamp
    })
}

impl Seen {
    /// From `ACTION=WHAT-WAS-SEEN`, see [`Sight::parse`].
    pub fn parse(typed: &str) -> Result<Self, SeenProblem> {
        if typed.len() > LONGEST {
            return Err(SeenProblem::TooLong);
        }
        let (action, sight) = typed.split_once('=').ok_or_else(|| SeenProblem::Shape(safe(typed)))?;
        let code = action.trim().to_lowercase().replace(['_', ' '], "-");
        let action = Action::from_code(&code).ok_or_else(|| SeenProblem::Action {
            near: nearest(&code, Action::ALL.iter().map(|action| action.code())),
            typed: safe(action),
        })?;
        Ok(Self { action, sight: Sight::parse(sight)? })
    }

    /// Whether it can be seen on that kind of item at all.
    pub fn can_be_on(&self, kind: ItemKind, weapon: Weapon) -> Result<(), SeenProblem> {
        let on_bench = bench_actions(kind).contains(&self.action) && !probes(kind, weapon).is_empty();
        if self.sight.needs_bench() && !on_bench {
            return Err(SeenProblem::NotOnBench(self.action));
        }
        if !on_bench && !strip_actions(kind, weapon).contains(&self.action) {
            return Err(SeenProblem::NotTried(self.action));
        }
        Ok(())
    }
}

/// Which faults fit what was seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Causes {
    /// Those that fit, in the order of the reference table, each with the ways in which it fits.
    pub fit: Vec<(&'static FaultMode, Vec<&'static Way>)>,
    /// How many of the kind's faults do not.
    pub unfit: usize,
    /// Whether a sound item shows the same.
    pub sound_fits: bool,
}

/// Which faults of a kind of item show all of this. A fault that the circuit does not feel fits what a sound item
/// shows; it is left out of both lists, as no instrument can find it.
pub fn causes_that_show(kind: ItemKind, weapon: Weapon, seen: &[Seen]) -> Causes {
    let mut item = Item::new(kind, weapon);
    let mut fits = |fault: Option<&'static FaultMode>, way: &'static Way| {
        seen.iter().all(|seen| seen.sight.fits(&row(&mut item, fault, way, seen.action)))
    };
    let mut causes = Causes { fit: Vec::new(), unfit: 0, sound_fits: fits(None, &SOUND) };
    for fault in fault_modes_of(kind).filter(|fault| fault.is_electrical()) {
        let ways: Vec<_> = fault.ways(weapon).into_iter().filter(|way| fits(Some(fault), way)).collect();
        if ways.is_empty() {
            causes.unfit += 1;
        } else {
            causes.fit.push((fault, ways));
        }
    }
    causes
}

#[cfg(test)]
#[path = "seen_tests.rs"]
mod tests;
