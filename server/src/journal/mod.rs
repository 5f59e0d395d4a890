//! The journal: everything that happened, one row an event, kept so that an answer means it is on disk.
//!
//! A journal stores rows and knows nothing of what they mean. [`Journal`] is the writer's side, used by one
//! thread; [`JournalReader`] is for everyone else. [`SqliteJournal`] is the store of a real server;
//! [`MemoryStore`] is a simulated disk that fails on purpose. Both pass one suite.
//!
//! # Rows
//! - **events**, numbered from 1 without gaps; never changed, never deleted. They name no person.
//! - **texts**: names and free text, apart, so that people can be forgotten while the events stay.
//! - **answers**, each under the request that it answers, so that a repeated request gets the same one.
//!
//! One [`Batch`] of them is indivisible: after a crash all of it is there or nothing of it.
//!
//! # The hash chain
//! Each event row carries 32 bytes that cover the row and, through the row before, the whole history:
//!
//! ```text
//! hash(0) = 32 zero bytes
//! hash(n) = SHA-256( hash(n-1)
//!                 || seq             u64, 8 bytes, big-endian
//!                 || at_us           i64, 8 bytes, big-endian, two's complement
//!                 || happened_at_us  i64, 8 bytes, big-endian, two's complement
//!                 || job             u64, 8 bytes, big-endian; 0 when the event has no job
//!                 || length of station in bytes   u32, 4 bytes, big-endian
//!                 || station         its UTF-8 bytes as stored
//!                 || length of body in bytes      u32, 4 bytes, big-endian
//!                 || body            its UTF-8 bytes as stored )
//! ```
//!
//! The columns `kind` and `v` only repeat what the body says, for people who read with plain SQL; they are
//! not hashed, but [`JournalReader::verify_chain`] compares them with the body's top-level `kind` and `v`.
//! Texts and answers are not covered: forgetting a person leaves the chain whole. The chain cannot tell that
//! the newest rows were cut off; whoever must know that notes [`Head::seq`] and [`Head::hash`] elsewhere.
//!
//! # Who may write
//! A journal has an epoch. Whoever takes over raises it, and a batch that comes with another epoch, or that
//! was decided on another head than the journal's, is refused inside the same transaction that would write it.

mod batch;
mod canon;
mod chain;
mod digest;
mod error;
mod memory;
mod rows;
mod snapshot;
mod sqlite;

#[cfg(test)]
mod properties;
#[cfg(test)]
mod suite;

use std::ops::ControlFlow;
use std::path::Path;

pub use chain::{Break, ChainReport, Fault, GENESIS, Hash, next_hash};
pub use digest::{DigestError, FieldDigests};
pub use error::{Append, JournalError, NotWritten};
pub use memory::{Counts, Faults, MemoryDisk, MemoryStore};
pub use rows::{AnswerRow, Batch, EventRow, Head, RequestId, TextClass, TextRow};
pub use snapshot::Snapshot;
pub use sqlite::{JOURNAL_FILE, LOCK_FILE, SqliteJournal, SqliteReader};

/// The writer's side of a journal. One thread owns it.
pub trait Journal: Send {
    /// The newest event, its hash, the epoch and the newest text.
    ///
    /// # Errors
    /// [`JournalError::MustReopen`] after an [`Append::Unknown`]; else the store's own.
    fn head(&mut self) -> Result<Head, JournalError>;

    /// Writes a batch, all or nothing, if the journal is still in `epoch` and its newest event still is
    /// `expected_head`. [`Append::Written`] means that it is on disk.
    fn append(&mut self, epoch: u64, expected_head: u64, batch: &Batch) -> Append;

    /// The answer that an earlier request got.
    ///
    /// # Errors
    /// [`JournalError::MustReopen`] after an [`Append::Unknown`]; else the store's own.
    fn answer(&mut self, request_id: &RequestId) -> Result<Option<AnswerRow>, JournalError>;

    /// The answers that any of these requests got earlier, in one look.
    ///
    /// # Errors
    /// As [`answer`](Self::answer).
    fn answers_to(&mut self, requests: &[RequestId]) -> Result<Vec<AnswerRow>, JournalError> {
        let mut found = Vec::new();
        for request in requests {
            found.extend(self.answer(request)?);
        }
        Ok(found)
    }

    /// A reader of its own, for another thread. It sees what is committed and never holds up the writer.
    ///
    /// # Errors
    /// The store's own.
    fn reader(&self) -> Result<Box<dyn JournalReader>, JournalError>;

    /// Takes over: raises the epoch by one and returns the new one. Writers of older epochs are fenced.
    ///
    /// # Errors
    /// The store's own; then the epoch may or may not have been raised, which harms nobody.
    fn raise_epoch(&mut self) -> Result<u64, JournalError>;

