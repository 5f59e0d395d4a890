//! `remise journal`.

use clap::Subcommand;
use remise_core::ids::Seq;

use super::todo::Todo;

/// What can be read of the journal.
#[derive(Debug, Subcommand)]
pub enum JournalAction {
    /// Events from a number on
    Read {
        /// First number wanted; 0 = from the beginning
        #[arg(long, value_name = "NUMBER", default_value_t = 0)]
        from: u64,
        /// At most so many
        #[arg(long, default_value_t = 500, value_parser = clap::value_parser!(u32).range(1..=2000))]
        limit: u32,
    },
    /// The newest number
    Head,
    /// Recompute the chain of hashes
    Verify,
}

impl JournalAction {
    /// What is to be done.
    pub fn todo(&self) -> Todo {
        match self {
            Self::Read { from, limit } => Todo::Events { from: Seq(*from), limit: *limit },
            Self::Head => Todo::JournalHead,
            Self::Verify => Todo::Verify,
        }
    }
}
