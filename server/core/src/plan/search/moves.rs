//! Moves between neighbouring plans: put one operation somewhere else, or exchange two. Each is tried on the lanes
//! themselves and can be taken back.

use super::lanes::{Lanes, NOWHERE, Place};
use super::model::NONE;
use crate::plan::problem::{Objective, Schedule, Unit};

/// A move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Move {
    /// Takes `op` out and puts it at `to`, a position that counts without `op`; it lasts `minutes` there.
    Shift { op: u32, to: Place, minutes: Unit },
    /// Exchanges two operations, which then last these minutes.
    Exchange { one: u32, other: u32, minutes: (Unit, Unit) },
}

/// How to take a tried move back.
#[derive(Clone, Copy, Debug)]
pub(super) struct Back {
    undo: Move,
    total: Objective,
}

impl Lanes<'_> {
    /// Carries a move out. `None`, with everything as it was, when the orders would contradict each other.
    pub(super) fn attempt(&mut self, step: Move) -> Option<Back> {
        let back = Back { undo: self.inverse(step), total: self.total };
        self.rearrange(step);
        match step {
            Move::Shift { to, .. } => {
                let Move::Shift { to: from, .. } = back.undo else { return None };
                if from.bench == to.bench {
                    self.mark(to.bench, from.pos.min(to.pos), from.pos.max(to.pos) + 1);
                } else {
                    self.mark(from.bench, from.pos, from.pos);
                    self.mark(to.bench, to.pos, to.pos + 1);
                }
            }
            Move::Exchange { one, other, .. } => {
                for Place { bench, pos } in [self.place[one as usize], self.place[other as usize]] {
                    self.mark(bench, pos, pos + 1);
                }
            }
        }
        if self.settle() {
            return Some(back);
        }
        self.retreat(back);
        None
    }

    /// Takes back the move that was tried last.
    pub(super) fn retreat(&mut self, back: Back) {
        self.unsettle();
        self.rearrange(back.undo);
        self.total = back.total;
    }

    fn rearrange(&mut self, step: Move) {
        match step {
            Move::Shift { op, to, minutes } => {
                self.take(op);
                self.put(op, to, minutes);
            }
            Move::Exchange { one, other, minutes } => self.exchange(one, other, minutes),
        }
    }

    fn inverse(&self, step: Move) -> Move {
        let minutes = |op: u32| self.minutes_now(op);
        match step {
            Move::Shift { op, .. } => {
                Move::Shift { op, to: self.place[op as usize], minutes: minutes(op) }
            }
            Move::Exchange { one, other, .. } => {
                Move::Exchange { one, other, minutes: (minutes(one), minutes(other)) }
            }
        }
    }

    /// Brings an operation that is in no lane into one. False, with everything as it was, when the orders would
    /// contradict each other.
    pub(super) fn enter(&mut self, op: u32, at: Place, minutes: Unit) -> bool {
        let total = self.total;
        let prev = self.model.ops[op as usize].prev;
        if prev != NONE {
            self.count_job(prev, -1);
        }
        self.end[op as usize] = 0;
        self.put(op, at, minutes);
        self.count_job(op, 1);
        self.mark(at.bench, at.pos, at.pos + 1);
        if self.settle() {
            return true;
        }
        self.unsettle();
        self.take(op);
        self.place[op as usize] = NOWHERE;
        self.total = total;
        false
    }

    /// Takes back the [`Self::enter`] of `op`, done last, after which the total was `total`.
    pub(super) fn leave(&mut self, op: u32, total: Objective) {
        self.unsettle();
        self.take(op);
        self.place[op as usize] = NOWHERE;
        self.total = total;
    }

    /// Fills empty lanes with a plan's rows in their order, and what it could not place after them.
    pub(super) fn load(&mut self, plan: &Schedule) {
        let mut rows = plan.rows.clone();
        rows.sort_unstable();
        for row in rows {
            self.append(self.model.number(row.job, row.op), row.bench as u32);
        }
        // Level by level, so that no operation comes to stand before one that it has to wait for.
        let most = plan.unplaced.iter().map(|job| self.model.first[job + 1] - self.model.first[*job]).max();
        for level in 0..most.unwrap_or(0) {
            for &job in &plan.unplaced {
                let op = self.model.first[job] + level;
                if op < self.model.first[job + 1] {
                    let able = self.model.able(op).iter().map(|(bench, _)| *bench);
                    if let Some(bench) = able.min_by_key(|bench| self.len(*bench)) {
                        self.append(op, bench);
                    }
                }
            }
        }
        self.settle_all();
    }

    /// Fills empty lanes with orders.
    pub(super) fn load_orders(&mut self, orders: &[Vec<u32>]) {
        for (order, bench) in orders.iter().zip(0..) {
            for &op in order {
                self.append(op, bench);
            }
        }
        self.settle_all();
    }

    fn append(&mut self, op: u32, bench: u32) {
        let pos = self.len(bench) as u32;
        let minutes = self.model.minutes(op, bench).unwrap_or(0);
        self.put(op, Place { bench, pos }, minutes);
    }

    fn settle_all(&mut self) {
        for op in 0..self.end.len() as u32 {
            let next = self.model.ops[op as usize].next;
            if self.is_placed(op) && (next == NONE || !self.is_placed(next)) {
                self.count_job(op, 1);
            }
        }
        for bench in 0..self.order.len() as u32 {
            if self.len(bench) > 0 {
                self.mark(bench, 0, self.len(bench) as u32);
            }
        }
        let sound = self.settle();
        debug_assert!(sound, "a plan's own order never contradicts itself");
    }
}
