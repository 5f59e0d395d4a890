//! The armourer's test lamp: a battery and a small lamp in series with what is tested. A foil at rest is a closed
//! loop and lights it, pressing the point puts it out; an épée the other way round. A flicker is the fault.
//!
//! It is not the scoring apparatus, which shows nothing for a closed loop: see [`super::apparatus`].

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
    ampere(item.ohm(probe, End::Likely)) >= VISIBLE * VOLT / LAMP_OHM
}

/// Current through lamp and item, which are one loop, in ampere: Ohm's law.
fn ampere(ohm: f64) -> f64 {
    VOLT / (ohm + LAMP_OHM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::network::{Network, Source};

    /// What a network with a source in series says of the same loop; open, there is no current.
    #[test]
    fn one_loop_has_one_current() {
        for ohm in [0.9, 7.5, 22.5, 600.0, f64::INFINITY] {
            let mut item = Network::new(2);
            item.join(0, 1, ohm);
            let flow = item.flow(Source { plus: 0, minus: 1, volt: VOLT, series_ohm: LAMP_OHM });
            assert!((flow.ampere - ampere(ohm)).abs() < 1e-12, "{ohm}: {flow:?}");
        }
    }
}
