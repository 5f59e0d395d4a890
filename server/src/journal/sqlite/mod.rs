//! The store of a real server: one `SQLite` file in the data folder, in WAL mode with `synchronous=FULL`, so
//! that a commit that returned is on disk.
//!
//! One writer works on a folder; a lock on a file beside the journal refuses a second server. Readers have
//! read-only connections of their own. The write-ahead log is emptied in idle moments
//! ([`Journal::checkpoint`]), not inside a commit.

mod append;
mod backup;
mod open;
mod reader;
mod schema;
mod snapshots;

#[cfg(test)]
mod tests;

use std::fs::File;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, ErrorCode, OptionalExtension, TransactionBehavior};

use super::error::{Append, JournalError, NotWritten};
use super::rows::{AnswerRow, Batch, Head, RequestId};
use super::snapshot::Snapshot;
use super::{Journal, JournalReader};

use append::Failed;
pub(super) use backup::export;
pub use reader::SqliteReader;

/// The journal's name in the data folder.
pub const JOURNAL_FILE: &str = "journal.sqlite3";
/// The lock's name in the data folder.
pub const LOCK_FILE: &str = "remise.lock";

const ANSWER: &str = "SELECT request_id, at_us, station, fields, answer FROM answer WHERE request_id = ?1";
const LOOK_UP: &str = "look an answer up";

/// A journal in a `SQLite` file, and the lock on its folder.
#[derive(Debug)]
pub struct SqliteJournal {
    /// `None` while an outcome is unknown or the journal could not be reopened.
    connection: Option<Connection>,
    path: PathBuf,
    /// Whether something was written since the last checkpoint.
    dirty: bool,
    /// Held until the journal is dropped, after the connection.
    _lock: File,
}

impl SqliteJournal {
    /// Opens the journal in `folder`, makes both when they are not there, and brings an older form up to date.
    ///
    /// # Errors
    /// [`JournalError::InUse`] when another server works on the folder, [`JournalError::Newer`] and
    /// [`JournalError::NotAJournal`] for a file that was left untouched; else the store's or file system's own.
    pub fn open(folder: &Path) -> Result<Self, JournalError> {
        let folder = std::path::absolute(folder).map_err(JournalError::file("find", folder))?;
        open::make_folder(&folder)?;
        let lock = open::lock_folder(&folder)?;
        let path = folder.join(JOURNAL_FILE);
        open::look_first(&path)?;
        let mut journal = Self { connection: None, path, dirty: true, _lock: lock };
        journal.reopen()?;
        open::sync_folder(&folder)?;
        Ok(journal)
    }

    /// The journal's file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// For fault tests: with `full`, no page can be added to the file, as on a full disk, until it is called
    /// again without or the journal is reopened.
    ///
    /// # Errors
    /// The store's own.
    pub fn simulate_full(&mut self, full: bool) -> Result<(), JournalError> {
        // The limit never goes below the pages there are, so 1 means: no more than now.
        let pages: i64 = if full { 1 } else { 4_294_967_294 };
        let set = |connection: &mut Connection| {
            connection.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))
        };
        set(self.connection()?).map_err(JournalError::store("limit the journal's size"))
    }

    /// What became of a batch whose commit failed. A full disk is common enough to look at once: where the
    /// journal can be reopened, the doubt is gone. Everything else the caller must settle.
    fn resolve(&mut self, error: &rusqlite::Error, batch: &Batch) -> Append {
        self.connection = None;
        if error.sqlite_error_code() == Some(ErrorCode::DiskFull)
            && let Ok(head) = self.reopen()
            && let Ok(there) = self.holds(&head, batch)
        {
            let said = error.to_string();
            return if there {
                Append::Written(head)
            } else {
                Append::NotWritten(NotWritten::DiskFull(said))
            };
        }
        self.connection = None;
        Append::Unknown(format!(
            "the disk failed while a batch was being committed ({error}); whether it is there is known once \
             the journal has been reopened; what was journalled before is unharmed"
        ))
    }

    /// Whether a batch, which is there as a whole or not at all, is there.
    fn holds(&mut self, head: &Head, batch: &Batch) -> Result<bool, JournalError> {
        Ok(match (batch.events.last(), batch.texts.last(), batch.answers.last()) {
            (Some(event), _, _) => event.seq <= head.seq,
            (None, Some(text), _) => text.id <= head.text_id,
            (None, None, Some(answer)) => self.answer(&answer.request_id)?.is_some(),
            (None, None, None) => true,
        })
    }

    fn connection(&mut self) -> Result<&mut Connection, JournalError> {
        self.connection.as_mut().ok_or(JournalError::MustReopen)
    }
}

