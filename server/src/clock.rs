//! Time, injected: a wall clock for what is journalled and a monotonic one for how long things take. A rehearsal
//! gives a [`SetClock`], whose time moves only when it is told to.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Instant, SystemTime, UNIX_EPOCH};

use remise_core::time::{Span, Stamp};

/// Tells the date and the time of day.
pub trait WallClock: Send + Sync {
    /// Now.
    fn now(&self) -> Stamp;
}

/// Tells how much time has passed since some fixed moment; never goes back.
pub trait MonotonicClock: Send + Sync {
    /// Time since that moment.
    fn elapsed(&self) -> Span;
}

/// Both clocks.
#[derive(Clone)]
pub struct Clock {
    /// The wall clock.
    pub wall: Arc<dyn WallClock>,
    /// The monotonic clock.
    pub monotonic: Arc<dyn MonotonicClock>,
}

impl Clock {
    /// The machine's clocks.
    pub fn of_the_machine() -> Self {
        let clock = Arc::new(MachineClock { started: Instant::now() });
        Self { wall: clock.clone(), monotonic: clock }
    }

    /// A clock that is set by hand; both clocks show the same.
    pub fn set_by_hand(at: Stamp) -> (Self, Arc<SetClock>) {
        let set = Arc::new(SetClock(AtomicI64::new(at.0)));
        (Self { wall: set.clone(), monotonic: set.clone() }, set)
    }

    /// The wall clock's time.
    pub fn now(&self) -> Stamp {
        self.wall.now()
    }
}

struct MachineClock {
    started: Instant,
}

impl WallClock for MachineClock {
    fn now(&self) -> Stamp {
        // A clock before 1970 reads as 1970: the desk never lets recorded time go back anyway.
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        Stamp(i64::try_from(since.as_micros()).unwrap_or(i64::MAX))
    }
}

impl MonotonicClock for MachineClock {
    fn elapsed(&self) -> Span {
        Span(i64::try_from(self.started.elapsed().as_micros()).unwrap_or(i64::MAX))
    }
}

/// A clock that is set by hand.
pub struct SetClock(AtomicI64);

impl SetClock {
    /// Sets it; it never goes back.
    pub fn set(&self, at: Stamp) {
        self.0.fetch_max(at.0, Ordering::SeqCst);
    }
}

impl WallClock for SetClock {
    fn now(&self) -> Stamp {
        Stamp(self.0.load(Ordering::SeqCst))
    }
}

impl MonotonicClock for SetClock {
    fn elapsed(&self) -> Span {
        Span(self.0.load(Ordering::SeqCst))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_clock_never_goes_back() {
        let (clock, set) = Clock::set_by_hand(Stamp(10));
        set.set(Stamp(20));
        set.set(Stamp(5));
        assert_eq!(clock.now(), Stamp(20));
    }
}
