//! At a bench: taken, left, interrupted, examined, repaired, laid to cure, proven.

use crate::ids::{BenchId, FindingId, JobId, OwedId, RepairId, Seq};
use crate::time::Stamp;

use super::super::event::{CuringBegan, Found, Proved, Repaired, Saw};
use super::super::job::{Finding, Job, Owed, ProofEntry, Repair, Sighting};
use super::super::state::Armoury;
use super::super::words::{Lasting, Place, State};

impl Armoury {
    pub(super) fn take(&mut self, seq: Seq, job: JobId, bench: BenchId, when: Stamp) {
        self.bench_mut(bench, |state| {
            state.job = Some(job);
            state.interrupted = false;
            state.away_until = None;
        });
        self.edit(seq, job, |job| {
            job.course.state = State::OnBench;
            job.course.place = Place::Bench(bench);
            job.course.bench = Some(bench);
            job.course.dry_at = None;
            job.course.clock.start(when, bench);
        });
    }

    pub(super) fn leave_bench(&mut self, seq: Seq, job: JobId, when: Stamp, also: impl FnOnce(&mut Job)) {
        self.teach_unfinished(job, when);
        self.clear_bench(job);
        self.edit(seq, job, |job| {
            job.course.clock.stop(when);
            job.course.state = State::Waiting;
            job.course.place = Place::Counter;
            also(job);
        });
    }

    pub(super) fn interrupt(&mut self, seq: Seq, job: JobId, bench: BenchId, when: Stamp) {
        self.bench_mut(bench, |bench| bench.interrupted = true);
        self.edit(seq, job, |job| job.course.clock.stop(when));
    }

    pub(super) fn resume(&mut self, seq: Seq, job: JobId, bench: BenchId, when: Stamp) {
        self.bench_mut(bench, |bench| bench.interrupted = false);
        self.edit(seq, job, |job| job.course.clock.start(when, bench));
    }

    pub(super) fn find(&mut self, seq: Seq, e: &Found) {
        let finding =
            Finding { id: FindingId(seq.0), fault: e.fault.clone(), showed: e.showed, note: e.note };
        self.edit(seq, e.job, |job| job.course.findings.push(finding));
    }

    pub(super) fn see(&mut self, seq: Seq, e: &Saw) {
        let sighting = Sighting { id: FindingId(seq.0), seen: e.seen.clone() };
        self.edit(seq, e.job, |job| job.course.sightings.push(sighting));
    }

    pub(super) fn repair(&mut self, seq: Seq, e: &Repaired, when: Stamp) {
        let repair = Repair {
            id: RepairId(seq.0),
            work: e.work,
            fault: e.fault.clone(),
            lasting: e.lasting,
            hands_on: e.hands_on,
        };
        self.teach_repair(e.job, &repair, when);
        self.edit(seq, e.job, |job| {
            job.course.clock.count(when);
            job.course.no_fault = false;
            job.course.proof.clear();
            job.course.repairs.push(repair);
        });
        if let (Lasting::StopGap, Some(item)) = (e.lasting, self.jobs.get(&e.job).map(|job| job.item)) {
            self.owe(item, Owed::of(OwedId(seq.0), e.work, e.fault.clone(), when));
        }
    }

    pub(super) fn cure(&mut self, seq: Seq, e: &CuringBegan, when: Stamp) {
        self.clear_bench(e.job);
        self.edit(seq, e.job, |job| {
            job.course.clock.stop(when);
            job.course.state = State::Curing;
            job.course.place = Place::CuringShelf;
            job.course.dry_at = Some(e.until);
        });
    }

    pub(super) fn prove(&mut self, seq: Seq, e: &Proved) {
        let entry = ProofEntry { check: e.check.clone(), answer: e.answer, pass: e.pass };
        self.edit(seq, e.job, |job| {
            job.course.proof.retain(|old| old.check != entry.check);
            job.course.proof.push(entry);
        });
    }

    pub(super) fn clear_bench(&mut self, job: JobId) {
        let bench = self.jobs.get(&job).and_then(|job| job.course.bench);
        if let Some(bench) = bench.filter(|bench| self.bench(*bench).job == Some(job)) {
            self.bench_mut(bench, |state| {
                state.job = None;
                state.interrupted = false;
            });
        }
    }
}
