//! The anytime search: takes a few related jobs out of the lanes and puts each back where it is best; a plan that is
//! a little worse is kept for a while, less and less so.
//!
//! The way of searching is known as ruin and recreate (Schrimpf et al. 2000) with the acceptance of simulated annealing
//! (Kirkpatrick et al. 1983; both from memory, not checked). What a step takes out, the chance among equal places and
//! the rounds are our own.

use super::insert::{Inserter, Reach, Tie};
use super::lanes::Lanes;
use super::model::Model;
use crate::plan::problem::Objective;

/// Most jobs that a step takes out.
const TAKEN: usize = 5;

/// Evaluations per operation that a round needs before it starts at full heat.
const ROUND: u64 = 1500;

/// Most rounds; each starts from the best plan so far.
const ROUNDS: u64 = 16;

/// The last part of the budget, one in this many, polishes the best plan: no heat, and earlier ends decide.
const POLISH: u64 = 12;

/// The search under way.
pub(super) struct Rebuild<'m> {
    lanes: Lanes<'m>,
    spare: Lanes<'m>,
    inserter: Inserter,
    taken: Vec<u32>,
    /// The best lanes so far.
    best: Lanes<'m>,
}

impl<'m> Rebuild<'m> {
    /// Starts from lanes in which every job is placed.
    pub(super) fn new(lanes: Lanes<'m>, seed: u64) -> Self {
        let (spare, best) = (lanes.clone(), lanes.clone());
        Self { lanes, spare, inserter: Inserter::new(seed), taken: Vec::new(), best }
    }

    /// Searches until `budget` evaluations are spent, and returns the best lanes and what was spent. The step that
    /// is under way when the budget ends is carried out.
    pub(super) fn run(mut self, budget: u64) -> (Lanes<'m>, u64) {
        let model = self.lanes.model;
        let search = budget - budget / POLISH;
        let need = ROUND * model.ops.len() as u64;
        let round = (budget / ROUNDS).max(need).min(search);
        let hot = heat(model) * (round.min(need) as i64) / (need.max(1) as i64);
        while self.inserter.spent < search && !model.prices.is_empty() {
            self.round(round.min(search - self.inserter.spent), hot);
            self.lanes.copy(&self.best);
        }
        while self.inserter.spent < budget && !model.prices.is_empty() {
            self.step(0, Tie::Completion);
        }
        (self.best, self.inserter.spent)
    }

    /// One cooling from `hot` to nothing.
    fn round(&mut self, length: u64, hot: i64) {
        let from = self.inserter.spent;
        while self.inserter.spent - from < length {
            let left = 1024 - (((self.inserter.spent - from) << 10) / length) as i64;
            self.step((hot * ((left * left) >> 10)) >> 10, Tie::Chance);
        }
    }

    fn step(&mut self, heat: i64, tie: Tie) {
        self.spare.copy(&self.lanes);
        let before = self.lanes.total;
        let placed = self.disturb(tie);
        let after = self.lanes.total;
        if placed && after < self.best.total {
            self.best.copy(&self.lanes);
        }
        if !placed || !self.accepts(before, after, heat, tie) {
            std::mem::swap(&mut self.lanes, &mut self.spare);
        }
    }

    /// Takes jobs out and puts them back. False when one found no place.
    fn disturb(&mut self, tie: Tie) -> bool {
        let model = self.lanes.model;
        self.choose();
        for job in &self.taken {
            self.lanes.remove(*job);
        }
        self.inserter.spent += 1;
        if !self.lanes.settle() {
            return false;
        }
        self.shuffle();
        let (inserter, lanes) = (&mut self.inserter, &mut self.lanes);
        let mut ops = self.taken.iter().flat_map(|job| model.ops_of(*job));
        ops.all(|op| inserter.insert(lanes, op, tie, Reach::Near))
    }

    /// Chooses the jobs of a step: one, a late one rather than not, and others that stand near in lanes that could do
    /// its work.
    fn choose(&mut self) {
        let model = self.lanes.model;
        let jobs = model.prices.len();
        let wanted = 1 + self.inserter.random.below(TAKEN.min(jobs));
        let mut first = self.inserter.random.below(jobs);
        if self.inserter.random.below(2) == 0 {
            for _ in 0..8 {
                let last = model.first[first + 1] as usize - 1;
                if model.prices[first].late(self.lanes.end[last]) {
                    break;
                }
                first = self.inserter.random.below(jobs);
            }
        }
        self.taken.clear();
        self.taken.push(first as u32);
        for _ in 0..4 * wanted {
            if self.taken.len() >= wanted {
                break;
            }
            if let Some(job) = self.neighbour().filter(|job| !self.taken.contains(job)) {
                self.taken.push(job);
            }
        }
    }

    /// A job that stands within two positions of where one of the taken jobs is or could be.
    fn neighbour(&mut self) -> Option<u32> {
        let model = self.lanes.model;
        let random = &mut self.inserter.random;
        let job = self.taken[random.below(self.taken.len())];
        let ops = model.ops_of(job);
        let op = ops.start + random.below(ops.len()) as u32;
        let able = model.able(op);
        let bench = able[random.below(able.len())].0;
        let lane = &self.lanes.order[bench as usize];
        let here = self.lanes.place[op as usize];
        let pos = if bench == here.bench {
            here.pos as usize
        } else {
            let start = self.lanes.start(op);
            lane.partition_point(|other| self.lanes.end[*other as usize] <= start)
        };
        let pos = (pos + random.below(5)).checked_sub(2)?;
        lane.get(pos).map(|other| model.ops[*other as usize].job)
    }

    /// Puts the taken jobs in the order in which they go back: by due time, by weight, by latest start, or any.
    fn shuffle(&mut self) {
        let model = self.lanes.model;
        let random = &mut self.inserter.random;
        for last in (1..self.taken.len()).rev() {
            self.taken.swap(last, random.below(last + 1));
        }
        let price = |job: &u32| &model.prices[*job as usize];
        match random.below(4) {
            0 => self.taken.sort_by_key(|job| price(job).due),
            1 => self.taken.sort_by_key(|job| -price(job).weight),
            2 => self
                .taken
                .sort_by_key(|job| price(job).due - model.ops[model.ops_of(*job).start as usize].tail),
            _ => {}
        }
    }

    /// Whether to go on from the changed plan. Unplaced work and overrun never grow; among plans that are equally late
    /// every one will do, except for the polish.
    fn accepts(&mut self, before: Objective, after: Objective, heat: i64, tie: Tie) -> bool {
        let rank = |value: Objective| (value.unplaced, value.overrun);
        if tie == Tie::Completion || rank(after) != rank(before) {
            return after <= before;
        }
        let worse = after.cost - before.cost;
        worse <= 0 || worse << 16 <= heat * self.inserter.random.exponential()
    }
}

/// The heat that a round starts at, in 1/256 weighted units: a quarter of mean weight × mean duration.
fn heat(model: &Model) -> i64 {
    let (jobs, ops) = (model.prices.len().max(1) as i64, model.ops.len().max(1) as i64);
    let weight: i64 = model.prices.iter().map(|price| price.weight).sum();
    let minutes = model.shortest_of_all();
    // Rounded to 1/16 of a weight, so that no product leaves 64 bits.
    (weight * 16 / jobs) * (minutes / ops).max(1) * 4
}
