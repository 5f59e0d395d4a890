//! The things themselves: what is truly the matter with each, which tag hangs on it, and where it has got to. The
//! server knows none of this.

use std::collections::BTreeMap;

use remise_core::armoury::{Need, Spot, Wanted};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::JobId;
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp};

use crate::day::{Collection, HandInPlan, Quirks, SwappedUnit, TrueState};

/// Number of a thing in the day.
pub type ThingId = usize;

/// One thing.
#[derive(Clone, Debug)]
pub struct Thing {
    /// What it is.
    pub kind: ItemKind,
    /// What the strip says.
    pub complaint: Complaint,
    /// What is truly the matter.
    pub truth: TrueState,
    /// Where it comes from and goes back to.
    pub spot: Spot,
    /// Whose it is.
    pub fencer: Option<String>,
    /// Who hands it in.
    pub official: Option<String>,
    /// What still works.
    pub need: Need,
    /// When it is wanted.
    pub wanted: Wanted,
    /// When nobody wants it mended any more.
    pub call_off: Option<Stamp>,
    /// What people do with it.
    pub quirks: Quirks,
    /// The job that the server opened for it.
    pub job: Option<JobId>,
    /// The tag that is typed for it.
    pub written: Tag,
    /// The tag that hangs on it.
    pub tag: Tag,
    /// It was scanned into the room.
    pub scanned: bool,
    /// Where the work on it has got to.
    pub progress: Progress,
    /// It has left the armoury, whoever knows.
    pub left: bool,
}

impl Thing {
    /// It lies in the room and nobody has worked on it.
    pub fn lies_untouched(&self) -> bool {
        self.scanned && !self.left && self.progress == Progress::Untouched
    }
}

/// Where the work on a thing has got to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Progress {
    /// Nothing was done.
    Untouched,
    /// Glue was put on; what comes after curing is to be done.
    Glued,
    /// It works.
    Sound,
}

/// All things of a day.
#[derive(Debug, Default)]
pub struct Things {
    all: Vec<Thing>,
    by_tag: BTreeMap<Tag, ThingId>,
}

impl Things {
    /// A thing that will be handed in.
    pub fn add(&mut self, plan: &HandInPlan) -> ThingId {
        self.put(Thing {
            kind: plan.kind,
            complaint: plan.complaint,
            truth: plan.truth.clone(),
            spot: plan.spot,
            fencer: plan.fencer.clone(),
            official: plan.official.clone(),
            need: plan.need,
            wanted: plan.wanted.clone(),
            call_off: plan.call_off,
            quirks: plan.quirks,
            job: None,
            written: self.next_tag(),
            tag: self.next_tag(),
            scanned: false,
            progress: Progress::Untouched,
            left: false,
        })
    }

    /// Apparatus that was swapped out of a strip; the armourer brings it along.
    pub fn add_swapped(&mut self, unit: &SwappedUnit, job: JobId, walk: Span) -> ThingId {
        self.put(Thing {
            kind: unit.kind,
            complaint: Complaint::Other,
            truth: unit.truth.clone(),
            spot: Spot::Counter,
            fencer: None,
            official: None,
            need: Need::TwoOrMore,
            wanted: Wanted::Open,
            call_off: None,
            quirks: Quirks {
                scan_after: walk,
                confirm_after: Span::minutes(1),
                collect_after: Span::minutes(5),
                collection: Collection::HandedBack,
            },
            job: Some(job),
            written: self.next_tag(),
            tag: self.next_tag(),
            scanned: false,
            progress: Progress::Untouched,
            left: false,
        })
    }

    fn put(&mut self, thing: Thing) -> ThingId {
        let id = self.all.len();
        self.by_tag.insert(thing.tag, id);
        self.all.push(thing);
        id
    }

    /// Tags come off the pad in order, and from the front again when it is used up.
    fn next_tag(&self) -> Tag {
        let body = u16::try_from(self.all.len() % 9_999 + 1).unwrap_or(1);
        Tag::issue(body).expect("1 to 9999 are bodies of tags")
    }

    /// Hangs each one's tag on the other.
    pub fn swap_tags(&mut self, a: ThingId, b: ThingId) {
        let (first, second) = (self.all[a].tag, self.all[b].tag);
        self.all[a].tag = second;
        self.all[b].tag = first;
        self.by_tag.insert(second, a);
        self.by_tag.insert(first, b);
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// The thing that a tag hangs on.
    pub fn with_tag(&self, tag: Tag) -> Option<ThingId> {
        self.by_tag.get(&tag).copied()
    }

    /// One thing.
    pub fn get(&self, id: ThingId) -> &Thing {
        &self.all[id]
    }

    /// One thing, to be changed.
    pub fn get_mut(&mut self, id: ThingId) -> &mut Thing {
        &mut self.all[id]
    }
}
