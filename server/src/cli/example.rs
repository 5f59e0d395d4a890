//! `example`: writes a commented tournament file.

use std::io::Write;

use crate::tournament;

/// Writes the example.
pub fn run(out: &mut dyn Write) -> super::Done {
    out.write_all(tournament::example().as_bytes())?;
    Ok(super::OK)
}