impl Journal for SqliteJournal {
    fn head(&mut self) -> Result<Head, JournalError> {
        append::read_head(self.connection()?).map_err(JournalError::store("read the journal's head"))
    }

    fn append(&mut self, epoch: u64, expected_head: u64, batch: &Batch) -> Append {
        let Some(connection) = self.connection.as_mut() else {
            return Append::NotWritten(NotWritten::MustReopen);
        };
        self.dirty = true;
        match append::write(connection, epoch, expected_head, batch) {
            Ok(head) => Append::Written(head),
            Err(Failed::Fenced(epoch)) => Append::Fenced { epoch },
            Err(Failed::Refused(why)) if connection.is_autocommit() => Append::NotWritten(why),
            // Rolling back does not fail while memory and code are whole; if it did, nothing could begin.
            Err(Failed::Refused(why)) => {
                self.connection = None;
                Append::Unknown(format!("a batch could not be rolled back: {why}"))
            }
            Err(Failed::InDoubt(error)) => self.resolve(&error, batch),
        }
    }

    fn answer(&mut self, request_id: &RequestId) -> Result<Option<AnswerRow>, JournalError> {
        let mut find = self.connection()?.prepare_cached(ANSWER).map_err(JournalError::store(LOOK_UP))?;
        find.query_row([request_id], reader::answer_row).optional().map_err(JournalError::store(LOOK_UP))
    }

    fn answers_to(&mut self, requests: &[RequestId]) -> Result<Vec<AnswerRow>, JournalError> {
        // One transaction: else each look takes and frees the locks by itself.
        let look = |connection: &mut Connection| {
            let tx = connection.transaction()?;
            let mut found = Vec::new();
            {
                let mut find = tx.prepare_cached(ANSWER)?;
                for request in requests {
                    found.extend(find.query_row([request], reader::answer_row).optional()?);
                }
            }
            tx.commit().map(|()| found)
        };
        look(self.connection()?).map_err(JournalError::store(LOOK_UP))
    }

    fn reader(&self) -> Result<Box<dyn JournalReader>, JournalError> {
        Ok(Box::new(SqliteReader::open(&self.path)?))
    }

    fn raise_epoch(&mut self) -> Result<u64, JournalError> {
        self.dirty = true;
        let raise = |connection: &mut Connection| {
            let tx = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let raised = tx.query_row(
                "UPDATE meta SET value = value + 1 WHERE name = 'epoch' RETURNING value",
                [],
                |row| reader::count(row, 0),
            )?;
            tx.commit().map(|()| raised)
        };
        raise(self.connection()?).map_err(JournalError::store("raise the journal's epoch"))
    }

    fn reopen(&mut self) -> Result<Head, JournalError> {
        self.connection = None;
        let mut connection = open::writer(&self.path)?;
        append::settle(&mut connection).map_err(JournalError::store("settle the journal"))?;
        self.dirty = true;
        self.connection = Some(connection);
        self.head()
    }

    fn save_snapshot(&mut self, seq: u64, bytes: &[u8]) -> Result<(), JournalError> {
        self.dirty = true;
        snapshots::save(self.connection()?, seq, bytes)
    }

    fn load_snapshot(&mut self) -> Result<Option<Snapshot>, JournalError> {
        snapshots::load(self.connection()?).map_err(JournalError::store("read a snapshot"))
    }

    fn checkpoint(&mut self) -> Result<(), JournalError> {
        if !self.dirty {
            return Ok(());
        }
        let empty = |connection: &mut Connection| {
            connection.query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |row| {
                Ok(row.get::<_, i64>(1)? == row.get::<_, i64>(2)?)
            })
        };
        let whole = empty(self.connection()?).map_err(JournalError::store("empty the write-ahead log"))?;
        self.dirty = !whole;
        Ok(())
    }
}
