//! One job as screens show it.

use remise_core::armoury::{HoldReason, Need, NoticeKind, Place, Spot, State};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::{BenchId, CallId, ItemId, JobId, NoticeId, OwedId, Seq};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp};
use serde::Serialize;

/// A time that was, or would be, said: ready in the armoury by then.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct ReadyBy {
    /// In half of all cases.
    #[serde(rename = "likely_us")]
    pub likely: Stamp,
    /// In nine cases of ten, where an honest figure exists.
    #[serde(rename = "safe_us")]
    pub safe: Option<Stamp>,
    /// When it was said; a plan is not said to anybody.
    #[serde(rename = "said_us")]
    pub said: Option<Stamp>,
}

/// Why work on a job stands still.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct HoldView {
    /// The reason.
    pub reason: HoldReason,
    /// More of it.
    pub note: Option<String>,
    /// Since when.
    #[serde(rename = "since_us")]
    pub since: Stamp,
}

/// A notice to a strip or the counter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct NoticeView {
    /// Its number.
    pub notice: NoticeId,
    /// What it tells.
    pub kind: NoticeKind,
    /// To whom.
    pub to: Spot,
    /// When it was sent.
    #[serde(rename = "sent_us")]
    pub sent: Stamp,
    /// When it was confirmed.
    #[serde(rename = "confirmed_us")]
    pub confirmed: Option<Stamp>,
    /// Nobody confirmed it in time.
    pub raised: bool,
}

/// One job. Names and notes are absent for observers.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct JobView {
    /// Its number.
    pub job: JobId,
    /// The item's number for life.
    pub item: ItemId,
    /// The tag that is tied to it.
    pub tag: Option<Tag>,
    /// What the item is.
    pub kind: ItemKind,
    /// What the strip saw.
    pub complaint: Complaint,
    /// In the strip's words.
    pub note: Option<String>,
    /// Whose it is: a fencer or a team.
    pub fencer: Option<String>,
    /// The name is a team's.
    pub team: bool,
    /// The owner, where that is somebody else.
    pub owner: Option<String>,
    /// Who brought it, where that is somebody else.
    pub bringer: Option<String>,
    /// The official who handed it in.
    pub official: Option<String>,
    /// Where it came from.
    pub came_from: Spot,
    /// Where it goes back to.
    pub back_to: Spot,
    /// What the fencer still has working of that kind, as it counts now.
    pub need: Need,
    /// Where it stands.
    pub state: State,
    /// Where the item is.
    pub place: Place,
    /// The bench that works on it, or worked on it last.
    pub bench: Option<BenchId>,
    /// When it must be back.
    #[serde(rename = "wanted_by_us")]
    pub wanted_by: Option<Stamp>,
    /// When it was handed in.
    #[serde(rename = "handed_in_us")]
    pub handed_in: Stamp,
    /// The first promise said for it: ready in the armoury; a strip adds its walk.
    pub first_promise: Option<ReadyBy>,
    /// The newest promise said for it.
    pub promise: Option<ReadyBy>,
    /// From the newest plan.
    pub planned: Option<ReadyBy>,
    /// Why work stands still.
    pub hold: Option<HoldView>,
    /// Kept for this bench.
    pub pinned: Option<BenchId>,
    /// The newest notice about it.
    pub notice: Option<NoticeView>,
    /// Dry from then on, when it is curing.
    #[serde(rename = "dry_at_us")]
    pub dry_at: Option<Stamp>,
    /// Hands-on time, without the stretch that is running.
    #[serde(rename = "hands_on_us")]
    pub hands_on: Span,
    /// The hands-on clock has been running since then.
    #[serde(rename = "in_hand_since_us")]
    pub in_hand_since: Option<Stamp>,
    /// Repairs owed on the item.
    pub owed: Vec<OwedId>,
    /// Call-out that it comes from.
    pub call: Option<CallId>,
    /// Newest event that touched it.
    pub changed: Seq,
    /// The examination found nothing wrong.
    pub no_fault: bool,
    /// When it became ready, withdrawn or called off.
    #[serde(rename = "ended_us")]
    pub ended: Option<Stamp>,
    /// Earlier stays of the same item.
    pub earlier_stays: u32,
}

impl JobView {
    /// Hands-on time up to `now`.
    pub fn hands_on_at(&self, now: Stamp) -> Span {
        self.in_hand_since.map_or(self.hands_on, |since| self.hands_on + now.since(since))
    }
}
