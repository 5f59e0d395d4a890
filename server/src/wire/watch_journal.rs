//! Events as they happen, from a number on: subscribe first, then read what is on disk up to its head, then go on
//! with what was subscribed to, dropping the overlap. No gap, no event twice.

use std::sync::Arc;

use remise_proto::v1;
use tokio::sync::broadcast::{Receiver, error::RecvError, error::TryRecvError};

use super::desks::Desks;
use super::errors;
use super::feed::{End, Outlet, WINDOW};
use super::service_journal::{BATCH_BYTES, with_reader};
use crate::desk::{Committed, row_of};
use crate::journal::EventRow;
use crate::planner::OWN_STATION;
use crate::stations::Station;

/// Events read from disk at once.
const CHUNK: usize = 500;

/// What a watcher wants and may see.
pub(super) struct Wanted {
    /// Kinds of event; none for all.
    pub kinds: Vec<&'static str>,
    /// Whether the names of stations are shown.
    pub stations: bool,
}

impl Wanted {
    fn takes(&self, kind: &str) -> bool {
        self.kinds.is_empty() || self.kinds.contains(&kind)
    }
}

/// An event as the journal keeps it.
pub(super) fn view_of_row(row: &EventRow, stations: bool) -> v1::EventView {
    v1::EventView {
        seq: row.seq,
        recorded_at_us: row.at_us,
        happened_at_us: row.happened_at_us,
        job: row.job.unwrap_or_default(),
        station: if stations && row.station != OWN_STATION { row.station.clone() } else { String::new() },
        kind: row.kind.clone(),
        version: u32::from(row.v),
        json: row.body.clone(),
    }
}

impl Desks {
    /// Sends events to one watcher until it goes, falls behind, or the server goes down. `after` is the number
    /// before the first one wanted; `None` for what happens from now on.
    pub async fn send_events(
        self,
        outlet: &Outlet<v1::EventBatch>,
        station: &Station,
        after: Option<u64>,
        wanted: &Wanted,
    ) -> End {
        let mut closing = self.closing.clone();
        tokio::select! {
            () = outlet.gone() => End::Gone,
            _ = closing.wait_for(|closing| *closing) => End::Told(errors::going_down()),
            end = self.follow(outlet, station, after, wanted) => end,
        }
    }

    async fn follow(
        &self,
        outlet: &Outlet<v1::EventBatch>,
        station: &Station,
        after: Option<u64>,
        wanted: &Wanted,
    ) -> End {
        let (mut live, mut outbox) = match self.catch_up(outlet, after, wanted).await {
            Ok(caught_up) => caught_up,
            Err(end) => return end,
        };
        loop {
            let gathered = gather(&mut live, &mut outbox).await;
            if let Err(end) = outbox.flush().await {
                return end;
            }
            if let Err(end) = gathered {
                return end;
            }
            if !self.access.still_knows(station) {
                return End::Told(errors::unknown_station());
            }
            tokio::time::sleep(WINDOW).await;
        }
    }

    /// Subscribes, then sends what is on disk. A long reading may outlast what a subscription holds, so it is
    /// followed by another subscription and a shorter reading.
    async fn catch_up<'w>(
        &self,
        outlet: &'w Outlet<v1::EventBatch>,
        after: Option<u64>,
        wanted: &'w Wanted,
    ) -> Result<(Receiver<Arc<Committed>>, Outbox<'w>), End> {
        let mut outbox =
            Outbox { outlet, wanted, covered: after.unwrap_or_default(), bytes: 0, waiting: Vec::new() };
        loop {
            let live = self.house.desk.subscribe();
            let head = with_reader(self, |reader| reader.head()).await.map_err(End::Told)?;
            if after.is_none() && outbox.covered == 0 {
                outbox.covered = head.seq;
            }
            let backlog = head.seq.saturating_sub(outbox.covered);
            while outbox.covered < head.seq {
                let from = outbox.covered;
                let rows =
                    with_reader(self, move |reader| reader.events(from, CHUNK)).await.map_err(End::Told)?;
                if rows.is_empty() {
                    break;
                }
                for row in &rows {
                    let kind = &row.kind;
                    outbox.put(row.seq, kind, || view_of_row(row, wanted.stations)).await?;
                }
                if backlog > CHUNK as u64 {
                    outbox.flush().await?;
                }
            }
            if backlog <= CHUNK as u64 {
                // Says where the watch begins, also when there is nothing to send yet.
                outbox.flush().await?;
                return Ok((live, outbox));
            }
        }
    }
}

