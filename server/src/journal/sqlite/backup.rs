//! Copies into one ordinary `SQLite` file that anyone can read with plain SQL. A copy is made under a
//! provisional name, put on disk, and only then given its own, so that no half copy can be taken for a whole.

use std::ffi::OsString;
use std::fs::File;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use rusqlite::Connection;

use super::append::Failed;
use super::{append, open, schema};
use crate::journal::error::JournalError;
use crate::journal::rows::{Batch, Head};

/// Copies what `connection` sees now.
pub(super) fn copy(connection: &Connection, to: &Path) -> Result<Head, JournalError> {
    make(to, |part| {
        let name = part.to_str().ok_or_else(|| {
            let error = std::io::Error::new(ErrorKind::InvalidInput, "the name is not Unicode text");
            JournalError::file("copy the journal to", part)(error)
        })?;
        connection
            .execute("VACUUM INTO ?1", [name])
            .map(drop)
            .map_err(JournalError::store("copy the journal"))
    })
}

/// Writes rows that come from another store, so that they can be read like any journal.
pub(in crate::journal) fn export(epoch: u64, rows: &Batch, to: &Path) -> Result<Head, JournalError> {
    make(to, |part| {
        let failed = || JournalError::store::<rusqlite::Error>("write the copy");
        let mut connection = Connection::open(part).map_err(failed())?;
        schema::migrate(&mut connection, schema::STEPS).map_err(failed())?;
        append::write(&mut connection, 0, 0, rows).map_err(|failed| match failed {
            Failed::Refused(why) => JournalError::store("write the copy")(why),
            Failed::InDoubt(error) => JournalError::store("write the copy")(error),
            Failed::Fenced(_) => JournalError::MustReopen,
        })?;
        let epoch = i64::try_from(epoch).unwrap_or(i64::MAX);
        connection
            .execute("UPDATE meta SET value = ?1 WHERE name = 'epoch'", [epoch])
            .map(drop)
            .map_err(failed())
    })
}

/// Lets `fill` make the file under its provisional name, puts it on disk and names it.
fn make(to: &Path, fill: impl FnOnce(&Path) -> Result<(), JournalError>) -> Result<Head, JournalError> {
    let to = std::path::absolute(to).map_err(JournalError::file("find", to))?;
    if to.symlink_metadata().is_ok() {
        return Err(JournalError::Exists { path: to });
    }
    let part = provisional(&to);
    remove(&part)?;
    let made = fill(&part).and_then(|()| finish(&part, &to));
    if made.is_err() {
        // The error that ended the copy is the one to tell.
        let _ = remove(&part);
    }
    made
}

fn finish(part: &Path, to: &Path) -> Result<Head, JournalError> {
    let read = open::read_only(part).and_then(|copy| append::read_head(&copy));
    let head = read.map_err(JournalError::store("read the copy"))?;
    let sync = File::options().write(true).open(part).and_then(|file| file.sync_all());
    sync.map_err(JournalError::file("sync", part))?;
    std::fs::rename(part, to).map_err(JournalError::file("name the copy", to))?;
    to.parent().map_or(Ok(()), open::sync_folder)?;
    Ok(head)
}

fn provisional(to: &Path) -> PathBuf {
    let mut name = OsString::from(to.file_name().unwrap_or_default());
    name.push(".part");
    to.with_file_name(name)
}

fn remove(path: &Path) -> Result<(), JournalError> {
    match std::fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(JournalError::file("remove", path)(error)),
        _ => Ok(()),
    }
}
