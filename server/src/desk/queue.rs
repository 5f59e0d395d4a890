//! The desk's queue: bounded, with a fair share for each station, so that one that runs wild cannot keep the others
//! out.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use tokio::sync::oneshot;

use super::handle::{Accepted, DeskError, Request};

/// Requests that may wait at once.
pub(super) const QUEUE_MOST: usize = 2_048;
/// Of these, requests of one station.
pub(super) const SHARE_MOST: usize = 512;

/// A request that waits.
pub(super) struct Queued {
    pub request: Request,
    pub answer: Option<oneshot::Sender<Result<Accepted, DeskError>>>,
    pub place: Place,
}

/// Who has how many places in the queue.
#[derive(Default)]
pub(super) struct Places(Mutex<BTreeMap<Arc<str>, usize>>);

/// A place in the queue; free again when dropped.
pub(super) struct Place {
    places: Arc<Places>,
    station: Arc<str>,
}

impl Places {
    pub fn take(self: &Arc<Self>, station: &Arc<str>) -> Result<Place, DeskError> {
        let mut taken = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let count = taken.entry(station.clone()).or_default();
        if *count >= SHARE_MOST {
            return Err(Self::overloaded());
        }
        *count += 1;
        Ok(Place { places: self.clone(), station: station.clone() })
    }

    pub fn overloaded() -> DeskError {
        DeskError::Overloaded { retry_after: Duration::from_millis(200) }
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = self.places.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = taken.get_mut(&self.station) {
            *count -= 1;
            if *count == 0 {
                taken.remove(&self.station);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn one_station_cannot_fill_the_queue() {
        let places = Arc::new(Places::default());
        let (wild, calm): (Arc<str>, Arc<str>) = ("wild".into(), "calm".into());
        let held: Vec<_> = (0..SHARE_MOST).map(|_| places.take(&wild).unwrap()).collect();
        assert!(matches!(places.take(&wild), Err(DeskError::Overloaded { .. })));
        assert!(places.take(&calm).is_ok());
        drop(held);
        assert!(places.take(&wild).is_ok());
    }
}
