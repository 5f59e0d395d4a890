//! `HeadDesk`: requests to commands.

#![expect(
    clippy::needless_pass_by_value,
    reason = "every decoder takes its message whole, so that one macro serves them all"
)]

use remise_core::armoury::Command;
use remise_core::ids::CallId;
use remise_proto::v1;

use super::WireProblem;
use super::parts::{bench, job_ref, note, opt_bench, seq};
use crate::stations::Station;

type Read = Result<Command, WireProblem>;

/// Taken over.
pub fn take_over(request: v1::TakeOverRequest, _: &Station) -> Read {
    Ok(Command::TakeOver {
        job: job_ref("job", request.job)?,
        bench: opt_bench("bench", request.bench)?,
        reason: note("reason", &request.reason)?,
    })
}

/// Let go without a complete proof.
pub fn ready_anyway(request: v1::ReadyAnywayRequest, _: &Station) -> Read {
    Ok(Command::ReadyAnyway { job: job_ref("job", request.job)?, reason: note("reason", &request.reason)? })
}

/// A confiscated item given free.
pub fn release_confiscated(request: v1::ReleaseConfiscatedRequest, _: &Station) -> Read {
    Ok(Command::ReleaseConfiscated { job: job_ref("job", request.job)?, note: note("note", &request.note)? })
}

/// Kept for a bench.
pub fn pin(request: v1::PinRequest, _: &Station) -> Read {
    Ok(Command::Pin { job: job_ref("job", request.job)?, bench: opt_bench("bench", request.bench)? })
}

/// Somebody else goes.
pub fn redirect(request: v1::RedirectRequest, _: &Station) -> Read {
    Ok(Command::Redirect { call: CallId(seq("call", request.call)?), bench: bench("bench", request.bench)? })
}

/// A bench opens.
pub fn open_bench(request: v1::OpenBenchRequest, _: &Station) -> Read {
    Ok(Command::OpenBench { bench: bench("bench", request.bench)? })
}

/// A bench closes.
pub fn close_bench(request: v1::CloseBenchRequest, _: &Station) -> Read {
    Ok(Command::CloseBench { bench: bench("bench", request.bench)? })
}

/// The day closes.
#[allow(clippy::unnecessary_wraps)] // one shape for every action
pub fn close_day(_: v1::CloseDayRequest, _: &Station) -> Read {
    Ok(Command::CloseDay)
}
