//! What a step changes in the job itself. Whatever an event says is taken as having happened.

use crate::life::{Job, Promise, Stand};
use crate::row::Row;
use crate::said::{Place, Said};
use crate::steps;

/// Takes a step in.
pub(crate) fn apply(row: &Row, job: &mut Job, said: &Said) {
    let when = row.happened_at_us;
    remember(when, job, said);
    match said {
        Said::ScannedIn { tag, .. } => {
            job.course.tag = Some(tag.clone());
            job.course.stand = Stand::Waiting;
        }
        Said::Taken { .. } => job.course.stand = Stand::OnBench,
        Said::PutBack { .. } | Said::PassedOn { .. } | Said::TakenOver { .. } => {
            job.course.stand = Stand::Waiting;
        }
        Said::CuringBegan { .. } => job.course.stand = Stand::Curing,
        Said::MadeReady { .. } => job.end(Stand::Ready, when),
        Said::Withdrawn { .. } => job.end(Stand::Withdrawn, when),
        Said::CalledOff { .. } => job.end(Stand::CalledOff, when),
        Said::WentMissing { .. } => {
            job.course.before_gone = Some(job.course.stand);
            job.course.stand = Stand::Gone;
        }
        Said::FoundAgain { place, .. } => find_again(job, *place),
        Said::HandedBack { .. } | Said::CollectedUnseen { .. } => job.closed = true,
        Said::Held { reason, .. } => {
            job.held_under = job.held == Some(false) && steps::is_confiscated(reason);
            job.held = Some(steps::is_confiscated(reason));
            if job.course.stand == Stand::OnBench {
                job.course.stand = Stand::Waiting;
            }
        }
        Said::Released { .. } => job.held = std::mem::take(&mut job.held_under).then_some(false),
        Said::EndStruck { .. } => {
            let came_in = job.course.tag.is_some() && job.course.before_end != Some(Stand::OnItsWay);
            job.course.stand = if came_in { Stand::Waiting } else { Stand::OnItsWay };
            job.course.ended_us = None;
        }
        Said::HandBackStruck { .. } => job.closed = false,
        _ => note(row, job, said),
    }
}

/// When it first came in, was taken up and was known, and when it left.
fn remember(when: i64, job: &mut Job, said: &Said) {
    let course = &mut job.course;
    let first = match said {
        Said::ScannedIn { .. } => &mut course.in_room_us,
        Said::Taken { .. } => &mut course.taken_us,
        Said::Found { .. } | Said::NoFault { .. } | Said::FaultElsewhere { .. } | Said::Repaired { .. } => {
            &mut course.known_us
        }
        Said::HandedBack { .. } | Said::CollectedUnseen { .. } => return job.left_us = Some(when),
        _ => return,
    };
    first.get_or_insert(when);
}

/// What changes neither place nor state.
fn note(row: &Row, job: &mut Job, said: &Said) {
    match said {
        Said::Repaired { .. } | Said::KindCorrected { .. } | Said::RepairStruck { .. } => {
            job.course.passed.clear();
            // What it was proven for has changed: it waits again.
            if job.course.stand == Stand::Ready {
                job.course.stand = Stand::Waiting;
                job.course.ended_us = None;
            }
        }
        Said::Proved { check, pass: true, .. } => drop(job.course.passed.insert(check.clone())),
        Said::Proved { check, pass: false, .. } => drop(job.course.passed.remove(check)),
        Said::BackToChanged { to, .. } | Said::SpotsCorrected { back_to: to, .. } => job.back_to = *to,
        Said::WantedByChanged { wanted_by, .. } => job.wanted_us = *wanted_by,
        Said::PromiseSaid { likely, safe, .. } => {
            let new = Promise { recorded: row.at_us, likely: *likely, safe: *safe };
            job.promise.get_or_insert(new);
            job.promises.push(new);
        }
        _ => {}
    }
}

/// What was ready, withdrawn or called off still is; everything else waits again, or is on its way when it was
/// found at a strip or has no tag yet.
fn find_again(job: &mut Job, place: Place) {
    let before = job.course.before_gone.take();
    job.course.stand = match before {
        Some(ended) if ended.is_ended() => {
            if !matches!(place, Place::Strip(_)) {
                job.course.before_end = Some(Stand::Waiting);
            }
            ended
        }
        _ if job.course.tag.is_none() || matches!(place, Place::Strip(_)) => Stand::OnItsWay,
        _ => Stand::Waiting,
    };
}
