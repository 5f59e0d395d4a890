//! Commands: what somebody asks the armoury to do. Plain data, as it comes off the wire after parsing; whether
//! it may be done is decided in [`super::decide`], and who may ask is the business of the rim.

#![expect(missing_docs, reason = "fields carry their meaning in name and type; what needs more has it")]

use serde::{Deserialize, Serialize};

use crate::bouts::BoutPlace;
use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, OwedId, RepairId, StripId};
use crate::promise::Raw;
use crate::rules::Answer;
use crate::tag::Tag;
use crate::time::Stamp;
use crate::venue::Venue;

use super::words::{HoldReason, Lasting, Need, OwedEnd, Place, Showed, Spot};

/// A job, named by its number or by the tag that is tied to it now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum JobRef {
    /// By number.
    Job(JobId),
    /// By tag, typed or scanned.
    Tag(Tag),
}

/// Whose gear it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Whose {
    /// A fencer, by name.
    Fencer(String),
    /// A team, by name.
    Team(String),
    /// Nobody knows yet; somebody claims it later.
    Unknown,
    /// The tournament's own: reels, cables, boxes, stock.
    House,
}

/// When the item must be back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Wanted {
    /// Nobody said.
    Open,
    /// By a time.
    At(Stamp),
    /// By the fencer's next bout, less the margin: computed from the place in pool, tableau or relay.
    Bout(BoutPlace),
}

/// One item of a hand-in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct HandInItem {
    /// What it is.
    pub kind: ItemKind,
    /// Its number for life, when it has been here before and somebody knows it.
    pub item: Option<ItemId>,
    /// What the strip saw.
    pub complaint: Complaint,
    /// In the strip's own words.
    pub note: Option<String>,
    /// The tag tied to it, when it has one already.
    pub tag: Option<Tag>,
    /// What the fencer still has working of that kind.
    pub need: Need,
}

/// One or several items handed in together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct HandIn {
    /// Whose gear.
    pub whose: Whose,
    /// The owner, where that is somebody else.
    pub owner: Option<String>,
    /// Who brings it, where that is somebody else.
    pub bringer: Option<String>,
    /// The strip official who hands it in.
    pub official: Option<String>,
    /// Where it comes from.
    pub came_from: Spot,
    /// Where it goes back to: notices and walking follow this.
    pub back_to: Spot,
    /// When it must be back.
    pub wanted: Wanted,
    /// Whether it is in the armoury already (handed in at the counter or a bench).
    pub in_room: bool,
    /// The items.
    pub items: Vec<HandInItem>,
}

/// What a mistake was, and what is right. Each is an event of its own: nothing that happened is edited.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Correction {
    /// The item is another kind, with another complaint.
    Kind {
        /// The right kind.
        kind: ItemKind,
        /// The right complaint.
        complaint: Complaint,
    },
    /// The job belongs to another item, one that has been here before.
    Item(ItemId),
    /// It came from, and goes back to, somewhere else.
    Spots {
        /// Where it really came from.
        came_from: Spot,
        /// Where it really goes back to.
        back_to: Spot,
    },
    /// Another bench worked on it than was recorded.
    Bench(BenchId),
    /// A finding was wrong.
    Finding(FindingId),
    /// A repair was not done.
    Repair(RepairId),
    /// It was withdrawn or called off by mistake.
    End,
    /// It was noted as handed back or collected by mistake.
    HandBack,
}

/// Everything that can be asked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case")]
pub enum Command {
    /// Opens the tournament, or replaces its file.
    SetVenue {
        /// The tournament, its benches without their armourers' names.
        venue: Venue,
        /// The armourers' names.
        armourers: Vec<(BenchId, String)>,
    },

    /// Hands items in.
    HandIn(HandIn),
    /// Scans an item into the room, tying a tag to it if it has none.
    ScanIn { job: JobRef, tag: Option<Tag> },
    /// Says whose an unknown item is.
    Claim { job: JobRef, fencer: String },
    /// The fencer is out of the competition.
    FencerOut { fencer: String },
    /// The fencer was said to be out by mistake.
    FencerIn { fencer: String },
    /// Something of that kind was lent to the fencer.
    Lend { fencer: String, kind: ItemKind },
    /// The loan came back.
    LoanBack { fencer: String, kind: ItemKind },

    /// A strip stands still: somebody must go there.
    CallOut { strip: StripId, note: Option<String> },
    /// The armourer is at the strip.
    ReachStrip { call: CallId },
    /// Sends somebody else to the strip.
    Redirect { call: CallId, bench: BenchId },
    /// The strip runs again; what was swapped out of it comes in as a job.
    RunAgain { call: CallId, swapped: Option<ItemKind>, stock: Option<String>, note: Option<String> },

