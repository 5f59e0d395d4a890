//! How likely something is to be seen when a cause is there: what the circuit shows then, and how often eyes, hands
//! and instruments go wrong.
//!
//! With missed m, fancied f and misread r (see [`Rates`]) and k results of which the last is "comes and goes":
//!
//! ```text
//! shown is steady:          P(seen = shown) = 1 - f - r,  P(comes and goes) = f,  each other r / (k - 2)
//! shown comes and goes:     (1 - m) · (1 - r where seen as that, else r / (k - 1)) + m · P(seen | the calm state)
//! ```

use std::borrow::Cow;

use super::estimates::{Estimates, Rates};
use crate::circuit::{Action, Lamp, Measured, OhmClass, Reading, Shown, Sight, Way, lamps_fit, shown};
use crate::gear::{ItemKind, Weapon};

/// The results of the test lamp, that which comes and goes last.
pub(super) const LAMP: [Lamp; 3] = [Lamp::Off, Lamp::On, Lamp::Flicker];
/// The results of the meter, likewise.
pub(super) const OHM: [OhmClass; 4] = [OhmClass::Low, OhmClass::High, OhmClass::Open, OhmClass::Jumps];

/// The number of a result of lamp or meter; none for a value and for the apparatus.
pub(super) fn result(sight: &Sight) -> Option<usize> {
    match sight {
        Sight::TestLamp(lamp) => LAMP.iter().position(|known| known == lamp),
        Sight::Ohm(class) => OHM.iter().position(|known| known == class),
        Sight::Value(_) | Sight::Apparatus(_) => None,
    }
}

/// How many pictures of lamps somebody could take one for who misread the apparatus. A choice of ours.
const PICTURES: f64 = 4.0;

/// Whether what was seen is what is shown.
#[derive(Clone, Copy)]
enum Fits {
    /// Nothing changes during the action.
    Steady(bool),
    /// Two states in turn, or the calm one alone when the fault happens not to stir.
    ComesAndGoes { stirred: bool, calm: bool },
}

impl Fits {
    fn of(stirred: bool, calm: bool, comes_and_goes: bool) -> Self {
        if comes_and_goes { Self::ComesAndGoes { stirred, calm } } else { Self::Steady(stirred) }
    }
}

impl Rates {
    /// Chance of seeing result `seen` when `shown` is shown, and `calm` while the fault does not stir; the last of `of`
    /// results is the one that comes and goes.
    pub(super) fn chance(self, seen: usize, shown: usize, calm: usize, of: usize) -> f64 {
        if shown + 1 == of {
            let stirred = if seen == shown { 1.0 - self.misread } else { self.misread / (of - 1) as f64 };
            return (1.0 - self.missed) * stirred + self.missed * self.steady(seen, calm, of);
        }
        self.steady(seen, shown, of)
    }

    fn steady(self, seen: usize, shown: usize, of: usize) -> f64 {
        if seen == shown {
            1.0 - self.fancied - self.misread
        } else if seen + 1 == of {
            self.fancied
        } else {
            self.misread / (of - 2) as f64
        }
    }

    /// The same where only fitting and not fitting are told apart.
    fn fitting(self, fits: Fits, seen_unsteady: bool) -> f64 {
        let wrong = self.misread / PICTURES;
        let steady = |fits: bool| match (fits, seen_unsteady) {
            (true, _) => 1.0 - self.fancied - self.misread,
            (false, true) => self.fancied + wrong,
            (false, false) => wrong,
        };
        match fits {
            Fits::Steady(fits) => steady(fits),
            Fits::ComesAndGoes { stirred, calm } => {
                let stirred = if stirred { 1.0 - self.misread } else { wrong };
                (1.0 - self.missed) * stirred + self.missed * steady(calm)
            }
        }
    }
}

/// An item with one cause in one way, looked at during one action.
pub(super) struct Observed {
    action: Action,
    shown: Cow<'static, Shown>,
}

