//! How long to wait before trying again. Pure: jitter and elapsed time are passed in.

use std::time::Duration;

/// When to try again, and when to give up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Retry {
    /// Most tries, the first included.
    pub tries: u32,
    /// Pause after the first failure; doubles with each further one.
    pub first: Duration,
    /// Longest pause that it grows to.
    pub longest: Duration,
    /// No further try is begun that would start later than this after the first.
    pub in_all: Duration,
}

impl Default for Retry {
    /// Five tries within fifteen seconds. Our own estimate of what somebody at a strip waits for.
    fn default() -> Self {
        Self {
            tries: 5,
            first: Duration::from_millis(200),
            longest: Duration::from_secs(3),
            in_all: Duration::from_secs(15),
        }
    }
}

/// How the last try failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Failed {
    /// Tries so far, at least 1.
    pub tries: u32,
    /// Since the first try began.
    pub elapsed: Duration,
    /// Evenly spread over all values, so that many clients do not come back at once.
    pub jitter: u16,
    /// The server asked for that much.
    pub asked: Option<Duration>,
}

impl Retry {
    /// One try and no other.
    pub fn once() -> Self {
        Self { tries: 1, ..Self::default() }
    }

    /// The pause before the next try: half of the doubled pause, and up to the other half by jitter; never less
    /// than the server asked for, with the jitter on top. For those who never give up.
    pub fn pause(&self, failed: &Failed) -> Duration {
        let doublings = failed.tries.saturating_sub(1).min(20);
        let full = self.first.saturating_mul(1 << doublings).min(self.longest);
        let spread = (full / 2).mul_f64(f64::from(failed.jitter) / f64::from(u16::MAX));
        failed.asked.map_or(full / 2, |asked| asked.max(full / 2)) + spread
    }

    /// The pause before the next try, or `None` to give up.
    pub fn next(&self, failed: &Failed) -> Option<Duration> {
        let pause = self.pause(failed);
        let in_time = failed.elapsed.saturating_add(pause) <= self.in_all;
        (failed.tries < self.tries && in_time).then_some(pause)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn ms(millis: u64) -> Duration {
        Duration::from_millis(millis)
    }

    const POLICY: Retry = Retry { tries: 6, first: ms(200), longest: ms(1000), in_all: ms(10_000) };

    fn failed(tries: u32, elapsed: u64, jitter: u16, asked: Option<u64>) -> Failed {
        Failed { tries, elapsed: ms(elapsed), jitter, asked: asked.map(ms) }
    }

    /// Worked by hand from the definition of [`Retry::pause`].
    #[test]
    fn pauses_by_the_table() {
        let table = [
            (failed(1, 0, 0, None), Some(100)),
            (failed(1, 0, u16::MAX, None), Some(200)),
            (failed(2, 0, 0, None), Some(200)),
            (failed(2, 0, u16::MAX, None), Some(400)),
            (failed(3, 0, u16::MAX, None), Some(800)),
            (failed(4, 0, u16::MAX, None), Some(1000)),
            (failed(5, 0, 0, None), Some(500)),
            (failed(6, 0, 0, None), None),
            (failed(1, 0, 0, Some(2000)), Some(2000)),
            (failed(1, 0, u16::MAX, Some(2000)), Some(2100)),
            (failed(1, 0, 0, Some(50)), Some(100)),
            (failed(1, 9_900, 0, None), Some(100)),
            (failed(1, 9_901, 0, None), None),
            (failed(1, 0, 0, Some(10_001)), None),
        ];
        for (given, pause) in table {
            assert_eq!(POLICY.next(&given), pause.map(ms), "{given:?}");
        }
    }

    #[test]
    fn whoever_never_gives_up_gets_no_overflow() {
        assert_eq!(POLICY.pause(&failed(u32::MAX, u64::MAX, u16::MAX, None)), ms(1000));
        assert_eq!(Retry::once().next(&failed(1, 0, 0, None)), None);
    }
}
