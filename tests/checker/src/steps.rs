//! From where each step may be taken, by the words of the design: a job waits, is on a bench, cures, is ready …

use crate::life::Stand;
use crate::said::Said;

use Stand::{CalledOff, Curing, Gone, OnBench, OnItsWay, Ready, Waiting, Withdrawn};

const AWAITS_WORK: &[Stand] = &[OnItsWay, Waiting, OnBench, Curing];
const NOT_GONE: &[Stand] = &[OnItsWay, Waiting, OnBench, Curing, Ready, Withdrawn, CalledOff];

/// Where a job must stand for this step; every stand for what can be said of any job that is still here.
pub(crate) fn from(said: &Said) -> &'static [Stand] {
    match said {
        Said::ScannedIn { .. } => &[OnItsWay],
        Said::Taken { .. } => &[Waiting, Curing],
        Said::PassedOn { .. } => &[Waiting, OnBench],
        Said::FoundDry { .. } => &[Curing],
        Said::MadeReady { anyway: Some(_), .. } => &[Waiting, OnBench, Curing],
        Said::PutBack { .. }
        | Said::TakenOver { .. }
        | Said::Interrupted { .. }
        | Said::Resumed { .. }
        | Said::Found { .. }
        | Said::Repaired { .. }
        | Said::CuringBegan { .. }
        | Said::NoFault { .. }
        | Said::FaultElsewhere { .. }
        | Said::Proved { .. }
        | Said::MadeReady { anyway: None, .. }
        | Said::Withdrawn { .. } => &[OnBench],
        Said::Pinned { .. } => &[OnItsWay, Waiting, Curing],
        Said::Held { reason, .. } if is_confiscated(reason) => NOT_GONE,
        Said::Held { .. } | Said::CalledOff { .. } => AWAITS_WORK,
        Said::EndStruck { .. } => &[Withdrawn, CalledOff],
        Said::HandedBack { .. } => &[Ready, Withdrawn, CalledOff],
        Said::CollectedUnseen { .. } => &[Ready, Withdrawn, CalledOff, Gone],
        Said::WentMissing { .. } | Said::KindCorrected { .. } | Said::RepairStruck { .. } => NOT_GONE,
        Said::FoundAgain { .. } => &[Gone],
        _ => Stand::ALL,
    }
}

/// What a confiscated item may not go through before it is released; and, of these, what any held item may not.
pub(crate) fn barred_by_hold(said: &Said, confiscated: bool) -> bool {
    match said {
        Said::Taken { .. } => true,
        Said::HandedBack { .. }
        | Said::CalledOff { .. }
        | Said::MadeReady { .. }
        | Said::Withdrawn { .. } => confiscated,
        _ => false,
    }
}

/// Whether the reason of a hold is that the item is evidence.
pub(crate) fn is_confiscated(reason: &str) -> bool {
    reason == "confiscated"
}

/// The step in words that follow "was".
pub(crate) fn title(said: &Said) -> &'static str {
    match said {
        Said::ScannedIn { .. } => "scanned in",
        Said::Taken { .. } => "taken",
        Said::PutBack { .. } => "put back",
        Said::PassedOn { .. } => "passed on",
        Said::TakenOver { .. } => "taken over",
        Said::Interrupted { .. } => "interrupted",
        Said::Resumed { .. } => "resumed",
        Said::Found { .. } => "examined",
        Said::Repaired { .. } => "repaired",
        Said::CuringBegan { .. } => "laid to cure",
        Said::FoundDry { .. } => "found dry",
        Said::NoFault { .. } | Said::FaultElsewhere { .. } => "found without fault",
        Said::Proved { .. } => "proved",
        Said::MadeReady { .. } => "made ready",
        Said::Withdrawn { .. } => "withdrawn",
        Said::HandedBack { .. } => "handed back",
        Said::CalledOff { .. } => "called off",
        Said::WentMissing { .. } => "missed",
        Said::FoundAgain { .. } => "found again",
        Said::CollectedUnseen { .. } => "collected unseen",
        Said::Held { .. } => "held",
        Said::EndStruck { .. } => "taken up again",
        Said::HandBackStruck { .. } => "brought back",
        Said::Pinned { .. } => "kept for a bench",
        Said::PromiseSaid { .. } => "promised",
        _ => "spoken of",
    }
}
