//! Checks of the search on made problems of every shape. Held against the independent check of plans; the problems are
//! made up, the properties are what the functions promise.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::insert::{Inserter, Reach, Tie};
use super::lanes::{Lanes, Place};
use super::model::Model;
use super::probe::{Probe, Ripple};
use super::random::Random;
use super::*;
use crate::plan::problem::{Bench, Job, Operation, Told, Unit};

/// A made problem: some benches with breaks, jobs of one to three operations, and every addition now and then.
fn made(seed: u64, jobs: usize, benches: usize) -> Problem {
    let mut random = Random::new(seed);
    let mut below = |bound: usize| random.below(bound) as i64;
    let work = 12 * jobs as i64 / benches as i64;
    let mut problem = Problem { move_cost: 3 * below(2), ..Problem::default() };
    for _ in 0..benches {
        let noon = 10 + below(work as usize + 1);
        let close = noon + 15 + below(2 * work as usize + 30);
        let told = (below(3) == 0).then(|| Told { job: below(jobs) as usize, op: 0, cost: below(30) });
        problem.benches.push(Bench {
            busy_until: below(12),
            open: vec![(0, noon), (noon + 10, close)],
            told,
        });
    }
    for number in 0..jobs {
        let calls = below(4) == 0;
        let count = [1, 1, 1, 2, 2, 3][below(6) as usize];
        let release = below(3) * below(work as usize + 1) / 2;
        let ops = (0..count).map(|_| {
            let able: Vec<usize> = (0..benches).filter(|_| below(3) > 0).collect();
            let able = if able.is_empty() { vec![below(benches) as usize] } else { able };
            let minutes = able.iter().map(|bench| (*bench, 1 + below(20))).collect();
            let before = (below(3) == 0).then(|| below(benches) as usize);
            Operation { after_cure: below(25), minutes, before }
        });
        let ops = ops.collect();
        let due = release + below(work as usize + 20);
        let (weight, last_call) = (below(9), calls.then(|| release + below(60)));
        problem.jobs.push(Job { number: number as u32, release, due, weight, last_call, ops });
    }
    problem.validate().unwrap();
    problem
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn an_improved_plan_is_feasible_no_worse_and_repeatable(
        seed in any::<u64>(), jobs in 1_usize..24, benches in 1_usize..5, budget in 0_u64..3_000,
    ) {
        let problem = made(seed, jobs, benches);
        let start = list(&problem, Rule::Atc);
        let before = check(&problem, &start).unwrap();
        let found = improve(&problem, &start, budget, seed);
        prop_assert_eq!(check(&problem, &found.schedule), Ok(found.objective));
        prop_assert!(found.objective <= before, "{:?} was {:?}", found.objective, before);
        prop_assert_eq!(&improve(&problem, &start, budget, seed), &found);
        // A step puts back at most 5 jobs of 3 operations; each looks at most at 6 benches, or all of fewer, and at
        // every place in the lanes.
        let step = 1 + 15 * (problem.benches.len() * (3 * jobs + 1)) as u64;
        prop_assert!(found.evaluations <= budget.max(3 * jobs as u64) + step, "{}", found.evaluations);
    }

    #[test]
    fn no_plan_overruns_its_last_calls_more_than_taking_them_in_order(
        seed in any::<u64>(), jobs in 1_usize..24, benches in 1_usize..4,
    ) {
        let problem = made(seed, jobs, benches);
        let bound = check(&problem, &list(&problem, Rule::LastCall)).unwrap();
        let found = improve(&problem, &list(&problem, Rule::Wspt), 500, 1).objective;
        prop_assert!((found.unplaced, found.overrun) <= (bound.unplaced, bound.overrun) || found.overrun == 0);
    }

    #[test]
    fn a_repaired_plan_is_feasible_and_repeatable(
        seed in any::<u64>(), jobs in 1_usize..24, benches in 1_usize..5, noise in 0_usize..40,
    ) {
        let problem = made(seed, jobs, benches);
        let mut random = Random::new(seed ^ 1);
        let row = |random: &mut Random| {
            let start = random.below(100) as Unit;
            let (bench, job, op) = (random.below(benches + 1), random.below(jobs + 1), random.below(4));
            crate::plan::problem::Row { start, bench, end: start + 1, job, op }
        };
        let rows: Vec<_> = (0..noise).map(|_| row(&mut random)).collect();
        let found = repair(&problem, &rows);
        prop_assert_eq!(check(&problem, &found.schedule), Ok(found.objective));
        prop_assert_eq!(&repair(&problem, &rows), &found);
    }

    /// What a probe says is what comes of it, and the running total is what a count from nothing gives.
    #[test]
    fn a_probe_says_what_comes_of_it(seed in any::<u64>(), jobs in 2_usize..16, benches in 1_usize..4) {
        let problem = made(seed, jobs, benches);
        let model = Model::new(&problem);
        let mut lanes = Lanes::new(&model);
        let mut inserter = Inserter::new(seed);
        for op in 0..model.ops.len() as u32 {
            probe_everywhere(&mut lanes, op)?;
            inserter.insert(&mut lanes, op, Tie::Chance, Reach::All);
        }
        for job in [0, jobs as u32 - 1] {
            lanes.remove(job);
            prop_assert!(lanes.settle());
            for op in model.ops_of(job) {
                probe_everywhere(&mut lanes, op)?;
                inserter.insert(&mut lanes, op, Tie::Completion, Reach::Near);
            }
        }
        let plan = lanes.schedule(&problem);
        if plan.unplaced.is_empty() {
            prop_assert_eq!(check(&problem, &plan), Ok(lanes.total));
        }
    }
}

