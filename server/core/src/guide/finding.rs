//! What the armourer found, in the words of the command line: `turn-button=flicker`, `rest@body=high`,
//! `foil_point_dirty=absent`; a question mark at the end for what one is not sure of, `=unsure` for what could not
//! be told.

use thiserror::Error;

use crate::circuit::{Probe, Seen, SeenProblem, Sight, nearest, probes};
use crate::gear::{self, Fault, ItemKind, Weapon};

/// Longest text of a finding, in bytes.
const LONGEST: usize = 200;

/// What a look at a cause gave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looked {
    /// It is there.
    Present,
    /// It is not there.
    Absent,
    /// It was mended, and the complaint stays.
    Mended,
    /// It could not be told.
    Unsure,
}

impl Looked {
    const ALL: [Self; 4] = [Self::Present, Self::Absent, Self::Mended, Self::Unsure];

    /// Word to type and to show.
    pub fn code(self) -> &'static str {
        match self {
            Self::Present => "present",
            Self::Absent => "absent",
            Self::Mended => "mended",
            Self::Unsure => "unsure",
        }
    }
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub enum Found {
    /// Something was done, and an instrument showed something.
    Saw {
        /// What, and what was shown.
        seen: Seen,
        /// Where lamp or meter was held; none for the usual place, and for the apparatus.
        place: Option<&'static str>,
    },
    /// Something was done, and what was shown could not be told.
    SawNothingSure {
        /// What: the action, with `@` and the meter's place where the meter was held.
        check: String,
    },
    /// A cause was looked at.
    Looked {
        /// The fault.
        fault: &'static Fault,
        /// What the look gave.
        looked: Looked,
    },
}

/// One finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What was found.
    pub found: Found,
    /// Whether the armourer is sure of it.
    pub sure: bool,
}

/// Why a finding could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum FindingProblem {
    /// It is not one.
    #[error(transparent)]
    Seen(#[from] SeenProblem),
    /// A look gives one of four.
    #[error("a look at a cause gives one of: present, absent, mended, unsure; not `{0}`")]
    Looked(String),
    /// The kind cannot have the fault.
    #[error("`{0}` is no fault of this kind of item")]
    Fault(&'static str),
    /// No such place.
    #[error("lamp and meter have no place `{typed}` on this item{}", .near.map_or_else(String::new, |near| format!("; did you mean `{near}`?")))]
    Place {
        /// As typed.
        typed: String,
        /// The nearest known one.
        near: Option<&'static str>,
    },
}

fn safe(typed: &str) -> String {
    typed.trim().escape_debug().to_string()
}

impl Finding {
    /// Something that is sure.
    pub fn sure(found: Found) -> Self {
        Self { found, sure: true }
    }

    /// As [`Self::parse`] reads it.
    pub fn code(&self) -> String {
        let sure = if self.sure { "" } else { "?" };
        match &self.found {
            Found::Saw { seen, place } => {
                let at = place.map_or_else(String::new, |place| format!("@{place}"));
                format!("{}{at}={}{sure}", seen.action.code(), seen.sight.code())
            }
            Found::SawNothingSure { check } => format!("{check}=unsure"),
            Found::Looked { fault, looked } => format!("{}={}{sure}", fault.id, looked.code()),
        }
    }

    /// Reads a finding.
    ///
    /// # Errors
    /// [`FindingProblem`]: what does not fit, and what is near.
    pub fn parse(typed: &str, kind: ItemKind, weapon: Weapon) -> Result<Self, FindingProblem> {
        if typed.len() > LONGEST {
            return Err(SeenProblem::TooLong.into());
        }
        let (what, showed) =
            typed.split_once('=').ok_or_else(|| FindingProblem::Seen(SeenProblem::Shape(safe(typed))))?;
        let showed = showed.trim();
        let (showed, sure) = showed.strip_suffix('?').map_or((showed, true), |showed| (showed, false));
        let code = what.trim().to_lowercase().replace(['-', ' '], "_");
        let found = match gear::fault(&code) {
            Some(fault) => looked(fault, showed, kind)?,
            None => saw(what, showed, kind, weapon)?,
        };
        Ok(Self { found, sure })
    }
}

fn looked(fault: &'static Fault, showed: &str, kind: ItemKind) -> Result<Found, FindingProblem> {
    if !fault.kinds.contains(&kind) {
        return Err(FindingProblem::Fault(fault.id));
    }
    let word = showed.trim().to_lowercase();
    let looked = Looked::ALL.into_iter().find(|looked| looked.code() == word);
    Ok(Found::Looked { fault, looked: looked.ok_or_else(|| FindingProblem::Looked(safe(showed)))? })
}

fn saw(what: &str, showed: &str, kind: ItemKind, weapon: Weapon) -> Result<Found, FindingProblem> {
    let (action, place) = what.split_once('@').map_or((what, None), |(action, place)| (action, Some(place)));
    let place = place.map(|place| place_of(place, kind, weapon)).transpose()?;
    if showed.eq_ignore_ascii_case("unsure") {
        // Read as if something had been seen, so that the action is one, and one of this item.
        let seen = Seen::parse(&format!("{action}=none"))?;
        seen.can_be_on(kind, weapon)?;
        let at = place.map_or_else(String::new, |probe| format!("@{}", probe.code));
        return Ok(Found::SawNothingSure { check: format!("{}{at}", seen.action.code()) });
    }
    let seen = Seen::parse(&format!("{action}={showed}"))?;
    seen.can_be_on(kind, weapon)?;
    if place.is_some() && matches!(seen.sight, Sight::Apparatus(_)) {
        return Err(SeenProblem::NotOnBench(seen.action).into());
    }
    Ok(Found::Saw { seen, place: place.map(|probe| probe.code) })
}

fn place_of(typed: &str, kind: ItemKind, weapon: Weapon) -> Result<&'static Probe, FindingProblem> {
    let word = typed.trim().to_lowercase();
    let known = probes(kind, weapon);
    known.iter().find(|probe| probe.code == word).ok_or_else(|| FindingProblem::Place {
        typed: safe(typed),
        near: nearest(&word, known.iter().map(|probe| probe.code)),
    })
}
