//! What each role is offered for a job, by where the job stands. The server has the last word.

use remise_core::armoury::{HoldReason, State as JobState};
use remise_link::view::JobView;

use super::state::Role;
use super::verb::Verb;

/// What may be done with the job, in the order in which it is listed: what comes next first.
pub fn job_verbs(role: Role, job: &JobView) -> Vec<Verb> {
    let mut verbs = Vec::new();
    if job.notice.is_some_and(|notice| notice.confirmed.is_none()) && role != Role::Bench {
        verbs.push(Verb::Confirm);
    }
    match role {
        Role::Strip => strip(job, &mut verbs),
        Role::Counter => counter(job, &mut verbs),
        Role::Bench => bench(job, &mut verbs),
        Role::Head => head(job, &mut verbs),
    }
    verbs.push(Verb::Course);
    verbs
}

fn awaits_work(job: &JobView) -> bool {
    matches!(job.state, JobState::OnItsWay | JobState::Waiting | JobState::OnBench | JobState::Curing)
}

fn awaits_hand_back(job: &JobView) -> bool {
    matches!(job.state, JobState::Ready | JobState::Withdrawn | JobState::CalledOff)
}

fn confiscated(job: &JobView) -> bool {
    job.hold.as_ref().is_some_and(|hold| hold.reason == HoldReason::Confiscated)
}

/// What whoever handed it in may say about it.
fn owner_side(job: &JobView, verbs: &mut Vec<Verb>) {
    if awaits_hand_back(job) && !confiscated(job) {
        verbs.push(Verb::HandBack);
    }
    if awaits_work(job) {
        verbs.extend([Verb::WantBy, Verb::Need]);
    }
    verbs.push(Verb::BackTo);
    if awaits_work(job) && !confiscated(job) {
        verbs.push(Verb::CallOff);
    }
    if job.fencer.is_none() {
        verbs.push(Verb::Claim);
    }
}

fn strip(job: &JobView, verbs: &mut Vec<Verb>) {
    owner_side(job, verbs);
    if !confiscated(job) {
        verbs.push(Verb::Confiscate);
    }
}

fn counter(job: &JobView, verbs: &mut Vec<Verb>) {
    if job.state == JobState::OnItsWay {
        verbs.push(Verb::ScanIn);
    }
    owner_side(job, verbs);
    lost(job, verbs);
    holds(Role::Counter, job, verbs);
    verbs.push(Verb::Correct);
}

fn bench(job: &JobView, verbs: &mut Vec<Verb>) {
    if matches!(job.state, JobState::Waiting | JobState::Curing) {
        verbs.push(Verb::Take);
    }
    if job.state == JobState::Curing {
        verbs.push(Verb::DryNow);
    }
    if job.state == JobState::Waiting {
        verbs.push(Verb::PassOn);
    }
    verbs.push(Verb::Missing);
    holds(Role::Bench, job, verbs);
    verbs.push(Verb::Correct);
}

fn head(job: &JobView, verbs: &mut Vec<Verb>) {
    if matches!(job.state, JobState::OnItsWay | JobState::Waiting | JobState::Curing) {
        verbs.push(Verb::Pin);
    }
    if job.state == JobState::OnItsWay {
        verbs.push(Verb::ScanIn);
    }
    if job.state == JobState::OnBench {
        verbs.push(Verb::TakeOver);
    }
    owner_side(job, verbs);
    if matches!(job.state, JobState::OnBench | JobState::Waiting | JobState::Curing) && !confiscated(job) {
        verbs.push(Verb::ReadyAnyway);
    }
    holds(Role::Head, job, verbs);
    lost(job, verbs);
    verbs.push(Verb::Correct);
}

fn lost(job: &JobView, verbs: &mut Vec<Verb>) {
    if job.state == JobState::Gone {
        verbs.extend([Verb::FoundAgain, Verb::CollectedUnseen]);
        return;
    }
    verbs.push(Verb::Missing);
    if awaits_hand_back(job) {
        verbs.push(Verb::CollectedUnseen);
    }
}

/// Only the head gives confiscated gear free.
fn holds(role: Role, job: &JobView, verbs: &mut Vec<Verb>) {
    match &job.hold {
        Some(_) if confiscated(job) && role != Role::Head => {}
        Some(_) => verbs.push(Verb::Release),
        None if awaits_work(job) => verbs.push(Verb::Hold),
        None => {}
    }
    if !confiscated(job) && job.state != JobState::Gone {
        verbs.push(Verb::Confiscate);
    }
}
