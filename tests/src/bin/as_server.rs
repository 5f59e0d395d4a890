//! The server as its own program runs it, built here so that journeys can start it as a process of its own.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(remise_server::cli::run(
        std::env::args_os(),
        &mut std::io::stdout(),
        &mut std::io::stderr(),
    ))
}
