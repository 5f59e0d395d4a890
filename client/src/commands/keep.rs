//! Keeping track: holds, lost and found, evidence, counts, what is owed, and mistakes put right.

use clap::{ArgGroup, Args, Subcommand};
use remise_core::armoury::{Command, Correction, HoldReason, OwedEnd, Place, Spot};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::{BenchId, FindingId, ItemId, OwedId, RepairId};
use remise_core::tag::Tag;

use super::parts::{Which, complaint, hold_reason, kind, note, owed_end, place, spot, tag};
use crate::failure::Failure;

/// What keeps track of items.
#[derive(Debug, Subcommand)]
pub enum Keep {
    /// Stop work on it for a reason
    Hold {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// part-missing, owner-must-agree or head-says-so
        #[arg(long, value_name = "WORD", value_parser = hold_reason)]
        reason: HoldReason,
        /// More of it
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
    /// Let work on it go on
    Release {
        /// Which job
        #[command(flatten)]
        which: Which,
    },
    /// The item cannot be found
    Missing {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Where it should have been
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
    /// A missing item was found
    Found {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Where it is: counter, bench-2, curing-shelf, ready-shelf, locked-away, strip-3, handed-back
        #[arg(long, value_parser = place)]
        place: Place,
    },
    /// It was collected and nobody saw it
    CollectedUnseen {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// What is known
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
    /// A referee confiscates it: evidence, locked away
    Confiscate {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Who, and why
        #[arg(long, value_parser = note)]
        note: String,
    },
    /// What lies at one place, counted by tag; no tag at all: the place is empty
    Count {
        /// Where: counter, bench-2, curing-shelf, ready-shelf, locked-away
        #[arg(long, value_parser = place)]
        place: Place,
        /// Every tag that lies there
        #[arg(value_name = "TAG", value_parser = tag)]
        tags: Vec<Tag>,
    },
    /// What is owed on an item has come to its end
    EndOwed {
        /// Number of what is owed
        #[arg(value_name = "OWED", value_parser = clap::value_parser!(u64).range(1..))]
        owed: u64,
        /// done, done-elsewhere or declined
        #[arg(long, value_name = "WORD", value_parser = owed_end)]
        how: OwedEnd,
    },
    /// Put a mistake right
    Correct {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// What is right
        #[command(flatten)]
        what: CorrectArgs,
        /// More of it
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
    /// Two tags were on each other's items
    ExchangeTags {
        /// One tag
        #[arg(value_parser = tag)]
        a: Tag,
        /// The other
        #[arg(value_parser = tag)]
        b: Tag,
    },
}

/// What is right: one mistake at a time.
#[derive(Debug, Args)]
#[command(group(ArgGroup::new("right").required(true).multiple(false)))]
#[group(skip)]
pub struct CorrectArgs {
    /// The right kind of item, together with --right-complaint
    #[arg(long, group = "right", value_name = "KIND", value_parser = kind, requires = "right_complaint")]
    pub right_kind: Option<ItemKind>,
    /// The right complaint
    #[arg(long, value_name = "CODE", value_parser = complaint, requires = "right_kind")]
    pub right_complaint: Option<Complaint>,
    /// It is this item, which has been here before
    #[arg(long, group = "right", value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub right_item: Option<u64>,
    /// Where it really came from, together with --right-back-to
    #[arg(long, group = "right", value_name = "SPOT", value_parser = spot, requires = "right_back_to")]
    pub right_from: Option<Spot>,
    /// Where it really goes back to
    #[arg(long, value_name = "SPOT", value_parser = spot, requires = "right_from")]
    pub right_back_to: Option<Spot>,
    /// This bench worked on it
    #[arg(long, group = "right", value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
    pub right_bench: Option<u16>,
    /// This finding was wrong
    #[arg(long, group = "right", value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub wrong_finding: Option<u64>,
    /// This repair was not done
    #[arg(long, group = "right", value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub wrong_repair: Option<u64>,
    /// It was withdrawn or called off by mistake: it waits again
    #[arg(long, group = "right")]
    pub not_ended: bool,
    /// It was noted as handed back or collected by mistake: it is still here
    #[arg(long, group = "right")]
    pub not_handed_back: bool,
}

impl CorrectArgs {
    fn correction(&self) -> Result<Correction, Failure> {
        let kind = self.right_kind.zip(self.right_complaint);
        let spots = self.right_from.zip(self.right_back_to);
        let said = [
            kind.map(|(kind, complaint)| Correction::Kind { kind, complaint }),
            spots.map(|(came_from, back_to)| Correction::Spots { came_from, back_to }),
            self.right_item.map(|id| Correction::Item(ItemId(id))),
            self.right_bench.map(|id| Correction::Bench(BenchId(id))),
            self.wrong_finding.map(|id| Correction::Finding(FindingId(id))),
            self.wrong_repair.map(|id| Correction::Repair(RepairId(id))),
            self.not_ended.then_some(Correction::End),
            self.not_handed_back.then_some(Correction::HandBack),
        ];
        let one = said.into_iter().flatten().next();
        one.ok_or_else(|| Failure::usage("nothing is put right", "Say what is right."))
    }
}

impl Keep {
    /// The command that is meant.
    pub fn command(&self) -> Result<Command, Failure> {
        Ok(match self {
            Self::Hold { which, reason, note } => {
                Command::Hold { job: which.job_ref()?, reason: *reason, note: note.clone() }
            }
            Self::Release { which } => Command::Release { job: which.job_ref()? },
            Self::Missing { which, note } => Command::Missing { job: which.job_ref()?, note: note.clone() },
            Self::Found { which, place } => Command::FoundAgain { job: which.job_ref()?, place: *place },
            Self::CollectedUnseen { which, note } => {
                Command::CollectedUnseen { job: which.job_ref()?, note: note.clone() }
            }
            Self::Confiscate { which, note } => {
                Command::Confiscate { job: which.job_ref()?, note: note.clone() }
            }
            Self::Count { place, tags } => Command::Count { place: *place, tags: tags.clone() },
            Self::EndOwed { owed, how } => Command::EndOwed { owed: OwedId(*owed), how: *how },
            Self::Correct { which, what, note } => {
                Command::Correct { job: which.job_ref()?, what: what.correction()?, note: note.clone() }
            }
            Self::ExchangeTags { a, b } => Command::ExchangeTags { a: *a, b: *b },
        })
    }
}
