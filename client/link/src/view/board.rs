//! Boards: what a screen shows of many jobs, and how a change is put into one.

use remise_core::gear::{ItemKind, Work};
use remise_core::ids::{BenchId, CallId, ItemId, JobId, OwedId, Seq, StripId};
use remise_core::time::Stamp;
use serde::Serialize;

use super::job::{JobView, ReadyBy};

/// Where a call-out stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CallState {
    /// Somebody is on the way.
    Called,
    /// Somebody is there.
    AtStrip,
}

impl CallState {
    /// What people read.
    pub fn title(self) -> &'static str {
        match self {
            Self::Called => "called",
            Self::AtStrip => "at strip",
        }
    }
}

/// An armourer goes to a stopped strip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CallView {
    /// Its number.
    pub call: CallId,
    /// The strip that stands still.
    pub strip: StripId,
    /// Who goes there.
    pub bench: BenchId,
    /// Where it stands.
    pub state: CallState,
    /// What the strip said.
    pub note: Option<String>,
    /// When it was called.
    #[serde(rename = "called_us")]
    pub called: Stamp,
    /// When the armourer should be there.
    #[serde(rename = "arrival_us")]
    pub arrival: Option<Stamp>,
}

/// How a bench stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BenchView {
    /// Its number.
    pub bench: BenchId,
    /// What people call it.
    pub name: String,
    /// Who works there.
    pub armourer: Option<String>,
    /// Open now.
    pub open: bool,
    /// The job in hand.
    pub in_hand: Option<JobId>,
    /// The armourer was called away from the job in hand.
    pub interrupted: bool,
    /// Unattended until then.
    #[serde(rename = "away_until_us")]
    pub away_until: Option<Stamp>,
    /// The call-out that its armourer is on.
    pub call: Option<CallId>,
    /// The head closes it from then on.
    #[serde(rename = "closes_at_us")]
    pub closes_at: Option<Stamp>,
}

/// The ordered work of one bench.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Lane {
    /// The bench.
    pub bench: BenchId,
    /// Its jobs in order.
    pub slots: Vec<LaneSlot>,
}

/// One job in a lane.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LaneSlot {
    /// The job.
    pub job: JobId,
    /// When the bench is expected to begin.
    #[serde(rename = "starts_us")]
    pub starts: Stamp,
    /// Ready by then.
    pub ready: Option<ReadyBy>,
    /// Why it is here, in one sentence.
    pub why: Option<String>,
    /// Why it will be late, in one sentence, if it will.
    pub late: Option<String>,
}

/// A lasting repair that a stop-gap left to be done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OwedView {
    /// Its number.
    pub owed: OwedId,
    /// The item.
    pub item: ItemId,
    /// What it is.
    pub kind: ItemKind,
    /// The kind of work.
    pub work: Work,
    /// The fault behind it.
    pub fault: Option<String>,
    /// Since when.
    #[serde(rename = "since_us")]
    pub since: Stamp,
    /// Whose it is.
    pub fencer: Option<String>,
    /// The item's job that is open now.
    pub job: Option<JobId>,
}

/// How often something occurred.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CountLine {
    /// What is counted: `state`, `item_kind`, `complaint`, `ever` …
    pub of: String,
    /// Which of these.
    pub code: String,
    /// How often.
    pub number: u64,
}

/// A job that is in no lane.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unplaced {
    /// The job.
    pub job: JobId,
    /// `held`, `no_bench` or `no_time`.
    pub why: String,
}

/// What the planner last did.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PlannerView {
    /// The plan knows the journal up to this number.
    pub covers_up_to: Seq,
    /// When it was made.
    #[serde(rename = "made_at_us")]
    pub made_at: Option<Stamp>,
    /// Jobs in no lane.
    pub unplaced: Vec<Unplaced>,
    /// What is wrong with the planner, in one sentence.
    pub trouble: Option<String>,
}

/// A plan: who does what in which order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Plan {
    /// It knows the journal up to this number.
    pub covers_up_to: Seq,
    /// When it was made.
    #[serde(rename = "made_at_us")]
    pub made_at: Option<Stamp>,
    /// A lane a bench.
    pub lanes: Vec<Lane>,
    /// Jobs in no lane.
    pub unplaced: Vec<Unplaced>,
    /// What is wrong with the planner, in one sentence.
    pub trouble: Option<String>,
}

