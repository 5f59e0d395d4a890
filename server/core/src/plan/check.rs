//! Judges a finished plan by itself: whether it can be carried out, and how good it is. Shares no code with the
//! search beyond the problem's own types, so that it cannot share a mistake.

use thiserror::Error;

use super::problem::{Objective, Problem, Row, Schedule};

/// Why a plan cannot be carried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum Broken {
    /// A row names a job, operation or bench that does not exist.
    #[error("{0:?} names what does not exist")]
    Unknown(Row),
    /// That bench cannot do that work.
    #[error("{0:?}: the bench cannot do this work")]
    Unable(Row),
    /// Too short or too long for that bench.
    #[error("{0:?}: takes {1} there")]
    Duration(Row, i64),
    /// Outside the bench's windows, or across two of them.
    #[error("{0:?}: outside one window of the bench")]
    Shut(Row),
    /// While the bench is still busy with frozen work.
    #[error("{0:?}: the bench is still busy")]
    Busy(Row),
    /// Before the job is there.
    #[error("{0:?}: before release")]
    Early(Row),
    /// Before the cure is over.
    #[error("{0:?}: before the cure is over")]
    Wet(Row),
    /// The same operation twice.
    #[error("{0:?}: done twice")]
    Twice(Row),
    /// Two operations at once on one bench.
    #[error("{0:?} overlaps the row before it on its bench")]
    Overlap(Row),
    /// A job lacks an operation, though it is not among the unplaced.
    #[error("job {0} lacks operation {1}")]
    Missing(usize, usize),
    /// A job is among the unplaced, though it has rows, or does not exist.
    #[error("job {0} is unplaced and has a place, or does not exist")]
    Unplaced(usize),
}

/// The plan's objective, or the first reason why it cannot be carried out.
pub fn check(problem: &Problem, plan: &Schedule) -> Result<Objective, Broken> {
    let mut at: Vec<Vec<Option<Row>>> = problem.jobs.iter().map(|job| vec![None; job.ops.len()]).collect();
    for row in &plan.rows {
        check_row(problem, row)?;
        if at[row.job][row.op].replace(*row).is_some() {
            return Err(Broken::Twice(*row));
        }
    }
    check_overlaps(plan)?;
    let mut total = Objective::default();
    let mut shelved = vec![false; problem.jobs.len()];
    for &job in &plan.unplaced {
        let bare = at.get(job).is_some_and(|ops| ops.iter().all(Option::is_none));
        if !bare || std::mem::replace(&mut shelved[job], true) {
            return Err(Broken::Unplaced(job));
        }
        total.unplaced += problem.jobs[job].weight.max(1);
    }
    for (index, ops) in at.iter().enumerate().filter(|(index, _)| !shelved[*index]) {
        let end = check_order(problem, index, ops)?;
        let job = &problem.jobs[index];
        total.overrun = total.overrun.max(job.last_call.map_or(0, |call| end - call));
        total.cost += job.weight * 0.max(end - job.due);
        total.completion += job.weight * end;
    }
    total.cost += calm_cost(problem, plan);
    Ok(total)
}

fn check_row(problem: &Problem, row: &Row) -> Result<(), Broken> {
    let known = problem.jobs.get(row.job).and_then(|job| Some((job, job.ops.get(row.op)?)));
    let (Some((job, op)), Some(bench)) = (known, problem.benches.get(row.bench)) else {
        return Err(Broken::Unknown(*row));
    };
    let Some((_, minutes)) = op.minutes.iter().find(|(able, _)| *able == row.bench) else {
        return Err(Broken::Unable(*row));
    };
    if row.end - row.start != *minutes {
        return Err(Broken::Duration(*row, *minutes));
    }
    if !bench.open.iter().any(|(from, to)| *from <= row.start && row.end <= *to) {
        return Err(Broken::Shut(*row));
    }
    if row.start < bench.busy_until {
        return Err(Broken::Busy(*row));
    }
    if row.op == 0 && row.start < job.release {
        return Err(Broken::Early(*row));
    }
    Ok(())
}

fn check_overlaps(plan: &Schedule) -> Result<(), Broken> {
    let mut rows = plan.rows.clone();
    rows.sort_by_key(|row| (row.bench, row.start, row.end));
    let clash = rows.windows(2).find(|pair| pair[0].bench == pair[1].bench && pair[1].start < pair[0].end);
    clash.map_or(Ok(()), |pair| Err(Broken::Overlap(pair[1])))
}

/// The end of the job's last operation.
fn check_order(problem: &Problem, job: usize, ops: &[Option<Row>]) -> Result<i64, Broken> {
    let mut end = None;
    for (index, row) in ops.iter().enumerate() {
        let row = row.ok_or(Broken::Missing(job, index))?;
        let cured = end.map(|end: i64| end + problem.jobs[job].ops[index].after_cure);
        if cured.is_some_and(|cured| row.start < cured) {
            return Err(Broken::Wet(row));
        }
        end = Some(row.end);
    }
    end.ok_or(Broken::Missing(job, 0))
}

