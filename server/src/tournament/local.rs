//! Local time of the venue: reading it, with the gaps and folds of the clock, and showing it.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::{AmbiguousOffset, Offset, TimeZone, TimeZoneDatabase};
use remise_core::time::Stamp;
use remise_core::venue::Venue;
use thiserror::Error;

/// Years in which a local time may lie.
const YEARS: std::ops::RangeInclusive<i16> = 2000..=2099;

/// Why a local time was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum LocalProblem {
    /// The clock goes forward past it.
    #[error("the clock goes forward past this time, so it never comes")]
    Gap,
    /// The clock goes back over it, and nothing says which of the two is meant.
    #[error("the clock goes back, so this time comes twice")]
    Fold {
        /// Offset from UTC when it comes first.
        first: Offset,
        /// Offset from UTC when it comes again.
        second: Offset,
    },
    /// Not written as a local time.
    #[error("it is not written as a local time such as 2026-05-02T10:31")]
    Syntax,
    /// No such date or time of day, or not in the years 2000 to 2099.
    #[error("there is no such date or time in the years 2000 to 2099")]
    OutOfRange,
}

/// Which of the two times is meant when a time comes twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The earlier one.
    First,
    /// The later one.
    Second,
}

/// The time zone of that IANA name. The machine's own database comes first, because it may know newer laws;
/// the one built into the program serves a machine that has none.
pub fn zone(name: &str) -> Option<TimeZone> {
    let found = jiff::tz::db().get(name).or_else(|_| TimeZoneDatabase::bundled().get(name));
    found.ok().filter(|zone| !zone.is_unknown() && zone.iana_name().is_some())
}

/// The venue's time zone; UTC when this machine does not know the name.
pub fn local(venue: &Venue) -> TimeZone {
    zone(&venue.zone).unwrap_or(TimeZone::UTC)
}

/// Time of day on the venue's clock: `14:20`. Seconds are dropped, as on any clock.
pub fn clock_text(stamp: Stamp, zone: &TimeZone) -> String {
    // Only stamps thousands of years away have no local time.
    Timestamp::from_microsecond(stamp.0).map_or_else(
        |_| "--:--".to_owned(),
        |at| {
            let local = zone.to_datetime(at);
            format!("{:02}:{:02}", local.hour(), local.minute())
        },
    )
}

/// Reads `2026-05-02T10:31`, with or without seconds, with or without an offset (`Z`, `+02:00`). A text with an
/// offset names one moment, whatever the zone.
pub fn parse_local(text: &str, zone: &TimeZone) -> Result<Stamp, LocalProblem> {
    let (date, rest) = text.split_once('T').ok_or(LocalProblem::Syntax)?;
    let date = parse_date(date)?;
    let (clock, offset) = rest.split_at(rest.find(['Z', '+', '-']).unwrap_or(rest.len()));
    let at = DateTime::from_parts(date, parse_clock(clock)?);
    if offset.is_empty() { resolve(at, None, zone) } else { stamp_at(parse_offset(offset)?, at) }
}

/// Reads `2026-05-02`.
pub fn parse_date(text: &str) -> Result<Date, LocalProblem> {
    let parts: Vec<&str> = text.splitn(4, '-').collect();
    let [year, month, day] = parts[..] else { return Err(LocalProblem::Syntax) };
    let (year, month, day) = (digits(year, 4)?, digits(month, 2)?, digits(day, 2)?);
    let date = Date::new(year, month as i8, day as i8).map_err(|_| LocalProblem::OutOfRange)?;
    if YEARS.contains(&year) { Ok(date) } else { Err(LocalProblem::OutOfRange) }
}

/// Reads `10:31` or `10:31:05`.
pub fn parse_clock(text: &str) -> Result<Time, LocalProblem> {
    let parts: Vec<&str> = text.splitn(4, ':').collect();
    let (hour, minute, second) = match parts[..] {
        [hour, minute] => (digits(hour, 2)?, digits(minute, 2)?, 0),
        [hour, minute, second] => (digits(hour, 2)?, digits(minute, 2)?, digits(second, 2)?),
        _ => return Err(LocalProblem::Syntax),
    };
    Time::new(hour as i8, minute as i8, second as i8, 0).map_err(|_| LocalProblem::OutOfRange)
}

/// The moment of a local date and time; `which` decides when the time comes twice.
pub fn resolve(at: DateTime, which: Option<Which>, zone: &TimeZone) -> Result<Stamp, LocalProblem> {
    match (zone.to_ambiguous_timestamp(at).offset(), which) {
        (AmbiguousOffset::Unambiguous { offset }, _) => stamp_at(offset, at),
        (AmbiguousOffset::Gap { .. }, _) => Err(LocalProblem::Gap),
        (AmbiguousOffset::Fold { before, .. }, Some(Which::First)) => stamp_at(before, at),
        (AmbiguousOffset::Fold { after, .. }, Some(Which::Second)) => stamp_at(after, at),
        (AmbiguousOffset::Fold { before, after }, None) => {
            Err(LocalProblem::Fold { first: before, second: after })
        }
    }
}

/// An offset as it is written behind a time: `+02:00`.
pub fn offset_text(offset: Offset) -> String {
    let seconds = offset.seconds();
    let sign = if seconds < 0 { '-' } else { '+' };
    let minutes = seconds.unsigned_abs() / 60;
    format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60)
}

