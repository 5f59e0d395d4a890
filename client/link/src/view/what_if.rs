//! What moves would change: the room as it is planned, and as it would be planned with them.

use remise_core::ids::{BenchId, Seq};
use remise_core::time::{Span, Stamp};
use serde::Serialize;

use super::job::{JobView, ReadyBy};

/// What moves would change.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WhatIf {
    /// They were tried from this journal number on.
    pub covers_up_to: Seq,
    /// The moment for which both plans were made.
    #[serde(rename = "at_us")]
    pub at: Stamp,
    /// The jobs that move, the worst first.
    pub moved: Vec<MovedJob>,
    /// The room without the moves.
    pub before: PlanSums,
    /// The room with them.
    pub after: PlanSums,
    /// What would be said with the moves.
    pub advice: Vec<String>,
}

/// One job that moves.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MovedJob {
    /// The job as it is now.
    pub job: JobView,
    /// How it is planned.
    pub before: Fate,
    /// How it would be planned.
    pub after: Fate,
}

/// How a plan has one job. Without a bench and a reason for none, it needs no bench.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Fate {
    /// The bench that works on it.
    pub bench: Option<BenchId>,
    /// When the bench begins.
    #[serde(rename = "starts_us")]
    pub starts: Option<Stamp>,
    /// Ready by then.
    pub ready: Option<ReadyBy>,
    /// How late it will likely be back; zero when it is in time or nobody set a time.
    #[serde(rename = "late_us")]
    pub late: Span,
    /// Why no bench takes it: `held`, `no_bench` or `no_time`.
    pub unplaced: Option<String>,
}

/// A whole plan in four figures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct PlanSums {
    /// Jobs that will likely be back late.
    pub late: u32,
    /// Their minutes of lateness, each counted as often as its need weighs.
    pub weighted_late_min: i64,
    /// Jobs that no bench can take any more.
    pub nowhere: u32,
    /// Jobs that are held.
    pub held: u32,
}
