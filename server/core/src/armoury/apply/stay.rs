//! A stay: handed in, scanned in, ready, withdrawn, called off, missing, found, held, and over.

use std::sync::Arc;

use crate::ids::{JobId, Seq};
use crate::time::Stamp;

use super::super::event::{HandedIn, MadeReady, ScannedIn, Withdrawn};
use super::super::job::{Course, Hold, Item, Job, WorkClock};
use super::super::state::{Armoury, CLOSED_KEPT};
use super::super::words::{HoldReason, Place, State};
use super::fencer::add_working;

impl Armoury {
    pub(super) fn hand_in(&mut self, seq: Seq, at: Stamp, when: Stamp, e: &HandedIn) {
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

    pub(super) fn scan_in(&mut self, seq: Seq, e: &ScannedIn) {
        self.tags.insert(e.tag, e.job);
        self.edit(seq, e.job, |job| {
            job.course.tag = Some(e.tag);
            job.course.state = State::Waiting;
            job.course.place = if job.is_confiscated() { Place::LockedAway } else { Place::Counter };
        });
    }

    pub(super) fn make_ready(&mut self, seq: Seq, e: &MadeReady, when: Stamp) {
        self.clear_bench(e.job);
        self.edit(seq, e.job, |job| {
            end(job, State::Ready, when);
            job.course.anyway = e.anyway;
        });
        if let Some(item) = self.jobs.get(&e.job).map(|job| job.item).filter(|_| e.anyway.is_none()) {
            // Proven anew: a part that was not fit for use has been replaced.
            self.item(item, |item| item.withdrawn = false);
        }
    }

    pub(super) fn withdraw(&mut self, seq: Seq, e: &Withdrawn, when: Stamp) {
        self.clear_bench(e.job);
        let item = self.jobs.get(&e.job).map(|job| job.item);
        self.edit(seq, e.job, |job| end(job, State::Withdrawn, when));
        if let Some(item) = item {
            self.item(item, |item| item.withdrawn = true);
        }
    }

    pub(super) fn call_off(&mut self, seq: Seq, job: JobId, when: Stamp) {
        self.teach_unfinished(job, when);
        self.clear_bench(job);
        self.edit(seq, job, |job| end(job, State::CalledOff, when));
    }

    pub(super) fn close(&mut self, id: JobId, when: Stamp) {
        self.clear_bench(id);
        self.drop_notice(id);
        let Some(mut job) = self.jobs.remove(&id) else { return };
        self.unlist(&job);
        *self.tally.of(job.state()) += 1;
        self.count_working(&job, 1);
        Arc::make_mut(&mut job).left = Some(when);
        self.closed.insert(id, job);
        if self.closed.len() > CLOSED_KEPT {
            self.closed = self.closed.without_min().1;
        }
    }

    /// It did not go back after all: everything is as it was before, but for its notice.
    pub(super) fn bring_back(&mut self, seq: Seq, id: JobId) {
        let Some(job) = self.closed.remove(&id) else { return };
        *self.tally.of(job.state()) -= 1;
        self.count_working(&job, -1);
        self.list(&job);
        self.jobs.insert(id, job);
        self.edit(seq, id, |job| (job.notice, job.left) = (None, None));
    }

    /// A mended item more, or less, in its fencer's hands.
    fn count_working(&mut self, job: &Job, change: i8) {
        let mended = job.state() == State::Ready || job.course.lost_from == Some(State::Ready);
        if let Some(fencer) = job.fencer.filter(|_| mended && !job.kind.is_apparatus()) {
            self.kit(fencer, |kit| add_working(kit, job.kind, change));
        }
    }

    pub(super) fn go_missing(&mut self, seq: Seq, job: JobId, when: Stamp) {
        self.teach_unfinished(job, when);
        self.clear_bench(job);
        self.edit(seq, job, |job| {
            job.course.clock.stop(when);
            job.course.lost_from = Some(job.course.state);
            job.course.state = State::Gone;
            job.course.place = Place::Gone;
        });
    }

    pub(super) fn find_again(&mut self, seq: Seq, job: JobId, place: Place) {
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
                    job.course.place = if place.in_room() { Place::Counter } else { place };
                }
                _ => {
                    job.course.state = State::Waiting;
                    job.course.place = Place::Counter;
                }
            }
            if job.is_confiscated() {
                job.course.place = Place::LockedAway;
            }
        });
    }

    pub(super) fn hold(&mut self, seq: Seq, id: JobId, hold: Hold, when: Stamp) {
        self.teach_unfinished(id, when);
        self.clear_bench(id);
        self.edit(seq, id, |job| {
            job.held_before = job.hold.filter(|_| hold.reason == HoldReason::Confiscated);
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

    pub(super) fn release(&mut self, seq: Seq, id: JobId) {
        self.edit(seq, id, |job| {
            let was_locked = job.is_confiscated();
            job.hold = job.held_before.take();
            if was_locked {
                job.course.place = match job.course.state {
                    State::Ready | State::Withdrawn | State::CalledOff => Place::ReadyShelf,
                    State::Curing => Place::CuringShelf,
                    State::OnItsWay => job.came_from.into(),
                    State::Gone => Place::Gone,
                    _ => Place::Counter,
                };
            }
        });
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
        held_before: None,
        pinned: None,
        first_promise: None,
        promise: None,
        notice: None,
        left: None,
        course: new_course(e),
        changed: Seq(id.0),
    }
}

fn new_course(e: &HandedIn) -> Course {
    Course {
        tag: e.tag,
        state: if e.in_room { State::Waiting } else { State::OnItsWay },
        place: if e.in_room { Place::Counter } else { e.came_from.into() },
        bench: None,
        findings: Vec::new(),
        sightings: Vec::new(),
        repairs: Vec::new(),
        proof: Vec::new(),
        no_fault: false,
        elsewhere: None,
        dry_at: None,
        ended: None,
        lost_from: None,
        anyway: None,
        clock: WorkClock::default(),
        taught: Vec::new(),
        mixed: false,
    }
}

fn end(job: &mut Job, state: State, when: Stamp) {
    job.course.clock.stop(when);
    // Called off on its way: it never came in.
    if job.course.state != State::OnItsWay {
        job.course.place = Place::ReadyShelf;
    }
    job.course.state = state;
    job.hold = None;
    job.held_before = None;
    job.course.ended = Some(when);
    job.course.dry_at = None;
}
