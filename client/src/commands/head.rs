//! `remise head`.

use clap::Subcommand;
use remise_core::armoury::Command;
use remise_core::ids::{BenchId, CallId};

use super::back::Handing;
use super::keep::Keep;
use super::look::Look;
use super::parts::{Which, note};
use super::setting::Setting;
use super::todo::Todo;
use super::trial::TrialArgs;
use crate::failure::Failure;
use crate::local::Sense;

/// What the head armourer does.
#[derive(Debug, Subcommand)]
pub enum HeadAction {
    /// Take over a job left lying, for a bench or back to the waiting
    TakeOver {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// The bench that gets it; left out: back to the waiting
        #[arg(long, value_name = "BENCH", value_parser = clap::value_parser!(u16).range(1..))]
        to: Option<u16>,
        /// Why
        #[arg(long, value_parser = note)]
        reason: String,
    },
    /// Let it go without a complete proof, with a reason that stays on record
    ReadyAnyway {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Why
        #[arg(long, value_parser = note)]
        reason: String,
    },
    /// Give a confiscated item free again
    ReleaseConfiscated {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Who allowed it, and why
        #[arg(long, value_parser = note)]
        note: String,
    },
    /// Keep the job for one bench; left out: for none in particular
    Pin {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// The bench
        #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
        bench: Option<u16>,
    },
    /// Send somebody else to a stopped strip
    Redirect {
        /// The call-out's number
        #[arg(value_name = "CALL", value_parser = clap::value_parser!(u64).range(1..))]
        call: u64,
        /// The bench whose armourer goes
        #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
        bench: u16,
    },
    /// Open a bench outside its hours
    OpenBench {
        /// The bench
        #[arg(value_name = "BENCH", value_parser = clap::value_parser!(u16).range(1..))]
        bench: u16,
    },
    /// Close a bench, now or from a later time on
    CloseBench {
        /// The bench
        #[arg(value_name = "BENCH", value_parser = clap::value_parser!(u16).range(1..))]
        bench: u16,
        /// From when on; left out: now
        #[arg(long, value_name = "TIME")]
        at: Option<String>,
    },
    /// Try moves first: which jobs would be ready at another time
    WhatIf(TrialArgs),
    /// Close the day, after every place was counted
    CloseDay,
    /// Keep
    #[command(flatten)]
    Keep(Keep),
    /// Handing back
    #[command(flatten)]
    Handing(Handing),
    /// The whole room: benches, lanes, jobs, call-outs
    Room,
    /// Why a job is in its lane, at its place, and why it will be late
    Why {
        /// Which job
        #[command(flatten)]
        which: Which,
    },
    /// What is still here, uncollected, missing, confiscated or owed tonight
    Night,
    /// How the times first promised were kept, by need
    Promises,
    /// Strips, benches, days, competitions
    Venue,
    /// Look
    #[command(flatten)]
    Look(Look),
}

impl HeadAction {
    /// What is to be done.
    pub fn todo(&self, setting: &Setting) -> Result<Todo, Failure> {
        Ok(match self {
            Self::Keep(action) => action.command()?.into(),
            Self::Handing(action) => action.command(setting)?.into(),
            Self::Room => Todo::Room,
            Self::Why { which } => Todo::Why(which.job_ref()?),
            Self::Night => Todo::Night,
            Self::Promises => Todo::Promises,
            Self::Venue => Todo::Venue,
            Self::Look(look) => look.todo()?,
            Self::WhatIf(args) => Todo::WhatIf(args.trial(setting)?),
            own => own.command(setting)?.into(),
        })
    }

    fn command(&self, setting: &Setting) -> Result<Command, Failure> {
        Ok(match self {
            Self::TakeOver { which, to, reason } => {
                Command::TakeOver { job: which.job_ref()?, bench: to.map(BenchId), reason: reason.clone() }
            }
            Self::ReadyAnyway { which, reason } => {
                Command::ReadyAnyway { job: which.job_ref()?, reason: reason.clone() }
            }
            Self::ReleaseConfiscated { which, note } => {
                Command::ReleaseConfiscated { job: which.job_ref()?, note: note.clone() }
            }
            Self::Pin { which, bench } => Command::Pin { job: which.job_ref()?, bench: bench.map(BenchId) },
            Self::Redirect { call, bench } => {
                Command::Redirect { call: CallId(*call), bench: BenchId(*bench) }
            }
            Self::OpenBench { bench } => Command::OpenBench { bench: BenchId(*bench) },
            Self::CloseBench { bench, at: None } => Command::CloseBench { bench: BenchId(*bench) },
            Self::CloseBench { bench, at: Some(typed) } => {
                let at = setting.time("--at", typed, Sense::Ahead)?;
                Command::CloseBenchAt { bench: BenchId(*bench), at }
            }
            Self::CloseDay => Command::CloseDay,
            _ => return Err(Failure::broken("this action asks for nothing")),
        })
    }
}
