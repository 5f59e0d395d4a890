//! The armourer's test lamp: a battery and a small lamp in series with what is tested. A foil at rest is a closed
//! loop and lights it, pressing the point puts it out; an épée the other way round. A flicker is the fault.
//!
//! It is not the scoring apparatus, which shows nothing for a closed loop: see [`super::apparatus`].

use super::network::Source;
use super::probe::{OnBench, Probe};
use super::setup::End;

/// Two dry cells. An estimate of a usual lamp (common practice, no source).
const VOLT: f64 = 3.0;
/// A torch lamp of 0.2 A, hot. Estimate.
const LAMP_OHM: f64 = 15.0;
/// The part of the full current below which nobody sees it glow. Estimate.
const VISIBLE: f64 = 0.4;

/// Whether the lamp is seen to glow through what the probe's ends span.
pub(super) fn glows(item: &OnBench, probe: &Probe) -> bool {
    let (network, [plus, minus]) = item.between(probe, End::Likely);
    let flow = network.flow(Source { plus, minus, volt: VOLT, series_ohm: LAMP_OHM });
    flow.ampere >= VISIBLE * VOLT / LAMP_OHM
}
