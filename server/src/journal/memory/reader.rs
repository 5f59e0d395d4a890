//! Reading a simulated disk.

use std::ops::Bound;
use std::path::Path;

use super::MemoryDisk;
use super::disk::Stored;
use crate::journal::chain::{ChainCheck, ChainReport};
use crate::journal::error::JournalError;
use crate::journal::rows::{AnswerRow, Batch, EventRow, Head, RequestId, TextRow};
use crate::journal::{JournalReader, Visit, sqlite};

/// Events that are copied out under one lock.
const CHUNK: usize = 1024;

/// A reader of a [`MemoryDisk`]; it goes on through crashes.
#[derive(Debug)]
pub(super) struct MemoryReader(MemoryDisk);

impl MemoryReader {
    pub(super) fn on(disk: MemoryDisk) -> Self {
        Self(disk)
    }

    fn chunk(&self, after: u64, limit: usize) -> Vec<Stored> {
        let held = self.0.hold();
        let from = usize::try_from(after).unwrap_or(usize::MAX);
        held.events.iter().skip(from).take(limit).cloned().collect()
    }
}

impl JournalReader for MemoryReader {
    fn head(&mut self) -> Result<Head, JournalError> {
        Ok(self.0.hold().head())
    }

    fn events(&mut self, after: u64, limit: usize) -> Result<Vec<EventRow>, JournalError> {
        Ok(self.chunk(after, limit).into_iter().map(|stored| stored.row).collect())
    }

    fn job_events(&mut self, job: u64) -> Result<Vec<EventRow>, JournalError> {
        let held = self.0.hold();
        let rows = held.events.iter().map(|stored| &stored.row);
        Ok(rows.filter(|row| row.job == Some(job) || exchanges_with(row, job)).cloned().collect())
    }

    fn for_each_event(&mut self, mut after: u64, visit: Visit<'_>) -> Result<u64, JournalError> {
        loop {
            let chunk = self.chunk(after, CHUNK);
            for stored in &chunk {
                after = stored.row.seq;
                if visit(&stored.row).is_break() {
                    return Ok(after);
                }
            }
            if chunk.len() < CHUNK {
                return Ok(after);
            }
        }
    }

    fn texts(&mut self, after_id: u64, limit: usize) -> Result<Vec<TextRow>, JournalError> {
        let held = self.0.hold();
        let after = (Bound::Excluded(after_id), Bound::Unbounded);
        Ok(held.texts.range(after).take(limit).map(|(_, row)| row.clone()).collect())
    }

    fn answers(&mut self, after: Option<&RequestId>, limit: usize) -> Result<Vec<AnswerRow>, JournalError> {
        let held = self.0.hold();
        let after = (after.map_or(Bound::Unbounded, Bound::Excluded), Bound::Unbounded);
        Ok(held.answers.range::<RequestId, _>(after).take(limit).map(|(_, row)| row.clone()).collect())
    }

    fn verify_chain(&mut self) -> Result<ChainReport, JournalError> {
        let mut check = ChainCheck::default();
        let mut after = 0;
        loop {
            let chunk = self.chunk(after, CHUNK);
            let walk = chunk.iter().try_for_each(|stored| check.take(&stored.row, &stored.hash));
            after += chunk.len() as u64;
            if walk.is_break() || chunk.len() < CHUNK {
                return Ok(check.report());
            }
        }
    }

    /// Writes a real journal's file with the same rows, so that whatever reads one can read this one.
    fn backup_to(&mut self, path: &Path) -> Result<Head, JournalError> {
        let (epoch, rows) = {
            let held = self.0.hold();
            let events = held.events.iter().map(|stored| stored.row.clone()).collect();
            let texts = held.texts.values().cloned().collect();
            let answers = held.answers.values().cloned().collect();
            (held.epoch, Batch { events, texts, answers })
        };
        sqlite::export(epoch, &rows, path)
    }
}

/// An exchange of tags is filed under one of its two jobs: whether that is the other.
fn exchanges_with(row: &EventRow, job: u64) -> bool {
    row.kind == "tags_exchanged"
        && serde_json::from_str::<serde_json::Value>(&row.body).is_ok_and(|body| body["b"] == job)
}
