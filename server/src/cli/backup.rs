//! `backup` and `verify`: a copy of the journal that anyone can read with plain SQL, and a look at its hash chain.

use std::io::Write;
use std::path::PathBuf;

use crate::journal::{JOURNAL_FILE, JournalError, JournalReader, SqliteReader};

use super::{Done, OK, PROBLEMS};

/// Copy the journal, also while the server runs.
#[derive(Debug, clap::Args)]
pub(super) struct BackupArgs {
    /// The server's data folder.
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// The new file; nothing is overwritten.
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
}

/// Check the hash chain of a journal or of a copy.
#[derive(Debug, clap::Args)]
pub(super) struct VerifyArgs {
    /// The server's data folder.
    #[arg(long, value_name = "DIR", conflicts_with = "file", required_unless_present = "file")]
    data: Option<PathBuf>,
    /// A copy of a journal.
    #[arg(long, value_name = "FILE")]
    file: Option<PathBuf>,
}

pub(super) fn backup(args: &BackupArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let copied =
        SqliteReader::open(&args.data.join(JOURNAL_FILE)).and_then(|mut reader| reader.backup_to(&args.to));
    match copied {
        Ok(head) => {
            writeln!(out, "{} events copied to {}", head.seq, args.to.display())?;
            Ok(OK)
        }
        Err(error) => refuse(err, &error),
    }
}

pub(super) fn verify(args: &VerifyArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let in_folder = args.data.as_ref().map(|data| data.join(JOURNAL_FILE));
    let Some(path) = args.file.clone().or(in_folder) else { return Ok(PROBLEMS) };
    match SqliteReader::open(&path).and_then(|mut reader| reader.verify_chain()) {
        Ok(report) => match report.broken {
            None => {
                writeln!(out, "{} events, the chain is whole", report.events)?;
                Ok(OK)
            }
            Some(broken) => {
                writeln!(out, "{broken}")?;
                Ok(PROBLEMS)
            }
        },
        Err(error) => refuse(err, &error),
    }
}

fn refuse(err: &mut dyn Write, error: &JournalError) -> Done {
    writeln!(err, "remise-server: {error}")?;
    Ok(PROBLEMS)
}
