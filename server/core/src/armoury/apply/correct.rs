//! Corrections: what was recorded wrongly, and tags that were on each other's items.

use crate::ids::{BenchId, ItemId, JobId, OwedId, RepairId, Seq};

use super::super::event::KindCorrected;
use super::super::job::{Course, Job};
use super::super::state::Armoury;
use super::super::words::{Lasting, Place, State};

impl Armoury {
    pub(super) fn correct_kind(&mut self, seq: Seq, e: &KindCorrected) {
        self.unteach(e.job);
        self.edit(seq, e.job, |job| {
            job.kind = e.item_kind;
            job.complaint = e.complaint;
            job.course.proof.clear();
        });
        if let Some(item) = self.jobs.get(&e.job).map(|job| job.item) {
            self.item(item, |item| item.kind = e.item_kind);
        }
    }

    pub(super) fn correct_item(&mut self, seq: Seq, id: JobId, item: ItemId) {
        let Some(job) = self.jobs.get(&id).cloned() else { return };
        self.item(job.item, |old| old.stays.retain(|stay| *stay != id));
        self.item(item, |right| right.stays.push(id));
        self.edit(seq, id, |job| job.item = item);
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
            self.edit(seq, id, |job| job.course.place = Place::Bench(bench));
        }
        self.edit(seq, id, |job| job.course.bench = Some(bench));
    }

    pub(super) fn strike_repair(&mut self, seq: Seq, id: JobId, repair: RepairId) {
        self.unteach(id);
        self.edit(seq, id, |job| {
            job.course.repairs.retain(|old| old.id != repair);
            job.course.proof.clear();
        });
        if let Some(item) = self.jobs.get(&id).map(|job| job.item) {
            self.item(item, |item| item.owed.retain(|owed| owed.id.0 != repair.0));
        }
    }

    pub(super) fn unteach(&mut self, id: JobId) {
        let Some((work, span)) = self.jobs.get(&id).and_then(|job| job.course.taught) else { return };
        self.learned.unlearn(work, span);
        if let Some(job) = self.jobs.get_mut(&id) {
            std::sync::Arc::make_mut(job).course.taught = None;
        }
    }

    /// The two tags were on each other's items: what was done under each tag moves to the other job, with the
    /// tag. Both proofs are void and neither teaches repair times.
    pub(super) fn exchange(&mut self, seq: Seq, a: JobId, b: JobId) {
        self.unteach(a);
        self.unteach(b);
        let (Some(first), Some(second)) = (self.jobs.get(&a).cloned(), self.jobs.get(&b).cloned()) else {
            return;
        };
        for (id, course) in [(a, &second.course), (b, &first.course)] {
            if let Some(tag) = course.tag {
                self.tags.insert(tag, id);
            }
            if let (State::OnBench, Some(bench)) = (course.state, course.bench) {
                self.bench_mut(bench, |bench| bench.job = Some(id));
            }
            self.edit(seq, id, |job| {
                job.course = Course { proof: Vec::new(), mixed: true, anyway: None, ..course.clone() };
                if job.course.state == State::Ready {
                    job.course.state = State::Waiting;
                    job.course.place = Place::Counter;
                    job.course.ended = None;
                }
            });
            self.drop_notice(id);
        }
        self.move_owed(&first, &second);
    }

    /// Stop-gaps done under a tag are owed on the item that really carried it.
    pub(super) fn move_owed(&mut self, a: &Job, b: &Job) {
        for (from, to) in [(a, b), (b, a)] {
            for repair in from.course.repairs.iter().filter(|repair| repair.lasting == Lasting::StopGap) {
                let id = OwedId(repair.id.0);
                let mut moved = None;
                self.item(from.item, |item| {
                    if let Some(at) = item.owed.iter().position(|owed| owed.id == id) {
                        moved = Some(item.owed.remove(at));
                    }
                });
                if let Some(owed) = moved {
                    self.item(to.item, |item| item.owed.push(owed));
                }
            }
        }
    }
}
