//! What the armoury knows at one moment. Immutable maps with cheap copies: a batch of commands is decided on a
//! private copy, and readers keep the published one for as long as they like.

use std::sync::Arc;

use imbl::{OrdMap, OrdSet};
use serde::{Deserialize, Serialize};

use crate::gear::ItemKind;
use crate::ids::{BenchId, CallId, ItemId, JobId, NoticeId, Seq, StripId, TextId};
use crate::promise::Kept;
use crate::tag::Tag;
use crate::text;
use crate::time::{Stamp, Window};
use crate::times::Learned;
use crate::venue::Venue;

use super::job::{Item, Job};
use super::words::{Need, Place, State};

/// How many closed jobs are kept at hand; the oldest job goes first. A busy day's worth.
pub const CLOSED_KEPT: usize = 500;

/// The state of the armoury after a journal number.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Armoury {
    /// The newest event applied.
    pub head: Seq,
    /// When that was recorded.
    pub at: Stamp,
    /// The tournament.
    pub venue: Option<Arc<Venue>>,
    /// The jobs whose items are not back in somebody's hands.
    pub jobs: OrdMap<JobId, Arc<Job>>,
    /// The jobs that left last, as they were when they left: a hand-back noted by mistake is put right. At most
    /// [`CLOSED_KEPT`].
    #[serde(default)]
    pub closed: OrdMap<JobId, Arc<Job>>,
    /// The jobs that are here by whose they are, for those whose it is known.
    pub jobs_of: OrdSet<(TextId, JobId)>,
    /// Every item that was ever here.
    pub items: OrdMap<ItemId, Arc<Item>>,
    /// The items on which something is still owed: few of all that were ever here.
    pub owing: OrdSet<ItemId>,
    /// Tags in use.
    pub tags: OrdMap<Tag, JobId>,
    /// What fencers have working.
    pub kits: OrdMap<TextId, Arc<Kit>>,
    /// The benches as they are now.
    pub benches: OrdMap<BenchId, BenchState>,
    /// Call-outs that are not over.
    pub calls: OrdMap<CallId, Arc<CallOut>>,
    /// Notices that nobody confirmed yet.
    pub notices: OrdMap<NoticeId, JobId>,
    /// What was counted at each place since the day was opened.
    pub counts: Vec<Count>,
    /// Sums over closed jobs.
    pub tally: Tally,
    /// Learned repair times.
    pub learned: Learned,
    /// Promises and what became of them.
    #[serde(default)]
    pub kept: Kept,
    /// Names and free text, kept apart from everything above: never part of a snapshot.
    #[serde(skip)]
    pub(super) texts: OrdMap<TextId, Arc<str>>,
    #[serde(skip)]
    pub(super) names: OrdMap<Arc<str>, TextId>,
    /// Number of the newest text row.
    pub last_text: TextId,
}

/// What one fencer has working, by kind.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kit {
    /// Out of the competition.
    pub out: bool,
    /// Working items of a kind: 0, 1, or 2 for two or more. Absent: nobody said.
    pub working: std::collections::BTreeMap<ItemKind, u8>,
    /// What is on loan to the fencer, by kind.
    #[serde(default)]
    pub lent: std::collections::BTreeMap<ItemKind, u8>,
}

/// One bench now.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BenchState {
    /// Opened (`true`) or closed (`false`) by the head against its hours.
    pub forced: Option<bool>,
    /// Closed by the head from then on.
    #[serde(default)]
    pub closes_at: Option<Stamp>,
    /// Unattended until then.
    pub away_until: Option<Stamp>,
    /// The job in hand.
    pub job: Option<JobId>,
    /// The job in hand is interrupted.
    pub interrupted: bool,
    /// The call-out that its armourer is on.
    pub call: Option<CallId>,
}

impl BenchState {
    /// Whether the head's word keeps it closed at that time.
    pub fn is_kept_closed(&self, at: Stamp) -> bool {
        self.forced == Some(false) || self.closes_at.is_some_and(|closes| closes <= at)
    }
}

/// Where a call-out stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CallState {
    /// Somebody is on the way.
    Called,
    /// Somebody is there.
    AtStrip,
}

/// A call-out to a stopped strip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CallOut {
    /// Its number.
    pub id: CallId,
    /// The strip.
    pub strip: StripId,
    /// What was said.
    pub note: Option<TextId>,
    /// Who was sent.
    pub bench: BenchId,
    /// Promised arrival.
    pub arrival: Stamp,
    /// When it was called.
    pub called: Stamp,
    /// Where it stands.
    pub state: CallState,
}

/// One place as it was counted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Count {
    /// The place.
    pub place: Place,
    /// The tags that lay there.
    pub tags: Vec<Tag>,
    /// Recorded then.
    pub at: Seq,
}

/// Sums over jobs that are over.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tally {
    /// Jobs ever opened.
    pub opened: u64,
    /// Handed back mended or found sound.
    pub returned: u64,
    /// Handed back unfit for use.
    pub withdrawn: u64,
    /// Handed back without work.
    pub called_off: u64,
    /// Found missing and not found again.
    pub gone: u64,
    /// Days closed.
    pub days_closed: u64,
}

