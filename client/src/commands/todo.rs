//! What a command line comes down to: one command for the armoury, or one question.

use remise_core::armoury::{Command, JobRef, Spot};
use remise_core::ids::{BenchId, Seq};

/// Moves that are tried.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trial {
    /// The moves, in their order.
    pub moves: Vec<Command>,
    /// Do them afterwards without asking.
    pub do_it: bool,
}

/// What is to be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Todo {
    /// Send a command.
    Send(Box<Command>),
    /// Try moves, and do them when that is wanted.
    WhatIf(Trial),
    /// Show a strip's or the counter's board.
    StripBoard(Spot),
    /// Show a bench's board.
    BenchBoard(BenchId),
    /// Show the whole room.
    Room,
    /// Show why a job is where the plan has it.
    Why(JobRef),
    /// Show the night's list.
    Night,
    /// Show how promises were kept.
    Promises,
    /// Show the tournament.
    Venue,
    /// Search open jobs.
    Find {
        /// What for.
        text: String,
        /// At most so many.
        limit: u32,
    },
    /// Show all that is known of a job.
    Course(JobRef),
    /// Show events.
    Events {
        /// From this number on.
        from: Seq,
        /// At most so many.
        limit: u32,
    },
    /// Show the journal's newest number.
    JournalHead,
    /// Recompute the chain of hashes.
    Verify,
}

impl From<Command> for Todo {
    fn from(command: Command) -> Self {
        Self::Send(Box::new(command))
    }
}
