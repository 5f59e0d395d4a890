//! The clock that screens show: the server's, on the venue's wall. Time comes in with messages; nothing here
//! asks the machine.

use remise_core::time::{Span, Stamp};

use crate::local::{Sense, VenueClock};

/// The server's time as this station knows it.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct WallClock {
    zone: String,
    /// This machine's clock at the newest message.
    local: Stamp,
    /// What the server's clock is ahead of this machine's, in microseconds.
    ahead_us: i64,
}

impl WallClock {
    /// A clock that has been told nothing but the machine's time.
    pub fn new(local: Stamp) -> Self {
        Self { local, ..Self::default() }
    }

    /// The venue's zone by its IANA name.
    pub fn set_zone(&mut self, zone: &str) {
        zone.clone_into(&mut self.zone);
    }

    /// This machine's clock has moved on.
    pub fn tick(&mut self, local: Stamp) {
        self.local = local;
    }

    /// The server's clock showed that just now.
    pub fn heard(&mut self, server: Stamp) {
        self.ahead_us = server.0.saturating_sub(self.local.0);
    }

    /// The server's time.
    pub fn now(&self) -> Stamp {
        Stamp(self.local.0.saturating_add(self.ahead_us))
    }

    /// A moment of this machine's clock in the server's time.
    pub fn of_local(&self, local: Stamp) -> Stamp {
        Stamp(local.0.saturating_add(self.ahead_us))
    }

    fn venue(&self) -> VenueClock {
        VenueClock::new(&self.zone, self.now())
    }

    /// `14:20`; with the date when it is another day.
    pub fn at(&self, stamp: Stamp) -> String {
        self.venue().show(stamp)
    }

    /// `in 12 min`, `now`, `6 min ago`.
    pub fn until(&self, stamp: Stamp) -> String {
        match self.venue().minutes_until(stamp) {
            0 => "now".to_owned(),
            minutes if minutes > 0 => format!("in {}", length(minutes)),
            minutes => format!("{} ago", length(-minutes)),
        }
    }

    /// `14:20, in 12 min`.
    pub fn both(&self, stamp: Stamp) -> String {
        format!("{}, {}", self.at(stamp), self.until(stamp))
    }

    /// How long something has been going on: `6 min`, whole minutes that have passed.
    pub fn since(&self, stamp: Stamp) -> String {
        length(whole_min(self.now().since(stamp)))
    }

    /// Reads a time that lies ahead, as `14:20` or `+25`.
    ///
    /// # Errors
    /// A sentence for a person.
    pub fn read(&self, typed: &str) -> Result<Stamp, String> {
        self.venue().read(typed, Sense::Ahead)
    }
}

/// Whole minutes that have passed.
pub fn whole_min(span: Span) -> i64 {
    span.0.div_euclid(60_000_000)
}

/// `12 min`, `2 h 05 min`.
pub fn length(minutes: i64) -> String {
    if minutes < 120 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02} min", minutes / 60, minutes % 60)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clock() -> WallClock {
        // 2026-05-02T12:00:00Z, which is 14:00 in Vienna.
        let mut clock = WallClock::new(Stamp(1_777_723_200_000_000));
        clock.set_zone("Europe/Vienna");
        clock
    }

    #[test]
    fn times_are_the_venues() {
        let clock = clock();
        let now = clock.now();
        assert_eq!(clock.both(now.plus_min(12)), "14:12, in 12 min");
        assert_eq!(clock.both(now.plus_min(-6)), "13:54, 6 min ago");
        assert_eq!(clock.both(now), "14:00, now");
        assert_eq!(clock.until(now.plus_min(125)), "in 2 h 05 min");
        assert_eq!(clock.read("14:20"), Ok(now.plus_min(20)));
    }

    #[test]
    fn the_servers_clock_counts_and_this_machines_only_moves_it_on() {
        let mut clock = clock();
        let local = clock.now();
        clock.heard(local.plus_min(90));
        clock.tick(local.plus_min(1));
        assert_eq!(clock.now(), local.plus_min(91));
        assert_eq!(clock.of_local(local), local.plus_min(90));
        assert_eq!(clock.since(local.plus_min(85)), "6 min");
    }
}
