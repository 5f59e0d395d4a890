//! The client program.

use std::io;
use std::process::ExitCode;

fn main() -> ExitCode {
    // A screen or a played day writes by itself, so the streams are not locked for the whole run.
    ExitCode::from(remise::run(std::env::args_os(), &mut io::stdout(), &mut io::stderr()))
}
