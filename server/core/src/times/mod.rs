//! Repair times: what the armoury expects and what it has learned of hands-on minutes.
//!
//! Model. A repair of a fault whose usual minutes are u takes u · exp(r) minutes; r, its pace, is normal with unknown
//! mean and variance (so minutes are log-normal). Paces of all faults of one kind of work are of one kind: a slow hand
//! is slow on a quick job and on a long one, so that different faults teach each other. Mean and variance carry a
//! normal-inverse-gamma prior; the pace of the next repair is then a Student t.
//!
//! Pooling, each level the prior of the next: our own estimates -> the whole room -> kind of work and weapon -> bench.
//! A level is asked without what the next level below counts itself, so that nothing is counted twice.
//!
//! What is kept are whole numbers only (counts and sums in millionths), so that a correction takes out exactly what
//! was put in, in whatever order, and a replay of the journal gives the same. Work that was put back is known only to
//! take longer than it was in hand: `censored` takes it in. A pace beyond fixed bounds counts as the bound: a job
//! left open over lunch cannot wreck an estimate, and since the bounds come from the prior alone, order does not matter.

mod censored;
mod learned;
mod nig;
mod prior;
mod seen;
mod student;
#[cfg(test)]
mod tests;

use serde::{Deserialize, Serialize};

use crate::gear::{Fault, Weapon, Work};
use crate::ids::BenchId;
use crate::time::Span;

pub use learned::{Learned, Pace};
pub use nig::Nig;
pub use prior::usual;
pub use seen::Seen;
pub use student::Predictive;

/// Shorter than this cannot be a repair.
pub(crate) const SHORTEST: Span = Span::seconds(15);

/// One repair, or the part of one that was done before it was put back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Observation {
    /// The kind of work.
    pub work: Work,
    /// The weapon, when the item is one.
    pub weapon: Option<Weapon>,
    /// The bench.
    pub bench: BenchId,
    /// Hands-on time, breaks and interruptions cut out.
    pub hands_on: Span,
    /// What such a repair usually takes by our own estimate: see [`usual`].
    pub usual: Span,
    /// The work was put back unfinished: it takes longer than `hands_on`.
    pub censored: bool,
}

/// How long a repair takes before anything was learned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// The middle, in minutes.
    pub likely_min: f64,
    /// Standard deviation of ln(minutes).
    pub sigma_ln: f64,
}

impl Spread {
    /// A fault's own.
    pub fn of(fault: &Fault) -> Self {
        Self { likely_min: f64::from(fault.minutes.likely), sigma_ln: fault.minutes_lognormal().1 }
    }
}
