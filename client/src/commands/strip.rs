//! `remise strip` and `remise counter`.

use clap::Subcommand;
use remise_core::armoury::Command;

use super::back::Handing;
use super::intake::{Intake, ScanArgs};
use super::keep::Keep;
use super::look::Look;
use super::parts::{Which, note};
use super::setting::Setting;
use super::todo::Todo;
use crate::failure::Failure;

/// What is done at a strip.
#[derive(Debug, Subcommand)]
pub enum StripAction {
    /// Intake
    #[command(flatten)]
    Intake(Intake),
    /// Handing back
    #[command(flatten)]
    Handing(Handing),
    /// A referee confiscates it: evidence, locked away
    Confiscate {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Who, and why
        #[arg(long, value_parser = note)]
        note: String,
    },
    /// The strip's jobs and notices
    Board,
    /// Look
    #[command(flatten)]
    Look(Look),
}

/// What is done at the counter.
#[derive(Debug, Subcommand)]
pub enum CounterAction {
    /// Intake
    #[command(flatten)]
    Intake(Intake),
    /// An item that was on its way is now in the room
    Scan(ScanArgs),
    /// Handing back
    #[command(flatten)]
    Handing(Handing),
    /// Keep
    #[command(flatten)]
    Keep(Keep),
    /// The counter's jobs, what is on its way, and what waits to be collected
    Board,
    /// Look
    #[command(flatten)]
    Look(Look),
}

impl StripAction {
    /// What is to be done.
    pub fn todo(&self, setting: &Setting) -> Result<Todo, Failure> {
        Ok(match self {
            Self::Intake(action) => action.command(setting)?.into(),
            Self::Handing(action) => action.command(setting)?.into(),
            Self::Confiscate { which, note } => {
                Command::Confiscate { job: which.job_ref()?, note: note.clone() }.into()
            }
            Self::Board => Todo::StripBoard(setting.spot()?),
            Self::Look(look) => look.todo()?,
        })
    }
}

impl CounterAction {
    /// What is to be done.
    pub fn todo(&self, setting: &Setting) -> Result<Todo, Failure> {
        Ok(match self {
            Self::Intake(action) => action.command(setting)?.into(),
            Self::Scan(args) => args.command()?.into(),
            Self::Handing(action) => action.command(setting)?.into(),
            Self::Keep(action) => action.command()?.into(),
            Self::Board => Todo::StripBoard(setting.spot()?),
            Self::Look(look) => look.todo()?,
        })
    }
}
