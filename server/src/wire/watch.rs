//! Watches: streams that go on until the watcher goes, falls behind, or loses its station.
//!
//! A board watcher gets the whole board first, then what changed, at most once in a window. An event watcher
//! subscribes first, then reads the backlog up to that head and drops the overlap, so that nothing is missed or sent
//! twice. A plan watcher gets the newest plan; those in between are skipped.

use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use remise_proto::v1;
use tokio::sync::broadcast::error::{RecvError, TryRecvError};
use tokio::sync::{broadcast, mpsc};
use tokio_stream::Stream;
use tokio_stream::wrappers::ReceiverStream;
use tonic::Status;

use super::door::Door;
use super::encode::{self, Lens, Sent, View};
use super::errors;
use super::journal::event_view;
use crate::desk::{Committed, row_of};
use crate::stations::Station;

/// Changes are gathered for this long before they are sent.
const WINDOW: Duration = Duration::from_millis(50);
/// A watcher that takes nothing for this long is cut off.
const PATIENCE: Duration = Duration::from_secs(30);
/// Messages that may wait for a watcher.
const WAITING_MOST: usize = 16;
/// Events of one message.
const EVENTS_MOST: usize = 1_000;

type Messages<T> = Pin<Box<dyn Stream<Item = Result<T, Status>> + Send>>;
/// A stream of boards.
pub type BoardStream = Messages<v1::Board>;
/// A stream of plans.
pub type PlanStream = Messages<v1::Plan>;
/// A stream of events.
pub type EventStream = Messages<v1::EventBatch>;

struct Out<T>(mpsc::Sender<Result<T, Status>>);

impl<T> Out<T> {
    fn open() -> (Self, Messages<T>)
    where
        T: Send + 'static,
    {
        let (send, receive) = mpsc::channel(WAITING_MOST);
        (Self(send), Box::pin(ReceiverStream::new(receive)))
    }

    /// Sends; `false` when the watcher is gone or does not keep up.
    async fn send(&self, message: T, resume_from: u64) -> bool {
        match tokio::time::timeout(PATIENCE, self.0.send(Ok(message))).await {
            Ok(sent) => sent.is_ok(),
            Err(_) => {
                self.end(errors::too_slow(resume_from));
                false
            }
        }
    }

    fn end(&self, why: Status) {
        // A full queue means that the watcher does not listen; then it is cut off without a word.
        let _ = self.0.try_send(Err(why));
    }
}

/// Watches one screen's part of the armoury.
pub fn board(door: &Door, station: Station, view: View) -> BoardStream {
    let (out, stream) = Out::open();
    tokio::spawn(watch_board(door.clone(), station, view, out));
    stream
}

async fn watch_board(door: Door, station: Station, view: View, out: Out<v1::Board>) {
    let mut publications = door.house.desk.publications();
    let mut plans = door.house.planner.plans();
    let mut sent = Sent::default();
    loop {
        if !door.access.still_knows(&station) {
            return out.end(errors::unknown_station());
        }
        let board = {
            let published = publications.borrow_and_update().clone();
            let plan = plans.borrow_and_update().clone();
            let names = station.role.sees_names();
            encode::full(&Lens::new(&published.room, &plan, door.house.clock.now(), names), view)
        };
        let head = board.covers_up_to;
        if let Some(change) = sent.change(board)
            && !out.send(change, head).await
        {
            return;
        }
        let changed = async {
            tokio::select! {
                changed = publications.changed() => changed.is_ok(),
                changed = plans.changed() => changed.is_ok(),
            }
        };
        tokio::select! {
            going_on = changed => if !going_on {
                return out.end(errors::going_down());
            },
            () = out.0.closed() => return,
        }
        tokio::time::sleep(WINDOW).await;
    }
}

/// Watches the plan.
pub fn plan(door: &Door, station: Station) -> PlanStream {
    let (out, stream) = Out::open();
    tokio::spawn(watch_plan(door.clone(), station, out));
    stream
}

