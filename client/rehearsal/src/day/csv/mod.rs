//! A recorded hand-in log as a table: what a venue has from last year, read and written.
//!
//! The first line names the columns, in any order: `at`, `strip`, `fencer`, `weapon`, `item`, `complaint`, `need`,
//! `wanted_by`, `minutes`. Commas, semicolons or tabs separate them; a byte order mark, line ends of either kind
//! and a first line `sep=;` are taken as spreadsheets write them. A field keeps to one line.
//!
//! What the columns do not say (the true fault, habits of people, minutes that nobody noted) is drawn from a seed,
//! for each line from streams of its own.

mod line;
mod problem;
mod read;
mod sheet;
#[cfg(test)]
mod tests;
mod write;

pub use problem::{Column, LineProblem};
pub use read::parse;
pub use write::write;

/// Largest file, in bytes: 16 MiB.
pub const BYTES_MAX: usize = 16 << 20;
/// Most lines below the first.
pub const LINES_MAX: usize = 20_000;
/// Longest field, in characters.
pub const FIELD_MAX: usize = 400;