/// What a screen shows, or a change of it. Sections that did not change are absent from a change.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Board {
    /// Shows the journal up to this number.
    pub covers_up_to: Seq,
    /// The server's clock when it was made.
    #[serde(rename = "at_us")]
    pub at: Stamp,
    /// This is everything; what was known before is to be forgotten.
    pub full: bool,
    /// The jobs, by number.
    pub jobs: Vec<JobView>,
    /// Jobs that are no longer shown; only in a change.
    pub removed: Vec<JobId>,
    /// The benches.
    pub benches: Option<Vec<BenchView>>,
    /// The call-outs.
    pub calls: Option<Vec<CallView>>,
    /// The lanes.
    pub lanes: Option<Vec<Lane>>,
    /// What is owed.
    pub owed: Option<Vec<OwedView>>,
    /// The tally.
    pub tally: Option<Vec<CountLine>>,
    /// The planner.
    pub planner: Option<PlannerView>,
}

/// A strip's board, or the counter's.
pub type StripBoard = Board;
/// A bench's board.
pub type BenchBoard = Board;
/// The whole room.
pub type RoomView = Board;

impl Board {
    /// Puts a change into this board. A full one takes its place.
    pub fn apply(&mut self, change: Self) {
        if change.full {
            *self = change;
            self.jobs.sort_by_key(|job| job.job);
            return;
        }
        self.covers_up_to = self.covers_up_to.max(change.covers_up_to);
        self.at = change.at;
        for job in change.jobs {
            match self.jobs.binary_search_by_key(&job.job, |known| known.job) {
                Ok(index) => self.jobs[index] = job,
                Err(index) => self.jobs.insert(index, job),
            }
        }
        self.jobs.retain(|job| !change.removed.contains(&job.job));
        replace(&mut self.benches, change.benches);
        replace(&mut self.calls, change.calls);
        replace(&mut self.lanes, change.lanes);
        replace(&mut self.owed, change.owed);
        replace(&mut self.tally, change.tally);
        replace(&mut self.planner, change.planner);
    }

    /// The job with that number.
    pub fn job(&self, id: JobId) -> Option<&JobView> {
        self.jobs.iter().find(|job| job.job == id)
    }

    /// The lane of that bench.
    pub fn lane(&self, bench: BenchId) -> Option<&Lane> {
        self.lanes.iter().flatten().find(|lane| lane.bench == bench)
    }

    /// How that bench stands.
    pub fn bench(&self, bench: BenchId) -> Option<&BenchView> {
        self.benches.iter().flatten().find(|view| view.bench == bench)
    }
}

fn replace<T>(section: &mut Option<T>, change: Option<T>) {
    if change.is_some() {
        *section = change;
    }
}

/// What is still here, uncollected, missing, confiscated or owed tonight.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NightList {
    /// Shows the journal up to this number.
    pub covers_up_to: Seq,
    /// The server's clock when it was made.
    #[serde(rename = "at_us")]
    pub at: Stamp,
    /// Handed in at a strip and never scanned in.
    pub on_their_way: Vec<JobView>,
    /// In the room and not finished.
    pub unfinished: Vec<JobView>,
    /// Ready, withdrawn or called off, and not collected.
    pub uncollected: Vec<JobView>,
    /// Cannot be found.
    pub missing: Vec<JobView>,
    /// Confiscated; in no other list.
    pub confiscated: Vec<JobView>,
    /// What is owed.
    pub owed: Vec<OwedView>,
    /// What stands in the way of closing the day.
    pub count_problems: Vec<String>,
    /// What was complained of most among these jobs.
    pub complaints: Vec<CountLine>,
}

/// What a search found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Found {
    /// Shows the journal up to this number.
    pub covers_up_to: Seq,
    /// The server's clock.
    #[serde(rename = "at_us")]
    pub at: Stamp,
    /// The jobs.
    pub jobs: Vec<JobView>,
    /// More would have matched.
    pub more: bool,
    /// Tags that are one slip of the finger away, when the text is no live tag.
    pub near_tags: Vec<remise_core::tag::Tag>,
}
