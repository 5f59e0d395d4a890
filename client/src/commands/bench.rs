//! `remise bench`.

use clap::{Args, Subcommand};
use remise_core::armoury::{Command, JobRef, Lasting, Showed};
use remise_core::gear::{ItemKind, Work, fault};
use remise_core::ids::{BenchId, CallId, OwedId};
use remise_core::rules::Answer;

use super::intake::ScanArgs;
use super::keep::Keep;
use super::look::Look;
use super::parts::{Which, kind, note, showed, until, work};
use super::setting::Setting;
use super::todo::Todo;
use crate::failure::Failure;

/// What is done at a bench.
#[derive(Debug, Subcommand)]
pub enum BenchAction {
    /// Hands
    #[command(flatten)]
    Hands(Hands),
    /// Course
    #[command(flatten)]
    Course(Course),
    /// An item that was on its way is now in the room
    Scan(ScanArgs),
    /// Keep
    #[command(flatten)]
    Keep(Keep),
    /// The job in hand, the lane, and what waits
    Board,
    /// Look
    #[command(flatten)]
    Look(Look),
}

/// Who has what in hand.
#[derive(Debug, Subcommand)]
pub enum Hands {
    /// Take a job
    Take {
        /// Which job
        #[command(flatten)]
        which: Which,
    },
    /// Put it back among the waiting
    PutBack {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Why
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
    /// Pass it on to another bench
    PassOn {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// The other bench
        #[arg(long, value_name = "BENCH", value_parser = clap::value_parser!(u16).range(1..))]
        to: u16,
        /// Why
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
    /// Called away from the job in hand; its clock stands still
    Interrupt,
    /// Go on with it
    Resume,
    /// The bench is unattended
    Away {
        /// Until when: 14:20, or +15 for minutes from now
        #[arg(long, value_name = "TIME")]
        until: String,
    },
    /// Back at the bench
    Back,
    /// At the stopped strip
    Arrive {
        /// The call-out's number
        #[arg(value_name = "CALL", value_parser = clap::value_parser!(u64).range(1..))]
        call: u64,
    },
    /// The strip runs again
    RunAgain {
        /// The call-out's number
        #[arg(value_name = "CALL", value_parser = clap::value_parser!(u64).range(1..))]
        call: u64,
        /// What was swapped out: reel, floor-cable or box; it comes in as a job
        #[arg(long, value_name = "KIND", value_parser = kind)]
        swapped: Option<ItemKind>,
        /// What was put in instead, from the stock
        #[arg(long, value_parser = note)]
        stock: Option<String>,
        /// More of it
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
}

/// What is found, done and proved.
#[derive(Debug, Subcommand)]
pub enum Course {
    /// Record what a check showed of one possible fault
    Finding {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Code of the fault
        #[arg(long, value_name = "CODE")]
        fault: String,
        /// present, absent or unsure
        #[arg(long, value_name = "WORD", value_parser = showed)]
        showed: Showed,
        /// More of it
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
    /// Record what lamp, meter or box showed while something was done
    Saw {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// What was done and what was shown, such as turn-button=flicker; a ? at the end when not quite sure
        #[arg(long, value_name = "CHECK=RESULT", value_parser = note)]
        seen: String,
    },
    /// Record a repair
    Repair(RepairArgs),
    /// Lay it on the curing shelf
    Cure {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Dry from then on: 14:20, or +10 for minutes from now
        #[arg(long, value_name = "TIME")]
        until: String,
    },
    /// It is dry before its time: somebody has looked
    Dry {
        /// Which job
        #[command(flatten)]
        which: Which,
    },
    /// The whole examination found nothing wrong
    NoFault {
        /// Which job
        #[command(flatten)]
        which: Which,
    },
    /// The fault lies in something else
    Elsewhere {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Where it lies
        #[arg(long, value_name = "TEXT", value_parser = note)]
        place: String,
    },
    /// Record one check of the proof
    Prove {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Code of the check
        #[arg(long, value_name = "CODE")]
        check: String,
        /// What was read: pass, fail, or a value with its unit such as 1.8ohm
        #[arg(long, value_name = "READING", allow_hyphen_values = true)]
        reading: String,
    },
    /// It is ready to go back
    Ready {
        /// Which job
        #[command(flatten)]
        which: Which,
    },
    /// Not fit for use: the part is marked and made unusable, the item handed back
    Withdraw {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// Why
        #[arg(long, value_parser = note)]
        reason: String,
    },
}

/// A repair.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  remise bench repair --tag 12340 --work point --lasting")]
pub struct RepairArgs {
    /// Which job
    #[command(flatten)]
    pub which: Which,
    /// Kind of work; left out: the one that mends the fault
    #[arg(long, value_name = "CODE", value_parser = work, required_unless_present = "fault")]
    pub work: Option<Work>,
    /// Code of the fault that it mends
    #[arg(long, value_name = "CODE")]
    pub fault: Option<String>,
    /// It lasts
    #[arg(long, required_unless_present = "stop_gap", conflicts_with = "stop_gap")]
    pub lasting: bool,
    /// It gets the fencer through the day; the lasting repair is owed
    #[arg(long)]
    pub stop_gap: bool,
    /// What was owed and is done by this
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub owed: Option<u64>,
}

impl BenchAction {
    /// What is to be done.
    pub fn todo(&self, setting: &Setting) -> Result<Todo, Failure> {
        Ok(match self {
            Self::Hands(action) => action.command(setting)?.into(),
            Self::Course(action) => action.command(setting)?.into(),
            Self::Scan(args) => args.command()?.into(),
            Self::Keep(action) => action.command()?.into(),
            Self::Board => Todo::BenchBoard(setting.bench()?),
            Self::Look(look) => look.todo()?,
        })
    }

    /// Whether the rules edition has to be known: a reading is read in its check's unit.
    pub fn needs_edition(&self) -> bool {
        matches!(self, Self::Course(Course::Prove { .. }))
    }
}

impl Hands {
    fn command(&self, setting: &Setting) -> Result<Command, Failure> {
        Ok(match self {
            Self::Take { which } => Command::Take { job: which.job_ref()?, bench: setting.bench()? },
            Self::PutBack { which, note } => Command::PutBack { job: which.job_ref()?, note: note.clone() },
            Self::PassOn { which, to, note } => {
                Command::PassOn { job: which.job_ref()?, bench: BenchId(*to), note: note.clone() }
            }
            Self::Interrupt => Command::Interrupt { bench: setting.bench()? },
            Self::Resume => Command::Resume { bench: setting.bench()? },
            Self::Away { until: typed } => {
                Command::GoAway { bench: setting.bench()?, until: until(setting, typed)? }
            }
            Self::Back => Command::ComeBack { bench: setting.bench()? },
            Self::Arrive { call } => Command::ReachStrip { call: CallId(*call) },
            Self::RunAgain { call, swapped, stock, note } => Command::RunAgain {
                call: CallId(*call),
                swapped: *swapped,
                stock: stock.clone(),
                note: note.clone(),
            },
        })
    }
}

impl Course {
    fn command(&self, setting: &Setting) -> Result<Command, Failure> {
        Ok(match self {
            Self::Finding { which, fault, showed, note } => Command::Find {
                job: which.job_ref()?,
                fault: fault.clone(),
                showed: *showed,
                note: note.clone(),
            },
            Self::Saw { which, seen } => Command::See { job: which.job_ref()?, seen: seen.clone() },
            Self::Repair(args) => args.command()?,
            Self::Cure { which, until: typed } => {
                Command::Cure { job: which.job_ref()?, until: until(setting, typed)? }
            }
            Self::Dry { which } => Command::DryNow { job: which.job_ref()? },
            Self::NoFault { which } => Command::NoFaultFound { job: which.job_ref()? },
            Self::Elsewhere { which, place } => {
                Command::FaultElsewhere { job: which.job_ref()?, place: place.clone() }
            }
            Self::Prove { which, check, reading } => prove(which.job_ref()?, check, reading, setting)?,
            Self::Ready { which } => Command::Ready { job: which.job_ref()? },
            Self::Withdraw { which, reason } => {
                Command::Withdraw { job: which.job_ref()?, reason: reason.clone() }
            }
        })
    }
}

fn prove(job: JobRef, code: &str, reading: &str, setting: &Setting) -> Result<Command, Failure> {
    let edition = setting.edition()?;
    let Some(check) = edition.check(code) else {
        let hint = "`remise bench job` and `remise gear list KIND` list the checks.";
        return Err(Failure::usage(format!("there is no such check in {}", edition.title), hint));
    };
    let answer = Answer::parse(reading, check).map_err(|why| {
        Failure::usage(format!("--reading: {why}"), "Read again and type the value with its unit.")
    })?;
    Ok(Command::Prove { job, check: check.code.clone(), answer })
}

impl RepairArgs {
    fn command(&self) -> Result<Command, Failure> {
        let of_fault = self.fault.as_deref().and_then(fault).map(|fault| fault.work);
        let work = self.work.or(of_fault).ok_or_else(|| {
            Failure::usage(
                "there is no such fault",
                "`remise gear list KIND` lists faults and kinds of work.",
            )
        })?;
        Ok(Command::Repair {
            job: self.which.job_ref()?,
            work,
            fault: self.fault.clone(),
            lasting: if self.stop_gap { Lasting::StopGap } else { Lasting::Lasting },
            owed: self.owed.map(OwedId),
        })
    }
}
