//! Which rule plans the lanes of the server that a day is played through.

use remise_core::plan::construct::Rule;
use remise_core::plan::{Planner, RulePlanner, UrgencyPlanner};

/// A rule for the lanes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Policy {
    /// The simple rule: jobs by urgency, each to the bench that finishes it first.
    Simple,
    /// First come, first served.
    Fifo,
    /// Wanted soonest first.
    Edd,
}

impl Policy {
    /// All of them.
    pub const ALL: &[Self] = &[Self::Simple, Self::Fifo, Self::Edd];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Simple => "simple",
            Self::Fifo => "fifo",
            Self::Edd => "edd",
        }
    }

    /// What it does, in a few words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Simple => "the most urgent first, at the bench that is done first",
            Self::Fifo => "first come, first served",
            Self::Edd => "wanted soonest first",
        }
    }

    /// The one with that name.
    pub fn of(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|policy| policy.name() == name)
    }

    /// The planner that follows it.
    pub fn planner(self) -> Box<dyn Planner> {
        match self {
            Self::Simple => Box::new(UrgencyPlanner),
            Self::Fifo => Box::new(RulePlanner(Rule::Fifo)),
            Self::Edd => Box::new(RulePlanner(Rule::Edd)),
        }
    }
}
