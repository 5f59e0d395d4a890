//! Quick replanning: keeps the order of an older plan, lets go what is no more, and puts what is new where it is best.

use super::insert::{Inserter, Reach, Tie};
use super::lanes::Lanes;
use super::model::Model;
use super::{Outcome, outcome};
use crate::plan::problem::{Problem, Row};

/// As long as no more operations than this are new, every place is looked at.
const FEW: usize = 8;

/// A plan for `problem` from an older plan's rows, which name the problem's jobs, operations and benches.
///
/// A job keeps its benches and its place in their orders if all its operations are among the rows, each on a bench that
/// can do it. Every other job is new and goes, most urgent first, where the objective grows least. Rows that name what
/// does not exist are passed over. The times of the rows count for nothing but their order. An empty plan is repaired
/// into a full one.
pub fn repair(problem: &Problem, old: &[Row]) -> Outcome {
    let model = Model::new(problem);
    let mut rows = sound_rows(problem, old);
    let kept = whole_jobs(problem, &rows);
    rows.retain(|row| kept[row.job]);
    let mut lanes = Lanes::new(&model);
    if !lanes.load_kept(&rows) {
        // The older plan contradicts itself: nothing of its order is worth keeping.
        return repair(problem, &[]);
    }
    let new: Vec<usize> = (0..problem.jobs.len()).filter(|job| !kept[*job]).collect();
    let spent = place(&model, &mut lanes, new);
    outcome(problem, &lanes, spent)
}

/// Puts jobs into the lanes one by one, the one that must start soonest first; ties by weight, then by index.
fn place(model: &Model, lanes: &mut Lanes<'_>, mut jobs: Vec<usize>) -> u64 {
    let count: usize = jobs.iter().map(|job| model.ops_of(*job as u32).len()).sum();
    let reach = if count <= FEW { Reach::All } else { Reach::Near };
    jobs.sort_by_key(|job| {
        let price = &model.prices[*job];
        (price.due - model.shortest_way(*job as u32), -price.weight, *job)
    });
    insert_all(model, lanes, &jobs, reach)
}

/// Puts jobs into the lanes one by one in the order given.
pub(super) fn insert_all(model: &Model, lanes: &mut Lanes<'_>, jobs: &[usize], reach: Reach) -> u64 {
    let mut inserter = Inserter::new(0);
    for op in jobs.iter().flat_map(|job| model.ops_of(*job as u32)) {
        inserter.insert(lanes, op, Tie::Completion, reach);
    }
    inserter.spent
}

/// The rows that name what exists on a bench that can do it, in order of their start, the first of each operation.
fn sound_rows(problem: &Problem, old: &[Row]) -> Vec<Row> {
    let sound = |row: &&Row| {
        let op = problem.jobs.get(row.job).and_then(|job| job.ops.get(row.op));
        op.is_some_and(|op| op.at(row.bench).is_some())
    };
    let mut rows: Vec<Row> = old.iter().filter(sound).copied().collect();
    rows.sort_unstable();
    let mut seen: Vec<Vec<bool>> = problem.jobs.iter().map(|job| vec![false; job.ops.len()]).collect();
    rows.retain(|row| !std::mem::replace(&mut seen[row.job][row.op], true));
    rows
}

/// Which jobs have all their operations among the rows.
fn whole_jobs(problem: &Problem, rows: &[Row]) -> Vec<bool> {
    let mut count = vec![0; problem.jobs.len()];
    for row in rows {
        count[row.job] += 1;
    }
    count.iter().zip(&problem.jobs).map(|(count, job)| *count == job.ops.len()).collect()
}