    /// Opens the journal again and settles what was unknown: what this head does not hold will not come
    /// back later. While it fails, nothing can be appended; try again.
    ///
    /// # Errors
    /// The store's own, for instance a disk that is still full.
    fn reopen(&mut self) -> Result<Head, JournalError>;

    /// Keeps a picture of the state after event `seq`. The newest two are kept. Snapshots are disposable:
    /// losing one costs only time.
    ///
    /// # Errors
    /// [`JournalError::SnapshotAhead`] when the journal has no event `seq`; else the store's own.
    fn save_snapshot(&mut self, seq: u64, bytes: &[u8]) -> Result<(), JournalError>;

    /// The newest snapshot whose checksum is right and that belongs to this very history.
    ///
    /// # Errors
    /// The store's own. A spoilt snapshot is no error; it is passed over.
    fn load_snapshot(&mut self) -> Result<Option<Snapshot>, JournalError>;

    /// Copies the journal into the new file `path`; see [`JournalReader::backup_to`], which does the same
    /// without keeping the writer busy.
    ///
    /// # Errors
    /// As [`JournalReader::backup_to`].
    fn backup_to(&mut self, path: &Path) -> Result<Head, JournalError> {
        self.reader()?.backup_to(path)
    }

    /// Housekeeping for idle moments, so that it does not fall into a commit. Does nothing when nothing was
    /// written since the last time.
    ///
    /// # Errors
    /// The store's own. Nothing is lost then; the next one does the work.
    fn checkpoint(&mut self) -> Result<(), JournalError>;
}

/// What a reader calls for each event; `Break` ends the reading.
pub type Visit<'a> = &'a mut dyn FnMut(&EventRow) -> ControlFlow<()>;

/// A reader of a journal, independent of its writer.
pub trait JournalReader: Send {
    /// The newest committed event, its hash, the epoch and the newest text.
    ///
    /// # Errors
    /// The store's own.
    fn head(&mut self) -> Result<Head, JournalError>;

    /// At most `limit` events after number `after`, ascending.
    ///
    /// # Errors
    /// The store's own.
    fn events(&mut self, after: u64, limit: usize) -> Result<Vec<EventRow>, JournalError>;

    /// All events of one job, ascending; an exchange of tags belongs to both of its jobs.
    ///
    /// # Errors
    /// The store's own.
    fn job_events(&mut self, job: u64) -> Result<Vec<EventRow>, JournalError>;

    /// Calls `visit` for each event after number `after`, ascending, and returns the last number visited
    /// (`after` when there was none). Holds one row in memory at a time and no lock between chunks.
    ///
    /// # Errors
    /// The store's own.
    fn for_each_event(&mut self, after: u64, visit: Visit<'_>) -> Result<u64, JournalError>;

    /// At most `limit` texts after number `after_id`, ascending.
    ///
    /// # Errors
    /// The store's own.
    fn texts(&mut self, after_id: u64, limit: usize) -> Result<Vec<TextRow>, JournalError>;

    /// At most `limit` answers after request `after`, ascending by request; `None` starts at the first.
    ///
    /// # Errors
    /// The store's own.
    fn answers(&mut self, after: Option<&RequestId>, limit: usize) -> Result<Vec<AnswerRow>, JournalError>;

    /// Checks the whole chain and reports the first event that breaks it.
    ///
    /// # Errors
    /// The store's own; a broken chain is a report, not an error.
    fn verify_chain(&mut self) -> Result<ChainReport, JournalError>;

    /// Copies the journal, as committed now, into the new `SQLite` file `path`, which anyone can read with
    /// plain SQL; returns the copy's head. The file gets its name only once it is whole and on disk.
    ///
    /// # Errors
    /// [`JournalError::Exists`] when there is such a file already; else the store's own.
    fn backup_to(&mut self, path: &Path) -> Result<Head, JournalError>;
}

/// Folds the events after number `after` into `state` and returns it with the last number folded.
///
/// # Errors
/// The journal's, or the first error of `step`, which ends the reading.
pub fn fold<T, E: From<JournalError>>(
    reader: &mut dyn JournalReader,
    after: u64,
    mut state: T,
    mut step: impl FnMut(&mut T, &EventRow) -> Result<(), E>,
) -> Result<(T, u64), E> {
    let mut failed = None;
    let last = reader.for_each_event(after, &mut |row| match step(&mut state, row) {
        Ok(()) => ControlFlow::Continue(()),
        Err(error) => {
            failed = Some(error);
            ControlFlow::Break(())
        }
    })?;
    failed.map_or(Ok((state, last)), Err)
}
