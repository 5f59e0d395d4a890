//! Times on the venue's clock: read as somebody types them, and shown. Only here is time local.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::{AmbiguousOffset, TimeZone};
use remise_core::time::{Stamp, US_PER_MIN};

/// Longest time that is looked at, in bytes.
const TYPED_MAX: usize = 64;
/// Most minutes in a `+30`.
const AHEAD_MAX_MIN: i64 = 3 * 24 * 60;
/// A clock that is ahead of the server's by that much still says "now".
const TOLERANCE_MIN: i64 = 2;

/// Which day a bare time of day belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// The next one, or one that has just gone by (at most six hours ago): when an item is wanted.
    Ahead,
    /// The last one: when something happened.
    Behind,
}

/// The venue's clock: its zone and the time that the server showed.
#[derive(Clone, Debug)]
pub struct VenueClock {
    zone: Option<TimeZone>,
    now: Stamp,
}

impl VenueClock {
    /// The clock of a zone by its IANA name; without a known zone only full times with an offset are read.
    pub fn new(zone: &str, now: Stamp) -> Self {
        let zone = jiff::tz::db().get(zone).ok().filter(|zone| !zone.is_unknown());
        Self { zone, now }
    }

    /// The time that the server showed.
    pub fn now(&self) -> Stamp {
        self.now
    }

    /// Reads `14:20`, `2026-05-02T14:20`, `2026-05-02T14:20+02:00`, or `+25` (minutes from now).
    ///
    /// # Errors
    /// A sentence for a person.
    pub fn read(&self, typed: &str, sense: Sense) -> Result<Stamp, String> {
        let typed = if typed.len() <= TYPED_MAX { typed.trim() } else { "" };
        if let Some(minutes) = typed.strip_prefix('+') {
            return self.minutes_ahead(minutes, sense);
        }
        let Some((date, rest)) = typed.split_once(['T', ' ']) else { return self.time_of_day(typed, sense) };
        if rest.ends_with('Z') || rest.contains(['+', '-']) {
            let stamp = format!("{date}T{rest}").parse::<Timestamp>().map_err(|_| syntax())?;
            return Ok(Stamp(stamp.as_microsecond()));
        }
        let date: Date = date.parse().map_err(|_| syntax())?;
        self.at(date.to_datetime(clock(rest)?))
    }

    fn minutes_ahead(&self, minutes: &str, sense: Sense) -> Result<Stamp, String> {
        let digits = minutes.trim_end_matches("min").trim();
        match digits.parse::<i64>() {
            Ok(_) if sense == Sense::Behind => {
                Err("that lies in the future; it cannot have happened yet".into())
            }
            Ok(minutes) if (0..=AHEAD_MAX_MIN).contains(&minutes) => Ok(self.now.plus_min(minutes)),
            _ => Err(format!("`+` takes whole minutes from 0 to {AHEAD_MAX_MIN}")),
        }
    }

    /// A bare time of day belongs to yesterday, today or tomorrow: a day may run past midnight.
    fn time_of_day(&self, typed: &str, sense: Sense) -> Result<Stamp, String> {
        let time = clock(typed)?;
        let today = self.today()?;
        let days = [today.yesterday(), Ok(today), today.tomorrow()];
        let local = days.into_iter().flatten().map(|date| date.to_datetime(time));
        let fitting: Vec<DateTime> = local.filter(|local| self.fits(self.near(*local), sense)).collect();
        let chosen = if sense == Sense::Ahead { fitting.first() } else { fitting.last() };
        self.at(*chosen.ok_or_else(syntax)?)
    }

    /// About when it is, also where the clock leaps over it.
    fn near(&self, local: DateTime) -> Stamp {
        let zone = self.zone.clone().unwrap_or(TimeZone::UTC);
        let near = zone.to_ambiguous_zoned_datetime(local).compatible();
        near.map_or(Stamp(0), |zoned| Stamp(zoned.timestamp().as_microsecond()))
    }

    fn fits(&self, stamp: Stamp, sense: Sense) -> bool {
        match sense {
            Sense::Ahead => stamp >= self.now.plus_min(-6 * 60),
            Sense::Behind => stamp <= self.now.plus_min(TOLERANCE_MIN),
        }
    }

    fn today(&self) -> Result<Date, String> {
        let now = Timestamp::from_microsecond(self.now.0).map_err(|_| syntax())?;
        Ok(self.zone()?.to_datetime(now).date())
    }

    fn zone(&self) -> Result<&TimeZone, String> {
        self.zone.as_ref().ok_or_else(|| {
            "the venue's time zone is not known here; write the time in full with its offset, as \
             2026-05-02T14:20+02:00"
                .to_owned()
        })
    }

    fn at(&self, local: DateTime) -> Result<Stamp, String> {
        let resolved = self.zone()?.to_ambiguous_zoned_datetime(local);
        match resolved.offset() {
            AmbiguousOffset::Gap { .. } => {
                return Err("the clock goes forward past this time, so it never comes; give another".into());
            }
            AmbiguousOffset::Fold { before, after } => {
                return Err(format!(
                    "the clock goes back, so this time comes twice; write {local}{before} or {local}{after}"
                ));
            }
            AmbiguousOffset::Unambiguous { .. } => {}
        }
        let zoned = resolved.unambiguous().map_err(|_| syntax())?;
        Ok(Stamp(zoned.timestamp().as_microsecond()))
    }

    /// Time of day: `14:20`; with its date when it is not today's: `3 May 00:10`. UTC where the zone is not known.
    pub fn show(&self, stamp: Stamp) -> String {
        let zone = self.zone.clone().unwrap_or(TimeZone::UTC);
        let of = |stamp: Stamp| Timestamp::from_microsecond(stamp.0).map(|at| zone.to_datetime(at));
        let (Ok(at), Ok(now)) = (of(stamp), of(self.now)) else { return "--:--".to_owned() };
        let time = format!("{:02}:{:02}", at.hour(), at.minute());
        if at.date() == now.date() { time } else { format!("{} {time}", at.strftime("%-d %b")) }
    }

