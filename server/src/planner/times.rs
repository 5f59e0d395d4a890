//! How long plans took, for the figures of a rehearsal and for health.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// How long plans took. The newest ten thousand are kept.
#[derive(Debug, Default)]
pub struct PlanTimes(Mutex<VecDeque<Duration>>);

impl PlanTimes {
    const KEPT: usize = 10_000;

    pub(super) fn add(&self, took: Duration) {
        let mut times = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if times.len() == Self::KEPT {
            times.pop_front();
        }
        times.push_back(took);
    }

    /// 99 % of the plans took no longer; `None` before the first.
    pub fn p99(&self) -> Option<Duration> {
        let times = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut sorted: Vec<_> = times.iter().copied().collect();
        sorted.sort_unstable();
        let at = (sorted.len() * 99).div_ceil(100);
        sorted.get(at.saturating_sub(1)).copied()
    }
}
