//! What is believed before anything was learned. **All figures here are estimates of our own**: the faults' minutes
//! are (see [`crate::gear`]), and so is how far rooms, kinds of work and benches differ.

use std::sync::LazyLock;

use super::nig::Nig;
use crate::gear::{self, Fault, ItemKind, Work};
use crate::time::{Span, US_PER_MIN};

/// How far the minutes of a whole room may be off our estimates: standard deviation of the ln. 0.3 is a factor of 1.6
/// either way in nine rooms of ten. Estimate of ours.
pub(super) const ROOM_OFF: f64 = 0.3;
/// How far one kind of work is off the room. Estimate of ours.
pub(super) const KIND_OFF: f64 = 0.2;
/// How far one bench is off the others. Estimate of ours.
pub(super) const BENCH_OFF: f64 = 0.2;
/// Shape of the variance: the spread of a kind of work is worth this many pairs of observations. Estimate of ours.
pub(super) const SPREAD_WORTH: f64 = 4.0;
/// Paces beyond this quantile of the prior predictive, on either side, count as the quantile. Estimate of ours.
const CLIP_AT: f64 = 0.99;

/// One kind of work before anything was learned.
#[derive(Clone, Copy)]
pub(super) struct Start {
    /// Standard deviation of ln(minutes) in its faults.
    pub sigma: f64,
    /// A pace beyond plus or minus this counts as this, in millionths.
    pub clip: i64,
}

static STARTS: LazyLock<[Start; Work::ALL.len()]> = LazyLock::new(|| Work::ALL.map(start_of));

/// What is believed of that kind of work.
pub(super) fn start(work: Work) -> Start {
    Work::ALL.iter().position(|known| *known == work).map_or_else(|| start_of(work), |at| STARTS[at])
}

/// The room, with the spread of that kind of work.
pub(super) fn room(sigma: f64) -> Nig {
    let variance = sigma * sigma;
    Nig { m: 0.0, k: variance / (ROOM_OFF * ROOM_OFF), a: SPREAD_WORTH, b: SPREAD_WORTH * variance }
}

fn start_of(work: Work) -> Start {
    let (mut sum, mut weight) = (0.0, 0.0);
    for fault in ItemKind::ALL.into_iter().flat_map(gear::faults).filter(|fault| fault.work == work) {
        let share = share(fault);
        sum += share * fault.minutes_lognormal().1.powi(2);
        weight += share;
    }
    // A kind of work without a fault in the table: three to ten minutes around five.
    let sigma = if weight > 0.0 { (sum / weight).sqrt() } else { 0.37 };
    let widest = room(sigma).child(KIND_OFF, SPREAD_WORTH).child(BENCH_OFF, SPREAD_WORTH);
    let clip = (widest.predictive().quantile_min(CLIP_AT).ln() * super::seen::UNIT).round() as i64;
    Start { sigma, clip }
}

fn share(fault: &Fault) -> f64 {
    f64::from(fault.share_permille_estimate.max(1))
}

/// What a repair of that kind of work on that kind of item usually takes: the fault's own likely minutes when it is
/// named, otherwise the geometric mean over the faults that such work mends, by their shares.
pub fn usual(kind: ItemKind, work: Work, fault: Option<&str>) -> Span {
    if let Some(fault) = fault.and_then(gear::fault) {
        return span(f64::from(fault.minutes.likely));
    }
    let of_kind: Vec<_> = gear::faults(kind).filter(|fault| fault.work == work).collect();
    let any =
        || ItemKind::ALL.into_iter().flat_map(gear::faults).filter(|fault| fault.work == work).collect();
    let faults: Vec<&Fault> = if of_kind.is_empty() { any() } else { of_kind };
    let weight: f64 = faults.iter().map(|fault| share(fault)).sum();
    let sum: f64 = faults.iter().map(|fault| share(fault) * f64::from(fault.minutes.likely).ln()).sum();
    span(if weight > 0.0 { (sum / weight).exp() } else { 5.0 })
}

fn span(minutes: f64) -> Span {
    Span((minutes * US_PER_MIN as f64).round() as i64)
}