fn probe_everywhere(lanes: &mut Lanes<'_>, op: u32) -> Result<(), TestCaseError> {
    let model = lanes.model;
    let (total, base, mut ripple) = (lanes.total, lanes.without(op), Ripple::new());
    let ends = lanes.end.clone();
    for &(bench, minutes) in model.able(op) {
        for pos in 0..=lanes.len(bench) as u32 {
            let at = Place { bench, pos };
            let none = Objective { unplaced: i64::MAX, ..Objective::default() };
            let probe = lanes.probe(op, at, minutes, (base, none), &mut ripple);
            if lanes.enter(op, at, minutes) {
                if let Probe::Offer(offer) = probe {
                    let mut value = offer.value;
                    if lanes.total.unplaced > 0 {
                        // Work that falls out of the hours overruns nothing any more; a probe keeps the longer figure.
                        prop_assert!(value.overrun >= lanes.total.overrun);
                        value.overrun = lanes.total.overrun;
                    }
                    prop_assert_eq!(value, lanes.total);
                    prop_assert_eq!(offer.end, lanes.end[op as usize]);
                } else {
                    prop_assert_eq!(probe, Probe::Tangled);
                }
                lanes.leave(op, total);
            } else {
                prop_assert_eq!(probe, Probe::Tangled);
            }
            prop_assert_eq!(lanes.total, total);
            let same = |other: usize| other == op as usize || lanes.end[other] == ends[other];
            prop_assert!((0..ends.len()).all(same));
        }
    }
    Ok(())
}

fn plain(number: u32, release: Unit, due: Unit, weight: i64, minutes: &[(usize, Unit)]) -> Job {
    let op = Operation { minutes: minutes.to_vec(), ..Operation::default() };
    Job { number, release, due, weight, last_call: None, ops: vec![op] }
}

fn benches(count: usize) -> Vec<Bench> {
    vec![Bench { open: vec![(0, 10_000)], ..Bench::default() }; count]
}

#[test]
fn a_problem_without_jobs_or_without_hours_has_a_plan() {
    let empty = Problem { benches: benches(2), ..Problem::default() };
    assert_eq!(improve(&empty, &Schedule::default(), 100, 1), repair(&empty, &[]));
    let shut =
        Problem { benches: vec![Bench::default()], jobs: vec![plain(0, 0, 5, 3, &[(0, 4)])], move_cost: 0 };
    let found = improve(&shut, &repair(&shut, &[]).schedule, 100, 1);
    assert_eq!((found.schedule.unplaced, found.objective.unplaced), (vec![0], 3));
}

