//! The desk's thread: takes what waits, commits it in one batch, publishes, answers.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::thread::{self, JoinHandle};

use remise_core::armoury::Armoury;
use remise_core::ids::Seq;
use remise_core::time::Stamp;
use tokio::sync::{broadcast, mpsc, watch};

use crate::clock::Clock;
use crate::journal::{AnswerRow, Append, Head, Journal, RequestId};

use super::batch::Draft;
use super::handle::{DeskError, DeskHandle, OpenReader, Published};
use super::load::{LoadError, catch_up, load};
use super::queue::{QUEUE_MOST, Queued};

/// Most requests in one batch, unless the settings say otherwise.
pub const BATCH_MOST: usize = 256;
/// Batches that a watcher may lag behind.
const WATCH_LAG: usize = 4_096;
/// Events between two snapshots. So many are read in a fraction of a second after a crash; a snapshot is written while
/// commands wait, and takes the longer the more items were ever here.
pub const SNAPSHOT_EVERY: u64 = 150_000;

/// How the desk works.
#[derive(Clone, Copy, Debug)]
pub struct DeskSettings {
    /// Most requests in one batch; 1 switches group commit off.
    pub batch_most: usize,
}

impl Default for DeskSettings {
    fn default() -> Self {
        Self { batch_most: BATCH_MOST }
    }
}

/// Opens the desk on a journal: takes the journal over, builds the armoury, starts the thread. The thread ends when
/// the last handle is dropped; join it to be sure that the journal is closed.
pub fn open(
    mut journal: Box<dyn Journal>,
    clock: Clock,
    settings: DeskSettings,
    open_reader: OpenReader,
) -> Result<(DeskHandle, JoinHandle<()>), LoadError> {
    let epoch = journal.raise_epoch()?;
    let room = load(journal.as_mut())?;
    let head = journal.head()?;
    let first = Published { room, epoch, hash: head.hash, trouble: None };
    let (queue, waiting) = mpsc::channel(QUEUE_MOST);
    let (publish, published) = watch::channel(Arc::new(first));
    let (committed, _) = broadcast::channel(WATCH_LAG);
    let handle =
        DeskHandle { queue, places: Arc::default(), published, committed: committed.clone(), open_reader };
    let desk =
        Desk { journal, clock, settings, epoch, head, publish, committed, saved: head.seq, in_doubt: false };
    let thread = thread::Builder::new()
        .name("desk".to_owned())
        .spawn(move || desk.run(waiting))
        .expect("a thread can be started");
    Ok((handle, thread))
}

struct Desk {
    journal: Box<dyn Journal>,
    clock: Clock,
    settings: DeskSettings,
    epoch: u64,
    head: Head,
    publish: watch::Sender<Arc<Published>>,
    committed: broadcast::Sender<Arc<super::handle::Committed>>,
    saved: u64,
    /// A batch is in doubt and the journal could not be opened again yet.
    in_doubt: bool,
}

impl Desk {
    fn run(mut self, mut waiting: mpsc::Receiver<Queued>) {
        let mut taken = Vec::with_capacity(self.settings.batch_most);
        while waiting.blocking_recv_many(&mut taken, self.settings.batch_most) > 0 {
            self.serve(&mut taken);
            if waiting.is_empty() {
                self.rest();
            }
        }
        self.save_snapshot();
    }

    fn serve(&mut self, taken: &mut Vec<Queued>) {
        let doubt = self.in_doubt.then(|| self.catch_up()).and_then(Result::err);
        let now = self.now();
        let elapsed = self.clock.monotonic.elapsed();
        let mut draft = Draft::new(self.room(), self.known(taken));
        let mut places = Vec::with_capacity(taken.len());
        for queued in taken.drain(..) {
            let Queued { request, answer, place } = queued;
            if request.deadline.is_some_and(|deadline| deadline <= elapsed) {
                draft.reply(answer, DeskError::Expired);
            } else if let Some(error) = &doubt {
                draft.reply(answer, DeskError::Unavailable(error.to_string()));
            } else {
                draft.take(&request, answer, now);
            }
            places.push(place);
        }
        if draft.is_empty() {
            draft.answer();
        } else {
            self.commit(draft);
        }
    }

    /// What was answered earlier to the requests that came in now, with one look at the journal.
    fn known(&mut self, taken: &[Queued]) -> Result<BTreeMap<RequestId, AnswerRow>, String> {
        let ids: Vec<_> = taken.iter().filter_map(|queued| queued.request.request_id).collect();
        let rows = self.journal.answers_to(&ids).map_err(|error| error.to_string())?;
        Ok(rows.into_iter().map(|row| (row.request_id, row)).collect())
    }

