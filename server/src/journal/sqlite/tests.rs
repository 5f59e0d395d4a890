//! Tests of the `SQLite` store beyond the suite: opening, locks, migrations, full and failing disks, and what
//! a cut of the power leaves.

#![allow(clippy::unwrap_used)]

use super::*;
use crate::journal::suite::{Ground, answer, event, events, journal_suite, text, write};
use crate::journal::{ChainReport, EventRow};

struct OnFolder(tempfile::TempDir);

impl OnFolder {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn raw(&self, sql: &str) {
        let connection = Connection::open(self.0.path().join(JOURNAL_FILE)).unwrap();
        connection.execute_batch("DROP TRIGGER IF EXISTS event_is_never_changed").unwrap();
        connection.execute_batch(sql).unwrap();
    }
}

impl Ground for OnFolder {
    fn open(&self) -> Box<dyn Journal> {
        Box::new(SqliteJournal::open(self.0.path()).unwrap())
    }

    fn meddle_with_body(&self, seq: u64, body: &str) {
        self.raw(&format!("UPDATE event SET body = '{body}' WHERE seq = {seq}"));
    }

    fn forget_text(&self, id: u64) {
        self.raw(&format!("UPDATE text SET text = '' WHERE id = {id}"));
    }

    fn spoil_snapshot(&self, seq: u64) {
        self.raw(&format!("UPDATE snapshot SET bytes = CAST(x'00' || bytes AS BLOB) WHERE seq = {seq}"));
    }
}

journal_suite!(OnFolder::new());

fn open(folder: &Path) -> SqliteJournal {
    SqliteJournal::open(folder).unwrap()
}

#[test]
fn second_server_is_refused_and_told_why() {
    let folder = tempfile::tempdir().unwrap();
    let first = open(folder.path());
    let error = SqliteJournal::open(folder.path()).unwrap_err();
    assert!(matches!(error, JournalError::InUse { .. }), "{error:?}");
    assert!(error.to_string().contains("another server already works on"), "{error}");
    drop(first);
    open(folder.path());
}

#[test]
fn newer_journal_is_left_untouched() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    write(&mut journal, &events(1..=3));
    drop(journal);
    let path = folder.path().join(JOURNAL_FILE);
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 99).unwrap();
    let before = std::fs::read(&path).unwrap();
    let error = SqliteJournal::open(folder.path()).unwrap_err();
    assert!(matches!(error, JournalError::Newer { found: 99, known: 2, .. }), "{error:?}");
    assert!(matches!(SqliteReader::open(&path), Err(JournalError::Newer { .. })));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn other_files_are_left_untouched() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(JOURNAL_FILE);
    std::fs::write(&path, "not a database at all, and long enough to be looked at").unwrap();
    let error = SqliteJournal::open(folder.path()).unwrap_err();
    assert!(matches!(error, JournalError::NotAJournal { .. }), "{error:?}");
    std::fs::remove_file(&path).unwrap();
    Connection::open(&path).unwrap().execute_batch("CREATE TABLE sheep (name TEXT)").unwrap();
    let before = std::fs::read(&path).unwrap();
    let error = SqliteJournal::open(folder.path()).unwrap_err();
    assert!(matches!(error, JournalError::NotAJournal { .. }), "{error:?}");
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn empty_file_becomes_a_journal() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join(JOURNAL_FILE), "").unwrap();
    assert_eq!(write(&mut open(folder.path()), &events(1..=1)).seq, 1);
}

#[test]
fn commits_are_synced() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(&folder.path().join("made").join("when missing"));
    let pragma = |connection: &Connection, name: &str| -> String {
        connection
            .pragma_query_value(None, name, |row| {
                row.get(0).map(|value: rusqlite::types::Value| format!("{value:?}"))
            })
            .unwrap()
    };
    let connection = journal.connection().unwrap();
    assert_eq!(pragma(connection, "journal_mode"), r#"Text("wal")"#);
    assert_eq!(pragma(connection, "synchronous"), "Integer(2)", "2 is FULL in SQLite's documentation");
}

#[test]
fn failed_migration_leaves_the_form_before() {
    let mut connection = Connection::open_in_memory().unwrap();
    let form = |connection: &Connection| -> i64 {
        connection.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
    };
    schema::migrate(&mut connection, &["CREATE TABLE one (a)"]).unwrap();
    assert_eq!(form(&connection), 1);
    let steps = ["-", "CREATE TABLE two (a)", "CREATE TABLE three (a); CREATE TABLE two (a)"];
    schema::migrate(&mut connection, &steps).unwrap_err();
    assert_eq!(form(&connection), 2);
    let tables = "SELECT group_concat(name) FROM (SELECT name FROM sqlite_schema ORDER BY name)";
    let tables: String = connection.query_row(tables, [], |row| row.get(0)).unwrap();
    assert_eq!(tables, "one,two");
    schema::migrate(&mut connection, &["-", "-", "CREATE TABLE three (a)"]).unwrap();
    assert_eq!(form(&connection), 3);
}

