//! From an event to the next state. Cannot fail: whatever an event says has happened. An event that refers to
//! something unknown (a damaged journal) changes nothing but the head.

mod bench;
mod callout;
mod correct;
mod debts;
mod fencer;
mod notice;
mod stay;
mod teach;

use std::sync::Arc;

use crate::ids::{BenchId, ItemId, JobId, Seq};
use crate::tag::Tag;
use crate::time::Stamp;

use super::event::Event;
use super::job::{Hold, Item, Job};
use super::record::Recorded;
use super::state::{Armoury, BenchState, CallState, Count};
use super::words::Place;

impl BenchState {
    /// The head's word on whether it is open; a later closing that was meant before no longer is.
    fn head_says(&mut self, open: Option<bool>) {
        (self.forced, self.closes_at) = (open, None);
    }
}

impl Armoury {
    /// Takes in one event. Events come in the order of their numbers, each once.
    pub fn apply(&mut self, recorded: &Recorded) {
        self.apply_house(recorded, recorded.happened_at);
        self.head = recorded.seq;
        self.at = recorded.at;
        self.follow_promises(recorded);
    }

    /// Holds what became of the jobs against what was promised.
    fn follow_promises(&mut self, recorded: &Recorded) {
        let other = if let Event::TagsExchanged(e) = &recorded.event { Some(e.b) } else { None };
        for id in recorded.event.job(recorded.seq).into_iter().chain(other) {
            match self.jobs.get(&id) {
                Some(job) => self.kept.stands(id, job.course.ended, recorded.at),
                None => self.kept.closed(id),
            }
        }
        self.kept.passed(recorded.at);
    }

    fn apply_house(&mut self, recorded: &Recorded, when: Stamp) {
        match &recorded.event {
            Event::VenueSet(e) => self.venue = Some(Arc::new(e.venue.clone())),
            Event::CalledOut(e) => self.call_out(recorded.seq, when, e),
            Event::StripReached(e) => self.call(e.call, |call| call.state = CallState::AtStrip),
            Event::Redirected(e) => self.redirect(e.call, e.bench, e.arrival),
            Event::RanAgain(e) => self.run_again(e.call),
            Event::BenchAway(e) => self.bench_mut(e.bench, |bench| bench.away_until = Some(e.until)),
            Event::BenchBack(e) => self.bench_mut(e.bench, |bench| bench.away_until = None),
            Event::BenchOpened(e) => self.bench_mut(e.bench, |bench| bench.head_says(Some(true))),
            Event::BenchClosed(e) => self.bench_mut(e.bench, |bench| bench.head_says(Some(false))),
            Event::BenchToClose(e) => self.bench_mut(e.bench, |bench| bench.closes_at = Some(e.at)),
            Event::OwedEnded(e) => self.end_owed(e),
            Event::Counted(e) => self.count(recorded.seq, e.place, &e.tags),
            Event::DayClosed(_) => self.close_day(),
            _ => self.apply_people(recorded, when),
        }
    }

