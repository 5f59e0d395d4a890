//! What a station may do besides its role: a strip acts for itself and for its own jobs, a bench for itself and for
//! jobs that no other bench has in hand.

use remise_core::armoury::{Armoury, Command, Job, JobRef, Spot, State};
use remise_core::ids::{BenchId, StripId};
use thiserror::Error;

use super::{Role, Station};

/// Why a station may not do that, although its role may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum OutOfScope {
    /// A strip asked for another strip.
    #[error("this station belongs to strip {0} and acts for no other place")]
    OtherStrip(StripId),
    /// A strip asked about a job that neither came from it nor goes back to it.
    #[error("this job neither came from strip {0} nor goes back to it")]
    OtherStripsJob(StripId),
    /// A bench asked for another bench.
    #[error("this station belongs to bench {0} and acts for no other")]
    OtherBench(BenchId),
    /// A bench asked about a job that another bench has in hand.
    #[error("another bench than {0} has this job in hand")]
    OtherBenchsJob(BenchId),
}

impl OutOfScope {
    /// Stable reason for programs.
    pub fn reason(self) -> &'static str {
        match self {
            Self::OtherStrip(_) => "OTHER_STRIP",
            Self::OtherStripsJob(_) => "OTHER_STRIPS_JOB",
            Self::OtherBench(_) => "OTHER_BENCH",
            Self::OtherBenchsJob(_) => "OTHER_BENCHS_JOB",
        }
    }
}

/// Whether the station may ask for that. A job, notice or call-out that is not there is let through: the armoury
/// itself says so, with a hint.
pub fn check(station: &Station, command: &Command, room: &Armoury) -> Result<(), OutOfScope> {
    match (station.role, station.strip, station.bench) {
        (Role::Strip, Some(own), _) => of_strip(own, command, room),
        (Role::Bench, _, Some(own)) => of_bench(own, command, room),
        _ => Ok(()),
    }
}

/// Whether the station may see the job.
pub fn sees_job(station: &Station, job: &Job) -> bool {
    station.strip.is_none_or(|own| is_of_strip(own, job))
}

fn is_of_strip(own: StripId, job: &Job) -> bool {
    let own = Spot::Strip(own);
    job.came_from == own || job.back_to == own || job.notice.is_some_and(|notice| notice.to == own)
}

fn of_strip(own: StripId, command: &Command, room: &Armoury) -> Result<(), OutOfScope> {
    let here = match command {
        Command::HandIn(hand_in) => hand_in.came_from == Spot::Strip(own),
        Command::CallOut { strip, .. } => *strip == own,
        _ => true,
    };
    if !here {
        return Err(OutOfScope::OtherStrip(own));
    }
    let job = match command {
        Command::ConfirmNotice { notice } => {
            room.notices.get(notice).and_then(|job| find(room, JobRef::Job(*job)))
        }
        other => subject(other).and_then(|job| find(room, job)),
    };
    match job {
        Some(job) if !is_of_strip(own, job) => Err(OutOfScope::OtherStripsJob(own)),
        _ => Ok(()),
    }
}

fn of_bench(own: BenchId, command: &Command, room: &Armoury) -> Result<(), OutOfScope> {
    let bench = match command {
        Command::Take { bench, .. }
        | Command::Interrupt { bench }
        | Command::Resume { bench }
        | Command::GoAway { bench, .. }
        | Command::ComeBack { bench } => Some(*bench),
        Command::ReachStrip { call } | Command::RunAgain { call, .. } => {
            room.calls.get(call).map(|call| call.bench)
        }
        _ => None,
    };
    if bench.is_some_and(|bench| bench != own) {
        return Err(OutOfScope::OtherBench(own));
    }
    // `Take` is left to the armoury: it says which bench was quicker.
    let job = if is_bench_work(command) { subject(command).and_then(|job| find(room, job)) } else { None };
    match job {
        Some(job) if job.state() == State::OnBench && job.course.bench != Some(own) => {
            Err(OutOfScope::OtherBenchsJob(own))
        }
        _ => Ok(()),
    }
}

/// Whether only the bench that has the job in hand does this.
fn is_bench_work(command: &Command) -> bool {
    matches!(
        command,
        Command::PutBack { .. }
            | Command::PassOn { .. }
            | Command::Find { .. }
            | Command::See { .. }
            | Command::Repair { .. }
            | Command::Cure { .. }
            | Command::DryNow { .. }
            | Command::NoFaultFound { .. }
            | Command::FaultElsewhere { .. }
            | Command::Prove { .. }
            | Command::Ready { .. }
            | Command::Withdraw { .. }
            | Command::Hold { .. }
            | Command::Release { .. }
            | Command::Correct { .. }
    )
}

/// The job that a name stands for, when it is open.
pub fn find(room: &Armoury, job: JobRef) -> Option<&Job> {
    let id = match job {
        JobRef::Job(id) => id,
        JobRef::Tag(tag) => *room.tags.get(&tag)?,
    };
    room.job(id).map(AsRef::as_ref)
}

/// The job that a command is about.
fn subject(command: &Command) -> Option<JobRef> {
    match command {
        Command::ScanIn { job, .. }
        | Command::Claim { job, .. }
        | Command::Take { job, .. }
        | Command::PutBack { job, .. }
        | Command::PassOn { job, .. }
        | Command::TakeOver { job, .. }
        | Command::Find { job, .. }
        | Command::See { job, .. }
        | Command::Repair { job, .. }
        | Command::Cure { job, .. }
        | Command::DryNow { job }
        | Command::NoFaultFound { job }
        | Command::FaultElsewhere { job, .. }
        | Command::Prove { job, .. }
        | Command::Ready { job }
        | Command::ReadyAnyway { job, .. }
        | Command::Withdraw { job, .. }
        | Command::HandBack { job, .. }
        | Command::BackTo { job, .. }
        | Command::WantBy { job, .. }
        | Command::SetNeed { job, .. }
        | Command::CallOff { job, .. }
        | Command::Missing { job, .. }
        | Command::FoundAgain { job, .. }
        | Command::CollectedUnseen { job, .. }
        | Command::Hold { job, .. }
        | Command::Release { job }
        | Command::Confiscate { job, .. }
        | Command::ReleaseConfiscated { job, .. }
        | Command::Pin { job, .. }
        | Command::Correct { job, .. } => Some(*job),
        _ => None,
    }
}

#[cfg(test)]
#[path = "scope_tests.rs"]
mod tests;
