//! Reads an armoury's journal and its clients' histories by itself and judges them: whether anything was lost or
//! held twice, what became of every job, and how well times and promises were kept.
//!
//! It depends on nothing of the server: it reads the journal's JSON on its own and replays it by the words of the
//! design, so that it cannot share a mistake with what it judges. [`judge`] does everything; [`read_rows`],
//! [`read_history`] and [`read_recorded`] read what other programs wrote down.

mod answers;
mod chain;
mod change;
mod figures;
mod hands;
mod history;
mod judge;
mod ledger;
mod life;
mod lines;
mod lives;
mod order;
mod recorded;
mod row;
mod said;
mod steps;
mod walk;

#[cfg(test)]
mod day;

pub use chain::{GENESIS, journal_sha256, next_hash};
pub use history::{ClientEntry, Outcome, read_history};
pub use judge::{End, Judgement, judge};
pub use ledger::{FAULTS_IN_WORDS, Fault};
pub use life::Promise;
pub use lines::{BadLines, to_lines};
pub use lives::{Life, lives};
pub use recorded::read_recorded;
pub use row::{Row, read_rows};
