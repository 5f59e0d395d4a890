//! `BenchDesk`: requests to commands.

#![expect(
    clippy::needless_pass_by_value,
    reason = "every decoder takes its message whole, so that one macro serves them all"
)]

use remise_core::armoury::{Command, Correction, HoldReason};
use remise_core::ids::{CallId, FindingId, ItemId, OwedId, RepairId};
use remise_proto::v1;

use super::WireProblem;
use super::parts::{
    answer, bench, code, complaint, hold_reason, item_kind, job_ref, lasting, note, opt_code, opt_note,
    opt_seq, owed_end, own_bench, seq, showed, spot, stamp, tag, work,
};
use crate::stations::Station;

type Read = Result<Command, WireProblem>;

/// Take.
pub fn take(request: v1::TakeRequest, who: &Station) -> Read {
    Ok(Command::Take {
        job: job_ref("job", request.job)?,
        bench: own_bench("bench", request.bench, who.bench)?,
    })
}

/// Put back.
pub fn put_back(request: v1::PutBackRequest, _: &Station) -> Read {
    Ok(Command::PutBack { job: job_ref("job", request.job)?, note: opt_note("note", &request.note)? })
}

/// Pass on.
pub fn pass_on(request: v1::PassOnRequest, _: &Station) -> Read {
    Ok(Command::PassOn {
        job: job_ref("job", request.job)?,
        bench: bench("bench", request.bench)?,
        note: opt_note("note", &request.note)?,
    })
}

/// Interrupt.
pub fn interrupt(request: v1::BenchRequest, who: &Station) -> Read {
    Ok(Command::Interrupt { bench: own_bench("bench", request.bench, who.bench)? })
}

/// Resume.
pub fn resume(request: v1::BenchRequest, who: &Station) -> Read {
    Ok(Command::Resume { bench: own_bench("bench", request.bench, who.bench)? })
}

/// Away.
pub fn go_away(request: v1::GoAwayRequest, who: &Station) -> Read {
    Ok(Command::GoAway {
        bench: own_bench("bench", request.bench, who.bench)?,
        until: stamp("until_us", request.until_us)?,
    })
}

/// Back.
pub fn come_back(request: v1::BenchRequest, who: &Station) -> Read {
    Ok(Command::ComeBack { bench: own_bench("bench", request.bench, who.bench)? })
}

/// At the strip.
pub fn reach_strip(request: v1::ReachStripRequest, _: &Station) -> Read {
    Ok(Command::ReachStrip { call: CallId(seq("call", request.call)?) })
}

/// The strip runs again.
pub fn run_again(request: v1::RunAgainRequest, _: &Station) -> Read {
    let swapped =
        if request.swapped.is_empty() { None } else { Some(item_kind("swapped", &request.swapped)?) };
    Ok(Command::RunAgain {
        call: CallId(seq("call", request.call)?),
        swapped,
        stock: opt_note("stock", &request.stock)?,
        note: opt_note("note", &request.note)?,
    })
}

/// A finding.
pub fn find(request: v1::FindRequest, _: &Station) -> Read {
    Ok(Command::Find {
        job: job_ref("job", request.job)?,
        fault: code("fault", &request.fault)?,
        showed: showed("showed", request.showed)?,
        note: opt_note("note", &request.note)?,
    })
}

/// What an instrument showed.
pub fn see(request: v1::SeeRequest, _: &Station) -> Read {
    Ok(Command::See { job: job_ref("job", request.job)?, seen: note("seen", &request.seen)? })
}

/// A repair.
pub fn repair(request: v1::RepairRequest, _: &Station) -> Read {
    Ok(Command::Repair {
        job: job_ref("job", request.job)?,
        work: work("work", &request.work)?,
        fault: opt_code("fault", &request.fault)?,
        lasting: lasting("lasting", request.lasting)?,
        owed: opt_seq("owed", request.owed)?.map(OwedId),
    })
}

