//! `stations`: who may connect, and as what.

use std::io::Write;
use std::path::PathBuf;

use clap::Subcommand;

use crate::stations::Role;

use super::{Done, OK, PROBLEMS, stations};

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Add a station and print its token, this once.
    #[command(
        after_help = "Example:\n  remise-server stations add --data ./cup \"bench 2\" --role bench --bench 2"
    )]
    Add(Add),
    /// List the stations.
    List(Folder),
    /// Remove a station; a client that is connected is cut off.
    Remove(Remove),
}

#[derive(Debug, clap::Args)]
pub(super) struct Folder {
    /// The server's data folder.
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
}

#[derive(Debug, clap::Args)]
pub(super) struct Add {
    #[command(flatten)]
    folder: Folder,
    /// What the station is called.
    name: String,
    /// What it may do.
    #[arg(long, value_parser = role)]
    role: Role,
    /// The strip that a strip's station stands at.
    #[arg(long, value_name = "N")]
    strip: Option<u16>,
    /// The bench that a bench's station stands at.
    #[arg(long, value_name = "N")]
    bench: Option<u16>,
}

#[derive(Debug, clap::Args)]
pub(super) struct Remove {
    #[command(flatten)]
    folder: Folder,
    /// What the station is called.
    name: String,
}

fn role(text: &str) -> Result<Role, String> {
    Role::from_code(text).ok_or_else(|| "one of: strip, counter, bench, head, observer".to_owned())
}

pub(super) fn run(command: &Command, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let done = match command {
        Command::Add(add) => stations::add(&add.folder.data, &add.name, add.role, add.strip, add.bench)
            .map(|token| format!("{}\n", token.reveal())),
        Command::List(folder) => stations::list(&folder.data),
        Command::Remove(remove) => {
            stations::remove(&remove.folder.data, &remove.name).map(|()| String::new())
        }
    };
    match done {
        Ok(text) => {
            write!(out, "{text}")?;
            if matches!(command, Command::Add(_)) {
                writeln!(
                    err,
                    "Keep this token now: only its digest is stored. Clients read it from REMISE_TOKEN."
                )?;
            }
            Ok(OK)
        }
        Err(error) => {
            writeln!(err, "remise-server: {error}")?;
            Ok(PROBLEMS)
        }
    }
}
