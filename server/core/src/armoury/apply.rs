//! From an event to the next state. Cannot fail: whatever an event says has happened. An event that refers to
//! something unknown (a damaged journal) changes nothing but the head.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::gear::ItemKind;
use crate::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, OwedId, RepairId, Seq, TextId};
use crate::tag::Tag;
use crate::time::Stamp;

use super::event::{CalledOut, Event, HandedIn, MadeReady, Proved, Repaired};
use super::job::{Course, Finding, Hold, Item, Job, Notice, Owed, Promise, ProofEntry, Repair, WorkClock};
use super::record::Recorded;
use super::state::{Armoury, CallOut, CallState, Count, Kit};
use super::words::{HoldReason, Lasting, Need, Place, State};

impl Armoury {
    /// Takes in one event. Events come in the order of their numbers, each once.
    pub fn apply(&mut self, recorded: &Recorded) {
        let when = recorded.happened_at;
        match &recorded.event {
            Event::VenueSet(e) => self.venue = Some(Arc::new(e.venue.clone())),
            Event::HandedIn(e) => self.hand_in(recorded.seq, recorded.at, when, e),
            Event::CalledOut(e) => self.call_out(recorded.seq, when, e),
            _ => self.apply_people(recorded, when),
        }
        self.head = recorded.seq;
        self.at = recorded.at;
    }

    fn apply_people(&mut self, recorded: &Recorded, when: Stamp) {
        match &recorded.event {
            Event::FencerWentOut(e) => self.kit(e.fencer, |kit| kit.out = true),
            Event::FencerCameIn(e) => self.kit(e.fencer, |kit| kit.out = false),
            Event::Lent(e) => self.kit(e.fencer, |kit| add_working(kit, e.item_kind, 1)),
            Event::LoanCameBack(e) => self.kit(e.fencer, |kit| add_working(kit, e.item_kind, -1)),
            Event::StripReached(e) => self.call(e.call, |call| call.state = CallState::AtStrip),
            Event::Redirected(e) => self.redirect(e.call, e.bench, e.arrival),
            Event::RanAgain(e) => self.run_again(e.call),
            Event::BenchAway(e) => self.bench_mut(e.bench, |bench| bench.away_until = Some(e.until)),
            Event::BenchBack(e) => self.bench_mut(e.bench, |bench| bench.away_until = None),
            Event::BenchOpened(e) => self.bench_mut(e.bench, |bench| bench.forced = Some(true)),
            Event::BenchClosed(e) => self.bench_mut(e.bench, |bench| bench.forced = Some(false)),
            Event::OwedEnded(e) => self.item(e.item, |item| {
                if let Some(owed) = item.owed.iter_mut().find(|owed| owed.id == e.owed) {
                    owed.ended = Some(e.how);
                }
            }),
            Event::TagsExchanged(e) => self.exchange(recorded.seq, e.a, e.b),
            Event::Counted(e) => self.count(recorded.seq, e.place, &e.tags),
            Event::DayClosed(_) => {
                self.counts.clear();
                self.tally.days_closed += 1;
            }
            _ => self.apply_work(recorded, when),
        }
    }

