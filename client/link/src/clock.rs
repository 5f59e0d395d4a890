//! The time that histories, request ids and watches are stamped with. Passed in, so that a played day can bring
//! its own.

use remise_core::time::Stamp;

/// Tells the time.
pub trait Clock: Send + Sync + 'static {
    /// The time now.
    fn now(&self) -> Stamp;
}

/// The machine's clock.
#[derive(Clone, Copy, Debug, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now(&self) -> Stamp {
        Stamp(jiff::Timestamp::now().as_microsecond())
    }
}