fn parse_offset(text: &str) -> Result<Offset, LocalProblem> {
    if text == "Z" {
        return Ok(Offset::UTC);
    }
    let (sign, rest) = match text.split_at_checked(1) {
        Some(("+", rest)) => (1, rest),
        Some(("-", rest)) => (-1, rest),
        _ => return Err(LocalProblem::Syntax),
    };
    let (hours, minutes) = rest.split_once(':').ok_or(LocalProblem::Syntax)?;
    let (hours, minutes) = (i32::from(digits(hours, 2)?), i32::from(digits(minutes, 2)?));
    // UTC-12 to UTC+14 are the offsets in use (IANA time zone database).
    if minutes > 59 || hours * 60 + minutes > 14 * 60 {
        return Err(LocalProblem::OutOfRange);
    }
    Offset::from_seconds(sign * (hours * 60 + minutes) * 60).map_err(|_| LocalProblem::OutOfRange)
}

fn stamp_at(offset: Offset, at: DateTime) -> Result<Stamp, LocalProblem> {
    let moment = offset.to_timestamp(at).map_err(|_| LocalProblem::OutOfRange)?;
    Ok(Stamp(moment.as_microsecond()))
}

/// Exactly `count` ASCII digits, at most four.
fn digits(text: &str, count: usize) -> Result<i16, LocalProblem> {
    if text.len() != count || !text.bytes().all(|b| b.is_ascii_digit()) {
        return Err(LocalProblem::Syntax);
    }
    text.parse().map_err(|_| LocalProblem::Syntax)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn vienna() -> TimeZone {
        zone("Europe/Vienna").unwrap()
    }

    fn read(text: &str) -> Result<i64, LocalProblem> {
        parse_local(text, &vienna()).map(|stamp| stamp.0 / 1_000_000)
    }

    // Held against: seconds since 1970 worked out by hand (20 575 days to 2026-05-02; summer time is UTC+2).
    #[test]
    fn local_times_are_read_with_and_without_seconds_and_offset() {
        let ten_thirty_one = 20_575 * 86_400 + 8 * 3600 + 31 * 60;
        assert_eq!(read("2026-05-02T10:31"), Ok(ten_thirty_one));
        assert_eq!(read("2026-05-02T10:31:05"), Ok(ten_thirty_one + 5));
        assert_eq!(read("2026-05-02T10:31+02:00"), Ok(ten_thirty_one));
        assert_eq!(read("2026-05-02T08:31Z"), Ok(ten_thirty_one));
        assert_eq!(read("2026-05-02T03:31:00-05:00"), Ok(ten_thirty_one));
    }

    // Held against: EU summer time from the last Sunday of March to that of October, 01:00 UTC (directive
    // 2000/84/EC): 29 March and 25 October in 2026.
    #[test]
    fn gaps_are_refused_and_folds_ask_for_an_offset() {
        assert_eq!(read("2026-03-29T02:30"), Err(LocalProblem::Gap));
        let fold = read("2026-10-25T02:30").unwrap_err();
        let LocalProblem::Fold { first, second } = fold else { panic!("{fold:?}") };
        assert_eq!((offset_text(first), offset_text(second)), ("+02:00".into(), "+01:00".into()));
        let first = read("2026-10-25T02:30+02:00").unwrap();
        assert_eq!(read("2026-10-25T02:30+01:00"), Ok(first + 3600));
    }

    #[test]
    fn nonsense_is_refused_by_kind() {
        for text in ["", "T", "2026-05-02", "10:31", "2026-05-02 10:31", "2026-5-2T10:31", "2026-05-02T1031"]
        {
            assert_eq!(read(text), Err(LocalProblem::Syntax), "{text}");
        }
        for text in ["2026-05-02T10:31é", "2026-05-02T10:31+2", "2026-05-02T10:31ZZ", "+026-05-02T10:31"] {
            assert_eq!(read(text), Err(LocalProblem::Syntax), "{text}");
        }
        for text in ["2026-02-30T10:31", "2026-13-01T10:31", "1999-12-31T10:31", "2100-01-01T10:31"] {
            assert_eq!(read(text), Err(LocalProblem::OutOfRange), "{text}");
        }
        for text in ["2026-05-02T24:00", "2026-05-02T10:60", "2026-05-02T10:31+15:00"] {
            assert_eq!(read(text), Err(LocalProblem::OutOfRange), "{text}");
        }
        assert_eq!(read(&"9".repeat(10_000_000)), Err(LocalProblem::Syntax));
    }

    #[test]
    fn the_clock_shows_local_time() {
        let at = parse_local("2026-05-02T14:20:59", &vienna()).unwrap();
        assert_eq!(clock_text(at, &vienna()), "14:20");
        assert_eq!(clock_text(at, &TimeZone::UTC), "12:20");
        assert_eq!(clock_text(Stamp(i64::MAX), &vienna()), "--:--");
    }

    #[test]
    fn the_built_in_zones_serve_a_machine_that_has_none() {
        assert!(TimeZoneDatabase::bundled().get("Europe/Vienna").is_ok());
        assert!(zone("Middle/Nowhere").is_none());
        assert!(zone("../../etc/passwd").is_none());
        assert!(zone("Etc/Unknown").is_none());
    }
}
