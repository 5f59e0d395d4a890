//! Files of estimates that somebody brings along, in the form of the built-in ones.

use std::fmt::Display;
use std::path::Path;

use crate::failure::Failure;

/// Longest file that is looked at, in bytes.
const LONGEST: u64 = 1 << 20;

/// Reads a file; `parse` names the line that does not fit.
pub fn read<T, E: Display>(path: &Path, parse: impl FnOnce(&[u8]) -> Result<T, E>) -> Result<T, Failure> {
    let again = "Mend the file, or leave --estimates out for the built-in ones.";
    let failed = |why: String| Failure::usage(format!("{}: {why}", path.display()), again);
    let size = std::fs::metadata(path).map_err(|error| failed(error.to_string()))?.len();
    if size > LONGEST {
        return Err(failed("the file is longer than any estimates".to_owned()));
    }
    let bytes = std::fs::read(path).map_err(|error| failed(error.to_string()))?;
    parse(&bytes).map_err(|problem| failed(problem.to_string()))
}