impl Observed {
    pub(super) fn of(kind: ItemKind, weapon: Weapon, way: &Way, action: Action) -> Self {
        Self { action, shown: shown(kind, weapon, way, action) }
    }

    /// Something of a place on the bench, stirred and calm.
    fn at<T>(&self, probe: usize, of: impl Fn(Option<&Measured>) -> T) -> [T; 2] {
        self.shown.bench.each_ref().map(|measured| of(measured.get(probe)))
    }

    /// Chance of each result of the lamp at a place, in the order of [`LAMP`].
    pub(super) fn lamp(&self, probe: usize, rates: Rates) -> Vec<f64> {
        let [shown, calm] = self.at(probe, |measured| {
            let lamp = measured.map_or(Lamp::Off, |measured| measured.lamp);
            LAMP.iter().position(|known| *known == lamp).unwrap_or_default()
        });
        (0..LAMP.len()).map(|seen| rates.chance(seen, shown, calm, LAMP.len())).collect()
    }

    /// Chance of each result of the meter at a place, in the order of [`OHM`].
    pub(super) fn meter(&self, probe: usize, rates: Rates) -> Vec<f64> {
        let [shown, calm] = self.at(probe, |measured| {
            let class = measured.map_or(OhmClass::Open, Measured::class);
            OHM.iter().position(|known| *known == class).unwrap_or_default()
        });
        (0..OHM.len()).map(|seen| rates.chance(seen, shown, calm, OHM.len())).collect()
    }

    /// Chance of seeing that.
    pub(super) fn sight(&self, sight: &Sight, probe: usize, estimates: &Estimates) -> f64 {
        let number = result(sight).unwrap_or_default();
        match sight {
            Sight::TestLamp(_) => self.lamp(probe, estimates.lamp)[number],
            Sight::Ohm(_) => self.meter(probe, estimates.meter)[number],
            Sight::Value(ohm) => self.value(*ohm, probe, estimates.meter),
            Sight::Apparatus(lamps) => {
                let [stirred, calm] = self.shown.apparatus;
                let fits = |shown| lamps_fit(lamps, self.action, shown);
                let unsteady = lamps.iter().any(|(_, lamp)| *lamp == Lamp::Flicker);
                let fits = Fits::of(fits(stirred), fits(calm), stirred != calm);
                estimates.apparatus.fitting(fits, unsteady)
            }
        }
    }

    /// Chance of reading that value: it fits the band of the parts' tolerances, or it does not.
    fn value(&self, ohm: f64, probe: usize, rates: Rates) -> f64 {
        let reading = |measured: Option<&Measured>| measured.map(|measured| measured.reading);
        let [stirred, calm] = self.at(probe, reading);
        let fits = |reading: Option<Reading>| reading.is_some_and(|reading| reading.may_be(ohm));
        let jumps = matches!(stirred, Some(Reading::Jumps(..)));
        rates.fitting(Fits::of(fits(stirred), fits(calm), jumps), false)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const RATES: Rates = Rates { missed: 0.1, fancied: 0.02, misread: 0.01 };

    #[test]
    fn chances_of_all_results_sum_to_one() {
        for of in [3, 4] {
            for shown in 0..of {
                for calm in 0..of - 1 {
                    let sum: f64 = (0..of).map(|seen| RATES.chance(seen, shown, calm, of)).sum();
                    assert!((sum - 1.0).abs() < 1e-12, "{of} {shown} {calm}");
                }
            }
        }
    }

    /// By hand: a flicker is missed one time in ten, and then the calm state is seen.
    #[test]
    fn a_flicker_is_missed_as_often_as_said() {
        assert!((RATES.chance(2, 2, 1, 3) - (0.9 * 0.99 + 0.1 * 0.02)).abs() < 1e-12);
        assert!((RATES.chance(1, 2, 1, 3) - (0.9 * 0.005 + 0.1 * 0.97)).abs() < 1e-12);
        assert!((RATES.chance(2, 1, 1, 3) - 0.02).abs() < 1e-12);
    }
}
