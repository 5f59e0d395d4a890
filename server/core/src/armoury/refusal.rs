//! Refusals: why something may not be done. Each has a stable reason for programs, a sentence for people, and
//! what to do next. A refusal changes nothing, and every sentence here may rely on that.

use thiserror::Error;

use crate::ids::{BenchId, CallId, ItemId, JobId, StripId};
use crate::tag::Tag;

use super::Armoury;
use super::words::State;

/// A field of a refusal.
trait Field {
    /// The job that it names.
    fn job(&self) -> Option<JobId> {
        None
    }
}

impl Field for JobId {
    fn job(&self) -> Option<JobId> {
        Some(*self)
    }
}

macro_rules! other_fields {
    ($($ty:ty)*) => { $(impl Field for $ty {})* };
}

other_fields! { BenchId CallId ItemId StripId Tag State String &str usize i64 }

impl Refusal {
    /// The sentence for people, who know an item by its tag: each job of the room that has one is named by it.
    pub fn told(&self, room: &Armoury) -> String {
        let name = |text: String, job: JobId| {
            let tag =
                room.job(job).and_then(|job| job.course.tag).filter(|tag| !text.contains(&tag.digits()));
            match tag {
                Some(tag) => text.replace(&format!("job {job}"), &format!("tag {tag} (job {job})")),
                None => text,
            }
        };
        self.jobs().into_iter().fold(self.to_string(), name)
    }
}