    /// Takes the job that the screen showed.
    Take { job: JobRef, bench: BenchId },
    /// Puts it back among the waiting.
    PutBack { job: JobRef, note: Option<String> },
    /// Passes it on to another bench.
    PassOn { job: JobRef, bench: BenchId, note: Option<String> },
    /// The head takes over a job left lying, for a bench or back to the waiting.
    TakeOver { job: JobRef, bench: Option<BenchId>, reason: String },
    /// The armourer is called away from the job in hand; its clock stands still.
    Interrupt { bench: BenchId },
    /// Goes on with it.
    Resume { bench: BenchId },
    /// The bench is unattended until then.
    GoAway { bench: BenchId, until: Stamp },
    /// The armourer is back.
    ComeBack { bench: BenchId },

    /// Records what a check showed of one possible fault.
    Find { job: JobRef, fault: String, showed: Showed, note: Option<String> },
    /// Records what lamp, meter or box showed while something was done, as [`crate::guide::Finding::parse`] reads it.
    See { job: JobRef, seen: String },
    /// Records a repair.
    Repair { job: JobRef, work: Work, fault: Option<String>, lasting: Lasting, owed: Option<OwedId> },
    /// Lays it on the curing shelf.
    Cure { job: JobRef, until: Stamp },
    /// It is dry before its time: the armourer has looked.
    DryNow { job: JobRef },
    /// The whole examination found nothing wrong.
    NoFaultFound { job: JobRef },
    /// The fault lies in something else.
    FaultElsewhere { job: JobRef, place: String },
    /// Records one check of the proof.
    Prove { job: JobRef, check: String, answer: Answer },
    /// The item is ready to go back.
    Ready { job: JobRef },
    /// The head lets it go without a complete proof.
    ReadyAnyway { job: JobRef, reason: String },
    /// Not fit for use: withdrawn, and still to be handed back.
    Withdraw { job: JobRef, reason: String },

    /// The strip has read the notice.
    ConfirmNotice { notice: NoticeId },
    /// Handed back to a named person.
    HandBack { job: JobRef, to: String },
    /// It goes back to somewhere else.
    BackTo { job: JobRef, to: Spot },
    /// It is wanted at another time.
    WantBy { job: JobRef, wanted: Wanted },
    /// What the fencer has working of that kind is something else.
    SetNeed { job: JobRef, need: Need },
    /// Nobody wants it mended any more; it still has to be handed back.
    CallOff { job: JobRef, reason: String },

    /// The item cannot be found.
    Missing { job: JobRef, note: Option<String> },
    /// It was found, there.
    FoundAgain { job: JobRef, place: Place },
    /// It was collected and nobody saw it.
    CollectedUnseen { job: JobRef, note: Option<String> },

    /// Stops work on it for a reason.
    Hold { job: JobRef, reason: HoldReason, note: Option<String> },
    /// Lets work go on.
    Release { job: JobRef },
    /// A referee confiscates it: evidence, locked away.
    Confiscate { job: JobRef, note: String },
    /// The head gives it free again.
    ReleaseConfiscated { job: JobRef, note: String },
    /// Keeps the job for one bench, or for none in particular.
    Pin { job: JobRef, bench: Option<BenchId> },
    /// Opens a bench outside its hours.
    OpenBench { bench: BenchId },
    /// Closes a bench.
    CloseBench { bench: BenchId },
    /// Closes a bench from a later time on.
    CloseBenchAt { bench: BenchId, at: Stamp },
    /// Ends what is owed on an item.
    EndOwed { owed: OwedId, how: OwedEnd },

    /// Puts a mistake right.
    Correct { job: JobRef, what: Correction, note: Option<String> },
    /// Two tags were on each other's items.
    ExchangeTags { a: Tag, b: Tag },
    /// What lies at one place, counted by tag.
    Count { place: Place, tags: Vec<Tag> },
    /// Closes the day.
    CloseDay,

    /// The planner's new promises: job, likely and safe time. Asked by the server itself.
    SayPromises { promises: Vec<NewPromise> },
    /// Lets time-bound things happen: notices left unconfirmed go to the head. Asked by the server itself.
    Tick,
}

/// A promise worth saying.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewPromise {
    /// The job.
    pub job: JobId,
    /// Ready by then in half of all cases.
    pub likely: Stamp,
    /// Ready by then in nine cases of ten; `None` where no honest figure exists.
    pub safe: Option<Stamp>,
    /// What the draws gave, before the correction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub raw: Option<Raw>,
}
