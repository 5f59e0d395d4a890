//! The anytime search: annealing in rounds, each from the best plan so far.

use super::lanes::{Lanes, Place};
use super::model::Model;
use super::moves::Move;
use super::random::Random;
use crate::plan::problem::Objective;

/// tuning
#[derive(Clone, Copy, Debug)]
pub struct Tuning {
    /// hot
    pub hot: i64,
    /// round length in moves
    pub round: u64,
    /// completion threshold factor
    pub drift: i64,
    /// share of swaps of 256
    pub swaps: usize,
    /// local share
    pub near: usize,
    /// late pick
    pub late: usize,
}

/// search
pub(super) struct Anneal<'m> {
    lanes: Lanes<'m>,
    random: Random,
    pub(super) best: Objective,
    pub(super) kept: Vec<Vec<u32>>,
    saved: bool,
    pub(super) spent: u64,
    movable: Vec<u32>,
}

impl<'m> Anneal<'m> {
    pub(super) fn new(model: &'m Model, lanes: Lanes<'m>, seed: u64) -> Self {
        let kept = lanes.order.clone();
        let best = lanes.total;
        let movable = (0..model.ops.len() as u32).filter(|op| lanes.is_placed(*op)).collect();
        Self { lanes, random: Random::new(seed), best, kept, saved: true, spent: 0, movable }
    }

    /// Runs rounds until the budget is spent.
    pub(super) fn run(&mut self, budget: u64, t: &Tuning) {
        while self.spent < budget {
            let length = t.round.min(budget - self.spent);
            self.round(length, t);
            self.restart();
        }
    }

    fn restart(&mut self) {
        self.save();
        let mut lanes = Lanes::new(self.lanes.model);
        lanes.load_orders(&self.kept);
        self.lanes = lanes;
    }

    fn save(&mut self) {
        if !self.saved {
            for (kept, order) in self.kept.iter_mut().zip(&self.lanes.order) {
                kept.clone_from(order);
            }
            self.saved = true;
        }
    }

    fn round(&mut self, length: u64, t: &Tuning) {
        let end = self.spent + length;
        let mut left = length as i64;
        while self.spent < end {
            left -= 1;
            let frac = (left.max(0) << 10) / length as i64;
            let heat = (t.hot * frac * frac) >> 20;
            self.spent += 1;
            if let Some(step) = self.pick(t) {
                self.consider(step, heat, t);
            }
        }
    }

    fn consider(&mut self, step: Move, heat: i64, t: &Tuning) {
        let before = self.lanes.total;
        let Some(back) = self.lanes.attempt(step) else { return };
        let after = self.lanes.total;
        if !self.accepts(before, after, heat, t) {
            self.lanes.retreat(back);
            return;
        }
        if after < self.best {
            self.best = after;
            self.saved = false;
        } else if !self.saved && after > self.best {
            self.lanes.retreat(back);
            self.save();
            self.lanes.attempt(step);
        }
    }

    fn accepts(&mut self, before: Objective, after: Objective, heat: i64, t: &Tuning) -> bool {
        if (after.unplaced, after.overrun) != (before.unplaced, before.overrun) {
            return after < before;
        }
        let worse = after.cost - before.cost;
        if worse < 0 {
            return true;
        }
        let grace = heat * self.random.exponential();
        if worse > 0 {
            return worse << 16 <= grace;
        }
        (after.completion - before.completion) << 16 <= grace * t.drift
    }

    fn pick(&mut self, t: &Tuning) -> Option<Move> {
        let model = self.lanes.model;
        let mut op = self.movable[self.random.below(self.movable.len())];
        if self.random.below(256) < t.late {
            for _ in 0..4 {
                let job = model.ops[op as usize].job;
                let last = model.first[job as usize + 1] - 1;
                if model.prices[job as usize].late(self.lanes.end[last as usize]) { break; }
                op = self.movable[self.random.below(self.movable.len())];
            }
        }
        let able = model.able(op);
        let (bench, minutes) = able[self.random.below(able.len())];
        let here = self.lanes.place[op as usize];
        let len = self.lanes.len(bench);
        if self.random.below(256) < t.swaps {
            if len == 0 {
                return None;
            }
            let other = self.lanes.order[bench as usize][self.random.below(len)];
            if other == op {
                return None;
            }
            let back = model.minutes(other, here.bench)?;
            return Some(Move::Exchange { one: op, other, minutes: (minutes, back) });
        }
        let slots = len + usize::from(bench != here.bench);
        let mut pos = self.random.below(slots);
        if bench == here.bench && self.random.below(256) < t.near {
            let d = 1 + self.random.below(3);
            pos = if self.random.below(2) == 0 { (here.pos as usize).checked_sub(d)? } else { here.pos as usize + d };
            if pos >= slots { return None; }
        }
        if bench == here.bench && pos == here.pos as usize {
            return None;
        }
        Some(Move::Shift { op, to: Place { bench, pos: pos as u32 }, minutes })
    }
}
