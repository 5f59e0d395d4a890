//! The published limits, each with its rule number, edition and status, and the proofs made from them.
//!
//! An edition is a data file in `data/rules`; a new one needs no code beyond its line in `edition.rs`.
//! Limits are whole numbers of the smallest unit: no reading is ever rounded across a limit.

mod answer;
mod called;
mod check;
mod edition;
mod limit;
mod reading;
#[cfg(test)]
mod reference;
mod table;
mod verdict;

pub use answer::Answer;
pub use check::{Asks, Check, Motion, SourceRow, Status};
pub use edition::{CLOSING, Edition, EditionProblem, edition, editions};
pub use limit::{Bound, Limit};
pub use reading::{Reading, ReadingProblem, Unit};
pub use verdict::{Verdict, proof_lines};
