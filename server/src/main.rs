//! The server program. All of its commands are in [`remise_server::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    // Logs are written to the error stream from other threads, so the streams are not locked for the whole run.
    ExitCode::from(remise_server::cli::run(
        std::env::args_os(),
        &mut std::io::stdout(),
        &mut std::io::stderr(),
    ))
}
