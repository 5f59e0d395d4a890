//! The way in to played days: `remise rehearse`.

use std::ffi::OsString;

use crate::failure::Failure;

/// Plays a day.
///
/// # Errors
/// What kept it from being played.
pub fn run(_args: &[OsString]) -> Result<(), Failure> {
    Err(Failure::usage("this build plays no days", "Use a build that has the rehearsal in it."))
}
