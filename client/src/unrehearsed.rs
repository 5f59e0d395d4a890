//! A build without the rehearsal says so.

use std::ffi::OsString;
use std::io::Write;

use crate::exit;

/// Plays no day.
pub(crate) fn run(_: &[OsString], _: &mut dyn Write, err: &mut dyn Write) -> u8 {
    // Nobody is left to tell when the error stream fails.
    let _ = writeln!(
        err,
        "remise: this build plays no days. Use a build with the feature `rehearsal`, as it is by default."
    );
    exit::USAGE
}
