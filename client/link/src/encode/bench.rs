//! Requests of `BenchDesk`.

use remise_core::armoury::{Command, Correction, JobRef};
use remise_proto::v1;

use super::parts::{answer, hold_reason, job, lasting, opt, owed_end, showed, spot};
use super::{Group, Request};

type Meta = Option<v1::Meta>;

fn of_job(j: JobRef, meta: Meta) -> v1::JobRequest {
    v1::JobRequest { meta, job: Some(job(j)) }
}

/// Who has what in hand, and call-outs.
pub(super) fn request(command: &Command, meta: Meta) -> Group {
    let of_bench = |bench: u16, meta| v1::BenchRequest { meta, bench: bench.into() };
    let request = match command {
        Command::Take { job: j, bench } => {
            Request::Take(v1::TakeRequest { meta, job: Some(job(*j)), bench: bench.0.into() })
        }
        Command::PutBack { job: j, note } => {
            Request::PutBack(v1::PutBackRequest { meta, job: Some(job(*j)), note: opt(note.as_ref()) })
        }
        Command::PassOn { job: j, bench, note } => {
            let (job, note) = (Some(job(*j)), opt(note.as_ref()));
            Request::PassOn(v1::PassOnRequest { meta, job, bench: bench.0.into(), note })
        }
        Command::Interrupt { bench } => Request::Interrupt(of_bench(bench.0, meta)),
        Command::Resume { bench } => Request::Resume(of_bench(bench.0, meta)),
        Command::ComeBack { bench } => Request::ComeBack(of_bench(bench.0, meta)),
        Command::GoAway { bench, until } => {
            Request::GoAway(v1::GoAwayRequest { meta, bench: bench.0.into(), until_us: until.0 })
        }
        Command::ReachStrip { call } => Request::ReachStrip(v1::ReachStripRequest { meta, call: call.0 }),
        Command::RunAgain { call, swapped, stock, note } => {
            let swapped = swapped.map(|kind| kind.code().to_owned()).unwrap_or_default();
            let (stock, note) = (opt(stock.as_ref()), opt(note.as_ref()));
            Request::RunAgain(v1::RunAgainRequest { meta, call: call.0, swapped, stock, note })
        }
        _ => return None,
    };
    Some(request)
}

/// What is found.
pub(super) fn findings(command: &Command, meta: Meta) -> Group {
    Some(match command {
        Command::Find { job: j, fault, showed: word, note } => Request::Find(v1::FindRequest {
            meta,
            job: Some(job(*j)),
            fault: fault.clone(),
            showed: showed(*word),
            note: opt(note.as_ref()),
        }),
        Command::See { job: j, seen } => {
            Request::See(v1::SeeRequest { meta, job: Some(job(*j)), seen: seen.clone() })
        }
        _ => return None,
    })
}

/// What is done and proved.
pub(super) fn course(command: &Command, meta: Meta) -> Group {
    let request = match command {
        Command::Repair { job: j, work, fault, lasting: word, owed } => Request::Repair(v1::RepairRequest {
            meta,
            job: Some(job(*j)),
            work: work.code().to_owned(),
            fault: opt(fault.as_ref()),
            lasting: lasting(*word),
            owed: owed.map_or(0, |owed| owed.0),
        }),
        Command::Cure { job: j, until } => {
            Request::Cure(v1::CureRequest { meta, job: Some(job(*j)), until_us: until.0 })
        }
        Command::DryNow { job: j } => Request::DryNow(of_job(*j, meta)),
        Command::NoFaultFound { job: j } => Request::NoFaultFound(of_job(*j, meta)),
        Command::FaultElsewhere { job: j, place } => Request::FaultElsewhere(v1::FaultElsewhereRequest {
            meta,
            job: Some(job(*j)),
            place: place.clone(),
        }),
        Command::Prove { job: j, check, answer: given } => Request::Prove(v1::ProveRequest {
            meta,
            job: Some(job(*j)),
            check: check.clone(),
            answer: Some(answer(*given)),
        }),
        Command::Ready { job: j } => Request::Ready(of_job(*j, meta)),
        Command::Withdraw { job: j, reason } => {
            Request::Withdraw(v1::WithdrawRequest { meta, job: Some(job(*j)), reason: reason.clone() })
        }
        _ => return None,
    };
    Some(request)
}

/// Holds, what is owed, and putting mistakes right.
pub(super) fn mends(command: &Command, meta: Meta) -> Group {
    let request = match command {
        Command::Hold { job: j, reason, note } => Request::Hold(v1::HoldRequest {
            meta,
            job: Some(job(*j)),
            reason: hold_reason(*reason),
            note: opt(note.as_ref()),
        }),
        Command::Release { job: j } => Request::Release(of_job(*j, meta)),
        Command::EndOwed { owed, how } => {
            Request::EndOwed(v1::EndOwedRequest { meta, owed: owed.0, how: owed_end(*how) })
        }
        Command::Correct { job: j, what, note } => Request::Correct(v1::CorrectRequest {
            meta,
            job: Some(job(*j)),
            what: Some(correction(what)),
            note: opt(note.as_ref()),
        }),
        Command::ExchangeTags { a, b } => {
            Request::ExchangeTags(v1::ExchangeTagsRequest { meta, a: a.digits(), b: b.digits() })
        }
        _ => return None,
    };
    Some(request)
}

fn correction(what: &Correction) -> v1::correct_request::What {
    use v1::correct_request::{Kind, Spots, What};
    match what {
        Correction::Kind { kind, complaint } => {
            What::Kind(Kind { item_kind: kind.code().to_owned(), complaint: complaint.code().to_owned() })
        }
        Correction::Item(item) => What::Item(item.0),
        Correction::Spots { came_from, back_to } => {
            What::Spots(Spots { came_from: Some(spot(*came_from)), back_to: Some(spot(*back_to)) })
        }
        Correction::Bench(bench) => What::Bench(bench.0.into()),
        Correction::Finding(finding) => What::Finding(finding.0),
        Correction::Repair(repair) => What::Repair(repair.0),
        Correction::End => What::NotEnded(true),
        Correction::HandBack => What::NotHandedBack(true),
    }
}