    fn apply_people(&mut self, recorded: &Recorded, when: Stamp) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::HandedIn(e) => self.hand_in(seq, recorded.at, when, e),
            Event::ScannedIn(e) => self.scan_in(seq, e),
            Event::Claimed(e) => self.claim(seq, e),
            Event::FencerWentOut(e) => self.kit(e.fencer, |kit| kit.out = true),
            Event::FencerCameIn(e) => self.kit(e.fencer, |kit| kit.out = false),
            Event::Lent(e) => self.loan(e.fencer, e.item_kind, 1),
            Event::LoanCameBack(e) => self.loan(e.fencer, e.item_kind, -1),
            Event::NeedSet(e) => self.set_need(seq, e.job, e.need),
            Event::NoticeSent(e) => self.notify(seq, e, when),
            Event::NoticeConfirmed(e) => self.confirm(seq, e.job, e.notice, when),
            Event::NoticeRaised(e) => self.raise(seq, e.job, e.notice),
            Event::PromiseSaid(e) => self.promise(seq, e, when),
            _ => self.apply_work(recorded, when),
        }
    }

    fn apply_work(&mut self, recorded: &Recorded, when: Stamp) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::Taken(e) => self.take(seq, e.job, e.bench, when),
            Event::PutBack(e) => self.leave_bench(seq, e.job, when, |_| {}),
            Event::PassedOn(e) => self.leave_bench(seq, e.job, when, |job| job.pinned = Some(e.bench)),
            Event::TakenOver(e) => self.leave_bench(seq, e.job, when, |job| job.pinned = e.bench),
            Event::Interrupted(e) => self.interrupt(seq, e.job, e.bench, when),
            Event::Resumed(e) => self.resume(seq, e.job, e.bench, when),
            Event::Found(e) => self.find(seq, e),
            Event::Saw(e) => self.see(seq, e),
            Event::Repaired(e) => self.repair(seq, e, when),
            Event::CuringBegan(e) => self.cure(seq, e, when),
            Event::FoundDry(e) => self.edit(seq, e.job, |job| job.course.dry_at = Some(when)),
            Event::NoFault(e) => self.edit(seq, e.job, |job| job.course.no_fault = true),
            Event::FaultElsewhere(e) => self.edit(seq, e.job, |job| {
                job.course.no_fault = true;
                job.course.elsewhere = Some(e.place);
            }),
            Event::Proved(e) => self.prove(seq, e),
            _ => self.apply_ends(recorded, when),
        }
    }

    fn apply_ends(&mut self, recorded: &Recorded, when: Stamp) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::MadeReady(e) => self.make_ready(seq, e, when),
            Event::Withdrawn(e) => self.withdraw(seq, e, when),
            Event::CalledOff(e) => self.call_off(seq, e.job, when),
            Event::HandedBack(e) => self.close(e.job, when),
            Event::CollectedUnseen(e) => self.close(e.job, when),
            Event::WentMissing(e) => self.go_missing(seq, e.job, when),
            Event::FoundAgain(e) => self.find_again(seq, e.job, e.place),
            Event::Held(e) => {
                self.hold(seq, e.job, Hold { reason: e.reason, note: e.note, since: when }, when);
            }
            Event::Released(e) => self.release(seq, e.job),
            _ => self.apply_corrections(recorded, when),
        }
    }

    fn apply_corrections(&mut self, recorded: &Recorded, when: Stamp) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::BackToChanged(e) => self.edit(seq, e.job, |job| job.back_to = e.to),
            Event::WantedByChanged(e) => self.edit(seq, e.job, |job| job.wanted_by = e.wanted_by),
            Event::Pinned(e) => self.edit(seq, e.job, |job| job.pinned = e.bench),
            Event::KindCorrected(e) => self.correct_kind(seq, e),
            Event::ItemCorrected(e) => self.correct_item(seq, e.job, e.item, when),
            Event::SpotsCorrected(e) => self.correct_spots(seq, e),
            Event::BenchCorrected(e) => self.correct_bench(seq, e.job, e.bench),
            Event::FindingStruck(e) => {
                self.unteach_unfinished(e.job);
                self.edit(seq, e.job, |job| {
                    job.course.findings.retain(|finding| finding.id != e.finding);
                    job.course.sightings.retain(|sighting| sighting.id != e.finding);
                });
            }
            Event::RepairStruck(e) => self.strike_repair(seq, e.job, e.repair, when),
            Event::EndStruck(e) => self.strike_end(seq, e.job),
            Event::HandBackStruck(e) => self.bring_back(seq, e.job),
            Event::TagsExchanged(e) => self.exchange(seq, e.a, e.b, when),
            _ => {}
        }
    }

    /// The next day starts by the benches' hours.
    fn close_day(&mut self) {
        self.counts.clear();
        self.tally.days_closed += 1;
        let benches: Vec<_> = self.benches.keys().copied().collect();
        for id in benches {
            self.bench_mut(id, |bench| bench.head_says(None));
        }
    }

    fn count(&mut self, seq: Seq, place: Place, tags: &[Tag]) {
        self.counts.retain(|count| count.place != place);
        self.counts.push(Count { place, tags: tags.to_vec(), at: seq });
    }

    fn edit(&mut self, seq: Seq, id: JobId, change: impl FnOnce(&mut Job)) {
        if let Some(job) = self.jobs.get_mut(&id) {
            let job = Arc::make_mut(job);
            change(job);
            job.changed = seq;
        }
    }

    fn item(&mut self, id: ItemId, change: impl FnOnce(&mut Item)) {
        if let Some(item) = self.items.get_mut(&id) {
            let item = Arc::make_mut(item);
            change(item);
            if item.still_owed().next().is_some() {
                self.owing.insert(id);
            } else {
                self.owing.remove(&id);
            }
        }
    }

    fn bench_mut(&mut self, id: BenchId, change: impl FnOnce(&mut BenchState)) {
        change(self.benches.entry(id).or_default());
    }
}
