//! What can go wrong with a journal, told so that a person knows what happened, what is unharmed and what to
//! do next.

use std::error::Error;
use std::io;
use std::path::PathBuf;

use super::rows::Head;

/// What became of a batch.
#[derive(Debug)]
#[must_use = "a batch that was not written must not be applied"]
pub enum Append {
    /// All of it is on disk; this is the new head.
    Written(Head),
    /// Nothing of it was written, and nothing of it will appear later.
    NotWritten(NotWritten),
    /// Nothing of it was written: the journal is in another epoch, so somebody else took over.
    Fenced {
        /// The journal's epoch.
        epoch: u64,
    },
    /// Nobody knows. [`Journal::reopen`](super::Journal::reopen) finds out; until then nothing is appended.
    Unknown(String),
}

/// Why nothing of a batch was written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotWritten {
    /// No room.
    #[error(
        "the journal's disk is full ({0}); nothing was applied and what is journalled is unharmed; \
         free some space, and the server goes on by itself"
    )]
    DiskFull(String),
    /// No right to write.
    #[error(
        "the journal cannot be written ({0}); nothing was applied and what is journalled is unharmed; make the \
         data folder writable for the server, and it goes on by itself"
    )]
    ReadOnly(String),
    /// Another program holds the journal.
    #[error(
        "another program holds the journal ({0}); nothing was applied and what is journalled is unharmed; \
         close that program and read from a backup copy instead"
    )]
    Busy(String),
    /// The batch was decided on another head.
    #[error(
        "the journal stands at event {head}, not {expected}; nothing was applied and what is journalled is \
         unharmed; read what came since and decide again"
    )]
    HeadMoved {
        /// The head that the batch was decided on.
        expected: u64,
        /// The journal's head.
        head: u64,
    },
    /// The batch does not continue the journal, or repeats something.
    #[error(
        "the batch does not continue the journal: {0}; nothing was applied and what is journalled is unharmed; \
         this is a mistake in the server, please report it"
    )]
    BadBatch(String),
    /// An earlier batch is still in doubt.
    #[error(
        "an earlier batch is in doubt; nothing was applied and what is journalled is unharmed; reopen the \
         journal and read its head first"
    )]
    MustReopen,
    /// Anything else that the store says.
    #[error("the journal's store refused: {0}; nothing was applied and what is journalled is unharmed")]
    Other(String),
}

/// Why a journal could not be opened, read or kept.
#[derive(Debug, thiserror::Error)]
pub enum JournalError {
    /// Another server works on the folder.
    #[error(
        "another server already works on {folder}; nothing was touched; stop that server, or give this one \
         another data folder"
    )]
    InUse {
        /// The data folder.
        folder: PathBuf,
    },
    /// The journal is of a newer form.
    #[error(
        "{path} was written by a newer version (form {found}, this version knows {known}); nothing was \
         touched; start the newer version"
    )]
    Newer {
        /// The journal.
        path: PathBuf,
        /// Its form.
        found: i64,
        /// The newest form that this version knows.
        known: i64,
    },
    /// The file is something else.
    #[error("{path} is not a Remise journal; nothing was touched; check the data folder")]
    NotAJournal {
        /// The file.
        path: PathBuf,
    },
    /// An earlier batch is in doubt.
    #[error("an earlier batch is in doubt; what is journalled is unharmed; reopen the journal first")]
    MustReopen,
    /// A snapshot beyond the newest event.
    #[error(
        "a snapshot of event {seq} was offered, but the journal stands at {head}; nothing was kept; this is a \
         mistake in the server, please report it"
    )]
    SnapshotAhead {
        /// The snapshot's event.
        seq: u64,
        /// The journal's head.
        head: u64,
    },
    /// The backup would overwrite something.
    #[error("{path} exists already; nothing was overwritten; choose another name for the copy")]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// A row cannot be understood.
    #[error(
        "the journal is damaged: {what}; it was left as it is; stop, keep the folder, and start from the latest \
         backup"
    )]
    Damaged {
        /// Which row, and what is wrong with it.
        what: String,
    },
    /// The store said no.
    #[error("could not {doing}: {source}; what is journalled is unharmed")]
    Store {
        /// What was being done.
        doing: &'static str,
        /// What the store said.
        source: Box<dyn Error + Send + Sync>,
    },
    /// The file system said no.
    #[error("could not {doing} {path}: {source}; what is journalled is unharmed")]
    File {
        /// What was being done.
        doing: &'static str,
        /// With which file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl JournalError {
    /// For `map_err` on a file operation.
    pub(super) fn file(doing: &'static str, path: impl Into<PathBuf>) -> impl FnOnce(io::Error) -> Self {
        let path = path.into();
        move |source| Self::File { doing, path, source }
    }

    /// For `map_err` on a store operation.
    pub(super) fn store<E: Error + Send + Sync + 'static>(doing: &'static str) -> impl FnOnce(E) -> Self {
        move |source| Self::Store { doing, source: Box::new(source) }
    }
}
