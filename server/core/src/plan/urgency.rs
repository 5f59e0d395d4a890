//! The simple rule for the lanes: jobs by urgency, each to the bench that finishes it first.

use std::collections::BTreeMap;

use super::{Expected, Plan, Planner, Slot, Unplaced, expected, expected_of};
use crate::armoury::{Armoury, Job, State};
use crate::gear::{Complaint, ItemKind};
use crate::ids::BenchId;
use crate::time::{Span, Stamp, Window};
use crate::venue::{Bench, Venue};

/// The simple rule: jobs by urgency, each to the bench that finishes it first.
///
/// Urgency is the latest moment at which work may start (wanted-by less the walk and the expected work), earlier for
/// who needs it more; jobs that nobody wants by a time come after, by need and then in order of arrival. Work lies
/// inside one of the bench's open windows; less urgent work fills gaps that more urgent work leaves. At a bench that the head has closed nothing is planned.
#[derive(Clone, Copy, Debug, Default)]
pub struct UrgencyPlanner;

/// Minutes that an armourer is expected to be busy at a stopped strip. An estimate of our own.
const AT_STRIP_MIN: i64 = 5;
/// No job in hand takes less than this any more, however long it has been there.
const LEAST_IN_HAND: Span = Span::minutes(1);
/// No job that a bench takes up takes less than this.
const LEAST: Span = Span::minutes(2);

impl Planner for UrgencyPlanner {
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let mut plan = Plan { based_on: room.head, at: now, ..Plan::default() };
        let Some(venue) = room.venue.clone() else { return plan };
        let outlook = Outlook { room, venue: &venue, now };
        let mut diaries = outlook.diaries(&mut plan);
        for (job, expected) in outlook.by_urgency() {
            if job.hold.is_some() {
                plan.unplaced.push((job.id, Unplaced::Held));
                continue;
            }
            match outlook.best_bench(job, &expected, &diaries) {
                Ok((bench, slot, busy)) => {
                    diaries.entry(bench).or_default().enter(busy);
                    plan.lanes.entry(bench).or_default().push(slot);
                }
                Err(why) => plan.unplaced.push((job.id, why)),
            }
        }
        for lane in plan.lanes.values_mut() {
            lane.sort_by_key(|slot| slot.start);
        }
        plan
    }
}

/// What a bench's armourer is busy with, ascending and apart.
#[derive(Clone, Debug, Default)]
struct Diary(Vec<Window>);

impl Diary {
    fn enter(&mut self, busy: Window) {
        let at = self.0.partition_point(|other| other.from < busy.from);
        self.0.insert(at, busy);
    }

    /// The first stretch of that length in a window: less urgent work goes into a gap when it delays nothing there.
    fn gap(&self, open: Window, from: Stamp, work: Span) -> Option<Window> {
        let mut start = open.from.or_later(from);
        for busy in self.0.iter().filter(|busy| from < busy.to) {
            if start + work <= busy.from {
                break;
            }
            start = start.or_later(busy.to);
        }
        (start + work <= open.to).then(|| Window { from: start, to: start + work })
    }
}

/// What is planned, and when.
struct Outlook<'a> {
    room: &'a Armoury,
    venue: &'a Venue,
    now: Stamp,
}

impl<'a> Outlook<'a> {
    /// Until when each armourer is away or busy with what is in hand, which becomes the head of the lane.
    fn diaries(&self, plan: &mut Plan) -> BTreeMap<BenchId, Diary> {
        let mut diaries: BTreeMap<_, Diary> = BTreeMap::new();
        for bench in &self.venue.benches {
            let mut until = attended_from(self.room, bench.id, self.now);
            if let Some(job) = self.room.bench(bench.id).job.and_then(|job| self.room.job(job)) {
                let whole = expected(self.room, job);
                until =
                    until + Span(whole.hands_on.0 - job.course.clock.total(self.now).0).max(LEAST_IN_HAND);
                // What cures does so after its repair; once that is recorded, glue was used or it was not.
                let curing = if job.course.repairs.is_empty() { whole.curing } else { Span::ZERO };
                let slot = Slot::new(job.id, self.now, until + curing);
                plan.lanes.entry(bench.id).or_default().push(slot);
            }
            diaries.entry(bench.id).or_default().enter(Window { from: self.now, to: until });
        }
        diaries
    }

