//! Numbers that name things. All of them derive from the journal: a thing's number is the journal number of
//! the event that brought it into being, so that a replay gives every thing the same number.

use std::fmt;

use serde::{Deserialize, Serialize};

macro_rules! number {
    ($(#[$doc:meta])* $name:ident, $inner:ty) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub $inner);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    };
}

number!(
    /// Journal number of an event: 1 for the first, without gaps.
    Seq, u64
);
number!(
    /// A job: one item's stay. The journal number of its hand-in.
    JobId, u64
);
number!(
    /// An item's number for life. The journal number of its first hand-in.
    ItemId, u64
);
number!(
    /// A call-out to a stopped strip. The journal number of the call.
    CallId, u64
);
number!(
    /// A notice to a strip. The journal number of the event that sent it.
    NoticeId, u64
);
number!(
    /// A lasting repair that a stop-gap left to be done. The journal number of the stop-gap.
    OwedId, u64
);
number!(
    /// A finding of one job. The journal number of its event.
    FindingId, u64
);
number!(
    /// A repair of one job. The journal number of its event.
    RepairId, u64
);
number!(
    /// A strip (piste), as the tournament file numbers it, from 1.
    StripId, u16
);
number!(
    /// A bench, as the tournament file numbers it, from 1.
    BenchId, u16
);
number!(
    /// A row of the table of names and free text, which lies apart from the events so that people can be
    /// forgotten. Numbered from 1 in the order in which the rows were written.
    TextId, u64
);
