//! Bringing work into lanes and taking it out again, one operation or a whole plan at a time.

use super::lanes::{Lanes, NOWHERE, Place};
use super::model::NONE;
use super::probe::fit;
use crate::plan::problem::{Objective, Row, Schedule, Unit};

impl Lanes<'_> {
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

    /// Fills empty lanes with a plan's rows in their order, and what it could not place after them. False when that
    /// order contradicts itself; the lanes are then of no use.
    pub(super) fn load(&mut self, plan: &Schedule) -> bool {
        // Level by level, so that no operation comes to stand before one that it has to wait for.
        let ops = |job: &usize| self.model.ops_of(*job as u32);
        let mut last: Vec<(usize, u32)> = plan.unplaced.iter().flat_map(|job| ops(job).enumerate()).collect();
        last.sort_unstable();
        if !self.load_kept(&plan.rows) {
            return false;
        }
        for (_, op) in last {
            let able = self.model.able(op).iter().map(|(bench, _)| *bench);
            if let Some(bench) = able.min_by_key(|bench| self.len(*bench)) {
                self.append(op, bench);
            }
        }
        self.count_all();
        true
    }

    /// Fills empty lanes with rows in order of their start. False when that order contradicts itself; the lanes are
    /// then of no use.
    pub(super) fn load_kept(&mut self, rows: &[Row]) -> bool {
        let mut rows = rows.to_vec();
        rows.sort_unstable();
        let sound = rows.iter().all(|row| self.append(self.model.number(row.job, row.op), row.bench as u32));
        self.count_all();
        sound
    }

    /// Puts an operation at the end of a lane. False when its predecessor is in none.
    fn append(&mut self, op: u32, bench: u32) -> bool {
        let prev = self.model.ops[op as usize].prev;
        if prev != NONE && !self.is_placed(prev) {
            return false;
        }
        let at = Place { bench, pos: self.len(bench) as u32 };
        let minutes = self.model.minutes(op, bench).unwrap_or(0);
        let soonest = self.free(at).max(self.ready(op));
        self.end[op as usize] = fit(&self.model.open[bench as usize], &mut 0, soonest, minutes);
        self.put(op, at, minutes);
        true
    }

    /// Counts what all jobs cost, anew.
    fn count_all(&mut self) {
        let calm = self.calm_cost();
        self.total = Objective { cost: calm, ..Objective::default() };
        for op in 0..self.end.len() as u32 {
            let next = self.model.ops[op as usize].next;
            if self.is_placed(op) && (next == NONE || !self.is_placed(next)) {
                self.count_job(op, 1);
            }
        }
        self.total.overrun = self.overrun_of_all();
    }

    /// Takes all of a job's operations, which must all be placed, out of the lanes. What stood behind them moves up
    /// with the next [`Self::settle`].
    pub(super) fn remove(&mut self, job: u32) {
        let (first, end) = (self.model.first[job as usize], self.model.first[job as usize + 1]);
        self.count_job(end - 1, -1);
        for op in (first..end).rev() {
            let at = self.take(op);
            self.place[op as usize] = NOWHERE;
            self.mark(at.bench, at.pos, at.pos);
        }
    }
}
