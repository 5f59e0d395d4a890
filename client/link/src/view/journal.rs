//! The first message, and the journal itself.

use remise_core::ids::{BenchId, JobId, Seq, StripId};
use remise_core::time::Stamp;
use serde::Serialize;

use crate::address::Role;

/// What the server says to hello.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Welcome {
    /// The server's version.
    pub server_version: String,
    /// Version of the wire that it speaks.
    pub wire: u32,
    /// The tournament's name; empty when none is open.
    pub tournament: String,
    /// IANA name of the venue's time zone.
    pub zone: String,
    /// Epoch of the journal.
    pub epoch: u64,
    /// Newest journal number.
    pub head: Seq,
    /// Who this station is.
    pub role: Option<Role>,
    /// Its name.
    pub station: String,
    /// The strip that it is bound to.
    pub strip: Option<StripId>,
    /// The bench that it is bound to.
    pub bench: Option<BenchId>,
    /// The server's clock.
    #[serde(rename = "now_us")]
    pub now: Stamp,
}

/// The journal's newest number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct JournalHead {
    /// The number; 0 for an empty journal.
    pub head: Seq,
    /// When it was recorded.
    #[serde(rename = "recorded_at_us")]
    pub recorded_at: Option<Stamp>,
    /// Epoch of the journal.
    pub epoch: u64,
    /// The server's clock.
    #[serde(rename = "now_us")]
    pub now: Stamp,
}

/// Events of the journal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct EventBatch {
    /// Everything up to this number has been sent; numbers may be skipped.
    pub covers_up_to: Seq,
    /// The events.
    pub events: Vec<EventView>,
}

/// One event as the journal keeps it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct EventView {
    /// Its number.
    pub seq: Seq,
    /// When it was recorded.
    #[serde(rename = "recorded_at_us")]
    pub recorded_at: Stamp,
    /// When it happened.
    #[serde(rename = "happened_at_us")]
    pub happened_at: Stamp,
    /// The job that it is about.
    pub job: Option<JobId>,
    /// The station that asked; none for the server's own.
    pub station: Option<String>,
    /// Its kind.
    pub kind: String,
    /// Version of its layout.
    pub version: u32,
    /// What happened: `kind`, `v` and the event's fields.
    pub event: serde_json::Value,
}

/// Whether the chain of hashes holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Verified {
    /// It holds.
    pub sound: bool,
    /// Events whose hash was recomputed.
    pub checked: u64,
    /// First number whose hash does not fit.
    pub first_bad: Option<Seq>,
    /// In a sentence.
    pub message: String,
}