/// Whether a text is somebody's name or a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TextClass {
    /// A person's or a team's name: one row for each name.
    Person,
    /// Free text.
    Note,
}

/// A new row of the names table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewText {
    /// Its number.
    pub id: TextId,
    /// Name or note.
    pub class: TextClass,
    /// The text.
    pub text: String,
}

impl Tally {
    /// The sum that a job which ends in that state counts for.
    pub(super) fn of(&mut self, state: State) -> &mut u64 {
        match state {
            State::Ready => &mut self.returned,
            State::Withdrawn => &mut self.withdrawn,
            State::CalledOff => &mut self.called_off,
            _ => &mut self.gone,
        }
    }
}

impl Armoury {
    /// An armoury in which nothing has happened.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in a row of the names table. Rows come before the events that refer to them.
    pub fn learn_text(&mut self, row: &NewText) {
        self.last_text = self.last_text.max(row.id);
        self.texts.insert(row.id, Arc::from(row.text.as_str()));
        if row.class == TextClass::Person {
            self.names.insert(text::folded(&row.text).into(), row.id);
        }
    }

    /// The text of a row; `(forgotten)` when it is no longer there.
    pub fn text(&self, id: TextId) -> &str {
        self.texts.get(&id).map_or("(forgotten)", |text| text)
    }

    /// The row of a person's name, however it is spelt.
    pub fn person(&self, name: &str) -> Option<TextId> {
        self.names.get(text::folded(name).as_str()).copied()
    }

    /// People's names with their rows, in alphabetical order of their folded form.
    pub fn people(&self) -> impl Iterator<Item = (&str, TextId)> {
        self.names.iter().map(|(name, id)| (&**name, *id))
    }

    /// The job with that number.
    pub fn job(&self, id: JobId) -> Option<&Arc<Job>> {
        self.jobs.get(&id)
    }

    /// The fencer's or team's jobs, by number.
    pub fn jobs_of(&self, fencer: TextId) -> impl Iterator<Item = &Arc<Job>> {
        let theirs = self.jobs_of.range((fencer, JobId(0))..=(fencer, JobId(u64::MAX)));
        theirs.filter_map(|(_, job)| self.jobs.get(job))
    }

    /// The items on which something is still owed, by number.
    pub fn owing(&self) -> impl Iterator<Item = &Arc<Item>> {
        self.owing.iter().filter_map(|item| self.items.get(item))
    }

    /// Lists a job by its tag and by whose it is.
    pub(super) fn list(&mut self, job: &Job) {
        if let Some(tag) = job.course.tag {
            self.tags.insert(tag, job.id);
        }
        if let Some(fencer) = job.fencer {
            self.jobs_of.insert((fencer, job.id));
        }
    }

    /// Takes a job off those lists.
    pub(super) fn unlist(&mut self, job: &Job) {
        if let Some(tag) = job.course.tag {
            self.tags.remove(&tag);
        }
        if let Some(fencer) = job.fencer {
            self.jobs_of.remove(&(fencer, job.id));
        }
    }

    /// What the fencer has working of the job's kind now.
    pub fn need(&self, job: &Job) -> Need {
        if job.kind.is_apparatus() {
            return job.declared;
        }
        let Some(kit) = job.fencer.and_then(|fencer| self.kits.get(&fencer)) else {
            return job.declared;
        };
        if kit.out {
            return Need::Out;
        }
        match kit.working.get(&job.kind) {
            Some(0) => Need::NoneLeft,
            Some(1) => Need::OneLeft,
            Some(_) => Need::TwoOrMore,
            // Back in the competition, and nobody has said what works: better too early than too late.
            None if job.declared == Need::Out => Need::NoneLeft,
            None => job.declared,
        }
    }

    /// The bench as it is now.
    pub fn bench(&self, id: BenchId) -> BenchState {
        self.benches.get(&id).copied().unwrap_or_default()
    }

    /// Whether somebody may work at the bench at that time.
    pub fn bench_is_open(&self, id: BenchId, at: Stamp) -> bool {
        self.open_windows(id, at).any(|window| window.contains(at))
    }

    /// When somebody may work at the bench from that time on, ascending and apart: its hours, or the head's word
    /// against them. A window that is running may have begun before.
    pub fn open_windows(&self, id: BenchId, from: Stamp) -> impl Iterator<Item = Window> {
        let known = self.venue.as_ref().and_then(|venue| venue.bench(id));
        let (state, end) = (self.bench(id), Stamp(i64::MAX));
        let always = known.filter(|_| state.forced == Some(true)).map(|_| Window { from, to: end });
        let hours = known.filter(|_| state.forced.is_none()).map_or(&[][..], |bench| &bench.open);
        let closes = state.closes_at.unwrap_or(end);
        let cut = move |window: Window| Window { to: window.to.min(closes), ..window };
        let windows = always.into_iter().chain(hours.iter().copied()).map(cut);
        windows.filter(move |window| window.from < window.to && from < window.to)
    }

    /// Jobs in a state, by number.
    pub fn jobs_in(&self, state: State) -> impl Iterator<Item = &Arc<Job>> {
        self.jobs.values().filter(move |job| job.state() == state)
    }
}
