//! What must hold of an armoury at every moment.

use crate::armoury::*;
use crate::ids::{BenchId, JobId};

/// Panics when something contradicts something else.
pub(crate) fn sound(room: &Armoury) {
    for (bench, state) in &room.benches {
        bench_is_sound(room, *bench, state);
    }
    for (id, job) in &room.jobs {
        assert_eq!(*id, job.id);
        job_is_sound(room, job);
    }
    for (tag, id) in &room.tags {
        assert_eq!(room.jobs[id].course.tag, Some(*tag), "a tag and its job agree");
    }
    let by_fencer = room.jobs.values().filter_map(|job| Some((job.fencer?, job.id)));
    let by_fencer: std::collections::BTreeSet<_> = by_fencer.collect();
    assert!(room.jobs_of.iter().eq(&by_fencer), "jobs are listed by whose they are");
    let owing = room.items.values().filter(|item| item.still_owed().next().is_some());
    assert!(room.owing().map(|item| item.id).eq(owing.map(|item| item.id)), "what is owed is listed");
    for (notice, id) in &room.notices {
        let open = room.jobs[id].notice.expect("an open notice belongs to a job");
        assert!(open.id == *notice && open.confirmed.is_none());
    }
    for (id, call) in &room.calls {
        assert!(call.id == *id && room.bench(call.bench).call == Some(*id), "a call-out and its bench agree");
    }
    let tally = room.tally;
    let over = tally.returned + tally.withdrawn + tally.called_off + tally.gone;
    assert_eq!(tally.opened, room.jobs.len() as u64 + over, "every job is open or over");
    debts_are_sound(room);
}

fn bench_is_sound(room: &Armoury, bench: BenchId, state: &BenchState) {
    if let Some(id) = state.job {
        let job = &room.jobs[&id];
        assert_eq!((job.state(), job.course.bench), (State::OnBench, Some(bench)), "bench and job agree");
        assert!(state.call.is_none() || state.interrupted, "nobody works at a bench and at a strip");
    }
    assert!(state.job.is_some() || !state.interrupted, "only work can be interrupted");
    if let Some(call) = state.call {
        assert_eq!(room.calls[&call].bench, bench);
    }
}

fn job_is_sound(room: &Armoury, job: &Job) {
    let at_work = job.course.bench.map(|bench| room.bench(bench));
    if job.state() == State::OnBench {
        let bench = at_work.expect("a job on a bench names it");
        assert_eq!(bench.job, Some(job.id), "job and bench agree");
        assert_eq!(job.course.clock.since.is_some(), !bench.interrupted, "the clock runs while work goes on");
        assert!(job.hold.is_none(), "what is held lies on no bench");
    } else {
        assert!(at_work.is_none_or(|bench| bench.job != Some(job.id)), "one bench too many");
        assert!(job.course.clock.since.is_none(), "a clock runs that nobody started");
    }
    place_is_sound(job);
    if let Some(tag) = job.course.tag {
        assert_eq!(room.tags.get(&tag), Some(&job.id), "a job and its tag agree");
    }
    if let Some(notice) = job.notice.filter(|notice| notice.confirmed.is_none()) {
        assert_eq!(room.notices.get(&notice.id), Some(&job.id), "an open notice is listed");
    }
    let item = &room.items[&job.item];
    assert!(item.stays.contains(&job.id) && item.kind == job.kind, "an item knows its stays");
    let before = job.course.lost_from.unwrap_or(job.state());
    let lies_here = matches!(before, State::Ready | State::Withdrawn | State::CalledOff);
    assert_eq!(lies_here, job.course.ended.is_some(), "what is ended awaits hand-back");
}

fn place_is_sound(job: &Job) {
    let place = job.course.place;
    let fits = match job.state() {
        State::OnItsWay | State::CalledOff | State::Ready | State::Withdrawn => {
            !matches!(place, Place::Bench(_) | Place::CuringShelf | Place::Gone | Place::HandedBack)
        }
        State::Waiting => matches!(place, Place::Counter | Place::LockedAway),
        State::OnBench => job.course.bench.is_some_and(|bench| place == Place::Bench(bench)),
        State::Curing => matches!(place, Place::CuringShelf | Place::LockedAway),
        State::Gone => place == Place::Gone,
        State::Returned => false,
    };
    assert!(fits, "job {} is {} at {place}", job.id, job.state());
    let locked = job.is_confiscated() && job.state() != State::Gone;
    assert_eq!(place == Place::LockedAway, locked, "locked away is what is confiscated");
}

fn debts_are_sound(room: &Armoury) {
    let mut seen = Vec::new();
    for owed in room.items.values().flat_map(|item| &item.owed) {
        assert!(owed.by.is_none() || owed.ended == Some(OwedEnd::Done));
        assert!(!seen.contains(&owed.id), "the same is owed on two items");
        seen.push(owed.id);
    }
}

/// A step that must be legal for the job as it stands: nothing ends in a corner.
pub(crate) fn a_way_on(room: &Armoury, id: JobId, fresh: crate::tag::Tag) -> Command {
    use super::world::{call_off, found_again, hand_back, let_go, on, scan_in};
    let job = &room.jobs[&id];
    match job.state() {
        _ if job.is_confiscated() => let_go(id),
        State::Gone => found_again(id, Place::Counter),
        State::Ready | State::Withdrawn | State::CalledOff => hand_back(id),
        _ if job.hold.is_some() => Command::Release { job: on(id) },
        State::OnItsWay => scan_in(id, job.course.tag.is_none().then_some(fresh)),
        State::OnBench => Command::PutBack { job: on(id), note: None },
        State::Waiting | State::Curing | State::Returned => call_off(id),
    }
}
