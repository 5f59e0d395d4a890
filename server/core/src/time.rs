//! Points in time and lengths of time, in whole units. Local time exists only at the rim.

use std::fmt;
use std::ops::{Add, Sub};

use serde::{Deserialize, Serialize};

/// Microseconds in a second.
pub const US_PER_S: i64 = 1_000_000;
/// Microseconds in a minute.
pub const US_PER_MIN: i64 = 60 * US_PER_S;

/// A point in time: microseconds since 1970-01-01T00:00:00Z.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Stamp(pub i64);

impl Stamp {
    /// The later of two points.
    #[must_use]
    pub fn or_later(self, other: Self) -> Self {
        self.max(other)
    }

    /// This point moved by whole minutes, backwards when negative.
    #[must_use]
    pub fn plus_min(self, minutes: i64) -> Self {
        Self(self.0.saturating_add(minutes.saturating_mul(US_PER_MIN)))
    }

    /// Time since `earlier`; zero when `earlier` is later.
    pub fn since(self, earlier: Self) -> Span {
        Span(self.0.saturating_sub(earlier.0).max(0))
    }
}

/// A length of time in microseconds, never negative in use.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Span(pub i64);

impl Span {
    /// No time at all.
    pub const ZERO: Self = Self(0);

    /// From whole minutes.
    pub const fn minutes(minutes: i64) -> Self {
        Self(minutes * US_PER_MIN)
    }

    /// From whole seconds.
    pub const fn seconds(seconds: i64) -> Self {
        Self(seconds * US_PER_S)
    }

    /// Minutes, with a fraction. For estimates and display; the journal keeps whole units.
    pub fn as_min(self) -> f64 {
        self.0 as f64 / US_PER_MIN as f64
    }

    /// Whole minutes, rounded up.
    pub const fn ceil_min(self) -> i64 {
        (self.0 + US_PER_MIN - 1).div_euclid(US_PER_MIN)
    }
}

impl Add<Span> for Stamp {
    type Output = Self;

    fn add(self, span: Span) -> Self {
        Self(self.0.saturating_add(span.0))
    }
}

impl Sub<Span> for Stamp {
    type Output = Self;

    fn sub(self, span: Span) -> Self {
        Self(self.0.saturating_sub(span.0))
    }
}

impl Add for Span {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl fmt::Display for Span {
    /// Whole minutes, rounded up: `12 min`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} min", self.ceil_min())
    }
}

/// A half-open stretch of time: `from` belongs to it, `to` does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Window {
    /// First moment inside.
    pub from: Stamp,
    /// First moment after.
    pub to: Stamp,
}

impl Window {
    /// Whether `at` lies inside.
    pub fn contains(self, at: Stamp) -> bool {
        self.from <= at && at < self.to
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_round_up_so_that_a_promise_is_never_said_too_early() {
        assert_eq!(Span::seconds(61).ceil_min(), 2);
        assert_eq!(Span::minutes(2).ceil_min(), 2);
        assert_eq!(Span::ZERO.ceil_min(), 0);
    }

    #[test]
    fn a_window_is_half_open() {
        let window = Window { from: Stamp(10), to: Stamp(20) };
        assert!(window.contains(Stamp(10)) && !window.contains(Stamp(20)));
    }

    #[test]
    fn arithmetic_at_the_ends_of_time_saturates() {
        assert_eq!(Stamp(i64::MAX).plus_min(1), Stamp(i64::MAX));
        assert_eq!(Stamp(0).since(Stamp(5)), Span::ZERO);
    }
}