/// Waits for something to happen and takes all that has.
async fn gather(live: &mut Receiver<Arc<Committed>>, outbox: &mut Outbox<'_>) -> Result<(), End> {
    let first = live.recv().await;
    let mut next = first.map_err(|why| match why {
        RecvError::Lagged(_) => TryRecvError::Lagged(0),
        RecvError::Closed => TryRecvError::Closed,
    });
    loop {
        match next {
            Ok(committed) => outbox.put_batch(&committed).await?,
            Err(TryRecvError::Empty) => return Ok(()),
            Err(TryRecvError::Lagged(_)) => return Err(End::Told(errors::too_slow(outbox.covered + 1))),
            Err(TryRecvError::Closed) => return Err(End::Told(errors::going_down())),
        }
        next = live.try_recv();
    }
}

/// Events on their way to one watcher.
struct Outbox<'w> {
    outlet: &'w Outlet<v1::EventBatch>,
    wanted: &'w Wanted,
    covered: u64,
    bytes: usize,
    waiting: Vec<v1::EventView>,
}

impl Outbox<'_> {
    async fn put_batch(&mut self, committed: &Committed) -> Result<(), End> {
        for (recorded, station) in &committed.events {
            let stations = self.wanted.stations;
            self.put(recorded.seq.0, recorded.event.kind(), || {
                view_of_row(&row_of(recorded, station), stations)
            })
            .await?;
        }
        Ok(())
    }

    /// Puts one event in, unless it was sent already. A hole in the numbers would be an event that this watcher
    /// never gets: it is cut off and reads it from disk.
    async fn put(&mut self, seq: u64, kind: &str, view: impl FnOnce() -> v1::EventView) -> Result<(), End> {
        if seq <= self.covered {
            return Ok(());
        }
        if seq != self.covered + 1 {
            return Err(End::Told(errors::too_slow(self.covered + 1)));
        }
        if self.wanted.takes(kind) {
            let view = view();
            let size = view.json.len() + view.station.len() + 64;
            if self.bytes + size > BATCH_BYTES && !self.waiting.is_empty() {
                self.flush().await?;
            }
            self.bytes += size;
            self.waiting.push(view);
        }
        self.covered = seq;
        Ok(())
    }

    /// Sends what waits; an empty batch tells how far the watcher is.
    async fn flush(&mut self) -> Result<(), End> {
        self.bytes = 0;
        let batch = v1::EventBatch { covers_up_to: self.covered, events: std::mem::take(&mut self.waiting) };
        // Where a watcher goes on that does not take it.
        let resume = batch.events.first().map_or(self.covered + 1, |event| event.seq);
        self.outlet.send(batch, || errors::too_slow(resume)).await
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use futures_util::StreamExt as _;
    use remise_core::armoury::{Event, Recorded};
    use remise_core::ids::Seq;
    use remise_core::time::Stamp;
    use tokio::sync::broadcast;
    use tonic_types::StatusExt as _;

    use super::*;
    use crate::wire::feed;

    fn committed(seq: u64) -> Arc<Committed> {
        let event = Event::from(remise_core::armoury::event::DayClosed { open: 0 });
        let recorded = Recorded { seq: Seq(seq), at: Stamp(1), happened_at: Stamp(1), event };
        Arc::new(Committed { events: vec![(recorded, "head".into())], head: Seq(seq) })
    }

    /// Sends those numbers into a subscription that holds four, then lets a watcher who has all up to 2 gather. Gives
    /// the numbers that it got, and where it is told to go on.
    async fn watched(happened: &[u64]) -> (Vec<u64>, Option<String>) {
        let (send, mut live) = broadcast::channel(4);
        for seq in happened {
            send.send(committed(*seq)).unwrap();
        }
        let mut stream = feed::start(|outlet| async move {
            let _open = send;
            let wanted = Wanted { kinds: Vec::new(), stations: true };
            let (bytes, waiting) = (0, Vec::new());
            let mut outbox = Outbox { outlet: &outlet, wanted: &wanted, covered: 2, bytes, waiting };
            let gathered = gather(&mut live, &mut outbox).await;
            match (outbox.flush().await, gathered) {
                (Err(end), _) | (_, Err(end)) => end,
                _ => End::Gone,
            }
        });
        let (mut numbers, mut resume) = (Vec::new(), None);
        while let Some(message) = stream.next().await {
            match message {
                Ok(batch) => numbers.extend(batch.events.iter().map(|event| event.seq)),
                Err(status) => {
                    resume = status.get_details_error_info().unwrap().metadata.get("resume_from").cloned();
                }
            }
        }
        (numbers, resume)
    }

    #[tokio::test]
    async fn the_overlap_with_what_was_read_is_dropped() {
        assert_eq!(watched(&[1, 2, 3, 4]).await, (vec![3, 4], None));
    }

    #[tokio::test]
    async fn a_watcher_that_lags_is_told_where_to_go_on() {
        assert_eq!(watched(&[3, 4, 5, 6, 7, 8, 9]).await, (vec![], Some("3".to_owned())));
    }

    #[tokio::test]
    async fn a_hole_in_the_numbers_is_never_passed_over() {
        assert_eq!(watched(&[3, 5]).await, (vec![3], Some("4".to_owned())));
    }
}
