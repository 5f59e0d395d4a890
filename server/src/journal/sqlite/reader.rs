//! Reading: a read-only connection of its own, and how rows of the tables become rows of the journal.

use std::ops::ControlFlow;
use std::path::Path;

use rusqlite::types::{FromSqlError, Type};
use rusqlite::{Connection, Row, params};

use super::{append, backup, open};
use crate::journal::chain::{ChainCheck, ChainReport, Hash};
use crate::journal::error::JournalError;
use crate::journal::rows::{AnswerRow, EventRow, Head, RequestId, TextClass, TextRow};
use crate::journal::{JournalReader, Visit};

/// Rows that are read under one lock. Between two chunks the write-ahead log can be emptied.
const CHUNK: usize = 4096;

const EVENTS: &str = "SELECT seq, at_us, happened_at_us, job, station, kind, v, body, hash FROM event
     WHERE seq > ?1 ORDER BY seq LIMIT ?2";
const JOB_EVENTS: &str = "SELECT seq, at_us, happened_at_us, job, station, kind, v, body FROM event
     WHERE job = ?1 OR (kind = 'tags_exchanged' AND json_extract(body, '$.b') = ?1) ORDER BY seq";

/// Reads a journal's file, beside its writer or from a backup copy.
#[derive(Debug)]
pub struct SqliteReader {
    connection: Connection,
}

impl SqliteReader {
    /// Opens the file `path` to read, a live journal or a backup copy.
    ///
    /// # Errors
    /// [`JournalError::NotAJournal`] or [`JournalError::Newer`] for what cannot be read; else the store's own.
    pub fn open(path: &Path) -> Result<Self, JournalError> {
        open::look_first(path)?;
        let connection = open::read_only(path).map_err(JournalError::store("open the journal to read"))?;
        Ok(Self { connection })
    }

    /// Calls `visit` for each stored event after `after` with its stored hash; one row in memory at a time.
    fn each(
        &self,
        mut after: u64,
        visit: &mut dyn FnMut(&EventRow, &Hash) -> ControlFlow<()>,
    ) -> rusqlite::Result<u64> {
        let mut row = EventRow::default();
        let mut select = self.connection.prepare_cached(EVENTS)?;
        loop {
            let mut read = 0;
            let mut rows = select.query(params![bounded(after), CHUNK as i64])?;
            while let Some(stored) = rows.next()? {
                fill(stored, &mut row)?;
                let hash: Hash = stored.get(8)?;
                after = row.seq;
                read += 1;
                if visit(&row, &hash).is_break() {
                    return Ok(after);
                }
            }
            if read < CHUNK {
                return Ok(after);
            }
        }
    }

    fn many<T>(
        &self,
        sql: &str,
        params: impl rusqlite::Params,
        read: fn(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>, JournalError> {
        let select = || -> rusqlite::Result<Vec<T>> {
            self.connection.prepare_cached(sql)?.query_map(params, read)?.collect()
        };
        select().map_err(JournalError::store("read the journal"))
    }
}

impl JournalReader for SqliteReader {
    fn head(&mut self) -> Result<Head, JournalError> {
        append::read_head(&self.connection).map_err(JournalError::store("read the journal's head"))
    }

    fn events(&mut self, after: u64, limit: usize) -> Result<Vec<EventRow>, JournalError> {
        self.many(EVENTS, params![bounded(after), bounded(limit as u64)], event_row)
    }

    fn job_events(&mut self, job: u64) -> Result<Vec<EventRow>, JournalError> {
        self.many(JOB_EVENTS, params![bounded(job)], event_row)
    }

    fn for_each_event(&mut self, after: u64, visit: Visit<'_>) -> Result<u64, JournalError> {
        self.each(after, &mut |row, _| visit(row)).map_err(JournalError::store("read the journal"))
    }

    fn texts(&mut self, after_id: u64, limit: usize) -> Result<Vec<TextRow>, JournalError> {
        let sql = "SELECT id, class, text FROM text WHERE id > ?1 ORDER BY id LIMIT ?2";
        self.many(sql, params![bounded(after_id), bounded(limit as u64)], text_row)
    }

    fn answers(&mut self, after: Option<&RequestId>, limit: usize) -> Result<Vec<AnswerRow>, JournalError> {
        // An empty blob comes before every other.
        let after: &[u8] = after.map_or(&[], |id| id);
        let sql = "SELECT request_id, at_us, station, fields, answer FROM answer
             WHERE request_id > ?1 ORDER BY request_id LIMIT ?2";
        self.many(sql, params![after, bounded(limit as u64)], answer_row)
    }

    fn verify_chain(&mut self) -> Result<ChainReport, JournalError> {
        let mut check = ChainCheck::default();
        let walk = self.each(0, &mut |row, hash| check.take(row, hash));
        walk.map_err(JournalError::store("read the journal"))?;
        Ok(check.report())
    }

    fn backup_to(&mut self, path: &Path) -> Result<Head, JournalError> {
        backup::copy(&self.connection, path)
    }
}

/// A number as the store keeps it; what is beyond its range is beyond every row, too.
fn bounded(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

/// Reads a number that is never negative.
pub(super) fn count(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    let stored: i64 = row.get(column)?;
    u64::try_from(stored).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(column, stored))
}

/// Reads a number that is never negative and may be absent.
pub(super) fn optional_count(row: &Row<'_>, column: usize) -> rusqlite::Result<Option<u64>> {
    let stored: Option<i64> = row.get(column)?;
    stored.map(|_| count(row, column)).transpose()
}

/// Reads an event into a row that is there already, to spare its strings.
fn fill(stored: &Row<'_>, row: &mut EventRow) -> rusqlite::Result<()> {
    row.seq = count(stored, 0)?;
    row.at_us = stored.get(1)?;
    row.happened_at_us = stored.get(2)?;
    row.job = optional_count(stored, 3)?;
    row.v = stored.get(6)?;
    for (column, field) in [(4, &mut row.station), (5, &mut row.kind), (7, &mut row.body)] {
        let text = stored.get_ref(column)?.as_str();
        let text = text.map_err(|error| unreadable(column, Type::Text, error))?;
        field.clear();
        field.push_str(text);
    }
    Ok(())
}

fn event_row(stored: &Row<'_>) -> rusqlite::Result<EventRow> {
    let mut row = EventRow::default();
    fill(stored, &mut row)?;
    Ok(row)
}

fn text_row(stored: &Row<'_>) -> rusqlite::Result<TextRow> {
    let word: String = stored.get(1)?;
    let class = TextClass::from_word(&word);
    let class = class.ok_or_else(|| unreadable(1, Type::Text, FromSqlError::InvalidType))?;
    Ok(TextRow { id: count(stored, 0)?, class, text: stored.get(2)? })
}

/// Reads a row of `request_id, at_us, station, fields, answer`.
pub(super) fn answer_row(stored: &Row<'_>) -> rusqlite::Result<AnswerRow> {
    Ok(AnswerRow {
        request_id: stored.get(0)?,
        at_us: stored.get(1)?,
        station: stored.get(2)?,
        fields: stored.get(3)?,
        answer: stored.get(4)?,
    })
}

fn unreadable(column: usize, kind: Type, error: FromSqlError) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(column, kind, Box::new(error))
}
