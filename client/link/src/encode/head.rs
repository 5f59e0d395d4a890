//! Requests of `HeadDesk`.

use remise_core::armoury::Command;
use remise_proto::v1;

use super::parts::{job, opt_bench};
use super::{Group, Request};

/// What the head armourer asks.
pub(super) fn request(command: &Command, meta: Option<v1::Meta>) -> Group {
    let request = match command {
        Command::TakeOver { job: j, bench, reason } => Request::TakeOver(v1::TakeOverRequest {
            meta,
            job: Some(job(*j)),
            bench: opt_bench(*bench),
            reason: reason.clone(),
        }),
        Command::ReadyAnyway { job: j, reason } => {
            Request::ReadyAnyway(v1::ReadyAnywayRequest { meta, job: Some(job(*j)), reason: reason.clone() })
        }
        Command::ReleaseConfiscated { job: j, note } => {
            let (job, note) = (Some(job(*j)), note.clone());
            Request::ReleaseConfiscated(v1::ReleaseConfiscatedRequest { meta, job, note })
        }
        Command::Pin { job: j, bench } => {
            Request::Pin(v1::PinRequest { meta, job: Some(job(*j)), bench: opt_bench(*bench) })
        }
        Command::Redirect { call, bench } => {
            Request::Redirect(v1::RedirectRequest { meta, call: call.0, bench: bench.0.into() })
        }
        Command::OpenBench { bench } => {
            Request::OpenBench(v1::OpenBenchRequest { meta, bench: bench.0.into() })
        }
        Command::CloseBench { bench } => {
            Request::CloseBench(v1::CloseBenchRequest { meta, bench: bench.0.into() })
        }
        Command::CloseBenchAt { bench, at } => {
            Request::CloseBenchAt(v1::CloseBenchAtRequest { meta, bench: bench.0.into(), at_us: at.0 })
        }
        Command::CloseDay => Request::CloseDay(v1::CloseDayRequest { meta }),
        _ => return None,
    };
    Some(request)
}
