//! The tables, and how an older form becomes the newest one: a list of steps, each in one transaction, counted
//! by `user_version`. Steps add; none rewrites an event.

use rusqlite::{Connection, TransactionBehavior};

/// Marks the file as a Remise journal: `RMSJ` in ASCII.
pub(super) const APPLICATION_ID: i64 = 0x524D_534A;

/// The steps; the number of those done is the file's `user_version`.
pub(super) const STEPS: &[&str] = &[FIRST, EXCHANGES_OF_JOB];

const FIRST: &str = "
CREATE TABLE event (
    seq            INTEGER PRIMARY KEY,
    at_us          INTEGER NOT NULL,
    happened_at_us INTEGER NOT NULL,
    job            INTEGER,
    station        TEXT NOT NULL,
    kind           TEXT NOT NULL,
    v              INTEGER NOT NULL,
    body           TEXT NOT NULL,
    hash           BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE INDEX event_of_job ON event (job) WHERE job IS NOT NULL;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
    BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
    BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;

CREATE TABLE text (
    id    INTEGER PRIMARY KEY,
    class TEXT NOT NULL CHECK (class IN ('person', 'note')),
    text  TEXT NOT NULL
) STRICT;

CREATE TABLE answer (
    request_id BLOB PRIMARY KEY CHECK (length(request_id) = 16),
    at_us      INTEGER NOT NULL,
    station    TEXT NOT NULL,
    fields     TEXT NOT NULL,
    answer     TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE snapshot (
    seq      INTEGER PRIMARY KEY,
    bytes    BLOB NOT NULL,
    checksum BLOB NOT NULL
) STRICT;

CREATE TABLE meta (
    name  TEXT PRIMARY KEY,
    value INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO meta VALUES ('epoch', 0), ('settled', 0);
";

/// An exchange of tags is filed under one of its two jobs: this finds it by the other.
const EXCHANGES_OF_JOB: &str = "
CREATE INDEX exchange_of_other_job ON event (json_extract(body, '$.b')) WHERE kind = 'tags_exchanged';
";

/// Brings the file to the form that `steps` lead to. A step that fails leaves the form before it.
pub(super) fn migrate(connection: &mut Connection, steps: &[&str]) -> rusqlite::Result<()> {
    loop {
        let tx = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done: i64 = tx.pragma_query_value(None, "user_version", |row| row.get(0))?;
        let Some(step) = usize::try_from(done).ok().and_then(|done| steps.get(done)) else {
            return Ok(());
        };
        tx.execute_batch(step)?;
        tx.pragma_update(None, "application_id", APPLICATION_ID)?;
        tx.pragma_update(None, "user_version", done + 1)?;
        tx.commit()?;
    }
}
