//! Looking things up, from any area.

use clap::Subcommand;

use super::parts::Which;
use super::todo::Todo;
use crate::failure::Failure;

/// What can be looked up.
#[derive(Debug, Subcommand)]
pub enum Look {
    /// Search open jobs: a tag, a number, or part of a name or note
    Find {
        /// What to search for
        #[arg(value_name = "TEXT")]
        text: String,
        /// At most so many
        #[arg(long, default_value_t = 50, value_parser = clap::value_parser!(u32).range(1..=200))]
        limit: u32,
    },
    /// All that is known of one job
    Job {
        /// Which job
        #[command(flatten)]
        which: Which,
    },
}

impl Look {
    /// What is to be done.
    pub fn todo(&self) -> Result<Todo, Failure> {
        Ok(match self {
            Self::Find { text, limit } => Todo::Find { text: text.clone(), limit: *limit },
            Self::Job { which } => Todo::Course(which.job_ref()?),
        })
    }
}
