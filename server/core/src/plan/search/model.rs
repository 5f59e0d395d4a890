//! The problem laid out for the search: operations in one flat list, windows without frozen time, and one endless last
//! window that stands for "no time any more".

use std::ops::Range;

use crate::plan::problem::{Objective, Problem, Unit};

/// No operation, or no bench.
pub(super) const NONE: u32 = u32::MAX;

/// One operation.
#[derive(Clone, Copy, Debug)]
pub(super) struct Op {
    /// Its job.
    pub(super) job: u32,
    /// The job's operation before it, or [`NONE`].
    pub(super) prev: u32,
    /// The job's operation after it, or [`NONE`].
    pub(super) next: u32,
    /// Release, for a first operation; else the cure after `prev`.
    pub(super) after: Unit,
    /// The least time from its end to the job's end.
    pub(super) tail: Unit,
    /// The bench that it was planned on before, or [`NONE`].
    pub(super) before: u32,
    /// What the end of its job costs.
    pub(super) price: Price,
    able: (u32, u32),
}

/// What the end of a job costs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Price {
    pub(super) due: Unit,
    pub(super) weight: i64,
    last_call: Unit,
}

/// The problem, flat.
#[derive(Debug)]
pub(super) struct Model {
    pub(super) ops: Vec<Op>,
    /// First operation of each job, and one past the last.
    pub(super) first: Vec<u32>,
    pub(super) prices: Vec<Price>,
    /// Windows by bench; the last one is endless.
    pub(super) open: Vec<Vec<(Unit, Unit)>>,
    /// Operation and cost of each bench's "next", when it was told one.
    pub(super) told: Vec<Option<(u32, i64)>>,
    pub(super) move_cost: i64,
    /// What ends later has no place.
    pub(super) limit: Unit,
    pub(super) has_calls: bool,
    able: Vec<(u32, Unit)>,
}

/// A job's part of the objective: unplaced, cost, completion.
pub(super) type Part = (i64, i64, i64);

impl Price {
    /// The parts for a job that ends at `end`; nothing but its weight when that is past `limit`.
    pub(super) fn at(&self, end: Unit, limit: Unit) -> Part {
        if end > limit {
            return (self.weight.max(1), 0, 0);
        }
        (0, self.weight * (end - self.due).max(0), self.weight * end)
    }

    /// Changes `value` for a job that ended at `old` and now ends at `new`, later. The overrun is kept where the job
    /// falls out of the hours.
    pub(super) fn shift(&self, old: Unit, new: Unit, limit: Unit, value: &mut Objective) {
        if new > limit {
            let (before, after) = (self.at(old, limit), self.at(new, limit));
            value.unplaced += after.0 - before.0;
            value.cost += after.1 - before.1;
            value.completion += after.2 - before.2;
            return;
        }
        value.overrun = value.overrun.max(new - self.last_call);
        value.cost += self.weight * ((new - self.due).max(0) - (old - self.due).max(0));
        value.completion += self.weight * (new - old);
    }

    /// The overrun of the last call.
    pub(super) fn overrun(&self, end: Unit, limit: Unit) -> Unit {
        if end > limit { 0 } else { (end - self.last_call).max(0) }
    }

    /// Whether an end at `end` is late.
    pub(super) fn late(&self, end: Unit) -> bool {
        end > self.due
    }
}

impl Model {
    /// Lays the problem out.
    pub(super) fn new(problem: &Problem) -> Self {
        let closes = problem.benches.iter().flat_map(|bench| &bench.open).map(|(_, to)| *to);
        let limit = closes.max().unwrap_or(0);
        let mut model = Self {
            ops: Vec::new(),
            first: vec![0],
            prices: Vec::with_capacity(problem.jobs.len()),
            open: problem.benches.iter().map(|bench| windows(&bench.open, bench.busy_until, limit)).collect(),
            told: Vec::new(),
            move_cost: problem.move_cost,
            limit,
            has_calls: problem.jobs.iter().any(|job| job.last_call.is_some()),
            able: Vec::new(),
        };
        for index in 0..problem.jobs.len() {
            model.push_job(problem, index);
        }
        let told = |told: crate::plan::problem::Told| (model.first[told.job] + told.op as u32, told.cost);
        model.told = problem.benches.iter().map(|bench| bench.told.map(told)).collect();
        model
    }

    fn push_job(&mut self, problem: &Problem, index: usize) {
        let job = &problem.jobs[index];
        let first = self.ops.len() as u32;
        let last = first + job.ops.len() as u32 - 1;
        let last_call = job.last_call.unwrap_or(Unit::MAX / 4);
        let price = Price { due: job.due, weight: job.weight, last_call };
        let mut tail: Unit = job.ops.iter().map(|op| op.after_cure + op.shortest()).sum();
        for (op, number) in job.ops.iter().zip(first..) {
            tail -= op.after_cure + op.shortest();
            let from = self.able.len() as u32;
            self.able.extend(op.minutes.iter().map(|(bench, minutes)| (*bench as u32, *minutes)));
            self.ops.push(Op {
                job: index as u32,
                prev: if number == first { NONE } else { number - 1 },
                next: if number == last { NONE } else { number + 1 },
                after: if number == first { job.release } else { op.after_cure },
                tail,
                before: op.before.map_or(NONE, |bench| bench as u32),
                price,
                able: (from, self.able.len() as u32),
            });
        }
        self.first.push(last + 1);
        self.prices.push(price);
    }

    /// The benches that can do an operation, ascending, with its duration there.
    pub(super) fn able(&self, op: u32) -> &[(u32, Unit)] {
        let (from, to) = self.ops[op as usize].able;
        &self.able[from as usize..to as usize]
    }

    /// The operation's duration at a bench.
    pub(super) fn minutes(&self, op: u32, bench: u32) -> Option<Unit> {
        self.able(op).iter().find(|(able, _)| *able == bench).map(|(_, minutes)| *minutes)
    }

    /// The operations of a job.
    pub(super) fn ops_of(&self, job: u32) -> Range<u32> {
        self.first[job as usize]..self.first[job as usize + 1]
    }

    /// The least time from a job's first start to its end.
    pub(super) fn shortest_way(&self, job: u32) -> Unit {
        let first = self.first[job as usize];
        self.shortest(first) + self.ops[first as usize].tail
    }

    /// The sum over all operations of their shortest duration.
    pub(super) fn shortest_of_all(&self) -> Unit {
        (0..self.ops.len() as u32).map(|op| self.shortest(op)).sum()
    }

    fn shortest(&self, op: u32) -> Unit {
        self.able(op).iter().map(|(_, minutes)| *minutes).min().unwrap_or(0)
    }

    /// The flat number of a job's operation.
    pub(super) fn number(&self, job: usize, op: usize) -> u32 {
        self.first[job] + op as u32
    }
}

fn windows(open: &[(Unit, Unit)], busy_until: Unit, limit: Unit) -> Vec<(Unit, Unit)> {
    let cut = open.iter().map(|(from, to)| ((*from).max(busy_until), *to)).filter(|(from, to)| from < to);
    cut.chain([(limit.max(busy_until), Unit::MAX / 4)]).collect()
}