#[test]
fn events_cannot_be_changed_by_mistake() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    write(&mut journal, &events(1..=3));
    let connection = journal.connection().unwrap();
    connection.execute("UPDATE event SET station = 'x' WHERE seq = 2", []).unwrap_err();
    connection.execute("DELETE FROM event", []).unwrap_err();
    assert_eq!(journal.reader().unwrap().verify_chain().unwrap().events, 3);
}

#[test]
fn full_disk_refuses_and_goes_on_when_there_is_room() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    let head = write(&mut journal, &events(1..=3));
    journal.simulate_full(true).unwrap();
    let large = EventRow { body: format!(r#"{{"said":"{}"}}"#, "x".repeat(100_000)), ..event(4) };
    let batch = Batch { events: vec![large], texts: vec![text(1)], answers: vec![answer(1)] };
    for _ in 0..2 {
        let outcome = journal.append(0, 3, &batch);
        assert!(matches!(outcome, Append::NotWritten(NotWritten::DiskFull(_))), "{outcome:?}");
        assert_eq!(journal.head().unwrap(), head);
        assert_eq!(journal.answer(&[1; 16]).unwrap(), None);
    }
    journal.simulate_full(false).unwrap();
    assert_eq!(write(&mut journal, &batch).seq, 4);
    assert_eq!(journal.reader().unwrap().verify_chain().unwrap().broken, None);
}

#[test]
fn read_only_and_busy_refuse_and_go_on() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    journal.connection().unwrap().pragma_update(None, "query_only", true).unwrap();
    let outcome = journal.append(0, 0, &events(1..=1));
    assert!(matches!(outcome, Append::NotWritten(NotWritten::ReadOnly(_))), "{outcome:?}");
    journal.connection().unwrap().pragma_update(None, "query_only", false).unwrap();
    journal.connection().unwrap().busy_timeout(std::time::Duration::ZERO).unwrap();
    let other = Connection::open(journal.path()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let outcome = journal.append(0, 0, &events(1..=1));
    assert!(matches!(outcome, Append::NotWritten(NotWritten::Busy(_))), "{outcome:?}");
    other.execute_batch("ROLLBACK").unwrap();
    assert_eq!(write(&mut journal, &events(1..=1)).seq, 1);
}

#[test]
fn failed_commit_is_unknown_until_reopened() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    let head = write(&mut journal, &events(1..=3));
    journal.connection().unwrap().commit_hook(Some(|| true)).unwrap();
    assert!(matches!(journal.append(0, 3, &events(4..=5)), Append::Unknown(_)));
    assert!(matches!(journal.append(0, 3, &events(4..=5)), Append::NotWritten(NotWritten::MustReopen)));
    assert!(matches!(journal.head(), Err(JournalError::MustReopen)));
    assert!(matches!(journal.checkpoint(), Err(JournalError::MustReopen)));
    assert_eq!(journal.reader().unwrap().head().unwrap(), head, "readers go on");
    assert_eq!(journal.reopen().unwrap(), head);
    assert_eq!(write(&mut journal, &events(4..=5)).seq, 5);
}

/// A disk that is full at the commit itself cannot be had without a file system of its own, so the step that
/// follows is called with the error that `SQLite` documents for it (13, `SQLITE_FULL`).
#[test]
fn doubt_about_a_full_disk_is_resolved_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    let full = rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(13), None);
    let head =
        write(&mut journal, &Batch { texts: vec![text(3)], answers: vec![answer(1)], ..events(1..=3) });
    let only_text = |id| Batch { texts: vec![text(id)], ..Batch::default() };
    let only_answer = |n| Batch { answers: vec![answer(n)], ..Batch::default() };
    for there in [events(2..=3), only_text(3), only_answer(1)] {
        let outcome = journal.resolve(&full, &there);
        assert!(matches!(outcome, Append::Written(found) if found == head), "{outcome:?}");
    }
    for lost in [events(4..=4), only_text(4), only_answer(2)] {
        let outcome = journal.resolve(&full, &lost);
        assert!(matches!(outcome, Append::NotWritten(NotWritten::DiskFull(_))), "{outcome:?}");
    }
    assert_eq!(write(&mut journal, &events(4..=4)).seq, 4);
    let other = rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(10), None);
    assert!(matches!(journal.resolve(&other, &events(5..=5)), Append::Unknown(_)));
    assert!(matches!(journal.head(), Err(JournalError::MustReopen)));
}

