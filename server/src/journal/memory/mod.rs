//! A journal on a simulated disk, for tests and rehearsals: it refuses, forgets to answer, is full or crashes
//! as its seed and its [`Faults`] say, and always the same way for the same seed.

mod disk;
mod reader;

#[cfg(test)]
mod tests;

use super::error::{Append, JournalError, NotWritten};
use super::rows::{AnswerRow, Batch, Head, RequestId};
use super::snapshot::Snapshot;
use super::{Journal, JournalReader};

pub use disk::{Counts, Faults, MemoryDisk};

/// A writer on a [`MemoryDisk`]. It dies with a [`MemoryDisk::crash`] until it is reopened.
#[derive(Debug)]
pub struct MemoryStore {
    disk: MemoryDisk,
    /// The disk's power cycle that this writer belongs to; `None` while an outcome is unknown.
    cycle: Option<u64>,
}

impl MemoryStore {
    /// A writer on a new, empty disk.
    pub fn new(seed: u64, faults: Faults) -> Self {
        MemoryDisk::new(seed, faults).open()
    }

    /// The disk, to crash it, to change its faults or to open it again.
    pub fn disk(&self) -> MemoryDisk {
        self.disk.clone()
    }

    pub(super) fn on(disk: MemoryDisk, cycle: u64) -> Self {
        Self { disk, cycle: Some(cycle) }
    }

    /// The disk, if this writer may use it.
    fn live(&self) -> Result<disk::Held<'_>, JournalError> {
        let held = self.disk.hold();
        if self.cycle == Some(held.cycle) { Ok(held) } else { Err(JournalError::MustReopen) }
    }
}

impl Journal for MemoryStore {
    fn head(&mut self) -> Result<Head, JournalError> {
        self.live().map(|held| held.head())
    }

    fn append(&mut self, epoch: u64, expected_head: u64, batch: &Batch) -> Append {
        let outcome = match self.live() {
            Ok(mut held) => held.append(epoch, expected_head, batch),
            Err(_) => Append::NotWritten(NotWritten::MustReopen),
        };
        if matches!(outcome, Append::Unknown(_)) {
            self.cycle = None;
        }
        outcome
    }

    fn answer(&mut self, request_id: &RequestId) -> Result<Option<AnswerRow>, JournalError> {
        self.live().map(|held| held.answers.get(request_id).cloned())
    }

    fn reader(&self) -> Result<Box<dyn JournalReader>, JournalError> {
        Ok(Box::new(reader::MemoryReader::on(self.disk.clone())))
    }

    fn raise_epoch(&mut self) -> Result<u64, JournalError> {
        self.live().map(|mut held| {
            held.epoch += 1;
            held.epoch
        })
    }

    fn reopen(&mut self) -> Result<Head, JournalError> {
        *self = self.disk.open();
        self.head()
    }

    fn save_snapshot(&mut self, seq: u64, bytes: &[u8]) -> Result<(), JournalError> {
        self.live()?.save_snapshot(seq, bytes)
    }

    fn load_snapshot(&mut self) -> Result<Option<Snapshot>, JournalError> {
        self.live().map(|held| held.load_snapshot())
    }

    fn checkpoint(&mut self) -> Result<(), JournalError> {
        self.live().map(drop)
    }
}
