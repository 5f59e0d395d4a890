//! One acceptance check: what is asked, the limit, where it is published, and which repairs it answers for.

use std::fmt;

use super::{Answer, Limit, Reading, ReadingProblem, Unit, Verdict};
use crate::gear::{ItemKind, Work};

/// How well a limit is known. A to C and M as tests/reference/standards.md defines them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Read in a copy of the rule text itself.
    A,
    /// Read in a public document that states the value and cites the rule.
    B,
    /// Read in a page that states the value without a rule number.
    C,
    /// From memory, to be confirmed.
    M,
    /// Common practice of armourers, no source: a check without a published value.
    Practice,
}

/// A motion during which a lamp must stay steady.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Motion {
    /// Press the point.
    Press,
    /// Bend the blade or cord.
    Bend,
    /// Wiggle plug and socket.
    Wiggle,
    /// Knock on guard or plug.
    Knock,
}

/// What a check asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asks {
    /// Pass or fail with a gauge, a mass or a tool: which one.
    Gauge(String),
    /// A reading in this unit.
    Reading(Unit),
    /// Pass or fail: the lamp stays steady during the motion.
    Steady(Motion),
    /// Pass or fail by looking.
    Look,
}

/// The row of tests/reference/standards.md in which the limit stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceRow {
    /// Letter of the section.
    pub section: char,
    /// First column.
    pub item: String,
    /// Second column.
    pub quantity: String,
}

/// One acceptance check of an edition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Check {
    /// Stable code, unique in the edition: in the journal, on the command line.
    pub code: String,
    /// What is checked, for a person.
    pub title: String,
    /// What must be so, when no number says it.
    pub demand: Option<String>,
    /// The kinds of item that have it.
    pub kinds: Vec<ItemKind>,
    /// The kinds of work after which it must be done.
    pub covers: Vec<Work>,
    /// Whether it tells if the item works at all: done even when nothing was repaired.
    pub functional: bool,
    /// What is asked.
    pub asks: Asks,
    /// The published limit, when it is a number.
    pub limit: Option<Limit>,
    /// Rule number as the source gives it; none for practice and where the source gives none.
    pub rule: Option<String>,
    /// Title of the edition.
    pub edition: String,
    /// How well the limit is known.
    pub status: Status,
    /// Where the limit was read: ids of the sources in tests/reference/standards.md.
    pub source: Option<String>,
    /// The row of the reference; none for practice.
    pub row: Option<SourceRow>,
    /// What can hurt someone in doing it.
    pub caution: Option<String>,
}

impl Check {
    /// Judges an answer against the limit. A check with a limit takes a reading or pass or fail (a meter may
    /// show no end, a tester no figure); a check without one takes pass or fail only.
    pub fn judge(&self, answer: &Answer) -> Result<Verdict, ReadingProblem> {
        let (pass, shown) = match *answer {
            Answer::Passed => (true, None),
            Answer::Failed => (false, None),
            Answer::Reading(value) => {
                let limit = self.limit.ok_or(ReadingProblem::NoFigureHere)?;
                if value < 0 {
                    return Err(ReadingProblem::Negative(limit.unit));
                }
                (limit.bound.admits(value), Some(Reading { value, unit: limit.unit }))
            }
        };
        Ok(Verdict {
            pass,
            to_be_confirmed: self.status == Status::M,
            title: self.title.clone(),
            reading: shown,
            limit: self.limit_text(),
            rule: self.rule.clone(),
            edition: self.edition.clone(),
            status: self.status,
        })
    }

    /// The limit or the demand, as it is said.
    pub fn limit_text(&self) -> String {
        match (&self.demand, self.limit) {
            (Some(demand), _) => demand.clone(),
            (None, Some(limit)) => limit.to_string(),
            (None, None) => "must be in order".to_owned(),
        }
    }
}

impl Motion {
    /// Every motion, in the order in which they are made.
    pub const ALL: [Self; 4] = [Self::Press, Self::Bend, Self::Wiggle, Self::Knock];

    /// Stable code.
    pub fn code(self) -> &'static str {
        match self {
            Self::Press => "press",
            Self::Bend => "bend",
            Self::Wiggle => "wiggle",
            Self::Knock => "knock",
        }
    }
}

impl Status {
    /// Every status.
    pub const ALL: [Self; 5] = [Self::A, Self::B, Self::C, Self::M, Self::Practice];

    /// As in the data files.
    pub fn code(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
            Self::M => "M",
            Self::Practice => "practice",
        }
    }
}

impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::M => f.write_str("status M: value from memory"),
            Self::Practice => f.write_str("common practice, no source"),
            status => write!(f, "status {}", status.code()),
        }
    }
}
