//! The tournament: days, strips, benches, competitions.

use remise_core::gear::{Weapon, Work};
use remise_core::ids::{BenchId, StripId};
use remise_core::time::{Stamp, Window};
use serde::Serialize;

/// The tournament.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct VenueView {
    /// Its name.
    pub name: String,
    /// IANA name of its time zone.
    pub zone: String,
    /// What the counter is called.
    pub counter: String,
    /// The days.
    pub days: Vec<Window>,
    /// The strips.
    pub strips: Vec<StripInfo>,
    /// The benches.
    pub benches: Vec<BenchInfo>,
    /// The competitions.
    pub competitions: Vec<CompetitionInfo>,
    /// Code of the rules edition that proofs are judged by.
    pub edition: String,
    /// Minutes before a bout's expected start by which an item must be back.
    pub margin_min: u32,
}

impl VenueView {
    /// The strip with that number.
    pub fn strip(&self, id: StripId) -> Option<&StripInfo> {
        self.strips.iter().find(|strip| strip.strip == id)
    }

    /// The bench with that number.
    pub fn bench(&self, id: BenchId) -> Option<&BenchInfo> {
        self.benches.iter().find(|bench| bench.bench == id)
    }
}

/// A strip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StripInfo {
    /// Its number.
    pub strip: StripId,
    /// What people call it.
    pub name: String,
    /// Minutes to walk between it and the armoury.
    pub walk_min: u32,
}

/// A bench.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BenchInfo {
    /// Its number.
    pub bench: BenchId,
    /// What people call it.
    pub name: String,
    /// Who works there.
    pub armourer: Option<String>,
    /// The kinds of work that it can do.
    pub works: Vec<Work>,
    /// When it is open.
    pub open: Vec<Window>,
    /// Its armourer is sent first to a stopped strip.
    pub roving: bool,
}

/// A competition.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CompetitionInfo {
    /// Its name.
    pub name: String,
    /// Its weapon.
    pub weapon: Weapon,
    /// When its first bout is called.
    #[serde(rename = "starts_us")]
    pub starts: Stamp,
    /// How many enter.
    pub entries: u32,
    /// The strips that it fences on.
    pub strips: Vec<StripId>,
    /// Fencers in a full pool, and minutes of a bout; none when it has no pools.
    pub pools: Option<(u32, u32)>,
    /// Places in the first table, and minutes of a bout; none without direct elimination.
    pub tableau: Option<(u32, u32)>,
    /// Minutes of one relay; none when it has no team matches.
    pub relay_min: Option<u32>,
}
