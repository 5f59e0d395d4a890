//! One job: an item's stay, from hand-in until it is back in somebody's hands.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::gear::{self, Complaint, ItemKind, Work};
use crate::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, OwedId, RepairId, Seq, TextId};
use crate::promise::Raw;
use crate::rules::Answer;
use crate::tag::Tag;
use crate::time::{Span, Stamp, Window};
use crate::times::Observation;

use super::words::{HoldReason, Lasting, Need, NoticeKind, OwedEnd, Place, Showed, Spot, State};

/// A job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Job {
    /// Its number.
    pub id: JobId,
    /// The item.
    pub item: ItemId,
    /// What the item is.
    pub kind: ItemKind,
    /// Whose it is: a fencer or a team.
    pub fencer: Option<TextId>,
    /// The name is a team's.
    pub team: bool,
    /// The owner, where that is somebody else.
    pub owner: Option<TextId>,
    /// Who brought it, where that is somebody else.
    pub bringer: Option<TextId>,
    /// The official who handed it in.
    pub official: Option<TextId>,
    /// What the strip saw.
    pub complaint: Complaint,
    /// In the strip's words.
    pub note: Option<TextId>,
    /// Where it came from.
    pub came_from: Spot,
    /// Where it goes back to.
    pub back_to: Spot,
    /// The need said at hand-in; what counts now is [`super::Armoury::need`].
    pub declared: Need,
    /// When it must be back.
    pub wanted_by: Option<Stamp>,
    /// The call-out that it comes from.
    pub call: Option<CallId>,
    /// When it was handed in.
    pub handed_in: Stamp,
    /// When it was handed in by the journal's clock.
    pub recorded: Stamp,
    /// Hold, when work on it stands still.
    pub hold: Option<Hold>,
    /// The head's hold that a confiscation covers; it counts again when the referee's is lifted.
    #[serde(default)]
    pub held_before: Option<Hold>,
    /// The bench that it is kept for.
    pub pinned: Option<BenchId>,
    /// The first promise said for it.
    pub first_promise: Option<Promise>,
    /// The newest promise said for it.
    pub promise: Option<Promise>,
    /// The newest notice sent about it.
    pub notice: Option<Notice>,
    /// When the item left the armoury's hands; none while it is here.
    #[serde(default)]
    pub left: Option<Stamp>,
    /// What was done under its tag.
    pub course: Course,
    /// The newest event that touched it.
    pub changed: Seq,
}

/// What was done under a tag: the part of a job that moves to the other item when two tags were on each
/// other's items.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Course {
    /// The tag tied to it.
    pub tag: Option<Tag>,
    /// Where it stands.
    pub state: State,
    /// Where the item is.
    pub place: Place,
    /// The bench that works on it, or worked on it last.
    pub bench: Option<BenchId>,
    /// What checks showed.
    pub findings: Vec<Finding>,
    /// What instruments showed, oldest first.
    #[serde(default)]
    pub sightings: Vec<Sighting>,
    /// What was done.
    pub repairs: Vec<Repair>,
    /// Checks of the proof, in order; the newest of a check counts. Voided ones are gone.
    pub proof: Vec<ProofEntry>,
    /// Nothing was found wrong.
    pub no_fault: bool,
    /// The fault lies elsewhere, there.
    pub elsewhere: Option<TextId>,
    /// Dry from then on, when it is curing.
    pub dry_at: Option<Stamp>,
    /// When it was ready, withdrawn or called off.
    pub ended: Option<Stamp>,
    /// Where it stood when it went missing.
    pub lost_from: Option<State>,
    /// The head's reason for letting it go without a complete proof.
    pub anyway: Option<TextId>,
    /// Hands-on clock.
    pub clock: WorkClock,
    /// What it taught about repair times, so that a correction can undo it.
    pub taught: Vec<Taught>,
    /// Its record is mixed with another item's: it teaches no times.
    pub mixed: bool,
}

/// What a stay taught about repair times.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Taught {
    /// The repair that taught it; none for work that a bench let go of unfinished.
    pub repair: Option<RepairId>,
    /// What was learned.
    pub seen: Observation,
}

/// Hands-on time: runs while a bench has the item in hand.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorkClock {
    /// Hands-on time of the whole stay before `since`.
    pub before: Span,
    /// Of that, what the last repair had already counted.
    pub counted: Span,
    /// Running since then.
    pub since: Option<Stamp>,
    /// The bench that has it in hand, or had it last.
    pub bench: Option<BenchId>,
    /// When the last repair was recorded.
    pub counted_at: Option<Stamp>,
    /// The stretches since the last repair, each with its bench, the running one not among them.
    pub stretches: Vec<(BenchId, Window)>,
}

impl WorkClock {
    /// Hands-on time of the stay up to `now`.
    pub fn total(&self, now: Stamp) -> Span {
        self.before + self.since.map_or(Span::ZERO, |since| now.since(since))
    }

    /// Hands-on time since the last repair.
    pub fn since_last(&self, now: Stamp) -> Span {
        Span((self.total(now).0 - self.counted.0).max(0))
    }

    /// Starts it at a bench.
    pub fn start(&mut self, now: Stamp, bench: BenchId) {
        if self.since.is_none() {
            self.since = Some(now);
        }
        self.bench = Some(bench);
    }

    /// Stops it.
    pub fn stop(&mut self, now: Stamp) {
        self.before = self.total(now);
        self.stretches.extend(self.running(now));
        self.since = None;
    }

    /// A repair was recorded: what comes after it is counted from here.
    pub fn count(&mut self, now: Stamp) {
        self.counted = self.total(now);
        self.counted_at = Some(now);
        self.stretches.clear();
    }

