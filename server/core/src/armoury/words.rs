//! The small closed sets of words that commands, events and states share.

use serde::{Deserialize, Serialize};

use crate::ids::{BenchId, StripId};

macro_rules! word {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $code:literal, $title:literal;)* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$vdoc])* $variant,)* }

        impl $name {
            /// Every word of the set, in the order in which screens list them.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// Stable code: in the journal, on the wire, on the command line.
            pub fn code(self) -> &'static str {
                match self { $(Self::$variant => $code,)* }
            }

            /// The word with that code.
            pub fn from_code(code: &str) -> Option<Self> {
                match code { $($code => Some(Self::$variant),)* _ => None }
            }

            /// What people read.
            pub fn title(self) -> &'static str {
                match self { $(Self::$variant => $title,)* }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.title())
            }
        }
    };
}

word! {
    /// Where a job stands.
    State {
        /// Handed in at a strip, not yet scanned into the room; no bench can take it.
        OnItsWay = "on_its_way", "on its way";
        /// In the room, for a bench to take.
        Waiting = "waiting", "waiting";
        /// At a bench.
        OnBench = "on_bench", "on bench";
        /// Glue sets; the bench is free.
        Curing = "curing", "curing";
        /// Proven; to be collected.
        Ready = "ready", "ready";
        /// Handed back.
        Returned = "returned", "returned";
        /// Not fit for use; still to be handed back.
        Withdrawn = "withdrawn", "withdrawn";
        /// Nobody wants it mended any more; still to be handed back.
        CalledOff = "called_off", "called off";
        /// Cannot be found.
        Gone = "gone", "gone";
    }
}

word! {
    /// What the fencer still has working of that kind; `strip stopped` for apparatus.
    Need {
        /// The strip stands still without it.
        StripStopped = "strip_stopped", "strip stopped";
        /// Nothing that works.
        NoneLeft = "none_left", "none left";
        /// One that works.
        OneLeft = "one_left", "one left";
        /// Two or more that work.
        TwoOrMore = "two_or_more", "two or more";
        /// The fencer is out of the competition.
        Out = "out", "out";
    }
}

impl Need {
    /// Weight of a late minute: how much more it hurts than one minute for somebody with spares. Our own
    /// estimate, used by lanes and by `weighted_lateness_min`.
    pub fn weight(self) -> u32 {
        match self {
            Self::StripStopped => 10,
            Self::NoneLeft => 8,
            Self::OneLeft => 4,
            Self::TwoOrMore => 2,
            Self::Out => 1,
        }
    }
}

word! {
    /// Whether a repair lasts.
    Lasting {
        /// It lasts.
        Lasting = "lasting", "lasting";
        /// It gets the fencer through the day; the lasting repair is owed.
        StopGap = "stop_gap", "stop-gap";
    }
}

word! {
    /// What a check showed of one possible fault.
    Showed {
        /// It is there.
        Present = "present", "present";
        /// It is not there.
        Absent = "absent", "absent";
        /// The check did not settle it.
        Unsure = "unsure", "unsure";
    }
}

word! {
    /// Why work on a job stands still.
    HoldReason {
        /// A part is missing.
        PartMissing = "part_missing", "a part is missing";
        /// The owner must agree first.
        OwnerMustAgree = "owner_must_agree", "the owner must agree";
        /// The head armourer says so.
        HeadSaysSo = "head_says_so", "the head says so";
        /// Confiscated by a referee: evidence. Only the head releases it.
        Confiscated = "confiscated", "confiscated";
    }
}

word! {
    /// How an owed repair ended.
    OwedEnd {
        /// Done here.
        Done = "done", "done";
        /// Done by somebody else.
        DoneElsewhere = "done_elsewhere", "done elsewhere";
        /// The owner does not want it.
        Declined = "declined", "declined";
    }
}

word! {
    /// What a notice tells the strip.
    NoticeKind {
        /// The item is ready.
        Ready = "ready", "ready";
        /// The item is not fit for use.
        Withdrawn = "withdrawn", "withdrawn";
        /// Work on it was called off.
        CalledOff = "called_off", "called off";
        /// The item cannot be found.
        Gone = "gone", "cannot be found";
        /// The promise moved.
        Promise = "promise", "new time";
    }
}

/// Where a hand-in comes from or goes back to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Spot {
    /// A strip.
    Strip(StripId),
    /// The counter at the armoury's door.
    Counter,
}

/// Where an item is now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// At a strip, or on the way from it.
    Strip(StripId),
    /// At the counter, with what waits.
    Counter,
    /// At a bench.
    Bench(BenchId),
    /// On the curing shelf.
    CuringShelf,
    /// On the ready shelf.
    ReadyShelf,
    /// Locked away.
    LockedAway,
    /// Nobody knows.
    Gone,
    /// With its owner again.
    HandedBack,
}

impl Place {
    /// Whether it is inside the armoury, where a count looks.
    pub fn in_room(self) -> bool {
        !matches!(self, Self::Strip(_) | Self::Gone | Self::HandedBack)
    }
}

impl From<Spot> for Place {
    fn from(spot: Spot) -> Self {
        match spot {
            Spot::Strip(id) => Self::Strip(id),
            Spot::Counter => Self::Counter,
        }
    }
}
