//! What the server shows, in our own types. Times are [`remise_core::time::Stamp`]s; in JSON they are
//! microseconds since 1970-01-01T00:00:00Z under names that end in `_us`. Absent means none.

mod board;
mod course;
mod job;
mod journal;
mod promises;
mod venue;
mod what_if;

pub use board::{
    BenchBoard, BenchView, Board, CallState, CallView, CountLine, Found, Lane, LaneSlot, NightList, OwedView,
    Plan, PlannerView, RoomView, StripBoard, Unplaced,
};
pub use course::{CheckView, Course, FindingView, HistoryLine, RepairView};
pub use job::{HoldView, JobView, NoticeView, ReadyBy};
pub use journal::{EventBatch, EventView, JournalHead, Verified, Welcome};
pub use promises::PromisesKept;
pub use venue::{BenchInfo, CompetitionInfo, StripInfo, VenueView};
pub use what_if::{Fate, MovedJob, PlanSums, WhatIf};
