//! Hours of a day as people write them, `08:00-18:30`, and what they mean on a date: `18:00-01:00` ends on the
//! next day, and a time that comes twice is told apart by `first` or `second`: `18:00-02:30 second`.

use jiff::civil::{Date, DateTime, Time};
use jiff::tz::TimeZone;
use remise_core::time::Window;

use super::local::{LocalProblem, Which, parse_clock, resolve};

/// A time of day, and which one is meant on a night when it comes twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clock {
    /// The time of day.
    pub time: Time,
    /// Which one is meant when it comes twice.
    pub which: Option<Which>,
}

/// From one time of day to another; to the next day's when the second is not later.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hours {
    /// The first moment.
    pub from: Clock,
    /// The end.
    pub to: Clock,
}

impl Hours {
    /// Reads `08:00-18:30`. The error says what is wrong and what to write.
    pub fn parse(text: &str) -> Result<Self, &'static str> {
        let (from, to) = text.split_once('-').ok_or("write hours as `08:00-18:30`")?;
        let hours = Self { from: Clock::parse(from)?, to: Clock::parse(to)? };
        if hours.from.time == hours.to.time {
            return Err("they begin and end at the same time");
        }
        Ok(hours)
    }

    /// Whether they end on the next day.
    pub fn overnight(self) -> bool {
        self.to.time < self.from.time
    }

    /// The stretch of time that they mean on a date. The error names the time of day that has no place there.
    pub fn on(self, date: Date, zone: &TimeZone) -> Result<Window, (Clock, LocalProblem)> {
        let end = if self.overnight() {
            date.tomorrow().map_err(|_| (self.to, LocalProblem::OutOfRange))?
        } else {
            date
        };
        let from = self.from.on(date, zone).map_err(|problem| (self.from, problem))?;
        let to = self.to.on(end, zone).map_err(|problem| (self.to, problem))?;
        // On the night of the change, `02:50 second-02:55 first` would run backwards.
        if from < to { Ok(Window { from, to }) } else { Err((self.to, LocalProblem::OutOfRange)) }
    }

    /// The stretch that they mean within outer hours that begin on `date`: after midnight when the outer hours
    /// run past midnight and these begin before them on the clock.
    pub fn within(self, outer: Self, date: Date, zone: &TimeZone) -> Result<Window, (Clock, LocalProblem)> {
        if outer.overnight() && self.from.time < outer.from.time {
            let date = date.tomorrow().map_err(|_| (self.from, LocalProblem::OutOfRange))?;
            return self.on(date, zone);
        }
        self.on(date, zone)
    }
}

impl Clock {
    fn parse(text: &str) -> Result<Self, &'static str> {
        let text = text.trim();
        let (time, which) = match text.split_once(' ').map(|(time, word)| (time, word.trim())) {
            None => (text, None),
            Some((time, "first")) => (time, Some(Which::First)),
            Some((time, "second")) => (time, Some(Which::Second)),
            Some(_) => return Err("only `first` or `second` may stand behind a time"),
        };
        if time.len() != 5 {
            return Err("write a time as `08:00`, with two digits on each side");
        }
        match parse_clock(time) {
            Ok(time) => Ok(Self { time, which }),
            Err(LocalProblem::OutOfRange) => Err("a day has the times 00:00 to 23:59; midnight is 00:00"),
            Err(_) => Err("write a time as `08:00`, with two digits on each side"),
        }
    }

    fn on(self, date: Date, zone: &TimeZone) -> Result<remise_core::time::Stamp, LocalProblem> {
        resolve(DateTime::from_parts(date, self.time), self.which, zone)
    }
}

impl std::fmt::Display for Clock {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:02}:{:02}", self.time.hour(), self.time.minute())
    }
}

/// A stretch of time less some pieces of it, ascending and apart.
pub fn without(whole: Window, pieces: &[Window]) -> Vec<Window> {
    let mut pieces = pieces.to_vec();
    pieces.sort_unstable();
    let (mut left, mut from) = (Vec::new(), whole.from);
    for piece in pieces {
        if piece.from > from {
            left.push(Window { from, to: piece.from.min(whole.to) });
        }
        from = from.max(piece.to);
    }
    if from < whole.to {
        left.push(Window { from, to: whole.to });
    }
    left
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::local::zone;
    use super::*;
    use remise_core::time::Stamp;

    fn minutes(text: &str, date: &str) -> Result<i64, LocalProblem> {
        let vienna = zone("Europe/Vienna").unwrap();
        let window = Hours::parse(text).unwrap().on(date.parse().unwrap(), &vienna);
        window.map(|w| w.to.since(w.from).ceil_min()).map_err(|(_, problem)| problem)
    }

    // Held against: counted on the clock; the nights of the change are 28 March and 24 October in 2026.
    #[test]
    fn hours_have_their_real_length() {
        assert_eq!(minutes("08:00-18:30", "2026-05-02"), Ok(630));
        assert_eq!(minutes("18:00-01:00", "2026-05-02"), Ok(420));
        assert_eq!(minutes("18:00-04:00", "2026-03-28"), Ok(9 * 60));
        assert_eq!(minutes("18:00-04:00", "2026-10-24"), Ok(11 * 60));
        assert_eq!(minutes("18:00-02:30 second", "2026-10-24"), Ok(9 * 60 + 30));
        assert_eq!(minutes("18:00-02:30", "2026-03-28"), Err(LocalProblem::Gap));
        assert!(matches!(minutes("18:00-02:30", "2026-10-24"), Err(LocalProblem::Fold { .. })));
    }

    #[test]
    fn hours_that_are_none_are_refused() {
        for text in
            ["", "-", "8:00-18:00", "08:00", "08:00–18:00", "08:00-24:00", "08:00-08:00", "08:00-18:00 third"]
        {
            assert!(Hours::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn pieces_are_taken_out() {
        let w = |from, to| Window { from: Stamp(from), to: Stamp(to) };
        assert_eq!(without(w(0, 10), &[]), [w(0, 10)]);
        assert_eq!(without(w(0, 10), &[w(6, 7), w(2, 3)]), [w(0, 2), w(3, 6), w(7, 10)]);
        assert_eq!(without(w(0, 10), &[w(0, 4), w(4, 10)]), []);
    }
}
