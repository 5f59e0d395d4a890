//! The bare server's writer: one thread, one transaction for all that waits, the journal's tables and settings.

use std::path::Path;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use anyhow::Result;
use remise_proto::v1;
use remise_server::desk::{BATCH_MOST, SNAPSHOT_EVERY};
use rusqlite::{Connection, Transaction, TransactionBehavior, params};
use tokio::sync::{mpsc, oneshot};

use crate::bench::sample::Sample;

/// The journal's tables, without the triggers and checks that guard them.
const TABLES: &str = "
CREATE TABLE event (
    seq INTEGER PRIMARY KEY, at_us INTEGER NOT NULL, happened_at_us INTEGER NOT NULL, job INTEGER,
    station TEXT NOT NULL, kind TEXT NOT NULL, v INTEGER NOT NULL, body TEXT NOT NULL, hash BLOB NOT NULL
) STRICT;
CREATE INDEX event_of_job ON event (job) WHERE job IS NOT NULL;
CREATE TABLE text (id INTEGER PRIMARY KEY, class TEXT NOT NULL, text TEXT NOT NULL) STRICT;
CREATE TABLE answer (
    request_id BLOB PRIMARY KEY, at_us INTEGER NOT NULL, station TEXT NOT NULL, fields TEXT NOT NULL,
    answer TEXT NOT NULL
) STRICT, WITHOUT ROWID;
";

/// The rows of one command, and who waits for them.
pub(super) struct Wish {
    pub request_id: Vec<u8>,
    pub job: Option<u64>,
    pub sample: Arc<Sample>,
    pub answer: oneshot::Sender<v1::Accepted>,
}

/// Opens the file and starts the thread.
pub(super) fn start(folder: &Path, mut waiting: mpsc::Receiver<Wish>) -> Result<()> {
    let db = Connection::open(folder.join("bare.sqlite3"))?;
    db.set_prepared_statement_cache_capacity(32);
    db.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
    db.pragma_update(None, "synchronous", "FULL")?;
    db.pragma_update(None, "cache_size", -16_384)?;
    db.pragma_update_and_check(None, "wal_autocheckpoint", 8192, |_| Ok(()))?;
    db.execute_batch(TABLES)?;
    let mut writer = Writer { db, seq: 0, text: 0, emptied: 0 };
    std::thread::Builder::new().name("writer".to_owned()).spawn(move || {
        let mut taken = Vec::with_capacity(BATCH_MOST);
        while waiting.blocking_recv_many(&mut taken, BATCH_MOST) > 0 {
            // A failed write drops the wishes, which tells their callers.
            if let Err(error) = writer.commit(&mut taken) {
                eprintln!("the bare server cannot write: {error}");
                return;
            }
            if waiting.is_empty() {
                writer.rest();
            }
        }
    })?;
    Ok(())
}

struct Writer {
    db: Connection,
    seq: i64,
    text: i64,
    emptied: i64,
}

impl Writer {
    fn commit(&mut self, taken: &mut Vec<Wish>) -> rusqlite::Result<()> {
        let at = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default().as_micros() as i64;
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let mut answers = Vec::with_capacity(taken.len());
        for wish in taken.iter() {
            answers.push(insert(&tx, wish, at, &mut self.seq, &mut self.text)?);
        }
        tx.commit()?;
        for (wish, accepted) in taken.drain(..).zip(answers) {
            // The caller may have gone.
            let _ = wish.answer.send(accepted);
        }
        Ok(())
    }

    fn rest(&mut self) {
        // The real desk empties the log after each snapshot.
        if self.seq - self.emptied >= SNAPSHOT_EVERY as i64 {
            self.emptied = self.seq;
            // It is tried again later.
            let _ = self.db.query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |_| Ok(()));
        }
    }
}

fn insert(
    tx: &Transaction<'_>,
    wish: &Wish,
    at: i64,
    seq: &mut i64,
    text: &mut i64,
) -> rusqlite::Result<v1::Accepted> {
    let first = *seq + 1;
    let job = wish.job.map_or(first, |job| job as i64);
    let mut station = "";
    let mut event = tx.prepare_cached("INSERT INTO event VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)")?;
    for row in &wish.sample.events {
        *seq += 1;
        station = &row.station;
        event.execute(params![*seq, at, at, job, station, row.kind, row.v, row.body, [7_u8; 32]])?;
    }
    let mut note = tx.prepare_cached("INSERT INTO text VALUES (?1, 'note', ?2)")?;
    for words in &wish.sample.notes {
        *text += 1;
        note.execute(params![*text, words])?;
    }
    let mut answer = tx.prepare_cached("INSERT INTO answer VALUES (?1, ?2, ?3, ?4, ?5)")?;
    answer.execute(params![wish.request_id, at, station, wish.sample.fields, wish.sample.answer])?;
    let jobs = if wish.job.is_none() { vec![first as u64] } else { Vec::new() };
    Ok(v1::Accepted {
        first_seq: first as u64,
        last_seq: *seq as u64,
        jobs,
        recorded_at_us: at,
        advice: Vec::new(),
    })
}
