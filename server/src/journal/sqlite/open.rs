//! Opening: the folder and its lock, a first look that touches nothing, and the writer's connection.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::{LOCK_FILE, schema};
use crate::journal::error::JournalError;

/// How long the writer waits for another program that holds the file, for instance one that a person reads
/// with, before it says so.
const PATIENCE: Duration = Duration::from_secs(2);

/// Pages in the write-ahead log that force a checkpoint inside a commit: 32 MiB, some 60 000 events. Idle
/// moments come first on any real day, and a start after a crash reads so much in well under a second.
const FORCED_CHECKPOINT_PAGES: i64 = 8192;

/// Makes the data folder, for the server's user only, when it is not there.
pub(super) fn make_folder(folder: &Path) -> Result<(), JournalError> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder).map_err(JournalError::file("make the data folder", folder))
}

/// Takes the folder's lock; it is free again when the file is dropped or the process ends in any way.
pub(super) fn lock_folder(folder: &Path) -> Result<File, JournalError> {
    let path = folder.join(LOCK_FILE);
    let open = OpenOptions::new().create(true).truncate(false).write(true).open(&path);
    let lock = open.map_err(JournalError::file("open the lock", &path))?;
    match lock.try_lock() {
        Ok(()) => Ok(lock),
        Err(TryLockError::WouldBlock) => Err(JournalError::InUse { folder: folder.to_owned() }),
        Err(TryLockError::Error(error)) => Err(JournalError::file("lock", path)(error)),
    }
}

/// Makes sure that the names of new files in `folder` are on disk.
pub(super) fn sync_folder(folder: &Path) -> Result<(), JournalError> {
    if cfg!(unix) {
        let sync = File::open(folder).and_then(|folder| folder.sync_all());
        sync.map_err(JournalError::file("sync the folder", folder))?;
    }
    Ok(())
}

/// Looks at an existing file without changing it and refuses what is not ours or is of a newer form.
pub(super) fn look_first(path: &Path) -> Result<(), JournalError> {
    let length = match path.metadata() {
        Ok(metadata) => metadata.len(),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(JournalError::file("look at", path)(error)),
    };
    if length == 0 {
        return Ok(());
    }
    let (tables, application, form) = look(path).map_err(|error| match error.sqlite_error_code() {
        Some(ErrorCode::NotADatabase) => JournalError::NotAJournal { path: path.to_owned() },
        _ => JournalError::store("look at the journal")(error),
    })?;
    let known = schema::STEPS.len() as i64;
    if tables > 0 && application != schema::APPLICATION_ID {
        return Err(JournalError::NotAJournal { path: path.to_owned() });
    }
    if form > known {
        return Err(JournalError::Newer { path: path.to_owned(), found: form, known });
    }
    Ok(())
}

fn look(path: &Path) -> rusqlite::Result<(i64, i64, i64)> {
    let connection = read_only(path)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    let tables = connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    let pragma = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    Ok((tables, pragma("application_id")?, pragma("user_version")?))
}

/// A connection that cannot write.
pub(super) fn read_only(path: &Path) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)?;
    connection.busy_timeout(PATIENCE)?;
    Ok(connection)
}

/// The writer's connection, with the newest form of tables.
pub(super) fn writer(path: &Path) -> Result<Connection, JournalError> {
    let open = || {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut connection = Connection::open_with_flags(path, flags)?;
        connection.busy_timeout(PATIENCE)?;
        connection.set_prepared_statement_cache_capacity(32);
        connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        connection.pragma_update(None, "cache_size", -16_384)?;
        let forced = FORCED_CHECKPOINT_PAGES;
        connection.pragma_update_and_check(None, "wal_autocheckpoint", forced, |_| Ok(()))?;
        schema::migrate(&mut connection, schema::STEPS)?;
        Ok(connection)
    };
    open().map_err(|error: rusqlite::Error| JournalError::store("open the journal")(error))
}
