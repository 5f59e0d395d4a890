//! What an invented day is made from, and the bounds of it.

use thiserror::Error;

/// What an invented day is made from. The default is the day that figures are compared on.
#[derive(Clone, Debug, PartialEq)]
pub struct DayOptions {
    /// Seed of everything that is drawn.
    pub seed: u64,
    /// Strips of the invented tournament, 1 to 200.
    pub strips: u16,
    /// Benches of the invented tournament, 2 to 60: every kind of work needs two benches.
    pub benches: u16,
    /// Hours from the opening of the armoury to its close, 2 to 16.
    pub hours: u16,
    /// Bench minutes demanded per bench minute open in the busiest two hours, 0.05 to 3.
    pub load: f64,
    /// True causes are drawn from shares that differ from those of the fault table, which the core plans by.
    pub shift: bool,
}

impl Default for DayOptions {
    fn default() -> Self {
        Self { seed: 1, strips: 16, benches: 5, hours: 10, load: 0.85, shift: false }
    }
}

/// An option outside its bounds.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum OptionProblem {
    /// Too few or too many strips.
    #[error("--strips must be 1 to 200, not {0}")]
    Strips(u16),
    /// Too few or too many benches.
    #[error("--benches must be 2 to 60, not {0}: every kind of work needs two benches")]
    Benches(u16),
    /// Too short or too long a day.
    #[error("--hours must be 2 to 16, not {0}")]
    Hours(u16),
    /// A load that nobody would rehearse.
    #[error("--load must be 0.05 to 3, not {0}")]
    Load(f64),
}

impl DayOptions {
    /// Every option that is out of bounds; none when all is well.
    pub fn check(&self) -> Result<(), Vec<OptionProblem>> {
        let mut problems = Vec::new();
        if !(1..=200).contains(&self.strips) {
            problems.push(OptionProblem::Strips(self.strips));
        }
        if !(2..=60).contains(&self.benches) {
            problems.push(OptionProblem::Benches(self.benches));
        }
        if !(2..=16).contains(&self.hours) {
            problems.push(OptionProblem::Hours(self.hours));
        }
        if !(0.05..=3.0).contains(&self.load) {
            problems.push(OptionProblem::Load(self.load));
        }
        if problems.is_empty() { Ok(()) } else { Err(problems) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_default_is_within_bounds() {
        assert_eq!(DayOptions::default().check(), Ok(()));
    }

    #[test]
    fn everything_out_of_bounds_is_named_at_once() {
        let options =
            DayOptions { seed: 0, strips: 0, benches: 1, hours: 17, load: f64::INFINITY, shift: false };
        assert_eq!(options.check().map_err(|problems| problems.len()), Err(4));
        let options = DayOptions { load: f64::NAN, ..DayOptions::default() };
        assert!(options.check().is_err());
    }
}
