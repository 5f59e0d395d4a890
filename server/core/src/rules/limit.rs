//! A limit with its operator as the source words it: "less than" is strict, "at most" includes the limit.

use std::fmt;

use super::Unit;
use super::reading::plain;

/// An operator with its values, in whole smallest units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// Strictly below.
    LessThan(i64),
    /// Below or equal.
    AtMost(i64),
    /// Strictly above.
    MoreThan(i64),
    /// Above or equal.
    AtLeast(i64),
    /// From the first to the second, both included.
    Between(i64, i64),
}

/// A bound and the unit in which it is published.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit {
    /// Operator and values.
    pub bound: Bound,
    /// Unit in which it is shown; values are in its smallest unit.
    pub unit: Unit,
}

impl Bound {
    /// Whether a value keeps it.
    pub fn admits(self, value: i64) -> bool {
        match self {
            Self::LessThan(limit) => value < limit,
            Self::AtMost(limit) => value <= limit,
            Self::MoreThan(limit) => value > limit,
            Self::AtLeast(limit) => value >= limit,
            Self::Between(low, high) => low <= value && value <= high,
        }
    }
}

impl fmt::Display for Limit {
    /// As it is said: `at most 2 ohm`, `14 to 16 cm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = |value| plain(value, self.unit);
        match self.bound {
            Bound::LessThan(limit) => write!(f, "less than {}", number(limit)),
            Bound::AtMost(limit) => write!(f, "at most {}", number(limit)),
            Bound::MoreThan(limit) => write!(f, "more than {}", number(limit)),
            Bound::AtLeast(limit) => write!(f, "at least {}", number(limit)),
            Bound::Between(low, high) => write!(f, "{} to {}", number(low), number(high)),
        }?;
        write!(f, " {}", self.unit.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The meaning of the words, as tests/reference/standards.md states it.
    #[test]
    fn strict_is_strict_and_inclusive_is_inclusive() {
        let sides = |bound: Bound| [9, 10, 11].map(|value| bound.admits(value));
        assert_eq!(sides(Bound::LessThan(10)), [true, false, false]);
        assert_eq!(sides(Bound::AtMost(10)), [true, true, false]);
        assert_eq!(sides(Bound::MoreThan(10)), [false, false, true]);
        assert_eq!(sides(Bound::AtLeast(10)), [false, true, true]);
        assert_eq!(sides(Bound::Between(10, 10)), [false, true, false]);
    }

    #[test]
    fn a_limit_reads_as_it_is_said() {
        let said = |bound, unit| Limit { bound, unit }.to_string();
        assert_eq!(said(Bound::AtMost(2500), Unit::Ohm), "at most 2.5 ohm");
        assert_eq!(said(Bound::Between(14_000, 16_000), Unit::Centimetre), "14 to 16 cm");
        assert_eq!(said(Bound::LessThan(7700), Unit::Gram), "less than 770 g");
    }
}