#[test]
fn a_repair_keeps_the_lanes_and_lets_go_what_is_no_more() {
    let both = [(0, 10), (1, 10)];
    let jobs = (0..6).map(|number| plain(number, 0, 100, 1, &both)).collect();
    let mut problem = Problem { benches: benches(2), jobs, move_cost: 0 };
    let lane = |plan: &Schedule, bench: usize| -> Vec<usize> {
        plan.rows.iter().filter(|row| row.bench == bench).map(|row| row.job).collect()
    };
    let row = |job: usize, bench: usize, start: Unit| crate::plan::problem::Row {
        start,
        bench,
        end: start + 10,
        job,
        op: 0,
    };
    let old = [row(4, 0, 0), row(1, 0, 10), row(3, 0, 20), row(0, 1, 0), row(2, 1, 10)];
    problem.jobs[5].due = 10;
    problem.jobs[5].weight = 8;
    // A bench that can no longer do its work gives it away.
    problem.jobs[2].ops[0].minutes = vec![(0, 10)];
    let found = repair(&problem, &old);
    let first: Vec<usize> =
        lane(&found.schedule, 0).into_iter().filter(|job| [4, 1, 3].contains(job)).collect();
    assert_eq!(first, [4, 1, 3]);
    assert_eq!(found.schedule.rows.iter().find(|row| row.job == 5).unwrap().start, 0);
    assert_eq!(found.schedule.rows.iter().find(|row| row.job == 2).unwrap().bench, 0);
    assert_eq!(found.objective.cost, 0);
}

#[test]
fn a_move_to_another_bench_has_to_be_worth_it() {
    // Two jobs in one lane; the other bench is free. Moving one saves 4 weighted minutes.
    let both = [(0, 4), (1, 4)];
    let mut problem = Problem {
        benches: benches(2),
        jobs: (0..2).map(|n| plain(n, 0, 4, 1, &both)).collect(),
        move_cost: 0,
    };
    for job in &mut problem.jobs {
        job.ops[0].before = Some(0);
    }
    let cost = |move_cost: i64| {
        let problem = Problem { move_cost, ..problem.clone() };
        improve(&problem, &list(&problem, Rule::Fifo), 2_000, 1).objective.cost
    };
    assert_eq!((cost(0), cost(3), cost(4), cost(5)), (0, 3, 4, 4));
}

#[test]
fn what_a_bench_was_told_stays_next_unless_it_costs_more() {
    let jobs = vec![plain(0, 0, 0, 1, &[(0, 5)]), plain(1, 0, 0, 2, &[(0, 5)])];
    let first = |cost: i64| {
        let told = Some(Told { job: 0, op: 0, cost });
        let lane = vec![Bench { told, ..benches(1).remove(0) }];
        let problem = Problem { benches: lane, jobs: jobs.clone(), move_cost: 0 };
        improve(&problem, &repair(&problem, &[]).schedule, 2_000, 1).schedule.rows[0].job
    };
    // Job 1 first is late by 5·2 + 10·1 = 20, job 0 first by 5·1 + 10·2 = 25.
    assert_eq!((first(4), first(6)), (1, 0));
}

/// One bench; a heavy job of 5 minutes comes every 5 minutes, a light one waits from the start. Each time the bench is
/// free, the plan is made anew and its first job is taken. When the light one is taken, if it is within 300 minutes.
fn light_job_taken_at(patience: Option<Unit>) -> Option<Unit> {
    let mut waiting = vec![plain(0, 0, 0, 1, &[(0, 5)])];
    waiting[0].last_call = patience;
    for now in (0..300).step_by(5) {
        let mut heavy = plain(1 + now as u32, now, now, 8, &[(0, 5)]);
        heavy.last_call = patience.map(|patience| now + patience);
        waiting.push(heavy);
        let lane = Bench { busy_until: now, ..benches(1).remove(0) };
        let problem = Problem { benches: vec![lane], jobs: waiting.clone(), move_cost: 0 };
        let found = improve(&problem, &repair(&problem, &[]).schedule, 500, 1);
        let next = found.schedule.rows[0].job;
        if waiting.remove(next).number == 0 {
            return Some(now);
        }
    }
    None
}

#[test]
fn heavier_work_that_keeps_coming_starves_nobody_who_has_a_last_call() {
    assert_eq!(light_job_taken_at(None), None, "without a last call it waits as long as heavy work comes");
    // In order of last call it would go first of all, so nothing has to overrun: it ends by its last call.
    let taken = light_job_taken_at(Some(60)).unwrap();
    assert!((30..=55).contains(&taken), "{taken}");
}
