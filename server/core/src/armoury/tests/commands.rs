//! Short ways to write the commands that tests use most.

use super::world::FENCER;
use crate::armoury::*;
use crate::gear::{ItemKind, Work};
use crate::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, RepairId, StripId};
use crate::rules::Answer;
use crate::tag::Tag;
use crate::time::Stamp;

pub(crate) fn on(job: JobId) -> JobRef {
    JobRef::Job(job)
}

pub(crate) fn scan_in(job: JobId, tag: Option<Tag>) -> Command {
    Command::ScanIn { job: on(job), tag }
}

pub(crate) fn take(job: JobId, bench: BenchId) -> Command {
    Command::Take { job: on(job), bench }
}

pub(crate) fn pass_on(job: JobId, bench: BenchId) -> Command {
    Command::PassOn { job: on(job), bench, note: Some("needs the long jig".to_owned()) }
}

pub(crate) fn take_over(job: JobId, bench: Option<BenchId>) -> Command {
    Command::TakeOver { job: on(job), bench, reason: "left lying".to_owned() }
}

pub(crate) fn repair(job: JobId, work: Work, lasting: Lasting) -> Command {
    Command::Repair { job: on(job), work, fault: None, lasting, owed: None }
}

/// The same with the fault that it mended.
pub(crate) fn mend(job: JobId, work: Work, fault: &str, lasting: Lasting) -> Command {
    Command::Repair { job: on(job), work, fault: Some(fault.to_owned()), lasting, owed: None }
}

pub(crate) fn cure(job: JobId, until: Stamp) -> Command {
    Command::Cure { job: on(job), until }
}

pub(crate) fn prove(job: JobId, check: &str, answer: Answer) -> Command {
    Command::Prove { job: on(job), check: check.to_owned(), answer }
}

pub(crate) fn call_off(job: JobId) -> Command {
    Command::CallOff { job: on(job), reason: "fences with another".to_owned() }
}

pub(crate) fn missing(job: JobId) -> Command {
    Command::Missing { job: on(job), note: None }
}

pub(crate) fn found_again(job: JobId, place: Place) -> Command {
    Command::FoundAgain { job: on(job), place }
}

pub(crate) fn collected_unseen(job: JobId) -> Command {
    Command::CollectedUnseen { job: on(job), note: None }
}

pub(crate) fn hand_back(job: JobId) -> Command {
    Command::HandBack { job: on(job), to: FENCER.to_owned() }
}

pub(crate) fn confirm(notice: NoticeId) -> Command {
    Command::ConfirmNotice { notice }
}

pub(crate) fn hold(job: JobId, reason: HoldReason) -> Command {
    Command::Hold { job: on(job), reason, note: None }
}

pub(crate) fn confiscate(job: JobId) -> Command {
    Command::Confiscate { job: on(job), note: "tampered with, says the referee".to_owned() }
}

pub(crate) fn let_go(job: JobId) -> Command {
    Command::ReleaseConfiscated { job: on(job), note: "the case is closed".to_owned() }
}

pub(crate) fn ready_anyway(job: JobId) -> Command {
    Command::ReadyAnyway { job: on(job), reason: "the strip's own check will do".to_owned() }
}

pub(crate) fn pin(job: JobId, bench: Option<BenchId>) -> Command {
    Command::Pin { job: on(job), bench }
}

pub(crate) fn set_need(job: JobId, need: Need) -> Command {
    Command::SetNeed { job: on(job), need }
}

pub(crate) fn fencer_out() -> Command {
    Command::FencerOut { fencer: FENCER.to_owned() }
}

pub(crate) fn fencer_in() -> Command {
    Command::FencerIn { fencer: FENCER.to_owned() }
}

pub(crate) fn lend(kind: ItemKind) -> Command {
    Command::Lend { fencer: FENCER.to_owned(), kind }
}

pub(crate) fn loan_back(kind: ItemKind) -> Command {
    Command::LoanBack { fencer: FENCER.to_owned(), kind }
}

pub(crate) fn call_out(strip: u16) -> Command {
    Command::CallOut { strip: StripId(strip), note: None }
}

pub(crate) fn run_again(call: CallId, swapped: Option<ItemKind>) -> Command {
    let stock = swapped.map(|kind| format!("stock {}", kind.code()));
    Command::RunAgain { call, swapped, stock, note: None }
}

pub(crate) fn correct(job: JobId, what: Correction) -> Command {
    Command::Correct { job: on(job), what, note: None }
}

pub(crate) fn count(place: Place, tags: &[Tag]) -> Command {
    Command::Count { place, tags: tags.to_vec() }
}

pub(crate) fn find(job: JobId, fault: &str, showed: Showed) -> Command {
    Command::Find { job: on(job), fault: fault.to_owned(), showed, note: None }
}

pub(crate) fn see(job: JobId, seen: &str) -> Command {
    Command::See { job: on(job), seen: seen.to_owned() }
}

pub(crate) fn strike(finding: u64) -> Correction {
    Correction::Finding(FindingId(finding))
}

pub(crate) fn undone(repair: u64) -> Correction {
    Correction::Repair(RepairId(repair))
}

pub(crate) fn known(kind: ItemKind, number: ItemId) -> HandInItem {
    HandInItem { item: Some(number), ..super::world::item(kind) }
}