async fn watch_plan(door: Door, station: Station, out: Out<v1::Plan>) {
    let mut plans = door.house.planner.plans();
    loop {
        if !door.access.still_knows(&station) {
            return out.end(errors::unknown_station());
        }
        let plan = plans.borrow_and_update().clone();
        if !out.send(encode::plan(&plan), plan.based_on.0).await {
            return;
        }
        tokio::select! {
            changed = plans.changed() => if changed.is_err() {
                return out.end(errors::going_down());
            },
            () = out.0.closed() => return,
        }
    }
}

/// Watches events from a number on; 0 for those from now on.
pub fn events(door: &Door, station: Station, from: u64, kinds: Vec<String>) -> EventStream {
    let (out, stream) = Out::open();
    // Subscribed before anything else is read: what comes meanwhile is kept.
    let live = door.house.desk.subscribe();
    let after = if from == 0 { door.look().room.head.0 } else { from - 1 };
    let watcher = Watcher { door: door.clone(), station, kinds, out, after };
    tokio::spawn(watcher.run(live));
    stream
}

struct Watcher {
    door: Door,
    station: Station,
    kinds: Vec<String>,
    out: Out<v1::EventBatch>,
    /// Everything up to this number was sent.
    after: u64,
}

impl Watcher {
    async fn run(mut self, live: broadcast::Receiver<Arc<Committed>>) {
        if self.backlog().await {
            self.live(live).await;
        }
    }

    /// Sends what the journal holds; `false` when the watcher is gone.
    async fn backlog(&mut self) -> bool {
        let head = self.door.look().room.head.0;
        while self.after < head {
            match self.door.read_rows(self.after, EVENTS_MOST).await {
                Ok(rows) => {
                    let Some(last) = rows.last().map(|row| row.seq) else { return true };
                    let events = rows.iter().filter(|row| self.wants(&row.kind));
                    let events = events.map(|row| event_view(row, &self.station)).collect();
                    if !self.send(events, last).await {
                        return false;
                    }
                }
                Err(why) => {
                    self.out.end(why);
                    return false;
                }
            }
        }
        true
    }

    async fn live(mut self, mut live: broadcast::Receiver<Arc<Committed>>) {
        loop {
            let first = tokio::select! {
                first = live.recv() => first,
                () = self.out.0.closed() => return,
            };
            if !self.door.access.still_knows(&self.station) {
                return self.out.end(errors::unknown_station());
            }
            tokio::time::sleep(WINDOW).await;
            let mut batches = match first {
                Ok(batch) => vec![batch],
                Err(RecvError::Lagged(_)) => return self.out.end(errors::too_slow(self.after + 1)),
                Err(RecvError::Closed) => return self.out.end(errors::going_down()),
            };
            loop {
                match live.try_recv() {
                    Ok(batch) => batches.push(batch),
                    Err(TryRecvError::Lagged(_)) => return self.out.end(errors::too_slow(self.after + 1)),
                    Err(TryRecvError::Empty | TryRecvError::Closed) => break,
                }
            }
            if !self.send_batches(&batches).await {
                return;
            }
        }
    }

    async fn send_batches(&mut self, batches: &[Arc<Committed>]) -> bool {
        let head = batches.last().map_or(self.after, |batch| batch.head.0).max(self.after);
        let events = batches
            .iter()
            .flat_map(|batch| &batch.events)
            .filter(|(recorded, _)| recorded.seq.0 > self.after && self.wants(recorded.event.kind()))
            .map(|(recorded, station)| event_view(&row_of(recorded, station), &self.station));
        let events: Vec<_> = events.collect();
        let mut chunks = events.chunks(EVENTS_MOST).peekable();
        if chunks.peek().is_none() {
            return self.send(Vec::new(), head).await;
        }
        while let Some(chunk) = chunks.next() {
            let covers =
                if chunks.peek().is_none() { head } else { chunk.last().map_or(head, |event| event.seq) };
            if !self.send(chunk.to_vec(), covers).await {
                return false;
            }
        }
        true
    }

    async fn send(&mut self, events: Vec<v1::EventView>, covers_up_to: u64) -> bool {
        let resume = self.after + 1;
        self.after = covers_up_to;
        self.out.send(v1::EventBatch { covers_up_to, events }, resume).await
    }

    fn wants(&self, kind: &str) -> bool {
        self.kinds.is_empty() || self.kinds.iter().any(|wanted| wanted == kind)
    }
}