macro_rules! refusals {
    ($($(#[$doc:meta])* $name:ident $({ $($(#[$fdoc:meta])* $field:ident : $ty:ty),* $(,)? })? = $reason:literal, $text:literal, $hint:literal;)*) => {
        /// Why a command was refused.
        #[derive(Clone, Debug, PartialEq, Eq, Error)]
        pub enum Refusal {
            $($(#[$doc])* #[error($text)] $name $({ $($(#[$fdoc])* #[allow(missing_docs)] $field: $ty),* })?,)*
        }

        impl Refusal {
            /// Every stable reason.
            pub const REASONS: &'static [&'static str] = &[$($reason,)*];

            /// Stable reason for programs.
            pub fn reason(&self) -> &'static str {
                match self { $(Self::$name { .. } => $reason,)* }
            }

            /// What to do next.
            pub fn hint(&self) -> &'static str {
                match self { $(Self::$name { .. } => $hint,)* }
            }

            /// The jobs that the sentence names.
            fn jobs(&self) -> Vec<JobId> {
                match self {
                    $(Self::$name $({ $($field),* })? => {
                        let named: &[Option<JobId>] = &[$($(Field::job($field)),*)?];
                        named.iter().flatten().copied().collect()
                    })*
                }
            }
        }
    };
}

refusals! {
    /// No tournament is open.
    NoTournament = "NO_TOURNAMENT", "no tournament is open on this server", "Start the server with --tournament FILE.";
    /// The strip is not in the tournament file.
    UnknownStrip { strip: StripId } = "UNKNOWN_STRIP", "there is no strip {strip} in this tournament", "Look at the list of strips and try again.";
    /// The bench is not in the tournament file.
    UnknownBench { bench: BenchId } = "UNKNOWN_BENCH", "there is no bench {bench} in this tournament", "Look at the list of benches and try again.";
    /// No job has that number.
    UnknownJob { job: JobId } = "UNKNOWN_JOB", "there is no open job {job}", "Search for the fencer or scan the tag.";
    /// No live tag has that number.
    UnknownTag { tag: Tag } = "UNKNOWN_TAG", "no item here carries tag {tag}", "Read the tag again, or search for the fencer.";
    /// No live tag has that number, and exactly one is a slip away.
    MistypedTag { tag: Tag, near: Tag } = "MISTYPED_TAG", "no item here carries tag {tag}: did you mean {near}?", "Read the tag again.";
    /// The tag is tied to another item.
    TagInUse { tag: Tag, job: JobId } = "TAG_IN_USE", "tag {tag} is already tied to job {job}", "Take another tag from the pad. If the two items were mixed up, exchange their tags.";
    /// The item needs a tag to be scanned in.
    TagNeeded { job: JobId } = "TAG_NEEDED", "job {job} has no tag yet", "Tie a tag to the item and scan it.";
    /// An item handed in inside the armoury needs a tag at once.
    TagNeededHere = "TAG_NEEDED_HERE", "an item handed in here needs a tag at once", "Tie a tag to the item and scan it.";
    /// The item has another tag.
    TagDiffers { job: JobId, tag: Tag } = "TAG_DIFFERS", "job {job} already carries tag {tag}", "Scan that tag, or exchange the tags if they were mixed up.";
    /// No item has that number.
    UnknownItem { item: ItemId } = "UNKNOWN_ITEM", "no item has the number {item}", "Leave the number out: a new one is given.";
    /// The item is another kind.
    ItemIsOther { item: ItemId, kind: &'static str } = "ITEM_IS_OTHER", "item {item} is something else: {kind}", "Check the number on the slip, or leave it out.";
    /// The item is here already.
    AlreadyHere { item: ItemId, job: JobId } = "ALREADY_HERE", "item {item} is here already, as job {job}", "Look at that job; nothing needs to be handed in.";
    /// The complaint does not belong to the kind.
    ComplaintDoesNotFit = "COMPLAINT_DOES_NOT_FIT", "that complaint is not one of this kind of item", "Choose a complaint from the item's own list.";
    /// Nothing was handed in.
    NoItems = "NO_ITEMS", "the hand-in has no items", "Name at least one item.";
    /// Too many at once.
    TooManyItems { most: usize } = "TOO_MANY_ITEMS", "more than {most} items in one hand-in", "Hand them in in smaller lots.";
    /// Two items of the hand-in carry the same tag.
    TagTwice { tag: Tag } = "TAG_TWICE", "tag {tag} is named twice", "Each item needs a tag of its own.";
    /// Only apparatus stops a strip.
    NeedDoesNotFit = "NEED_DOES_NOT_FIT", "`strip stopped` is for apparatus only", "Say what the fencer still has working.";
    /// The bout place is out of range.
    BoutUnclear { why: String } = "BOUT_UNCLEAR", "the next bout cannot be worked out: {why}", "Correct it, or give a time.";
    /// A time far outside the tournament.
    TimeOutOfRange { what: &'static str } = "TIME_OUT_OF_RANGE", "{what} lies outside the tournament's days", "Check the date and the time.";
    /// A time that must lie ahead does not.
    TimeIsPast { what: &'static str } = "TIME_IS_PAST", "{what} is past", "Give a time that lies ahead.";
    /// Away for longer than a bench is left alone.
    AwayTooLong { hours: i64 } = "AWAY_TOO_LONG", "a bench is left alone for at most {hours} hours", "Say when you will be back within that time, or let the head armourer close the bench.";
    /// It happened in the future or too long ago.
    HappenedOutOfRange = "HAPPENED_OUT_OF_RANGE", "the time at which it happened is in the future or more than three days ago", "Check the clock of this device.";
    /// It happened before the item was handed in.
    HappenedBeforeHandIn { job: JobId } = "HAPPENED_BEFORE_HAND_IN", "by its time that happened before job {job} was handed in", "Check the time, and which item is meant.";
    /// A text was refused.
    BadText { field: &'static str, why: String } = "BAD_TEXT", "{field}: {why}", "Write it again, short and in one line.";
    /// A reason is needed.
    ReasonNeeded = "REASON_NEEDED", "a reason is needed", "Say why, in a few words.";

    /// The step does not fit the state.
    WrongState { job: JobId, state: State, step: &'static str } = "WRONG_STATE", "job {job} is {state}: it cannot be {step}", "Look at the job; somebody may have been quicker.";
    /// Another bench has it.
    HeldByOther { job: JobId, bench: BenchId } = "HELD_BY_OTHER", "job {job} is on bench {bench}", "Take the next job in your lane.";
    /// The bench has a job in hand.
    BenchHasJob { bench: BenchId, job: JobId } = "BENCH_HAS_JOB", "bench {bench} has job {job} in hand", "Finish it, lay it to cure, put it back or pass it on first.";
    /// The bench has nothing in hand.
    BenchIdle { bench: BenchId } = "BENCH_IDLE", "bench {bench} has no job in hand", "Take a job first.";
    /// The bench cannot do that work.
    BenchCannot { bench: BenchId } = "BENCH_CANNOT", "bench {bench} does none of the work that this item may need", "Leave it to a bench that does.";
    /// The bench is closed.
    BenchIsClosed { bench: BenchId } = "BENCH_IS_CLOSED", "bench {bench} is closed", "The head opens it.";
    /// Its armourer is on a call-out.
    BenchOnCall { bench: BenchId, call: CallId } = "BENCH_ON_CALL", "the armourer of bench {bench} is on call-out {call}", "Record that the strip runs again, or let the head send somebody else.";
    /// It is kept for another bench.
    PinnedToOther { job: JobId, bench: BenchId } = "PINNED_TO_OTHER", "job {job} is kept for bench {bench}", "Ask the head armourer to free it.";
    /// Work on it stands still.
    OnHold { job: JobId, why: &'static str } = "ON_HOLD", "job {job} is held: {why}", "Release it first, when the reason is gone.";
    /// Confiscated.
    IsConfiscated { job: JobId } = "IS_CONFISCATED", "job {job} is confiscated: evidence, nobody works on it", "Only the head armourer releases it.";
    /// It is not held.
    NotHeld { job: JobId } = "NOT_HELD", "job {job} is not held", "Nothing needs to be done.";
    /// It is not dry.
    NotDry { job: JobId, minutes: i64 } = "NOT_DRY", "job {job} is still curing, for about {minutes} min", "Wait, or look and record that it is dry.";
    /// The proof is not complete.
    ProofIncomplete { job: JobId, missing: String } = "PROOF_INCOMPLETE", "job {job} is not proven yet: {missing}", "Do these checks. The head may let it go with a reason.";
    /// A check failed.
    ProofFailed { job: JobId, failed: String } = "PROOF_FAILED", "job {job} fails: {failed}", "Mend it and check again, or withdraw it.";
    /// The check is not one for this item.
    UnknownCheck { check: String } = "UNKNOWN_CHECK", "`{check}` is not a check for this item", "Use a check from the item's proof.";
    /// The reading is impossible.
    BadReading { why: String } = "BAD_READING", "{why}", "Read again and type the value with its unit.";
    /// What an instrument showed could not be read, or cannot be on that item.
    UnknownSight { why: String } = "UNKNOWN_SIGHT", "{why}", "Say what was done and what was shown, like turn-button=flicker; `remise explain KIND` lists both.";
    /// The fault is not one of this kind of item.
    UnknownFault { fault: String } = "UNKNOWN_FAULT", "`{fault}` is not a fault of this kind of item", "Use a fault from the item's list.";
    /// Nothing was done, so nothing can be ready.
    NothingDone { job: JobId } = "NOTHING_DONE", "job {job} has no repair recorded and is not marked as without fault", "Record the repair, or record that no fault was found.";
    /// Something was repaired, so it was not without fault.
    RepairsRecorded { job: JobId } = "REPAIRS_RECORDED", "job {job} has a repair recorded: it was not without fault", "If the repair was not done, correct that first.";
    /// A stop-gap leaves the lasting repair owed.
    StopGapPaysNothing = "STOP_GAP_PAYS_NOTHING", "a stop-gap does not end what is owed", "Record a lasting repair, or leave out what is owed.";
    /// No such record in the job.
    NoSuchRecord = "NO_SUCH_RECORD", "the job has no such finding or repair", "Look at the job's course and try again.";

    /// The notice is unknown.
    UnknownNotice = "UNKNOWN_NOTICE", "there is no open notice with that number", "It may have been confirmed already.";
    /// The call-out is unknown.
    UnknownCall { call: CallId } = "UNKNOWN_CALL", "there is no open call-out {call}", "Look at the list of call-outs.";
    /// The strip is already being seen to.
    AlreadyCalled { strip: StripId, call: CallId } = "ALREADY_CALLED", "somebody is on the way to strip {strip} already (call-out {call})", "Wait for them; the head can send somebody else.";
    /// Nobody can go.
    NobodyCanGo = "NOBODY_CAN_GO", "no bench that mends apparatus is open and free of another call-out", "Ask the head armourer.";
    /// The armourer is not at the strip yet.
    NotAtStrip { call: CallId } = "NOT_AT_STRIP", "nobody has reached the strip of call-out {call} yet", "Record the arrival first.";
    /// The swapped unit is not apparatus.
    NotApparatus = "NOT_APPARATUS", "only a reel, a floor cable or a box is swapped at a strip", "Hand other items in as usual.";
    /// The fencer is unknown.
    UnknownFencer = "UNKNOWN_FENCER", "nobody of that name has anything here", "Check the spelling.";
    /// Nothing of that kind is on loan to the fencer.
    NotLent { kind: &'static str } = "NOT_LENT", "that fencer has no {kind} on loan", "Check the name and the kind of item.";
    /// Work that never lasts was called lasting.
    OnlyAStopGap = "ONLY_A_STOP_GAP", "that work on that fault never lasts: it is a stop-gap", "Record it as a stop-gap. If what lasts was done, record that work without naming this fault.";
    /// Nothing is owed under that number.
    UnknownOwed = "UNKNOWN_OWED", "nothing is owed under that number", "Look at what is owed on the item.";
    /// The item has an owner already.
    AlreadyClaimed { job: JobId } = "ALREADY_CLAIMED", "job {job} already has a fencer", "Correct the job if that is wrong.";
    /// The same thing twice.
    SameTwice = "SAME_TWICE", "the two are the same", "Name two different ones.";
    /// The place is not in the room.
    NotInRoom = "NOT_IN_ROOM", "that place is not inside the armoury", "Count the counter, the benches and the shelves.";
    /// The count is not complete.
    CountIncomplete { missing: String } = "COUNT_INCOMPLETE", "the count is not complete: {missing}", "Count these places, and record what is missing.";
    /// It is so already.
    NothingChanges = "NOTHING_CHANGES", "that is so already", "Nothing needs to be done.";
}
