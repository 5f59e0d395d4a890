//! The day as data: what will be handed in, what is truly wrong with it, and what people will do.
//!
//! Nothing here knows the server. Whoever plays the day asks the server and does what these plans say.

use remise_core::armoury::{Lasting, Need, Spot, Wanted};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::StripId;
use remise_core::time::{Span, Stamp};
use remise_server::tournament::Tournament;

/// A whole day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Day {
    /// The tournament that it belongs to.
    pub tournament: Tournament,
    /// What is handed in, by time.
    pub hand_ins: Vec<HandInPlan>,
    /// Strips that stop, by time. A recorded log has none.
    pub call_outs: Vec<CallOutPlan>,
    /// Tags that get onto each other's items, by time. A recorded log has none.
    pub swaps: Vec<TagSwap>,
}

/// One item handed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandInPlan {
    /// When.
    pub at: Stamp,
    /// Where it comes from and goes back to. What comes to the counter is in the armoury at once.
    pub spot: Spot,
    /// Whose it is; `None` when nobody knows, and for apparatus.
    pub fencer: Option<String>,
    /// The official who hands it in; `None` at the counter and in a recorded log.
    pub official: Option<String>,
    /// What it is.
    pub kind: ItemKind,
    /// What the strip says.
    pub complaint: Complaint,
    /// What the fencer still has working of that kind.
    pub need: Need,
    /// By when it is wanted.
    pub wanted: Wanted,
    /// What is truly wrong with it.
    pub truth: TrueState,
    /// When the fencer no longer wants it mended. Nothing comes of it when the item is ready before.
    pub call_off: Option<Stamp>,
    /// What people do with it.
    pub quirks: Quirks,
}

/// What is truly the matter with an item, and how long it takes to put right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrueState {
    /// Its fault, by its code in the fault table; `None` when there is none to be found in it.
    pub fault: Option<&'static str>,
    /// Work on it, without the minutes around every job ([`super::AROUND_A_JOB`]).
    pub labour: Labour,
    /// How the work ends.
    pub outcome: Outcome,
}

/// Work on one item, in whole tenths of a minute when it was drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Labour {
    /// Hands-on time until it is mended, or laid to cure.
    pub before: Span,
    /// Time on the curing shelf; zero when nothing has to set.
    pub curing: Span,
    /// Hands-on time after curing; zero when nothing has to set.
    pub after: Span,
}

impl Labour {
    /// Splits hands-on time around curing: one sixth of it, rounded down to tenths of a minute, comes after.
    /// The sixth is a number of our own.
    pub fn of(hands_on: Span, curing: Span) -> Self {
        if curing == Span::ZERO {
            return Self { before: hands_on, curing, after: Span::ZERO };
        }
        let tenth = Span::seconds(6).0;
        let after = Span(hands_on.0 / 6 / tenth * tenth);
        Self { before: Span(hands_on.0 - after.0), curing, after }
    }

    /// All hands-on time.
    pub fn hands_on(self) -> Span {
        self.before + self.after
    }
}

/// How the work on an item ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is mended.
    Mend(Lasting),
    /// The whole examination finds nothing.
    NoFault,
    /// The fault lies in something else of the fencer's, there.
    FaultElsewhere(&'static str),
    /// It is not fit for use.
    Withdraw,
}

/// What people do with an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Quirks {
    /// From the hand-in until it is scanned at the armoury's door: the walk and what delays it. Zero at the
    /// counter.
    pub scan_after: Span,
    /// From a notice until the strip confirms it.
    pub confirm_after: Span,
    /// From the confirmation until somebody stands at the armoury to collect it.
    pub collect_after: Span,
    /// How it leaves.
    pub collection: Collection,
}

/// How an item leaves the armoury.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Collection {
    /// Handed to a named person.
    HandedBack,
    /// Somebody takes it and says nothing.
    TakenSilently,
    /// It is still there in the evening.
    Never,
}

/// A strip that stops, so that an armourer must go there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CallOutPlan {
    /// When the strip calls.
    pub at: Stamp,
    /// Which strip.
    pub strip: StripId,
    /// What the strip says.
    pub note: &'static str,
    /// Time at the strip until it runs again, without walking.
    pub at_strip: Span,
    /// What is swapped out of the strip and comes in to be mended.
    pub swapped: Option<SwappedUnit>,
}

/// Apparatus that was swapped out of a strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SwappedUnit {
    /// What it is.
    pub kind: ItemKind,
    /// What is truly wrong with it.
    pub truth: TrueState,
}

/// Two tags that get onto each other's items while they are scanned in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TagSwap {
    /// The earlier hand-in, by its place in [`Day::hand_ins`].
    pub a: usize,
    /// The later hand-in.
    pub b: usize,
    /// When somebody notices and exchanges the tags in the program.
    pub noticed: Stamp,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn splitting_around_curing_loses_nothing() {
        for tenths in [1, 5, 60, 61, 349, 3_600] {
            let hands_on = Span::seconds(6 * tenths);
            let labour = Labour::of(hands_on, Span::minutes(10));
            assert_eq!(labour.hands_on(), hands_on);
            assert!(labour.before >= labour.after && labour.after.0 % Span::seconds(6).0 == 0);
            assert_eq!(Labour::of(hands_on, Span::ZERO).before, hands_on);
        }
    }
}