/// Laid to cure.
pub fn cure(request: v1::CureRequest, _: &Station) -> Read {
    Ok(Command::Cure { job: job_ref("job", request.job)?, until: stamp("until_us", request.until_us)? })
}

/// Dry early.
pub fn dry_now(request: v1::JobRequest, _: &Station) -> Read {
    Ok(Command::DryNow { job: job_ref("job", request.job)? })
}

/// Nothing wrong.
pub fn no_fault_found(request: v1::JobRequest, _: &Station) -> Read {
    Ok(Command::NoFaultFound { job: job_ref("job", request.job)? })
}

/// The fault lies elsewhere.
pub fn fault_elsewhere(request: v1::FaultElsewhereRequest, _: &Station) -> Read {
    Ok(Command::FaultElsewhere { job: job_ref("job", request.job)?, place: note("place", &request.place)? })
}

/// One check of the proof.
pub fn prove(request: v1::ProveRequest, _: &Station) -> Read {
    Ok(Command::Prove {
        job: job_ref("job", request.job)?,
        check: code("check", &request.check)?,
        answer: answer("answer", request.answer)?,
    })
}

/// Ready.
pub fn ready(request: v1::JobRequest, _: &Station) -> Read {
    Ok(Command::Ready { job: job_ref("job", request.job)? })
}

/// Withdrawn.
pub fn withdraw(request: v1::WithdrawRequest, _: &Station) -> Read {
    Ok(Command::Withdraw { job: job_ref("job", request.job)?, reason: note("reason", &request.reason)? })
}

/// Held.
pub fn hold(request: v1::HoldRequest, _: &Station) -> Read {
    let reason = hold_reason("reason", request.reason)?;
    if reason == HoldReason::Confiscated {
        return Err(WireProblem::new("reason", "an item is confiscated by StripDesk.Confiscate"));
    }
    Ok(Command::Hold { job: job_ref("job", request.job)?, reason, note: opt_note("note", &request.note)? })
}

/// Released.
pub fn release(request: v1::JobRequest, _: &Station) -> Read {
    Ok(Command::Release { job: job_ref("job", request.job)? })
}

/// What was owed ended.
pub fn end_owed(request: v1::EndOwedRequest, _: &Station) -> Read {
    Ok(Command::EndOwed { owed: OwedId(seq("owed", request.owed)?), how: owed_end("how", request.how)? })
}

/// A correction.
pub fn correct(request: v1::CorrectRequest, _: &Station) -> Read {
    use v1::correct_request::What;
    let what = match request.what {
        None => return Err(WireProblem::new("what", "it is missing: say what was wrong")),
        Some(What::Kind(kind)) => Correction::Kind {
            kind: item_kind("kind.item_kind", &kind.item_kind)?,
            complaint: complaint("kind.complaint", &kind.complaint)?,
        },
        Some(What::Item(number)) => Correction::Item(ItemId(seq("item", number)?)),
        Some(What::Spots(spots)) => Correction::Spots {
            came_from: spot("spots.came_from", spots.came_from)?,
            back_to: spot("spots.back_to", spots.back_to)?,
        },
        Some(What::Bench(number)) => Correction::Bench(bench("bench", number)?),
        Some(What::Finding(number)) => Correction::Finding(FindingId(seq("finding", number)?)),
        Some(What::Repair(number)) => Correction::Repair(RepairId(seq("repair", number)?)),
        Some(What::NotEnded(true)) => Correction::End,
        Some(What::NotHandedBack(true)) => Correction::HandBack,
        Some(What::NotEnded(false) | What::NotHandedBack(false)) => {
            return Err(WireProblem::new("what", "it is false: leave out what was not wrong"));
        }
    };
    Ok(Command::Correct { job: job_ref("job", request.job)?, what, note: opt_note("note", &request.note)? })
}

/// Two tags on each other's items.
pub fn exchange_tags(request: v1::ExchangeTagsRequest, _: &Station) -> Read {
    Ok(Command::ExchangeTags { a: tag("a", &request.a)?, b: tag("b", &request.b)? })
}
