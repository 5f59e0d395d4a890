//! What the real server writes for a command, read from its own journal, so that the bare server writes the same rows
//! of the same bytes and the comparison cannot grow stale.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

use anyhow::{Context as _, Result};
use rusqlite::{Connection, OpenFlags, OptionalExtension as _, params};
use serde::{Deserialize, Serialize};

use remise_server::journal::JOURNAL_FILE;

use super::child::Child;
use super::load::{self, Lines, Mix};

/// The commands of the loads, by the kind of their first event.
pub const KINDS: [&str; 5] = ["taken", "put_back", "handed_in", "called_off", "handed_back"];

/// An event row.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Event {
    /// Column `station`.
    pub station: String,
    /// Column `kind`.
    pub kind: String,
    /// Column `v`.
    pub v: u16,
    /// Column `body`.
    pub body: String,
}

/// The rows of one command.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Sample {
    /// Its events.
    pub events: Vec<Event>,
    /// Its notes.
    pub notes: Vec<String>,
    /// Column `fields` of its answer.
    pub fields: String,
    /// Column `answer` of its answer.
    pub answer: String,
}

/// One sample for each of [`KINDS`].
pub type Samples = BTreeMap<String, Sample>;

/// Lets the real server write some of each, and reads them.
///
/// # Errors
/// It refuses a command, or its journal cannot be read.
pub async fn take(server: &Child, lines: &Lines) -> Result<Samples> {
    for mix in [Mix::Take, Mix::HandIn] {
        load::closed(lines, mix, 64, Duration::from_millis(300), &server.hello.jobs).await?;
    }
    read(&server.folder.path().join(JOURNAL_FILE))
}

/// Reads the newest command of each kind from a journal.
///
/// # Errors
/// The journal cannot be read, or holds no such command.
pub fn read(journal: &Path) -> Result<Samples> {
    let db = Connection::open_with_flags(journal, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    KINDS.iter().map(|kind| Ok(((*kind).to_owned(), read_one(&db, kind)?))).collect()
}

fn read_one(db: &Connection, kind: &str) -> Result<Sample> {
    let newest = "SELECT a.fields, a.answer, json_extract(a.answer, '$.accepted.first'),
                         json_extract(a.answer, '$.accepted.last')
                  FROM answer a JOIN event e ON e.seq = json_extract(a.answer, '$.accepted.first')
                  WHERE e.kind = ?1 ORDER BY e.seq DESC LIMIT 1";
    let (fields, answer, first, last): (String, String, i64, i64) = db
        .query_row(newest, [kind], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))
        .with_context(|| format!("no answer to a command that led to {kind}"))?;
    let mut select = db.prepare("SELECT station, kind, v, body FROM event WHERE seq BETWEEN ?1 AND ?2")?;
    let events = select.query_map(params![first, last], |row| {
        Ok(Event { station: row.get(0)?, kind: row.get(1)?, v: row.get(2)?, body: row.get(3)? })
    })?;
    let events = events.collect::<Result<Vec<_>, _>>()?;
    let mut notes = Vec::new();
    for event in &events {
        let body: serde_json::Value = serde_json::from_str(&event.body)?;
        for field in ["note", "reason"] {
            if let Some(id) = body.get(field).and_then(serde_json::Value::as_i64) {
                let note = db.query_row("SELECT text FROM text WHERE id = ?1", [id], |row| row.get(0));
                notes.extend(note.optional()?);
            }
        }
    }
    Ok(Sample { events, notes, fields, answer })
}