    /// Minutes from now, rounded up; negative when it is past.
    pub fn minutes_until(&self, stamp: Stamp) -> i64 {
        (stamp.0 - self.now.0 + US_PER_MIN - 1).div_euclid(US_PER_MIN)
    }
}

fn syntax() -> String {
    "a time looks like 14:20 or 2026-05-02T14:20; one that lies ahead also like +25 (minutes from now)"
        .to_owned()
}

/// `14:20`, `9:05`, `14:20:30`, `14.20`.
fn clock(text: &str) -> Result<Time, String> {
    let parts: Vec<&str> = text.trim().splitn(4, [':', '.']).collect();
    let number = |part: &str| match part.len() {
        1 | 2 if part.bytes().all(|byte| byte.is_ascii_digit()) => part.parse::<i8>().ok(),
        _ => None,
    };
    let read = match parts[..] {
        [hour, minute] => number(hour).zip(number(minute)).map(|(hour, minute)| (hour, minute, 0)),
        [hour, minute, second] => match (number(hour), number(minute), number(second)) {
            (Some(hour), Some(minute), Some(second)) => Some((hour, minute, second)),
            _ => None,
        },
        _ => None,
    };
    read.and_then(|(hour, minute, second)| Time::new(hour, minute, second, 0).ok()).ok_or_else(syntax)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn stamp(text: &str) -> Stamp {
        Stamp(text.parse::<Timestamp>().unwrap().as_microsecond())
    }

    /// A clock in Berlin, which is two hours ahead of UTC in May.
    fn clock_at(now: &str) -> VenueClock {
        VenueClock::new("Europe/Berlin", stamp(now))
    }

    #[test]
    fn a_time_of_day_is_on_the_venues_clock() {
        let clock = clock_at("2026-05-02T10:00Z");
        for (typed, utc) in [
            ("14:20", "2026-05-02T12:20Z"),
            ("9:05", "2026-05-02T07:05Z"),
            ("14.20", "2026-05-02T12:20Z"),
            ("14:20:30", "2026-05-02T12:20:30Z"),
            ("2026-05-03T08:00", "2026-05-03T06:00Z"),
            ("2026-05-03 08:00", "2026-05-03T06:00Z"),
            ("2026-05-03T08:00+00:00", "2026-05-03T08:00Z"),
            ("2026-05-03T08:00Z", "2026-05-03T08:00Z"),
            ("+25", "2026-05-02T10:25Z"),
            ("+25min", "2026-05-02T10:25Z"),
        ] {
            assert_eq!(clock.read(typed, Sense::Ahead), Ok(stamp(utc)), "{typed}");
        }
    }

    #[test]
    fn a_day_may_run_past_midnight() {
        let late = clock_at("2026-05-02T21:50Z");
        assert_eq!(late.read("00:20", Sense::Ahead), Ok(stamp("2026-05-02T22:20Z")), "tomorrow's");
        assert_eq!(late.read("23:30", Sense::Ahead), Ok(stamp("2026-05-02T21:30Z")), "just gone by");
        let early = clock_at("2026-05-02T22:10Z");
        assert_eq!(early.read("23:55", Sense::Behind), Ok(stamp("2026-05-02T21:55Z")), "yesterday's");
        assert_eq!(early.read("00:05", Sense::Behind), Ok(stamp("2026-05-02T22:05Z")));
    }

    /// Europe/Berlin, 2026: the clock goes forward on 29 March at 02:00 and back on 25 October at 03:00
    /// (time zone database; the rule of EU directive 2000/84/EC).
    #[test]
    fn gaps_and_folds_are_told() {
        let spring = clock_at("2026-03-28T23:30Z");
        assert!(spring.read("02:30", Sense::Ahead).unwrap_err().contains("never comes"));
        let autumn = clock_at("2026-10-24T22:30Z");
        let why = autumn.read("02:30", Sense::Ahead).unwrap_err();
        assert!(why.contains("twice") && why.contains("2026-10-25T02:30:00+02"), "{why}");
        assert_eq!(autumn.read("2026-10-25T02:30+02:00", Sense::Ahead), Ok(stamp("2026-10-25T00:30Z")));
    }

    #[test]
    fn nonsense_is_refused() {
        let clock = clock_at("2026-05-02T10:00Z");
        let long = "1".repeat(1_000_000);
        for typed in ["", "25:00", "14:60", "1420", "14:2x", "+", "+x", "-5", "+99999", "noon", long.as_str()]
        {
            assert!(clock.read(typed, Sense::Ahead).is_err(), "{}", typed.len());
        }
        assert!(clock.read("+5", Sense::Behind).is_err());
        let nowhere = VenueClock::new("", stamp("2026-05-02T10:00Z"));
        assert!(nowhere.read("14:20", Sense::Ahead).unwrap_err().contains("time zone"));
        assert!(nowhere.read("2026-05-02T14:20Z", Sense::Ahead).is_ok());
    }

    #[test]
    fn times_are_shown_on_the_venues_clock() {
        let clock = clock_at("2026-05-02T10:00Z");
        assert_eq!(clock.show(stamp("2026-05-02T12:20Z")), "14:20");
        assert_eq!(clock.show(stamp("2026-05-02T22:10Z")), "3 May 00:10");
        assert_eq!(clock.minutes_until(stamp("2026-05-02T10:00:01Z")), 1);
        assert_eq!(clock.minutes_until(stamp("2026-05-02T09:50Z")), -10);
    }
}
