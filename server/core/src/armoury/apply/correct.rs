//! Corrections: what was recorded wrongly, and tags that were on each other's items.

use std::sync::Arc;

use crate::ids::{BenchId, ItemId, JobId, RepairId, Seq};
use crate::time::Stamp;

use super::super::event::{KindCorrected, SpotsCorrected};
use super::super::job::{Course, Job};
use super::super::state::Armoury;
use super::super::words::{Need, Place, State};

impl Armoury {
    pub(super) fn correct_kind(&mut self, seq: Seq, e: &KindCorrected) {
        let Some(before) = self.jobs.get(&e.job).cloned() else { return };
        self.unteach(e.job);
        self.edit(seq, e.job, |job| {
            job.kind = e.item_kind;
            job.complaint = e.complaint;
            job.course.proof.clear();
            if job.declared == Need::StripStopped && !job.kind.is_apparatus() {
                job.declared = Need::NoneLeft;
            }
        });
        self.reopen(seq, e.job);
        self.item(before.item, |item| item.kind = e.item_kind);
        if before.kind != e.item_kind {
            self.move_need(&before);
        }
    }

    /// What was said of the wrong kind was said of the right one.
    fn move_need(&mut self, before: &Job) {
        let Some(fencer) = before.fencer else { return };
        let still = |job: &Arc<Job>| job.fencer == Some(fencer) && job.kind == before.kind;
        if !self.jobs.values().any(still) {
            self.kit(fencer, |kit| {
                kit.working.remove(&before.kind);
            });
        }
        if let Some(job) = self.jobs.get(&before.id).filter(|job| job.declared != Need::Out).cloned() {
            self.say_need(&job, job.declared);
        }
    }

    /// A ready item whose proof no longer stands waits again.
    fn reopen(&mut self, seq: Seq, id: JobId) {
        if self.jobs.get(&id).is_none_or(|job| job.state() != State::Ready) {
            return;
        }
        self.drop_notice(id);
        self.edit(seq, id, wait_again);
    }

    pub(super) fn correct_item(&mut self, seq: Seq, id: JobId, item: ItemId, when: Stamp) {
        let Some(job) = self.jobs.get(&id).cloned() else { return };
        self.item(job.item, |old| old.stays.retain(|stay| *stay != id));
        self.item(item, |right| right.stays.push(id));
        self.edit(seq, id, |job| job.item = item);
        let lifted = self.lift_debts(&job.course.repairs, job.item);
        self.lay_debts(&job.course.repairs, item, lifted, when);
        self.move_verdict(&job.course, job.item, item);
    }

    /// An item that was withdrawn in this stay was another one.
    fn move_verdict(&mut self, course: &Course, from: ItemId, to: ItemId) {
        if course.state != State::Withdrawn {
            return;
        }
        // Earlier stays may have found the same: then it stays marked, to be on the safe side.
        self.item(from, |item| item.withdrawn &= item.stays.len() > 1);
        self.item(to, |item| item.withdrawn = true);
    }

    pub(super) fn correct_spots(&mut self, seq: Seq, e: &SpotsCorrected) {
        self.edit(seq, e.job, |job| {
            job.came_from = e.came_from;
            job.back_to = e.back_to;
            if job.state() == State::OnItsWay && !job.is_confiscated() {
                job.course.place = e.came_from.into();
            }
        });
    }

    pub(super) fn correct_bench(&mut self, seq: Seq, id: JobId, bench: BenchId) {
        self.unteach(id);
        if let Some(job) = self.jobs.get(&id).filter(|job| job.state() == State::OnBench).cloned() {
            let interrupted = job.course.bench.is_some_and(|old| self.bench(old).interrupted);
            self.clear_bench(id);
            self.bench_mut(bench, |state| {
                state.job = Some(id);
                state.interrupted = interrupted;
            });
            self.edit(seq, id, |job| {
                job.course.place = Place::Bench(bench);
                job.course.clock.bench = Some(bench);
            });
        }
        self.edit(seq, id, |job| job.course.bench = Some(bench));
    }

    pub(super) fn strike_repair(&mut self, seq: Seq, id: JobId, repair: RepairId, when: Stamp) {
        self.unteach(id);
        let Some(job) = self.jobs.get(&id).cloned() else { return };
        let mut lifted = self.lift_debts(&job.course.repairs, job.item);
        lifted.retain(|owed| owed.id.0 != repair.0);
        self.edit(seq, id, |job| {
            job.course.repairs.retain(|old| old.id != repair);
            job.course.proof.clear();
        });
        self.reopen(seq, id);
        let left: Vec<_> = job.course.repairs.iter().filter(|old| old.id != repair).cloned().collect();
        self.lay_debts(&left, job.item, lifted, when);
    }

    /// It was not withdrawn or called off: it waits again, or is on its way when it never came in.
    pub(super) fn strike_end(&mut self, seq: Seq, id: JobId) {
        let Some(job) = self.jobs.get(&id).cloned() else { return };
        self.drop_notice(id);
        if job.state() == State::Withdrawn {
            // Earlier stays may have found the same: then it stays marked, to be on the safe side.
            self.item(job.item, |item| item.withdrawn &= item.stays.len() > 1);
        }
        self.edit(seq, id, |job| {
            let inside = job.course.place.in_room();
            wait_again(job);
            if job.course.tag.is_none() || !inside {
                job.course.state = State::OnItsWay;
                if !job.is_confiscated() {
                    job.course.place = job.came_from.into();
                }
            }
        });
    }

    /// The two tags were on each other's items: what was done under each tag moves to the other job, with the
    /// tag. Both proofs are void and neither teaches repair times.
    pub(super) fn exchange(&mut self, seq: Seq, a: JobId, b: JobId, when: Stamp) {
        self.unteach(a);
        self.unteach(b);
        let (Some(first), Some(second)) = (self.jobs.get(&a).cloned(), self.jobs.get(&b).cloned()) else {
            return;
        };
        self.give_course(seq, a, &second);
        self.give_course(seq, b, &first);
        let (mine, theirs) = (&first.course.repairs, &second.course.repairs);
        let from_first = self.lift_debts(mine, first.item);
        let from_second = self.lift_debts(theirs, second.item);
        self.lay_debts(mine, second.item, from_first, when);
        self.lay_debts(theirs, first.item, from_second, when);
        // Not one after the other on the same mark when both were withdrawn.
        if first.state() != second.state() {
            self.move_verdict(&first.course, first.item, second.item);
            self.move_verdict(&second.course, second.item, first.item);
        }
    }

    /// What was done under the other job's tag was done to this job's item. What stands in the way of the work, and
    /// the bench that it is kept for, go with it.
    fn give_course(&mut self, seq: Seq, id: JobId, other: &Job) {
        if let Some(tag) = other.course.tag {
            self.tags.insert(tag, id);
        }
        if let (State::OnBench, Some(bench)) = (other.state(), other.course.bench) {
            self.bench_mut(bench, |bench| bench.job = Some(id));
        }
        self.drop_notice(id);
        self.edit(seq, id, |job| {
            job.hold = other.hold;
            job.held_before = other.held_before;
            job.pinned = other.pinned;
            job.course = Course { proof: Vec::new(), mixed: true, ..other.course.clone() };
            if job.state() == State::Ready {
                wait_again(job);
            }
        });
    }
}

fn wait_again(job: &mut Job) {
    job.course.state = State::Waiting;
    job.course.ended = None;
    job.course.anyway = None;
    if !job.is_confiscated() {
        job.course.place = Place::Counter;
    }
}
