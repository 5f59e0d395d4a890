//! Quick plans by simple rules: list scheduling, which never leaves a bench idle on purpose. Yardsticks, and starts
//! for the search.

use super::problem::{Problem, Row, Schedule, Unit};

/// Which operation goes first among those that can start soonest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// First come, first served: by release, then by number.
    Fifo,
    /// Earliest due first.
    Edd,
    /// Weighted shortest remaining work first.
    Wspt,
    /// Apparent tardiness cost with k = 2, after Vepsalainen & Morton 1987 (year and form from memory, not checked;
    /// remaining work in place of the duration because of the cures is our own).
    Atc,
    /// Earliest last call first, jobs without one last; then as first come, first served.
    LastCall,
}

/// One operation at one bench, and when it could start there.
#[derive(Clone, Copy)]
struct Choice {
    start: Unit,
    job: usize,
    op: usize,
    bench: usize,
    minutes: Unit,
}

/// The list schedule by `rule`.
///
/// Until all is placed: of every operation whose predecessor is placed, and every bench that can do it, take the
/// earliest start that fits one window; among the pairs that start soonest the smallest rank, then fewer minutes, the
/// lower job, the lower bench. Takes time in proportion to operations² × benches: for some hundred jobs.
/// A job that fits nowhere any more is unplaced.
pub fn list(problem: &Problem, rule: Rule) -> Schedule {
    let scale = mean_shortest(problem);
    let mut free: Vec<Unit> = problem.benches.iter().map(|bench| bench.busy_until).collect();
    let mut ready: Vec<(usize, usize, Unit)> =
        problem.jobs.iter().enumerate().map(|(index, job)| (index, 0, job.release)).collect();
    let mut plan = Schedule::default();
    while !ready.is_empty() {
        let choices: Vec<Choice> =
            ready.iter().flat_map(|pending| choices(problem, &free, *pending)).collect();
        let Some(start) = choices.iter().map(|choice| choice.start).min() else {
            plan.unplaced.extend(ready.iter().map(|(job, _, _)| *job));
            break;
        };
        let first = choices
            .iter()
            .filter(|choice| choice.start == start)
            .map(|choice| (rank(problem, rule, choice, scale), choice))
            .min_by(|(a, one), (b, other)| compare(*a, *b).then_with(|| tie(one).cmp(&tie(other))));
        let Some((_, first)) = first else { break };
        let end = start + first.minutes;
        plan.rows.push(Row { start, bench: first.bench, end, job: first.job, op: first.op });
        free[first.bench] = end;
        let ops = &problem.jobs[first.job].ops;
        ready.retain(|(job, _, _)| *job != first.job);
        if let Some(next) = ops.get(first.op + 1) {
            ready.push((first.job, first.op + 1, end + next.after_cure));
        }
    }
    plan.settle_rows();
    plan
}

impl Schedule {
    /// Puts rows and unplaced jobs in order, and takes away what unplaced jobs still hold.
    pub(super) fn settle_rows(&mut self) {
        self.unplaced.sort_unstable();
        let unplaced = &self.unplaced;
        self.rows.retain(|row| unplaced.binary_search(&row.job).is_err());
        self.rows.sort_unstable();
    }
}

fn choices(
    problem: &Problem,
    free: &[Unit],
    (job, op, ready): (usize, usize, Unit),
) -> impl Iterator<Item = Choice> {
    problem.jobs[job].ops[op].minutes.iter().filter_map(move |&(bench, minutes)| {
        let start = earliest(&problem.benches[bench].open, free[bench].max(ready), minutes)?;
        Some(Choice { start, job, op, bench, minutes })
    })
}

/// The earliest start at or after `from` that lies inside one window with its whole duration.
fn earliest(open: &[(Unit, Unit)], from: Unit, minutes: Unit) -> Option<Unit> {
    open.iter()
        .map(|(opens, closes)| (from.max(*opens), *closes))
        .find_map(|(start, closes)| (start + minutes <= closes).then_some(start))
}

