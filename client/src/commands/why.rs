//! `remise head why`: where the plan has a job, and why.

use remise_core::armoury::JobRef;
use remise_link::view::{Board, JobView, Lane, LaneSlot};
use serde_json::json;

use super::Shown;
use super::online::object;
use crate::failure::Failure;

/// The answer from the room's board.
pub(super) fn answer(board: &Board, wanted: JobRef) -> Result<Shown, Failure> {
    let is_it = |job: &&JobView| match wanted {
        JobRef::Job(id) => job.job == id,
        JobRef::Tag(tag) => job.tag == Some(tag),
    };
    let job = board.jobs.iter().find(is_it).ok_or_else(|| {
        Failure::usage("no open job has that tag or number", "`remise head find TEXT` searches open jobs.")
    })?;
    let lanes = board.lanes.iter().flatten();
    let slot = lanes.flat_map(|lane: &Lane| &lane.slots).find(|slot| slot.job == job.job);
    let says = slot.and_then(|slot| slot.why.clone()).unwrap_or_else(|| nowhere(board, job).to_owned());
    let late = slot.and_then(|slot: &LaneSlot| slot.late.clone());
    let mut object = object("job", &job.job)?;
    object["why"] = json!(says);
    object["late"] = json!(late);
    let text = [Some(says), late].into_iter().flatten().collect::<Vec<_>>().join(" ");
    Ok(Shown { text, json: object })
}

fn nowhere(board: &Board, job: &JobView) -> &'static str {
    let unplaced = board.planner.iter().flat_map(|planner| &planner.unplaced);
    match unplaced.filter(|one| one.job == job.job).map(|one| one.why.as_str()).next() {
        Some("held") => "It is held, so no bench has it in its lane.",
        Some("no_bench") => "No bench does this work.",
        Some("no_time") => "No bench that does this work is open for long enough any more.",
        _ => "It needs no bench, or came after the newest plan was made.",
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use remise_core::ids::{BenchId, JobId, Seq};
    use remise_link::view::{PlannerView, Unplaced};

    use super::*;
    use crate::screens::tests::scene;

    fn says(board: &Board, job: u64) -> String {
        answer(board, JobRef::Job(JobId(job))).unwrap().text
    }

    /// By hand.
    #[test]
    fn a_job_in_a_lane_one_in_none_and_one_that_is_unknown() {
        let mut board = scene::board(true);
        let slot = board.lanes.as_mut().unwrap()[0].slots.first_mut().unwrap();
        (slot.why, slot.late) = (Some("So.".to_owned()), Some("Late by 2 min, because.".to_owned()));
        let (placed, other) = (slot.job.0, 21);
        assert_eq!(board.lanes.as_ref().unwrap()[0].bench, BenchId(1));
        assert_eq!(says(&board, placed), "So. Late by 2 min, because.");
        assert!(says(&board, other).starts_with("It needs no bench"));
        let unplaced = vec![Unplaced { job: JobId(other), why: "held".to_owned() }];
        let (covers_up_to, made_at, trouble) = (Seq(1), None, None);
        board.planner = Some(PlannerView { covers_up_to, made_at, unplaced, trouble });
        assert!(says(&board, other).starts_with("It is held"));
        assert!(answer(&board, JobRef::Job(JobId(999))).is_err());
    }
}
