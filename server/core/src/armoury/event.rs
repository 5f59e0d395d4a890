//! Events: what happened. Each is a plain struct with a stable `kind` and a version; the journal keeps them as
//! JSON text. Meanings never change: a new meaning is a new kind or a new version with an upcaster.
//!
//! No event carries a name or free text, only the number of a row in the names table. No event carries a float.

#![expect(missing_docs, reason = "fields carry their meaning in name and type; what needs more has it")]

use serde::{Deserialize, Serialize};

use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, OwedId, RepairId, StripId, TextId};
use crate::rules::Answer;
use crate::tag::Tag;
use crate::time::{Span, Stamp};
use crate::venue::Venue;

use super::words::{HoldReason, Lasting, Need, NoticeKind, OwedEnd, Place, Showed, Spot};

macro_rules! events {
    ($($(#[$doc:meta])* $name:ident = $kind:literal, $v:literal { $($(#[$fdoc:meta])* $field:ident : $ty:ty,)* })*) => {
        $(
            $(#[$doc])*
            #[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
            pub struct $name { $($(#[$fdoc])* pub $field: $ty,)* }
        )*

        /// Everything that can happen.
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub enum Event { $($(#[$doc])* $name($name),)* }

        $(impl From<$name> for Event { fn from(event: $name) -> Self { Self::$name(event) } })*

        impl Event {
            /// Every kind with the version written today.
            pub const KINDS: &'static [(&'static str, u16)] = &[$(($kind, $v),)*];

            /// Stable name of its kind.
            pub fn kind(&self) -> &'static str { match self { $(Self::$name(_) => $kind,)* } }

            /// Version of its layout.
            pub fn version(&self) -> u16 { match self { $(Self::$name(_) => $v,)* } }

            pub(super) fn write_body(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
                match self { $(Self::$name(event) => serde_json::to_writer(out, event),)* }
            }

            pub(super) fn from_body(kind: &str, json: &str) -> Option<Result<Self, serde_json::Error>> {
                match kind { $($kind => Some(serde_json::from_str(json).map(Self::$name)),)* _ => None }
            }
        }
    };
}

events! {
    /// The tournament was opened, or its file replaced.
    VenueSet = "venue_set", 1 {
        /// The tournament.
        venue: Venue,
    }
    /// An item was handed in. Its number in the journal is the job's number.
    HandedIn = "handed_in", 1 {
        /// The item's number for life; this event's own number when it is new.
        item: ItemId,
        /// What it is.
        item_kind: ItemKind,
        /// Whose it is: a fencer or a team.
        fencer: Option<TextId>,
        /// The name is a team's.
        team: bool,
        /// The owner, where that is somebody else.
        owner: Option<TextId>,
        /// Who brought it, where that is somebody else.
        bringer: Option<TextId>,
        /// The official who handed it in.
        official: Option<TextId>,
        /// What the strip saw.
        complaint: Complaint,
        /// In the strip's words.
        note: Option<TextId>,
        /// Where it came from.
        came_from: Spot,
        /// Where it goes back to.
        back_to: Spot,
        /// What the fencer still has working.
        need: Need,
        /// When it must be back.
        wanted_by: Option<Stamp>,
        /// The tag tied to it.
        tag: Option<Tag>,
        /// It was in the room at once.
        in_room: bool,
        /// The call-out that it comes from.
        call: Option<CallId>,
    }
    /// It was scanned into the room.
    ScannedIn = "scanned_in", 1 { job: JobId, tag: Tag, }
    /// An unknown item was claimed.
    Claimed = "claimed", 1 { job: JobId, fencer: TextId, }
    /// The fencer is out of the competition.
    FencerWentOut = "fencer_went_out", 1 { fencer: TextId, }
    /// The fencer is in it after all.
    FencerCameIn = "fencer_came_in", 1 { fencer: TextId, }
    /// Something was lent to the fencer.
    Lent = "lent", 1 { fencer: TextId, item_kind: ItemKind, }
    /// The loan came back.
    LoanCameBack = "loan_came_back", 1 { fencer: TextId, item_kind: ItemKind, }

    /// A strip stands still and somebody was sent. Its number in the journal is the call's number.
    CalledOut = "called_out", 1 {
        strip: StripId,
        note: Option<TextId>,
        /// Who was sent.
        bench: BenchId,
        /// When they should be there.
        arrival: Stamp,
    }
    /// The armourer is at the strip.
    StripReached = "strip_reached", 1 { call: CallId, }
    /// Somebody else was sent.
    Redirected = "redirected", 1 { call: CallId, bench: BenchId, arrival: Stamp, }
    /// The strip runs again.
    RanAgain = "ran_again", 1 { call: CallId, stock: Option<TextId>, note: Option<TextId>, }

    /// A bench took the job.
    Taken = "taken", 1 { job: JobId, bench: BenchId, }
    /// It was put back among the waiting.
    PutBack = "put_back", 1 { job: JobId, note: Option<TextId>, }
    /// It was passed on to another bench.
    PassedOn = "passed_on", 1 { job: JobId, bench: BenchId, note: Option<TextId>, }
    /// The head took it over from a bench.
    TakenOver = "taken_over", 1 { job: JobId, bench: Option<BenchId>, reason: TextId, }
    /// Work in hand was interrupted.
    Interrupted = "interrupted", 1 { job: JobId, bench: BenchId, }
    /// Work went on.
    Resumed = "resumed", 1 { job: JobId, bench: BenchId, }
    /// The bench is unattended.
    BenchAway = "bench_away", 1 { bench: BenchId, until: Stamp, }
    /// The armourer is back.
    BenchBack = "bench_back", 1 { bench: BenchId, }

    /// A check showed something of one possible fault. Its number in the journal is the finding's number.
    Found = "found", 1 { job: JobId, fault: String, showed: Showed, note: Option<TextId>, }
    /// Lamp, meter or box showed something while something was done. Its number in the journal is the finding's number.
    Saw = "saw", 1 {
        job: JobId,
        /// As [`crate::guide::Finding::code`] writes it.
        seen: String,
    }
    /// A repair was done. Its number in the journal is the repair's number, and, for a stop-gap, the number of what is owed.
    Repaired = "repaired", 1 {
        job: JobId,
        work: Work,
        fault: Option<String>,
        lasting: Lasting,
        /// Hands-on time since the last take or repair, interruptions cut out.
        hands_on: Span,
    }
    /// It was laid to cure.
    CuringBegan = "curing_began", 1 { job: JobId, until: Stamp, }
    /// It was found dry before its time.
    FoundDry = "found_dry", 1 { job: JobId, }
    /// Nothing was wrong with it.
    NoFault = "no_fault", 1 { job: JobId, }
    /// The fault lies elsewhere.
    FaultElsewhere = "fault_elsewhere", 1 { job: JobId, place: TextId, }
    /// One check of the proof.
    Proved = "proved", 1 { job: JobId, check: String, answer: Answer, pass: bool, }
    /// It is ready.
    MadeReady = "made_ready", 1 {
        job: JobId,
        /// The head's reason, when the proof was not complete.
        anyway: Option<TextId>,
        /// Hands-on time of the whole stay.
        hands_on: Span,
    }
    /// It is not fit for use.
    Withdrawn = "withdrawn", 1 { job: JobId, reason: TextId, }

    /// A notice went out. Its number in the journal is the notice's number.
    NoticeSent = "notice_sent", 1 { job: JobId, to: Spot, what: NoticeKind, }
    /// The strip confirmed it.
    NoticeConfirmed = "notice_confirmed", 1 { job: JobId, notice: NoticeId, }
    /// Nobody confirmed it in time: the head sees it.
    NoticeRaised = "notice_raised", 1 { job: JobId, notice: NoticeId, }
    /// It was handed back to somebody.
    HandedBack = "handed_back", 1 { job: JobId, to: TextId, }
    /// It goes back to somewhere else.
    BackToChanged = "back_to_changed", 1 { job: JobId, to: Spot, }
    /// It is wanted at another time.
    WantedByChanged = "wanted_by_changed", 1 { job: JobId, wanted_by: Option<Stamp>, }
    /// What still works was said anew.
    NeedSet = "need_set", 1 { job: JobId, need: Need, }
    /// Nobody wants it mended any more.
    CalledOff = "called_off", 1 { job: JobId, reason: TextId, }

    /// It cannot be found.
    WentMissing = "went_missing", 1 { job: JobId, note: Option<TextId>, }
    /// It was found.
    FoundAgain = "found_again", 1 { job: JobId, place: Place, }
    /// It was collected unwitnessed.
    CollectedUnseen = "collected_unseen", 1 { job: JobId, note: Option<TextId>, }

    /// Work on it stands still.
    Held = "held", 1 { job: JobId, reason: HoldReason, note: Option<TextId>, }
    /// Work may go on.
    Released = "released", 1 { job: JobId, note: Option<TextId>, }
    /// It is kept for a bench, or for none.
    Pinned = "pinned", 1 { job: JobId, bench: Option<BenchId>, }
    /// A bench was opened outside its hours.
    BenchOpened = "bench_opened", 1 { bench: BenchId, }
    /// A bench was closed.
    BenchClosed = "bench_closed", 1 { bench: BenchId, }
    /// A bench is to close at a later time.
    BenchToClose = "bench_to_close", 1 { bench: BenchId, at: Stamp, }
    /// What was owed ended.
    OwedEnded = "owed_ended", 1 {
        item: ItemId,
        owed: OwedId,
        how: OwedEnd,
        /// The repair that ended it, so that striking the repair makes it owed again.
        by: Option<RepairId>,
    }

    /// The kind or complaint was wrong.
    KindCorrected = "kind_corrected", 1 { job: JobId, item_kind: ItemKind, complaint: Complaint, note: Option<TextId>, }
    /// The item was another one.
    ItemCorrected = "item_corrected", 1 { job: JobId, item: ItemId, note: Option<TextId>, }
    /// The places were wrong.
    SpotsCorrected = "spots_corrected", 1 { job: JobId, came_from: Spot, back_to: Spot, note: Option<TextId>, }
    /// The bench was another one.
    BenchCorrected = "bench_corrected", 1 { job: JobId, bench: BenchId, note: Option<TextId>, }
    /// A finding was wrong.
    FindingStruck = "finding_struck", 1 { job: JobId, finding: FindingId, note: Option<TextId>, }
    /// A repair was not done.
    RepairStruck = "repair_struck", 1 { job: JobId, repair: RepairId, note: Option<TextId>, }
    /// It was not withdrawn or called off after all.
    EndStruck = "end_struck", 1 { job: JobId, note: Option<TextId>, }
    /// It did not go back after all: it is still here.
    HandBackStruck = "hand_back_struck", 1 { job: JobId, note: Option<TextId>, }
    /// Two tags were on each other's items: the tags' jobs exchange items.
    TagsExchanged = "tags_exchanged", 1 { a: JobId, b: JobId, }
    /// One place was counted.
    Counted = "counted", 1 { place: Place, tags: Vec<Tag>, }
    /// The day was closed.
    DayClosed = "day_closed", 1 {
        /// Jobs carried over to the next day.
        open: u32,
    }
    /// A time was promised.
    PromiseSaid = "promise_said", 1 {
        job: JobId,
        likely: Stamp,
        safe: Option<Stamp>,
        /// Median of the draws, before the correction; unknown where an older version said it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        raw_likely: Option<Stamp>,
        /// 90 % point of the draws, before the correction.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        raw_safe: Option<Stamp>,
    }
}