/// What leaving the former bench and changing a bench's "next" cost.
fn calm_cost(problem: &Problem, plan: &Schedule) -> i64 {
    let moved = plan
        .rows
        .iter()
        .filter(|row| problem.jobs[row.job].ops[row.op].before.is_some_and(|before| before != row.bench));
    let moved = problem.move_cost * moved.count() as i64;
    let told = problem.benches.iter().enumerate().filter_map(|(index, bench)| {
        let told = bench.told?;
        let first =
            plan.rows.iter().filter(|row| row.bench == index).min_by_key(|row| (row.start, row.end))?;
        ((first.job, first.op) != (told.job, told.op)).then_some(told.cost)
    });
    moved + told.sum::<i64>()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::problem::{Bench, Job, Operation, Told};
    use super::*;

    /// Two benches; job 0 cures for 4 between its two operations, job 1 is plain.
    fn two() -> Problem {
        let bench = Bench { busy_until: 1, open: vec![(0, 10), (12, 40)], told: None };
        let op = |after_cure, minutes: &[(usize, i64)]| Operation {
            after_cure,
            minutes: minutes.to_vec(),
            before: None,
        };
        let glued = Job {
            due: 5,
            weight: 2,
            ops: vec![op(0, &[(0, 3)]), op(4, &[(0, 2), (1, 1)])],
            ..Job::default()
        };
        let plain = Job { release: 4, due: 30, weight: 1, ops: vec![op(0, &[(0, 6)])], ..Job::default() };
        Problem { benches: vec![bench.clone(), bench], jobs: vec![glued, plain], move_cost: 0 }
    }

    fn row(job: usize, op: usize, bench: usize, start: i64, end: i64) -> Row {
        Row { start, bench, end, job, op }
    }

    fn plan() -> Schedule {
        Schedule { rows: vec![row(0, 0, 0, 1, 4), row(1, 0, 0, 4, 10), row(0, 1, 1, 8, 9)], unplaced: vec![] }
    }

    #[test]
    fn a_sound_plan_has_its_objective() {
        let value = check(&two(), &plan()).unwrap();
        assert_eq!(value, Objective { unplaced: 0, overrun: 0, cost: 8, completion: 28 });
    }

    #[test]
    fn every_broken_rule_is_named() {
        let spoil = |index: usize, row: Row| {
            let mut plan = plan();
            plan.rows[index] = row;
            check(&two(), &plan).unwrap_err()
        };
        let at = |row| spoil(1, row);
        assert!(matches!(at(row(2, 0, 0, 4, 10)), Broken::Unknown(_)));
        assert!(matches!(at(row(1, 1, 0, 4, 10)), Broken::Unknown(_)));
        assert!(matches!(at(row(1, 0, 2, 4, 10)), Broken::Unknown(_)));
        assert!(matches!(at(row(1, 0, 1, 4, 10)), Broken::Unable(_)));
        assert!(matches!(at(row(1, 0, 0, 4, 9)), Broken::Duration(_, 6)));
        assert!(matches!(at(row(1, 0, 0, 5, 11)), Broken::Shut(_)));
        assert!(matches!(at(row(1, 0, 0, 3, 9)), Broken::Early(_)));
        assert!(matches!(spoil(0, row(0, 0, 0, 0, 3)), Broken::Busy(_)));
        assert!(matches!(spoil(0, row(0, 0, 0, 2, 5)), Broken::Overlap(_)));
        assert!(matches!(spoil(2, row(0, 1, 1, 7, 8)), Broken::Wet(_)));
        assert!(matches!(spoil(2, row(0, 0, 0, 12, 15)), Broken::Twice(_)));
        let mut short = plan();
        short.rows.pop();
        assert_eq!(check(&two(), &short), Err(Broken::Missing(0, 1)));
    }

    #[test]
    fn a_job_without_a_place_has_no_rows_and_costs_its_weight() {
        let mut plan = plan();
        plan.unplaced = vec![1];
        assert_eq!(check(&two(), &plan), Err(Broken::Unplaced(1)));
        plan.rows.remove(1);
        assert_eq!(check(&two(), &plan).map(|value| (value.unplaced, value.cost)), Ok((1, 8)));
        plan.unplaced = vec![1, 1];
        assert_eq!(check(&two(), &plan), Err(Broken::Unplaced(1)));
        plan.unplaced = vec![1, 7];
        assert_eq!(check(&two(), &plan), Err(Broken::Unplaced(7)));
    }

    #[test]
    fn unrest_costs_and_overruns_count() {
        let mut problem = two();
        problem.move_cost = 5;
        problem.jobs[0].ops[1].before = Some(0);
        problem.jobs[0].ops[0].before = Some(0);
        problem.benches[0].told = Some(Told { job: 1, op: 0, cost: 11 });
        problem.benches[1].told = Some(Told { job: 0, op: 1, cost: 13 });
        problem.jobs[1].last_call = Some(7);
        problem.jobs[0].last_call = Some(90);
        let value = check(&problem, &plan()).unwrap();
        assert_eq!((value.overrun, value.cost), (3, 8 + 5 + 11));
    }
}