/// Mean over all operations of their shortest duration.
fn mean_shortest(problem: &Problem) -> f64 {
    let shortest: Vec<Unit> =
        problem.jobs.iter().flat_map(|job| &job.ops).map(super::problem::Operation::shortest).collect();
    shortest.iter().sum::<Unit>() as f64 / shortest.len() as f64
}

fn rank(problem: &Problem, rule: Rule, choice: &Choice, scale: f64) -> (f64, f64) {
    let job = &problem.jobs[choice.job];
    let rest = job.ops[choice.op + 1..].iter().map(|op| op.after_cure + op.shortest()).sum::<Unit>();
    let left = choice.minutes + rest;
    let worth = -(job.weight as f64) / left as f64;
    match rule {
        Rule::Fifo => (job.release as f64, f64::from(job.number)),
        Rule::Edd => (job.due as f64, 0.0),
        Rule::Wspt => (worth, 0.0),
        Rule::Atc => {
            let slack = (job.due - left - choice.start).max(0) as f64;
            (worth * (-slack / (2.0 * scale)).exp(), 0.0)
        }
        Rule::LastCall => (job.last_call.map_or(f64::INFINITY, |call| call as f64), f64::from(job.number)),
    }
}

fn compare(a: (f64, f64), b: (f64, f64)) -> std::cmp::Ordering {
    a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
}

fn tie(choice: &Choice) -> (Unit, usize, usize) {
    (choice.minutes, choice.job, choice.bench)
}

#[cfg(test)]
mod tests {
    use super::super::check::check;
    use super::super::problem::{Bench, Job, Operation};
    use super::*;

    fn job(number: u32, due: Unit, weight: i64, minutes: Unit) -> Job {
        let op = Operation { minutes: vec![(0, minutes)], ..Operation::default() };
        Job { number, due, weight, ops: vec![op], ..Job::default() }
    }

    fn order(rule: Rule) -> Vec<usize> {
        let bench = Bench { open: vec![(0, 100)], ..Bench::default() };
        let mut jobs = vec![job(2, 30, 1, 9), job(1, 20, 9, 9), job(0, 10, 1, 3)];
        jobs[0].last_call = Some(50);
        let problem = Problem { benches: vec![bench], jobs, move_cost: 0 };
        let plan = list(&problem, rule);
        assert!(check(&problem, &plan).is_ok());
        plan.rows.iter().map(|row| row.job).collect()
    }

    // By hand: numbers, dues, 9/9 > 1/3 > 1/9; ATC at 0 with scale 7: 1/9·e^(-21/14), 1·e^(-11/14), 1/3·e^(-7/14).
    #[test]
    fn each_rule_has_its_order() {
        assert_eq!(order(Rule::Fifo), [2, 1, 0]);
        assert_eq!(order(Rule::Edd), [2, 1, 0]);
        assert_eq!(order(Rule::Wspt), [1, 2, 0]);
        assert_eq!(order(Rule::Atc), [1, 2, 0]);
        assert_eq!(order(Rule::LastCall), [0, 2, 1]);
    }

    #[test]
    fn what_fits_nowhere_is_unplaced_and_the_rest_stays() {
        let bench = Bench { open: vec![(0, 10), (12, 20)], ..Bench::default() };
        let jobs = vec![job(0, 5, 1, 11), job(1, 5, 1, 8), job(2, 5, 1, 3)];
        let problem = Problem { benches: vec![bench], jobs, move_cost: 0 };
        let plan = list(&problem, Rule::Fifo);
        assert_eq!(plan.unplaced, [0]);
        assert_eq!(plan.rows.iter().map(|row| (row.job, row.start)).collect::<Vec<_>>(), [(1, 0), (2, 12)]);
        assert!(check(&problem, &plan).is_ok());
    }
}
