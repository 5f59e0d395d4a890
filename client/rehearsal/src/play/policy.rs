//! Which rule plans the lanes of the server that a day is played through.

use remise_core::plan::construct::Rule;
use remise_core::plan::{LanePlanner, Planner, RulePlanner, UrgencyPlanner};

/// A rule for the lanes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Policy {
    /// Lanes by search, as a venue's server plans.
    Lanes,
    /// First come, first served.
    Fifo,
    /// The earliest wanted-by first.
    Edd,
    /// The simple rule: jobs by urgency, each to the bench that finishes it first.
    Simple,
}

impl Policy {
    /// All of them.
    pub const ALL: &[Self] = &[Self::Lanes, Self::Fifo, Self::Edd, Self::Simple];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Lanes => "lanes",
            Self::Fifo => "fifo",
            Self::Edd => "edd",
            Self::Simple => "simple",
        }
    }

    /// What it does, in a few words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Lanes => "lanes by search, as a venue's server plans them",
            Self::Fifo => "first come, first served",
            Self::Edd => "the earliest wanted-by first",
            Self::Simple => "the most urgent first, at the bench that is done first",
        }
    }

    /// The one with that name.
    pub fn of(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|policy| policy.name() == name)
    }

    /// The planner that follows it.
    pub fn planner(self) -> Box<dyn Planner> {
        match self {
            Self::Lanes => Box::new(LanePlanner::default()),
            Self::Fifo => Box::new(RulePlanner(Rule::Fifo)),
            Self::Edd => Box::new(RulePlanner(Rule::Edd)),
            Self::Simple => Box::new(UrgencyPlanner),
        }
    }
}