    /// The stretch that runs, since the last repair.
    pub fn running(&self, now: Stamp) -> Option<(BenchId, Window)> {
        let since = self.since?;
        let from = self.counted_at.map_or(since, |counted| since.or_later(counted));
        Some((self.bench?, Window { from, to: now })).filter(|(_, window)| window.from < window.to)
    }
}

/// Why work stands still.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hold {
    /// The reason.
    pub reason: HoldReason,
    /// More of it.
    pub note: Option<TextId>,
    /// Since when.
    pub since: Stamp,
}

/// A promised time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Promise {
    /// Ready by then in half of all cases.
    pub likely: Stamp,
    /// Ready by then in nine cases of ten, when an honest figure exists.
    pub safe: Option<Stamp>,
    /// When it was said.
    pub said: Stamp,
    /// What the draws gave, before the correction.
    #[serde(default)]
    pub raw: Option<Raw>,
}

/// A notice to a strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Notice {
    /// Its number.
    pub id: NoticeId,
    /// What it tells.
    pub what: NoticeKind,
    /// To whom.
    pub to: Spot,
    /// When it was sent.
    pub sent: Stamp,
    /// When the strip confirmed it.
    pub confirmed: Option<Stamp>,
    /// Nobody confirmed it in time; the head sees it.
    pub raised: bool,
}

/// What a check showed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finding {
    /// Its number.
    pub id: FindingId,
    /// The possible fault, by its code in [`crate::gear`].
    pub fault: String,
    /// What showed.
    pub showed: Showed,
    /// More of it.
    pub note: Option<TextId>,
}

/// What lamp, meter or box showed while something was done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sighting {
    /// Its number.
    pub id: FindingId,
    /// As [`crate::guide::Finding::code`] writes it.
    pub seen: String,
}

/// A repair.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Repair {
    /// Its number.
    pub id: RepairId,
    /// The kind of work.
    pub work: Work,
    /// The fault that it mended.
    pub fault: Option<String>,
    /// Whether it lasts.
    pub lasting: Lasting,
    /// Hands-on time.
    pub hands_on: Span,
}

/// One check of the proof.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProofEntry {
    /// The check, by its code in [`crate::rules`].
    pub check: String,
    /// What was read.
    pub answer: Answer,
    /// Whether it passed.
    pub pass: bool,
}

/// A lasting repair that a stop-gap left to be done. Belongs to the item, not to the stay.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Owed {
    /// Its number.
    pub id: OwedId,
    /// The kind of work.
    pub work: Work,
    /// The fault behind it.
    pub fault: Option<String>,
    /// Since when.
    pub since: Stamp,
    /// How it ended.
    pub ended: Option<OwedEnd>,
    /// The repair that ended it, when one did.
    pub by: Option<RepairId>,
}

/// An item, for life.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Item {
    /// Its number.
    pub id: ItemId,
    /// What it is.
    pub kind: ItemKind,
    /// Whose it is.
    pub fencer: Option<TextId>,
    /// Its stays, oldest first.
    pub stays: Vec<JobId>,
    /// What is owed on it.
    pub owed: Vec<Owed>,
    /// It is not fit for use.
    pub withdrawn: bool,
}

impl Owed {
    /// Newly owed.
    pub fn of(id: OwedId, work: Work, fault: Option<String>, since: Stamp) -> Self {
        Self { id, work, fault, since, ended: None, by: None }
    }

    /// Whether it is the same work on the same fault.
    pub fn is_like(&self, other: &Self) -> bool {
        (self.work, &self.fault) == (other.work, &other.fault)
    }
}

impl Item {
    /// What is still owed on it.
    pub fn still_owed(&self) -> impl Iterator<Item = &Owed> {
        self.owed.iter().filter(|owed| owed.ended.is_none())
    }
}

impl Job {
    /// Where it stands.
    pub fn state(&self) -> State {
        self.course.state
    }

    /// Whether the item still has to be handed back: it is ready, withdrawn or called off and lies here.
    pub fn awaits_hand_back(&self) -> bool {
        matches!(self.state(), State::Ready | State::Withdrawn | State::CalledOff)
    }

    /// Whether somebody still has to work on it.
    pub fn awaits_work(&self) -> bool {
        matches!(self.state(), State::OnItsWay | State::Waiting | State::OnBench | State::Curing)
    }

    /// The kinds of work that were done on it in this stay.
    pub fn works(&self) -> BTreeSet<Work> {
        self.course.repairs.iter().map(|repair| repair.work).collect()
    }

    /// The kinds of work that it may need: those that its complaint may lead to, and those that mend what was
    /// found.
    pub fn may_need(&self) -> BTreeSet<Work> {
        let found = self.course.findings.iter().filter(|finding| finding.showed == Showed::Present);
        let found = found.filter_map(|finding| gear::fault(&finding.fault)).map(|fault| fault.work);
        gear::works(self.kind, self.complaint).iter().map(|(work, _)| *work).chain(found).collect()
    }

    /// Whether anything was checked of what may be wrong with it.
    pub fn is_checked(&self) -> bool {
        !self.course.findings.is_empty() || !self.course.sightings.is_empty()
    }

    /// Whether the item lies inside the armoury under a tag, where a count must find it.
    pub fn is_counted(&self) -> bool {
        self.state() != State::OnItsWay && self.course.tag.is_some() && self.course.place.in_room()
    }

    /// The newest entry for a check of the proof.
    pub fn proved(&self, check: &str) -> Option<&ProofEntry> {
        self.course.proof.iter().rev().find(|entry| entry.check == check)
    }

    /// Whether it is confiscated.
    pub fn is_confiscated(&self) -> bool {
        self.hold.is_some_and(|hold| hold.reason == HoldReason::Confiscated)
    }
}
