//! What may be wrong with a job's item, and what in looking for it can hurt someone.

use remise_core::armoury::Showed;
use remise_core::gear::{self, DEFERRING, Fault};
use remise_link::view::{Course, JobView};

/// The possible faults: those that the complaint points to, likeliest first, with their share in thousandths
/// (estimates of ours); then the others of the kind, without one.
pub fn listed(job: &JobView) -> Vec<(&'static Fault, Option<u16>)> {
    let likely = gear::prior(job.kind, job.complaint);
    let others: Vec<_> = gear::faults(job.kind)
        .filter(|fault| !likely.iter().any(|(known, _)| known.id == fault.id))
        .map(|fault| (fault, None))
        .collect();
    likely.into_iter().map(|(fault, share)| (fault, Some(share))).chain(others).collect()
}

/// What the newest check of that fault showed.
pub fn showed(course: Option<&Course>, fault: &str) -> Option<Showed> {
    let findings = course.map(|course| &course.findings)?;
    findings.iter().rev().find(|finding| finding.fault == fault).map(|finding| finding.showed)
}

/// The cautions for one possible fault, without the closing line.
pub fn cautions(fault: &'static Fault) -> Vec<&'static str> {
    fault.cautions().filter(|caution| **caution != DEFERRING).map(|caution| caution.text).collect()
}

/// Every caution for the job: of what may be wrong with it and of its checks; each once, and last that other
/// rules go first.
pub fn all_cautions(job: &JobView, course: Option<&Course>) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut add = |text: &str| {
        if !lines.iter().any(|line| line == text) {
            lines.push(text.to_owned());
        }
    };
    for (fault, _) in listed(job) {
        cautions(fault).into_iter().for_each(&mut add);
    }
    let checks = course.iter().flat_map(|course| &course.proof).filter_map(|check| check.caution.as_deref());
    checks.for_each(&mut add);
    lines.push(DEFERRING.text.to_owned());
    lines
}
