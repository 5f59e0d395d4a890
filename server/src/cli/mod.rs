//! The commands of `remise-server`. Data goes to the output, messages to the error stream; the exit code is 0
//! when all is well, 1 when the file has problems, 2 when the command could not be carried out as given.

mod backup;
mod check;
mod example;
mod people;
mod serve;
pub mod stations;

use std::ffi::OsString;
use std::io::{self, ErrorKind, Write};

use clap::{Parser, Subcommand};

/// All is well.
pub const OK: u8 = 0;
/// The file that was looked at has problems.
pub const PROBLEMS: u8 = 1;
/// The command line or the file that it names is of no use.
pub const USAGE: u8 = 2;

/// The server of a tournament's armoury.
#[derive(Debug, Parser)]
#[command(name = "remise-server", version, max_term_width = 100)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Check a tournament file and tell every problem at once.
    Check(check::Args),
    /// Write a commented tournament file to start from.
    Example,
    /// Run the server.
    Serve(serve::Args),
    /// Say who may connect, and as what.
    #[command(subcommand)]
    Stations(people::Command),
    /// Copy the journal, also while the server runs.
    Backup(backup::BackupArgs),
    /// Check the hash chain of a journal or of a copy.
    Verify(backup::VerifyArgs),
}

/// Runs one command line and returns the exit code. A reader who has gone away ends it quietly.
pub fn run<I>(args: I, out: &mut dyn Write, err: &mut dyn Write) -> u8
where
    I: IntoIterator<Item = OsString>,
{
    let cli = match Cli::try_parse_from(args) {
        Ok(cli) => cli,
        Err(error) => return usage(&error, out, err),
    };
    let done = match &cli.command {
        Command::Check(args) => check::run(args, out, err),
        Command::Example => example::run(out),
        Command::Serve(args) => serve::run(args, out, err),
        Command::Stations(command) => people::run(command, out, err),
        Command::Backup(args) => backup::backup(args, out, err),
        Command::Verify(args) => backup::verify(args, out, err),
    };
    let flushed = |code| match out.flush() {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(error),
        _ => Ok(code),
    };
    match done.and_then(flushed) {
        Ok(code) => code,
        Err(error) if error.kind() == ErrorKind::BrokenPipe => OK,
        Err(error) => {
            // Nobody is left to tell when the error stream fails as well.
            let _ = writeln!(err, "remise-server: the output could not be written: {error}");
            USAGE
        }
    }
}

/// Help and version are data; everything else that clap says is a message.
fn usage(error: &clap::Error, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let text = error.render();
    let (stream, code): (&mut dyn Write, u8) = if error.use_stderr() { (err, USAGE) } else { (out, OK) };
    match write!(stream, "{text}").and_then(|()| stream.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => USAGE,
        _ => code,
    }
}

/// A stream's outcome with its exit code.
type Done = io::Result<u8>;

#[cfg(test)]
mod tests;
