//! The server program. All of its commands are in [`remise_server::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    let (mut out, mut err) = (std::io::stdout().lock(), std::io::stderr().lock());
    ExitCode::from(remise_server::cli::run(std::env::args_os(), &mut out, &mut err))
}