    /// The jobs that need a bench, most urgent first, with what each is expected to need.
    fn by_urgency(&self) -> Vec<(&'a Job, Expected)> {
        // Most jobs of a day share a few kinds and complaints.
        let mut known: BTreeMap<(ItemKind, Complaint), Expected> = BTreeMap::new();
        let mut jobs = Vec::new();
        for job in self.room.jobs.values().map(AsRef::as_ref).filter(|job| needs_bench(job)) {
            let expected = if job.is_checked() {
                expected(self.room, job)
            } else {
                *known
                    .entry((job.kind, job.complaint))
                    .or_insert_with(|| expected_of(&self.room.learned, job.kind, job.complaint))
            };
            jobs.push((self.urgency(job, &expected), job, expected));
        }
        jobs.sort_by_key(|(urgency, job, _)| (*urgency, job.id));
        jobs.into_iter().map(|(_, job, expected)| (job, expected)).collect()
    }

    fn urgency(&self, job: &Job, expected: &Expected) -> (u8, Stamp) {
        let need = self.room.need(job);
        match job.wanted_by {
            Some(wanted) => {
                let latest = wanted.plus_min(-self.room.walk_min(job.back_to)) - expected.hands_on;
                // Every step of need is worth some minutes of lead; our own choice.
                (0, latest.plus_min(-2 * i64::from(need.weight())))
            }
            None => (u8::from(need.weight() < 8), job.handed_in.plus_min(60 - 5 * i64::from(need.weight()))),
        }
    }

    fn best_bench(
        &self,
        job: &Job,
        expected: &Expected,
        diaries: &BTreeMap<BenchId, Diary>,
    ) -> Result<(BenchId, Slot, Window), Unplaced> {
        let able = self.able(job, expected);
        if able.is_empty() {
            return Err(Unplaced::NoBench);
        }
        let here = here_from(self.room, job, self.now);
        // A job that was in hand before needs only what is left of it.
        let left = Span(expected.hands_on.0 - job.course.clock.before.0).max(LEAST);
        let curing = if job.state() == State::Curing { Span::ZERO } else { expected.curing };
        let option = |bench: &&Bench| {
            let busy = self.open_for(bench, diaries.get(&bench.id)?, here, left)?;
            Some((bench.id, Slot::new(job.id, busy.from, busy.to + curing), busy))
        };
        let first = able.into_iter().filter_map(|bench| option(&bench));
        first.min_by_key(|(bench, slot, _)| (slot.likely, *bench)).ok_or(Unplaced::NoTime)
    }

    /// The benches that may take it: the one that it is kept for; else those that do the likeliest work; else those
    /// that do any work that it may need.
    fn able(&self, job: &Job, expected: &Expected) -> Vec<&'a Bench> {
        if let Some(pinned) = job.pinned {
            return self.venue.bench(pinned).into_iter().collect();
        }
        let able: Vec<_> = self.venue.benches.iter().filter(|bench| bench.can(expected.work)).collect();
        if !able.is_empty() {
            return able;
        }
        let may_need = job.may_need();
        self.venue
            .benches
            .iter()
            .filter(|bench| bench.works.iter().any(|work| may_need.contains(work)))
            .collect()
    }

    /// When so much work can be done at a bench without a break. A bench that the head has opened stays open, and one
    /// that the head has closed stays closed.
    fn open_for(&self, bench: &Bench, diary: &Diary, from: Stamp, work: Span) -> Option<Window> {
        self.room.open_windows(bench.id, from).find_map(|open| diary.gap(open, from, work))
    }
}

/// When the bench's armourer is there again: now, or back from wherever they went.
pub(super) fn attended_from(room: &Armoury, bench: BenchId, now: Stamp) -> Stamp {
    let state = room.bench(bench);
    let from = state.away_until.unwrap_or(now).or_later(now);
    let Some(call) = state.call.and_then(|call| room.calls.get(&call)) else { return from };
    // Some minutes at the strip, and the walk back.
    let walk = room.venue.as_ref().map_or(0, |venue| venue.walk_min(call.strip));
    from.or_later(call.arrival.plus_min(AT_STRIP_MIN + walk)).or_later(now.plus_min(walk))
}

/// When a bench can have it: walked in, or dry.
pub(super) fn here_from(room: &Armoury, job: &Job, now: Stamp) -> Stamp {
    match job.state() {
        State::OnItsWay => job.handed_in.plus_min(room.walk_min(job.came_from)).or_later(now),
        State::Curing => job.course.dry_at.unwrap_or(now).or_later(now),
        _ => now,
    }
}

pub(super) fn needs_bench(job: &Job) -> bool {
    matches!(job.state(), State::OnItsWay | State::Waiting | State::Curing)
}
