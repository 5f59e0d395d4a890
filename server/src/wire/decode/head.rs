//! `HeadDesk`: requests to commands.

#![expect(
    clippy::needless_pass_by_value,
    reason = "every decoder takes its message whole, so that one macro serves them all"
)]

use remise_core::armoury::Command;
use remise_core::ids::CallId;
use remise_proto::v1;

use super::parts::{bench, job_ref, note, opt_bench, seq, stamp};
use super::{WireProblem, bench as at_bench, strip as at_strip};
use crate::stations::Station;

type Read = Result<Command, WireProblem>;

/// Most moves in one question of what would happen.
pub const MOST_MOVES: usize = 20;

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

/// A bench closes later.
pub fn close_bench_at(request: v1::CloseBenchAtRequest, _: &Station) -> Read {
    Ok(Command::CloseBenchAt { bench: bench("bench", request.bench)?, at: stamp("at_us", request.at_us)? })
}

/// The moves that are only tried.
pub fn what_if(request: v1::WhatIfRequest, station: &Station) -> Result<Vec<Command>, WireProblem> {
    if request.moves.len() > MOST_MOVES {
        return Err(WireProblem::new("moves", format!("at most {MOST_MOVES} at a time")));
    }
    let moves = request.moves.into_iter().enumerate();
    moves.map(|(at, one)| trial(one, station).map_err(|why| why.within(&format!("moves[{at}]")))).collect()
}

fn trial(one: v1::TrialMove, station: &Station) -> Read {
    use v1::trial_move::Is;
    let is = one.is.ok_or_else(|| WireProblem::new("is", "it is missing; say what would be done"))?;
    match is {
        Is::OpenBench(request) => open_bench(request, station).map_err(|why| why.within("open_bench")),
        Is::CloseBench(request) => close_bench(request, station).map_err(|why| why.within("close_bench")),
        Is::CloseBenchAt(request) => {
            close_bench_at(request, station).map_err(|why| why.within("close_bench_at"))
        }
        Is::Pin(request) => pin(request, station).map_err(|why| why.within("pin")),
        Is::TakeOver(request) => take_over(request, station).map_err(|why| why.within("take_over")),
        Is::Hold(request) => at_bench::hold(request, station).map_err(|why| why.within("hold")),
        Is::Release(request) => at_bench::release(request, station).map_err(|why| why.within("release")),
        Is::WantBy(request) => at_strip::want_by(request, station).map_err(|why| why.within("want_by")),
        Is::SetNeed(request) => at_strip::set_need(request, station).map_err(|why| why.within("set_need")),
        Is::CallOff(request) => at_strip::call_off(request, station).map_err(|why| why.within("call_off")),
        Is::FencerOut(request) => {
            at_strip::fencer_out(request, station).map_err(|why| why.within("fencer_out"))
        }
        Is::FencerIn(request) => at_strip::fencer_in(request, station).map_err(|why| why.within("fencer_in")),
    }
}

/// The day closes.
#[allow(clippy::unnecessary_wraps)] // one shape for every action
pub fn close_day(_: v1::CloseDayRequest, _: &Station) -> Read {
    Ok(Command::CloseDay)
}