    /// Recorded time never goes back, whatever the machine's clock does.
    fn now(&self) -> Stamp {
        self.clock.now().or_later(Stamp(self.head.at_us))
    }

    fn room(&self) -> Armoury {
        self.publish.borrow().room.clone()
    }

    fn commit(&mut self, draft: Draft) {
        match self.journal.append(self.epoch, self.head.seq, &draft.rows) {
            Append::Written(head) => self.publish(draft, head),
            Append::NotWritten(why) => self.refuse(draft, why.to_string()),
            Append::Fenced { epoch } => draft.fail(&DeskError::SteppedDown { epoch }),
            Append::Unknown(why) => self.settle(draft, &why),
        }
    }

    fn publish(&mut self, mut draft: Draft, head: Head) {
        self.head = head;
        let room = draft.room.clone();
        debug_assert_eq!(room.head, Seq(head.seq));
        self.publish.send_replace(Arc::new(Published {
            room,
            epoch: self.epoch,
            hash: head.hash,
            trouble: None,
        }));
        if let Some(committed) = draft.committed() {
            // Nobody may be watching; that is no fault.
            let _ = self.committed.send(Arc::new(committed));
        }
        draft.answer();
    }

    fn refuse(&mut self, draft: Draft, why: String) {
        tracing::error!(%why, "the journal refused a batch; nothing was applied");
        self.publish.send_modify(|published| {
            let published = Arc::make_mut(published);
            published.trouble = Some(why.clone());
        });
        draft.fail(&DeskError::Unavailable(why));
    }

    /// Nobody knows whether the batch is on disk: reopen and look before anything else.
    fn settle(&mut self, draft: Draft, why: &str) {
        tracing::warn!(%why, "a batch is in doubt; reopening the journal");
        match self.journal.reopen() {
            Ok(head) if head.epoch != self.epoch => {
                draft.fail(&DeskError::SteppedDown { epoch: head.epoch });
            }
            Ok(head) => {
                let written = self.is_written(&draft, &head);
                if written {
                    self.publish(draft, head);
                } else {
                    self.head = head;
                    self.refuse(
                        draft,
                        format!("{why}; the journal was opened again and holds nothing of it"),
                    );
                }
            }
            Err(error) => {
                self.in_doubt = true;
                self.refuse(draft, error.to_string());
            }
        }
    }

    /// Opens a journal that was in doubt again and takes in what turns out to be on disk.
    fn catch_up(&mut self) -> Result<(), LoadError> {
        let head = self.journal.reopen()?;
        let mut room = self.room();
        let missed = catch_up(self.journal.reader()?.as_mut(), &mut room)?;
        self.in_doubt = false;
        self.head = head;
        self.publish.send_replace(Arc::new(Published {
            room,
            epoch: self.epoch,
            hash: head.hash,
            trouble: None,
        }));
        if !missed.is_empty() {
            let committed = super::handle::Committed { events: missed, head: Seq(head.seq) };
            let _ = self.committed.send(Arc::new(committed));
        }
        Ok(())
    }

    /// Batches are indivisible and nobody else writes in this epoch: any one row tells.
    fn is_written(&mut self, draft: &Draft, head: &Head) -> bool {
        if let Some(event) = draft.rows.events.last() {
            return head.seq >= event.seq;
        }
        if let Some(answer) = draft.rows.answers.first() {
            return matches!(self.journal.answer(&answer.request_id), Ok(Some(_)));
        }
        draft.rows.texts.last().is_some_and(|text| head.text_id >= text.id)
    }

    /// What is done while nobody waits.
    fn rest(&mut self) {
        if self.head.seq.saturating_sub(self.saved) >= SNAPSHOT_EVERY {
            self.save_snapshot();
        }
    }

    fn save_snapshot(&mut self) {
        if self.head.seq == self.saved {
            return;
        }
        let published = self.publish.borrow().clone();
        match serde_json::to_vec(&published.room) {
            Ok(bytes) => match self.journal.save_snapshot(self.head.seq, &bytes) {
                Ok(()) => self.saved = self.head.seq,
                Err(error) => {
                    tracing::warn!(%error, "no snapshot was kept; the next start reads the journal");
                }
            },
            Err(error) => tracing::error!(%error, "the armoury cannot be written as a snapshot"),
        }
        if let Err(error) = self.journal.checkpoint() {
            tracing::warn!(%error, "housekeeping of the journal failed; it is tried again");
        }
    }
}
