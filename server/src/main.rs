//! The server program. All of its commands are in [`remise_server::cli`].

use std::io;
use std::process::ExitCode;

fn main() -> ExitCode {
    // Not locked for the whole run: the server's threads log to the error stream.
    ExitCode::from(remise_server::cli::run(std::env::args_os(), &mut io::stdout(), &mut io::stderr()))
}
