//! Notices, handing back, and what the strip changes its mind about.

use clap::Subcommand;
use remise_core::armoury::{Command, Need, Spot};
use remise_core::ids::NoticeId;

use super::parts::{WantedArgs, Which, name, need, note, spot};
use super::setting::Setting;
use crate::failure::Failure;

/// What leads an item back to its owner.
#[derive(Debug, Subcommand)]
pub enum Handing {
    /// The notice was read
    Confirm {
        /// The notice's number, as the board shows it
        #[arg(value_name = "NOTICE", value_parser = clap::value_parser!(u64).range(1..))]
        notice: u64,
    },
    /// Handed back to a named person
    HandBack {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Who took it
        #[arg(long, value_name = "NAME", value_parser = name)]
        to: String,
    },
    /// It goes back to somewhere else
    BackTo {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// A strip's number or `counter`
        #[arg(long, value_name = "SPOT", value_parser = spot)]
        to: Spot,
    },
    /// It is wanted at another time; without a time: by no time in particular
    WantBy {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// By when
        #[command(flatten)]
        wanted: WantedArgs,
    },
    /// What the fencer has working of that kind is something else
    SetNeed {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// What still works
        #[arg(long, value_name = "WORD", value_parser = need)]
        need: Need,
    },
    /// Nobody wants it mended any more; it still has to be handed back
    CallOff {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Why
        #[arg(long, value_parser = note)]
        reason: String,
    },
}

impl Handing {
    /// The command that is meant.
    pub fn command(&self, setting: &Setting) -> Result<Command, Failure> {
        Ok(match self {
            Self::Confirm { notice } => Command::ConfirmNotice { notice: NoticeId(*notice) },
            Self::HandBack { which, to } => Command::HandBack { job: which.job_ref()?, to: to.clone() },
            Self::BackTo { which, to } => Command::BackTo { job: which.job_ref()?, to: *to },
            Self::WantBy { which, wanted } => {
                Command::WantBy { job: which.job_ref()?, wanted: wanted.read(setting)? }
            }
            Self::SetNeed { which, need } => Command::SetNeed { job: which.job_ref()?, need: *need },
            Self::CallOff { which, reason } => {
                Command::CallOff { job: which.job_ref()?, reason: reason.clone() }
            }
        })
    }
}
