//! The ohmmeter: a reading with the band that the parts' tolerances give, open, or jumping while something is
//! stirred.

use super::parts::Ohms;
use super::probe::{OnBench, Probe};
use super::setup::End;

/// Above that, in ohm, the meter says open. A choice of ours: no sound path here has more than a hundredth of it.
pub const OPEN_ABOVE_OHM: f64 = 2_000.0;
/// Readings that differ by less, in ohm, are one reading to an armourer. Estimate.
const STEADY_WITHIN_OHM: f64 = 0.5;
/// A meter's last digit and its leads, in ohm. Estimate.
const METER_OHM: f64 = 0.1;

/// What an ohmmeter reads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// A steady value within that band.
    Steady(Ohms),
    /// Nothing joins the two places.
    Open,
    /// Jumps between two values; the second is none for open.
    Jumps(Ohms, Option<Ohms>),
}

/// Which kind of reading, against the place's limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OhmClass {
    /// Closed, and within the limit where there is one.
    Low,
    /// Closed, and above the limit.
    High,
    /// Open.
    Open,
    /// Jumps.
    Jumps,
}

impl OhmClass {
    /// Word to show.
    pub fn title(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::High => "high",
            Self::Open => "open",
            Self::Jumps => "jumps",
        }
    }
}

impl Reading {
    /// What is read between a probe's ends in one state.
    pub(super) fn of(item: &OnBench, probe: &Probe) -> Self {
        let likely = item.ohm(probe, End::Likely);
        if likely > OPEN_ABOVE_OHM {
            return Self::Open;
        }
        Self::Steady(Ohms::new(item.ohm(probe, End::Low), likely, item.ohm(probe, End::High)))
    }

    /// From the readings in each state that the circuit goes through.
    pub(super) fn over(states: &[Self]) -> Self {
        let closed = |reading: &Self| match reading {
            Self::Steady(ohms) => Some(*ohms),
            _ => None,
        };
        let values: Vec<Ohms> = states.iter().filter_map(closed).collect();
        let (least, most) =
            values.iter().fold((None, None), |(least, most): (Option<Ohms>, Option<Ohms>), v| {
                (
                    Some(least.filter(|least| least.likely <= v.likely).unwrap_or(*v)),
                    Some(most.filter(|most| most.likely >= v.likely).unwrap_or(*v)),
                )
            });
        match (least, most) {
            (Some(least), _) if values.len() < states.len() => Self::Jumps(least, None),
            (Some(least), Some(most)) if most.likely - least.likely > STEADY_WITHIN_OHM => {
                Self::Jumps(least, Some(most))
            }
            (Some(least), _) => Self::Steady(least),
            _ => Self::Open,
        }
    }

    /// Whether that value, in ohm, is a steady reading within the band, meter and leads allowed for.
    pub(crate) fn may_be(self, ohm: f64) -> bool {
        matches!(self, Self::Steady(band) if ohm >= band.low - METER_OHM && ohm <= band.high + METER_OHM)
    }

    /// Its class at a place with that limit.
    pub fn class(self, limit_ohm: Option<f64>) -> OhmClass {
        match self {
            Self::Open => OhmClass::Open,
            Self::Jumps(..) => OhmClass::Jumps,
            Self::Steady(ohms) if limit_ohm.is_some_and(|limit| ohms.likely > limit) => OhmClass::High,
            Self::Steady(_) => OhmClass::Low,
        }
    }

    /// Whether an armourer would call both the same: closed, open or jumping alike, and less than half an ohm apart.
    pub fn is_like(self, other: Self) -> bool {
        let near = |a: Ohms, b: Ohms| (a.likely - b.likely).abs() < STEADY_WITHIN_OHM;
        match (self, other) {
            (Self::Open, Self::Open) => true,
            (Self::Steady(a), Self::Steady(b)) | (Self::Jumps(a, None), Self::Jumps(b, None)) => near(a, b),
            (Self::Jumps(a, Some(c)), Self::Jumps(b, Some(d))) => near(a, b) && near(c, d),
            _ => false,
        }
    }

    /// In words, with the band: `0.9 ohm (0.5 to 1.9)`.
    pub fn title(self) -> String {
        match self {
            Self::Open => "open".to_owned(),
            Self::Steady(Ohms { low, likely, high }) => {
                format!("{} ohm ({} to {})", short(likely), short(low), short(high))
            }
            Self::Jumps(from, None) => format!("jumps: {} ohm to open", short(from.likely)),
            Self::Jumps(from, Some(to)) => {
                format!("jumps: {} to {} ohm", short(from.likely), short(to.likely))
            }
        }
    }
}

/// Tenths below a hundred ohm, whole ohms above.
fn short(ohm: f64) -> String {
    if ohm < 99.95 { format!("{ohm:.1}") } else { format!("{ohm:.0}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LOW: Reading = Reading::Steady(Ohms::new(0.5, 0.9, 1.9));
    const HIGH: Reading = Reading::Steady(Ohms::new(2.0, 4.0, 15.0));

    #[test]
    fn states_become_one_reading() {
        assert_eq!(Reading::over(&[LOW]), LOW);
        assert_eq!(Reading::over(&[LOW, LOW]), LOW);
        assert_eq!(Reading::over(&[Reading::Open, Reading::Open]), Reading::Open);
        assert_eq!(Reading::over(&[Reading::Open, LOW]).title(), "jumps: 0.9 ohm to open");
        assert_eq!(Reading::over(&[HIGH, LOW]).title(), "jumps: 0.9 to 4.0 ohm");
        assert_eq!(LOW.title(), "0.9 ohm (0.5 to 1.9)");
    }

    /// "At most" includes the limit; a place without one only tells closed from open.
    #[test]
    fn the_limit_belongs_to_the_low_side() {
        let two = Reading::Steady(Ohms::new(2.0, 2.0, 2.0));
        assert_eq!(two.class(Some(2.0)), OhmClass::Low);
        assert_eq!(HIGH.class(Some(2.0)), OhmClass::High);
        assert_eq!(HIGH.class(None), OhmClass::Low);
        assert_eq!(Reading::Open.class(None), OhmClass::Open);
    }
}