    fn apply_work(&mut self, recorded: &Recorded, when: Stamp) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::ScannedIn(e) => {
                self.tags.insert(e.tag, e.job);
                self.edit(seq, e.job, |job| {
                    job.course.tag = Some(e.tag);
                    job.course.state = State::Waiting;
                    job.course.place = Place::Counter;
                });
            }
            Event::Taken(e) => self.take(seq, e.job, e.bench, when),
            Event::PutBack(e) => self.leave_bench(seq, e.job, when, |_| {}),
            Event::PassedOn(e) => self.leave_bench(seq, e.job, when, |job| job.pinned = Some(e.bench)),
            Event::TakenOver(e) => self.leave_bench(seq, e.job, when, |job| job.pinned = e.bench),
            Event::Interrupted(e) => {
                self.bench_mut(e.bench, |bench| bench.interrupted = true);
                self.edit(seq, e.job, |job| job.course.clock.stop(when));
            }
            Event::Resumed(e) => {
                self.bench_mut(e.bench, |bench| bench.interrupted = false);
                self.edit(seq, e.job, |job| job.course.clock.start(when));
            }
            Event::Found(e) => {
                let finding =
                    Finding { id: FindingId(seq.0), fault: e.fault.clone(), showed: e.showed, note: e.note };
                self.edit(seq, e.job, |job| job.course.findings.push(finding));
            }
            Event::Repaired(e) => self.repair(seq, e, when),
            Event::CuringBegan(e) => {
                self.clear_bench(e.job);
                self.edit(seq, e.job, |job| {
                    job.course.clock.stop(when);
                    job.course.state = State::Curing;
                    job.course.place = Place::CuringShelf;
                    job.course.dry_at = Some(e.until);
                });
            }
            Event::FoundDry(e) => self.edit(seq, e.job, |job| job.course.dry_at = Some(when)),
            Event::NoFault(e) => self.edit(seq, e.job, |job| job.course.no_fault = true),
            Event::FaultElsewhere(e) => self.edit(seq, e.job, |job| {
                job.course.no_fault = true;
                job.course.elsewhere = Some(e.place);
            }),
            Event::Proved(e) => self.prove(seq, e),
            Event::MadeReady(e) => self.make_ready(seq, e, when),
            _ => self.apply_ends(recorded, when),
        }
    }

    fn apply_ends(&mut self, recorded: &Recorded, when: Stamp) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::Withdrawn(e) => {
                self.clear_bench(e.job);
                let item = self.jobs.get(&e.job).map(|job| job.item);
                self.edit(seq, e.job, |job| end(job, State::Withdrawn, when));
                if let Some(item) = item {
                    self.item(item, |item| item.withdrawn = true);
                }
            }
            Event::CalledOff(e) => {
                self.clear_bench(e.job);
                self.edit(seq, e.job, |job| end(job, State::CalledOff, when));
            }
            Event::NoticeSent(e) => {
                let id = NoticeId(seq.0);
                self.drop_notice(e.job);
                self.notices.insert(id, e.job);
                self.edit(seq, e.job, |job| {
                    job.notice = Some(Notice {
                        id,
                        what: e.what,
                        to: e.to,
                        sent: when,
                        confirmed: None,
                        raised: false,
                    });
                });
            }
            Event::NoticeConfirmed(e) => {
                self.notices.remove(&e.notice);
                self.edit(seq, e.job, |job| {
                    if let Some(notice) = job.notice.as_mut().filter(|notice| notice.id == e.notice) {
                        notice.confirmed = Some(when);
                    }
                });
            }
            Event::NoticeRaised(e) => self.edit(seq, e.job, |job| {
                if let Some(notice) = job.notice.as_mut().filter(|notice| notice.id == e.notice) {
                    notice.raised = true;
                }
            }),
            Event::HandedBack(e) => self.close(seq, e.job, true),
            Event::CollectedUnseen(e) => self.close(seq, e.job, false),
            Event::WentMissing(e) => {
                self.clear_bench(e.job);
                self.edit(seq, e.job, |job| {
                    job.course.clock.stop(when);
                    job.course.lost_from = Some(job.course.state);
                    job.course.state = State::Gone;
                    job.course.place = Place::Gone;
                });
            }
            Event::FoundAgain(e) => self.find_again(seq, e.job, e.place),
            _ => self.apply_moves(recorded, when),
        }
    }

    fn apply_moves(&mut self, recorded: &Recorded, when: Stamp) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::Claimed(e) => {
                self.jobs_of.insert((e.fencer, e.job));
                self.edit(seq, e.job, |job| job.fencer = Some(e.fencer));
                if let Some(job) = self.jobs.get(&e.job).cloned() {
                    self.item(job.item, |item| item.fencer = Some(e.fencer));
                    self.say_need(&job, job.declared);
                }
            }
            Event::BackToChanged(e) => self.edit(seq, e.job, |job| job.back_to = e.to),
            Event::WantedByChanged(e) => self.edit(seq, e.job, |job| job.wanted_by = e.wanted_by),
            Event::NeedSet(e) => {
                self.edit(seq, e.job, |job| job.declared = e.need);
                if let Some(job) = self.jobs.get(&e.job).cloned() {
                    self.say_need(&job, e.need);
                }
            }
            Event::Held(e) => {
                self.hold(seq, e.job, Hold { reason: e.reason, note: e.note, since: when }, when);
            }
            Event::Released(e) => self.release(seq, e.job),
            Event::Pinned(e) => self.edit(seq, e.job, |job| job.pinned = e.bench),
            Event::PromiseSaid(e) => {
                let promise = Promise { likely: e.likely, safe: e.safe, said: when };
                self.edit(seq, e.job, |job| {
                    job.first_promise.get_or_insert(promise);
                    job.promise = Some(promise);
                });
            }
            _ => self.apply_corrections(recorded),
        }
    }

    fn apply_corrections(&mut self, recorded: &Recorded) {
        let seq = recorded.seq;
        match &recorded.event {
            Event::KindCorrected(e) => {
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
            Event::ItemCorrected(e) => self.correct_item(seq, e.job, e.item),
            Event::SpotsCorrected(e) => self.edit(seq, e.job, |job| {
                job.came_from = e.came_from;
                job.back_to = e.back_to;
            }),
            Event::BenchCorrected(e) => self.correct_bench(seq, e.job, e.bench),
            Event::FindingStruck(e) => {
                self.edit(seq, e.job, |job| job.course.findings.retain(|finding| finding.id != e.finding));
            }
            Event::RepairStruck(e) => self.strike_repair(seq, e.job, e.repair),
            _ => {}
        }
    }

    fn hand_in(&mut self, seq: Seq, at: Stamp, when: Stamp, e: &HandedIn) {
        let id = JobId(seq.0);
        let job = new_job(id, at, when, e);
        self.tally.opened += 1;
        self.list(&job);
        if !self.items.contains_key(&e.item) {
            let item = Item {
                id: e.item,
                kind: e.item_kind,
                fencer: e.fencer,
                stays: Vec::new(),
                owed: Vec::new(),
                withdrawn: false,
            };
            self.items.insert(e.item, Arc::new(item));
        }
        self.item(e.item, |item| item.stays.push(id));
        self.say_need(&job, e.need);
        self.jobs.insert(id, Arc::new(job));
    }

    fn call_out(&mut self, seq: Seq, when: Stamp, e: &CalledOut) {
        let id = CallId(seq.0);
        let call = CallOut {
            id,
            strip: e.strip,
            note: e.note,
            bench: e.bench,
            arrival: e.arrival,
            called: when,
            state: CallState::Called,
        };
        self.calls.insert(id, Arc::new(call));
        self.bench_mut(e.bench, |bench| bench.call = Some(id));
    }

    fn redirect(&mut self, call: CallId, bench: BenchId, arrival: Stamp) {
        if let Some(old) = self.calls.get(&call).map(|call| call.bench) {
            self.bench_mut(old, |state| state.call = None);
        }
        self.bench_mut(bench, |state| state.call = Some(call));
        self.call(call, |call| {
            call.bench = bench;
            call.arrival = arrival;
            call.state = CallState::Called;
        });
    }

    fn run_again(&mut self, call: CallId) {
        if let Some(call) = self.calls.remove(&call) {
            self.bench_mut(call.bench, |bench| bench.call = None);
        }
    }

    fn take(&mut self, seq: Seq, job: JobId, bench: BenchId, when: Stamp) {
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
            job.course.clock.start(when);
        });
    }

    fn leave_bench(&mut self, seq: Seq, job: JobId, when: Stamp, also: impl FnOnce(&mut Job)) {
        self.clear_bench(job);
        self.edit(seq, job, |job| {
            job.course.clock.stop(when);
            job.course.state = State::Waiting;
            job.course.place = Place::Counter;
            also(job);
        });
    }

    fn repair(&mut self, seq: Seq, e: &Repaired, when: Stamp) {
        let repair = Repair {
            id: RepairId(seq.0),
            work: e.work,
            fault: e.fault.clone(),
            lasting: e.lasting,
            hands_on: e.hands_on,
        };
        self.edit(seq, e.job, |job| {
            job.course.clock.counted = job.course.clock.total(when);
            job.course.no_fault = false;
            job.course.proof.clear();
            job.course.repairs.push(repair);
        });
        if e.lasting == Lasting::StopGap
            && let Some(item) = self.jobs.get(&e.job).map(|job| job.item)
        {
            let owed =
                Owed { id: OwedId(seq.0), work: e.work, fault: e.fault.clone(), since: when, ended: None };
            self.item(item, |item| item.owed.push(owed));
        }
    }

    fn prove(&mut self, seq: Seq, e: &Proved) {
        let entry = ProofEntry { check: e.check.clone(), answer: e.answer, pass: e.pass };
        self.edit(seq, e.job, |job| {
            job.course.proof.retain(|old| old.check != entry.check);
            job.course.proof.push(entry);
        });
    }

    fn make_ready(&mut self, seq: Seq, e: &MadeReady, when: Stamp) {
        self.clear_bench(e.job);
        self.edit(seq, e.job, |job| {
            end(job, State::Ready, when);
            job.course.anyway = e.anyway;
        });
        let Some(job) = self.jobs.get(&e.job).cloned() else { return };
        let works = job.works();
        // A stay teaches only when it was one kind of work on one item: then its minutes are that work's.
        if let Some(work) = works.first().filter(|_| works.len() == 1 && !job.course.mixed) {
            self.learned.learn(*work, e.hands_on);
            self.edit(seq, e.job, |job| job.course.taught = Some((*work, e.hands_on)));
        }
    }

    fn close(&mut self, seq: Seq, id: JobId, witnessed: bool) {
        self.clear_bench(id);
        self.drop_notice(id);
        let Some(job) = self.jobs.remove(&id) else { return };
        self.unlist(&job);
        match job.state() {
            State::Ready => {
                self.tally.returned += 1;
                if let Some(fencer) = job.fencer {
                    self.kit(fencer, |kit| add_working(kit, job.kind, 1));
                }
            }
            State::Withdrawn => self.tally.withdrawn += 1,
            State::Gone => self.tally.gone += 1,
            _ if witnessed => self.tally.called_off += 1,
            _ => self.tally.gone += 1,
        }
        debug_assert!(seq > self.head);
    }

    fn find_again(&mut self, seq: Seq, job: JobId, place: Place) {
        self.edit(seq, job, |job| {
            let before = job.course.lost_from.take();
            match before {
                Some(ended @ (State::Ready | State::Withdrawn | State::CalledOff)) => {
                    job.course.state = ended;
                    job.course.place = if place.in_room() { Place::ReadyShelf } else { place };
                }
                // Without a tag it has to be scanned in first, wherever it lies.
                _ if job.course.tag.is_none() || !place.in_room() => {
                    job.course.state = State::OnItsWay;
                    job.course.place = place;
                }
                _ => {
                    job.course.state = State::Waiting;
                    job.course.place = Place::Counter;
                }
            }
        });
    }

    fn hold(&mut self, seq: Seq, id: JobId, hold: Hold, when: Stamp) {
        self.clear_bench(id);
        self.edit(seq, id, |job| {
            job.hold = Some(hold);
            job.course.clock.stop(when);
            if job.course.state == State::OnBench {
                job.course.state = State::Waiting;
                job.course.place = Place::Counter;
            }
            if hold.reason == HoldReason::Confiscated {
                job.course.place = Place::LockedAway;
            }
        });
    }

    fn release(&mut self, seq: Seq, id: JobId) {
        self.edit(seq, id, |job| {
            let was_locked = job.is_confiscated();
            job.hold = None;
            if was_locked {
                job.course.place = match job.course.state {
                    State::Ready | State::Withdrawn | State::CalledOff => Place::ReadyShelf,
                    State::Curing => Place::CuringShelf,
                    _ => Place::Counter,
                };
            }
        });
    }

    /// The two tags were on each other's items: what was done under each tag moves to the other job, with the
    /// tag. Both proofs are void and neither teaches repair times.
    fn exchange(&mut self, seq: Seq, a: JobId, b: JobId) {
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
    fn move_owed(&mut self, a: &Job, b: &Job) {
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

    fn count(&mut self, seq: Seq, place: Place, tags: &[Tag]) {
        self.counts.retain(|count| count.place != place);
        self.counts.push(Count { place, tags: tags.to_vec(), at: seq });
    }

    fn correct_item(&mut self, seq: Seq, id: JobId, item: ItemId) {
        let Some(job) = self.jobs.get(&id).cloned() else { return };
        self.item(job.item, |old| old.stays.retain(|stay| *stay != id));
        self.item(item, |right| right.stays.push(id));
        self.edit(seq, id, |job| job.item = item);
    }

    fn correct_bench(&mut self, seq: Seq, id: JobId, bench: BenchId) {
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

    fn strike_repair(&mut self, seq: Seq, id: JobId, repair: RepairId) {
        self.unteach(id);
        self.edit(seq, id, |job| {
            job.course.repairs.retain(|old| old.id != repair);
            job.course.proof.clear();
        });
        if let Some(item) = self.jobs.get(&id).map(|job| job.item) {
            self.item(item, |item| item.owed.retain(|owed| owed.id.0 != repair.0));
        }
    }

    fn unteach(&mut self, id: JobId) {
        let Some((work, span)) = self.jobs.get(&id).and_then(|job| job.course.taught) else { return };
        self.learned.unlearn(work, span);
        if let Some(job) = self.jobs.get_mut(&id) {
            Arc::make_mut(job).course.taught = None;
        }
    }

    fn say_need(&mut self, job: &Job, need: Need) {
        let Some(fencer) = job.fencer.filter(|_| !job.kind.is_apparatus()) else { return };
        self.kit(fencer, |kit| match need {
            Need::Out => kit.out = true,
            Need::NoneLeft => drop(kit.working.insert(job.kind, 0)),
            Need::OneLeft => drop(kit.working.insert(job.kind, 1)),
            Need::TwoOrMore => drop(kit.working.insert(job.kind, 2)),
            Need::StripStopped => {}
        });
    }

    fn drop_notice(&mut self, job: JobId) {
        if let Some(notice) = self.jobs.get(&job).and_then(|job| job.notice) {
            self.notices.remove(&notice.id);
        }
    }

    fn clear_bench(&mut self, job: JobId) {
        let bench = self.jobs.get(&job).and_then(|job| job.course.bench);
        if let Some(bench) = bench.filter(|bench| self.bench(*bench).job == Some(job)) {
            self.bench_mut(bench, |state| {
                state.job = None;
                state.interrupted = false;
            });
        }
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
            change(Arc::make_mut(item));
        }
    }

    fn kit(&mut self, fencer: TextId, change: impl FnOnce(&mut Kit)) {
        change(Arc::make_mut(self.kits.entry(fencer).or_default()));
    }

    fn call(&mut self, id: CallId, change: impl FnOnce(&mut CallOut)) {
        if let Some(call) = self.calls.get_mut(&id) {
            change(Arc::make_mut(call));
        }
    }

    fn bench_mut(&mut self, id: BenchId, change: impl FnOnce(&mut super::state::BenchState)) {
        change(self.benches.entry(id).or_default());
    }
}

fn new_job(id: JobId, at: Stamp, when: Stamp, e: &HandedIn) -> Job {
    Job {
        id,
        item: e.item,
        kind: e.item_kind,
        fencer: e.fencer,
        team: e.team,
        owner: e.owner,
        bringer: e.bringer,
        official: e.official,
        complaint: e.complaint,
        note: e.note,
        came_from: e.came_from,
        back_to: e.back_to,
        declared: e.need,
        wanted_by: e.wanted_by,
        call: e.call,
        handed_in: when,
        recorded: at,
        hold: None,
        pinned: None,
        first_promise: None,
        promise: None,
        notice: None,
        course: Course {
            tag: e.tag,
            state: if e.in_room { State::Waiting } else { State::OnItsWay },
            place: if e.in_room { Place::Counter } else { e.came_from.into() },
            bench: None,
            findings: Vec::new(),
            repairs: Vec::new(),
            proof: Vec::new(),
            no_fault: false,
            elsewhere: None,
            dry_at: None,
            ended: None,
            lost_from: None,
            anyway: None,
            clock: WorkClock::default(),
            taught: None,
            mixed: false,
        },
        changed: Seq(id.0),
    }
}

fn end(job: &mut Job, state: State, when: Stamp) {
    job.course.clock.stop(when);
    job.course.state = state;
    job.course.place = Place::ReadyShelf;
    job.course.ended = Some(when);
    job.course.dry_at = None;
}

/// One more or one less that works: kept between none and two or more. Unknown stays unknown on the way down.
fn add_working(kit: &mut Kit, kind: ItemKind, change: i8) {
    let working: &mut BTreeMap<_, _> = &mut kit.working;
    match (working.get(&kind).copied(), change) {
        (Some(had), change) => drop(working.insert(kind, had.saturating_add_signed(change).min(2))),
        (None, 1) => drop(working.insert(kind, 1)),
        (None, _) => {}
    }
}