#[test]
fn writer_that_lost_the_folder_is_fenced() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    assert_eq!(journal.raise_epoch().unwrap(), 1);
    let other = Connection::open(journal.path()).unwrap();
    other.execute("UPDATE meta SET value = 2 WHERE name = 'epoch'", []).unwrap();
    assert!(matches!(journal.append(1, 0, &events(1..=1)), Append::Fenced { epoch: 2 }));
}

#[test]
fn open_transaction_is_invisible() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    write(&mut journal, &events(1..=1));
    let mut reader = journal.reader().unwrap();
    let connection = journal.connection().unwrap();
    let insert = "BEGIN; INSERT INTO event SELECT 2, 0, 0, NULL, '', '', 1, '{}', hash FROM event";
    connection.execute_batch(insert).unwrap();
    assert_eq!(reader.head().unwrap().seq, 1);
    connection.execute_batch("ROLLBACK").unwrap();
}

/// Writes batches and copies the files as they lie on disk, without closing anything.
fn image_of_a_running_journal(to: &Path) -> Vec<u64> {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    let mut heads = vec![0];
    for batch in 0..12 {
        let from = heads.last().unwrap() + 1;
        heads.push(write(&mut journal, &events(from..=from + batch % 4)).seq);
        if batch == 4 {
            journal.checkpoint().unwrap();
        }
    }
    for name in [JOURNAL_FILE.to_owned(), format!("{JOURNAL_FILE}-wal")] {
        std::fs::copy(folder.path().join(&name), to.join(&name)).unwrap();
    }
    heads
}

#[test]
fn cut_of_the_power_loses_nothing_that_was_written() {
    let image = tempfile::tempdir().unwrap();
    let heads = image_of_a_running_journal(image.path());
    let mut journal = open(image.path());
    let head = journal.head().unwrap();
    assert_eq!(head.seq, *heads.last().unwrap());
    let report = journal.reader().unwrap().verify_chain().unwrap();
    assert_eq!(report, ChainReport { events: head.seq, hash: head.hash, broken: None });
    assert_eq!(write(&mut journal, &events(head.seq + 1..=head.seq + 1)).seq, head.seq + 1);
}

#[test]
fn torn_log_ends_between_two_batches() {
    let image = tempfile::tempdir().unwrap();
    let heads = image_of_a_running_journal(image.path());
    let log = std::fs::read(image.path().join(format!("{JOURNAL_FILE}-wal"))).unwrap();
    let mut seen = std::collections::BTreeSet::new();
    for cut in (0..=log.len()).step_by(3_001) {
        let folder = tempfile::tempdir().unwrap();
        std::fs::copy(image.path().join(JOURNAL_FILE), folder.path().join(JOURNAL_FILE)).unwrap();
        std::fs::write(folder.path().join(format!("{JOURNAL_FILE}-wal")), &log[..cut]).unwrap();
        let mut journal = open(folder.path());
        let head = journal.head().unwrap();
        assert!(heads.contains(&head.seq), "{} is inside a batch", head.seq);
        let report = journal.reader().unwrap().verify_chain().unwrap();
        assert_eq!(report, ChainReport { events: head.seq, hash: head.hash, broken: None });
        seen.insert(head.seq);
    }
    assert!(seen.len() > 3, "the cuts reach different batches: {seen:?}");
}

#[test]
fn store_dropped_without_closing_opens_again() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    let head = write(&mut journal, &events(1..=3));
    // Neither closes the connection nor empties the log; only the lock must go, as it does with a process.
    std::mem::forget(journal.connection.take());
    drop(journal);
    assert_eq!(open(folder.path()).head().unwrap(), head);
}

#[test]
fn checkpoint_empties_the_log() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    write(&mut journal, &events(1..=500));
    let size = |name: &str| std::fs::metadata(folder.path().join(name)).unwrap().len();
    let before = size(JOURNAL_FILE);
    journal.checkpoint().unwrap();
    assert!(size(JOURNAL_FILE) > before, "the pages are in the journal's file now");
    assert!(!journal.dirty);
    write(&mut journal, &events(501..=501));
    assert!(journal.dirty);
}

#[test]
fn backup_is_one_ordinary_file() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    write(&mut journal, &events(1..=3));
    let path = folder.path().join("evening.sqlite3");
    journal.backup_to(&path).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    // Bytes 18 and 19 of the file's header: 1 is a rollback journal, 2 is WAL (SQLite, "Database File Format").
    assert_eq!(&bytes[18..20], [1, 1]);
    let nowhere = journal.backup_to(&folder.path().join("no such folder").join("x"));
    assert!(nowhere.is_err());
    assert!(matches!(journal.backup_to(folder.path()), Err(JournalError::Exists { .. })));
}
