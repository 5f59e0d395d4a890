//! All that is known of one job.

use remise_core::armoury::{Lasting, Showed, Sighting};
use remise_core::gear::Work;
use remise_core::ids::{FindingId, RepairId, Seq};
use remise_core::rules::Answer;
use remise_core::time::{Span, Stamp};
use serde::Serialize;

use super::board::OwedView;
use super::job::JobView;

/// What a check showed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FindingView {
    /// Its number.
    pub finding: FindingId,
    /// Code of the fault.
    pub fault: String,
    /// What showed.
    pub showed: Showed,
    /// More of it.
    pub note: Option<String>,
}

/// A repair.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RepairView {
    /// Its number.
    pub repair: RepairId,
    /// The kind of work.
    pub work: Work,
    /// Code of the fault that it mended.
    pub fault: Option<String>,
    /// Whether it lasts.
    pub lasting: Lasting,
    /// Hands-on time.
    #[serde(rename = "hands_on_us")]
    pub hands_on: Span,
}

/// One check of the proof. The competition's own weapon control decides.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CheckView {
    /// Its code.
    pub check: String,
    /// What is checked.
    pub title: String,
    /// Rule number; none for common practice.
    pub rule: Option<String>,
    /// Unit in which a reading is shown; none when only passed or failed is taken.
    pub unit: Option<String>,
    /// A reading counts in parts of the unit, so many to one.
    pub parts_per_unit: i64,
    /// The limit, or what must be so.
    pub limit: String,
    /// Title of the rules edition.
    pub edition: String,
    /// How well the limit is known, in words.
    pub status: String,
    /// What can hurt someone in doing it.
    pub caution: Option<String>,
    /// What was answered after the last repair.
    pub answer: Option<Answer>,
    /// Whether that passed.
    pub pass: bool,
}

/// One line of what happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct HistoryLine {
    /// Journal number.
    pub seq: Seq,
    /// When it was recorded.
    #[serde(rename = "recorded_at_us")]
    pub recorded_at: Stamp,
    /// When it happened.
    #[serde(rename = "happened_at_us")]
    pub happened_at: Stamp,
    /// Entered late.
    pub late: bool,
    /// The station that asked; none for the server's own.
    pub station: Option<String>,
    /// In a sentence.
    pub sentence: String,
}

/// All that is known of one job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Course {
    /// Shows the journal up to this number.
    pub covers_up_to: Seq,
    /// The server's clock.
    #[serde(rename = "at_us")]
    pub at: Stamp,
    /// The job.
    pub job: JobView,
    /// What checks showed.
    pub findings: Vec<FindingView>,
    /// What instruments showed.
    pub sightings: Vec<Sighting>,
    /// What was done.
    pub repairs: Vec<RepairView>,
    /// The proof that the item needs, in the order in which to do it.
    pub proof: Vec<CheckView>,
    /// What happened, oldest first.
    pub history: Vec<HistoryLine>,
    /// What is owed on the item.
    pub owed: Vec<OwedView>,
    /// Where the fault really lies, when it is not in the item.
    pub elsewhere: Option<String>,
    /// The head's reason for letting it go without a complete proof.
    pub anyway: Option<String>,
}
