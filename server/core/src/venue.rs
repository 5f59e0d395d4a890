//! The tournament as the armoury needs it: days, strips, benches, competitions. Read from the tournament file
//! at the rim, checked there, and journalled as one event, so that a journal explains itself.

use serde::{Deserialize, Serialize};

use crate::gear::{Weapon, Work};
use crate::ids::{BenchId, StripId, TextId};
use crate::time::{Stamp, Window};

/// Everything fixed about the tournament.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Venue {
    /// The tournament's name.
    pub name: String,
    /// IANA name of the venue's time zone, for display and for reading local times; the core never uses it.
    pub zone: String,
    /// The days, each from its opening to its close, ascending and apart. A day may run past midnight.
    pub days: Vec<Window>,
    /// What the counter at the armoury's door is called.
    pub counter: String,
    /// The strips, ascending by number.
    pub strips: Vec<Strip>,
    /// The benches, ascending by number.
    pub benches: Vec<Bench>,
    /// The competitions, in the file's order.
    pub competitions: Vec<Competition>,
    /// Code of the rules edition that proofs are judged by, for instance `fie-2026`.
    pub edition: String,
    /// Minutes before a bout's expected start by which an item must be back.
    pub margin_min: u16,
}

/// A strip (piste).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Strip {
    /// Its number.
    pub id: StripId,
    /// What people call it: `7`, `blue`, `final`.
    pub name: String,
    /// Minutes to walk between it and the armoury.
    pub walk_min: u16,
}

/// A bench: a work place with tools and one armourer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bench {
    /// Its number.
    pub id: BenchId,
    /// What people call it.
    pub name: String,
    /// Who works there, as a row of the names table.
    pub armourer: Option<TextId>,
    /// The kinds of work that it can do, ascending.
    pub works: Vec<Work>,
    /// When it is open: hours less breaks, ascending and apart.
    pub open: Vec<Window>,
    /// Whether its armourer walks the hall and is sent first to a stopped strip.
    pub roving: bool,
}

/// A competition.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Competition {
    /// Its name, unique in the tournament.
    pub name: String,
    /// Its weapon.
    pub weapon: Weapon,
    /// When its first bout is called.
    pub starts: Stamp,
    /// How many fencers or teams enter.
    pub entries: u16,
    /// The strips that it fences on.
    pub strips: Vec<StripId>,
    /// Its round of pools, when it has one.
    pub pools: Option<Pools>,
    /// Its direct elimination, when it has one.
    pub tableau: Option<Tableau>,
    /// Its team matches, when it is a team competition.
    pub teams: Option<Teams>,
}

/// A round of pools.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pools {
    /// Fencers in a full pool, 4 to 12.
    pub size: u8,
    /// Minutes that one bout takes on the strip, all told.
    pub bout_min: u16,
}

/// A direct elimination.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tableau {
    /// Places in its first table: 4, 8, 16 … 256.
    pub size: u16,
    /// Minutes that one bout takes on the strip, all told.
    pub bout_min: u16,
}

/// Team matches: nine relays each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Teams {
    /// Minutes that one relay takes on the strip, all told.
    pub relay_min: u16,
}

impl Venue {
    /// The strip with that number.
    pub fn strip(&self, id: StripId) -> Option<&Strip> {
        self.strips.iter().find(|strip| strip.id == id)
    }

    /// The bench with that number.
    pub fn bench(&self, id: BenchId) -> Option<&Bench> {
        self.benches.iter().find(|bench| bench.id == id)
    }

    /// Minutes to walk between a strip and the armoury; zero for a strip that the file does not know.
    pub fn walk_min(&self, id: StripId) -> i64 {
        self.strip(id).map_or(0, |strip| i64::from(strip.walk_min))
    }
}

impl Bench {
    /// Whether it can do that kind of work.
    pub fn can(&self, work: Work) -> bool {
        self.works.contains(&work)
    }

    /// The first moment at or after `at` at which it is open.
    pub fn open_from(&self, at: Stamp) -> Option<Stamp> {
        self.open.iter().find(|window| at < window.to).map(|window| window.from.or_later(at))
    }
}
