//! Appending: one immediate transaction that compares epoch and head, writes the batch and commits.

use rusqlite::{Connection, ErrorCode, Transaction, TransactionBehavior, params};

use super::reader;
use crate::journal::batch;
use crate::journal::chain::{GENESIS, Hash, next_hash};
use crate::journal::error::NotWritten;
use crate::journal::rows::{Batch, Head};

/// Why a batch was not, or perhaps not, written.
pub(super) enum Failed {
    /// Another epoch.
    Fenced(u64),
    /// Not written, for this reason.
    Refused(NotWritten),
    /// The commit itself failed.
    InDoubt(rusqlite::Error),
}

impl From<rusqlite::Error> for Failed {
    fn from(error: rusqlite::Error) -> Self {
        Self::Refused(refusal(&error))
    }
}

/// Writes a batch, all or nothing.
pub(super) fn write(
    connection: &mut Connection,
    epoch: u64,
    expected: u64,
    rows: &Batch,
) -> Result<Head, Failed> {
    let tx = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let mut head = read_head(&tx)?;
    if head.epoch != epoch {
        return Err(Failed::Fenced(head.epoch));
    }
    if head.seq != expected {
        return Err(Failed::Refused(NotWritten::HeadMoved { expected, head: head.seq }));
    }
    batch::check(&head, rows).map_err(Failed::Refused)?;
    insert_events(&tx, rows, &mut head)?;
    insert_texts(&tx, rows, &mut head)?;
    insert_answers(&tx, rows)?;
    tx.commit().map_err(Failed::InDoubt)?;
    Ok(head)
}

fn insert_events(tx: &Transaction<'_>, rows: &Batch, head: &mut Head) -> rusqlite::Result<()> {
    let mut insert = tx.prepare_cached(
        "INSERT INTO event (seq, at_us, happened_at_us, job, station, kind, v, body, hash)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )?;
    for row in &rows.events {
        head.hash = next_hash(&head.hash, row);
        head.seq = row.seq;
        head.at_us = row.at_us;
        // The casts are within range: `batch::check` looked at every number.
        insert.execute(params![
            row.seq as i64,
            row.at_us,
            row.happened_at_us,
            row.job.map(|job| job as i64),
            row.station,
            row.kind,
            row.v,
            row.body,
            head.hash,
        ])?;
    }
    Ok(())
}

fn insert_texts(tx: &Transaction<'_>, rows: &Batch, head: &mut Head) -> rusqlite::Result<()> {
    let mut insert = tx.prepare_cached("INSERT INTO text (id, class, text) VALUES (?1, ?2, ?3)")?;
    for row in &rows.texts {
        head.text_id = row.id;
        insert.execute(params![row.id as i64, row.class.word(), row.text])?;
    }
    Ok(())
}

fn insert_answers(tx: &Transaction<'_>, rows: &Batch) -> rusqlite::Result<()> {
    let mut insert = tx.prepare_cached(
        "INSERT INTO answer (request_id, at_us, station, fields, answer) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?;
    for row in &rows.answers {
        insert.execute(params![row.request_id, row.at_us, row.station, row.fields, row.answer])?;
    }
    Ok(())
}

/// Where the journal stands, read in one statement.
pub(super) fn read_head(connection: &Connection) -> rusqlite::Result<Head> {
    let mut read = connection.prepare_cached(
        "SELECT (SELECT value FROM meta WHERE name = 'epoch'), (SELECT max(id) FROM text),
                newest.seq, newest.at_us, newest.hash
         FROM (SELECT 1)
         LEFT JOIN (SELECT seq, at_us, hash FROM event ORDER BY seq DESC LIMIT 1) AS newest",
    )?;
    read.query_row([], |row| {
        Ok(Head {
            epoch: reader::count(row, 0)?,
            text_id: reader::optional_count(row, 1)?.unwrap_or(0),
            seq: reader::optional_count(row, 2)?.unwrap_or(0),
            at_us: row.get::<_, Option<i64>>(3)?.unwrap_or(0),
            hash: row.get::<_, Option<Hash>>(4)?.unwrap_or(GENESIS),
        })
    })
}

/// Commits something harmless. A commit that failed earlier may have left its pages in the write-ahead log,
/// where a later recovery could still find them; this overwrites them or, where they were recovered, builds on
/// them. Either way the head that is read from now on is final.
pub(super) fn settle(connection: &mut Connection) -> rusqlite::Result<()> {
    connection.execute("UPDATE meta SET value = value + 1 WHERE name = 'settled'", []).map(drop)
}

/// The reason to tell, from what the store said before any commit.
fn refusal(error: &rusqlite::Error) -> NotWritten {
    let said = error.to_string();
    match error.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => NotWritten::DiskFull(said),
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => {
            NotWritten::ReadOnly(said)
        }
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => NotWritten::Busy(said),
        Some(ErrorCode::ConstraintViolation) => NotWritten::BadBatch(said),
        _ => NotWritten::Other(said),
    }
}
