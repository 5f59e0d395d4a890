//! Answers of an item that works: for each check of the proof, something that passes.

use remise_core::armoury::{Command, JobRef};
use remise_core::rules::{self, Answer, Asks, Bound, Check};
use remise_link::view::Course;

/// The next thing to say of a job whose item works: the next check that is missing, or that it is ready.
pub(super) fn next(course: &Course, job: JobRef) -> Command {
    let missing = course.proof.iter().find(|check| check.answer.is_none() || !check.pass);
    match missing {
        Some(check) => Command::Prove { job, check: check.check.clone(), answer: passing(&check.check) },
        None => Command::Ready { job },
    }
}

/// An answer that passes the check, by any edition that knows it.
fn passing(code: &str) -> Answer {
    let check = rules::editions().iter().find_map(|edition| edition.check(code));
    check.map_or(Answer::Passed, good)
}

fn good(check: &Check) -> Answer {
    let Asks::Reading(_) = check.asks else { return Answer::Passed };
    match check.limit.as_ref().map(|limit| limit.bound) {
        Some(Bound::LessThan(limit) | Bound::AtMost(limit)) => Answer::Reading(limit / 2),
        Some(Bound::MoreThan(limit) | Bound::AtLeast(limit)) => Answer::Reading(limit + limit / 10 + 1),
        Some(Bound::Between(low, high)) => Answer::Reading(i64::midpoint(low, high)),
        None => Answer::Passed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_of_every_edition_has_an_answer_that_passes() {
        for check in rules::editions().iter().flat_map(|edition| &edition.checks) {
            let verdict = check.judge(&good(check));
            assert!(verdict.is_ok_and(|verdict| verdict.pass), "{}", check.code);
        }
    }
}
