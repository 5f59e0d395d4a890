//! What one caller sees of the armoury at one moment: names only as far as the role allows.

use std::collections::BTreeMap;
use std::sync::Arc;

use remise_core::armoury::{Armoury, CallOut, Item, Job, Owed, Promise};
use remise_core::ids::{BenchId, JobId, TextId};
use remise_core::lasting::owed_work;
use remise_core::plan::why::Reasons;
use remise_core::plan::{Maker, Plan, Slot, Unplaced};
use remise_core::tag::Tag;
use remise_core::time::Stamp;
use remise_core::venue::Bench;
use remise_proto::v1;

use super::words::{self, us};

/// A look at the armoury.
pub struct Lens<'a> {
    /// The armoury.
    pub room: &'a Armoury,
    /// The newest plan.
    pub plan: &'a Plan,
    /// The server's clock.
    pub now: Stamp,
    /// Whether names of people and notes may be shown.
    pub names: bool,
    slots: BTreeMap<JobId, (BenchId, Slot)>,
}

impl<'a> Lens<'a> {
    /// A look at the armoury with a plan.
    pub fn new(room: &'a Armoury, plan: &'a Plan, now: Stamp, names: bool) -> Self {
        Self { room, plan, now, names, slots: plan.by_job() }
    }

    /// A text, or nothing for those who may not see it.
    fn text(&self, id: Option<TextId>) -> String {
        id.filter(|_| self.names).map_or_else(String::new, |id| self.room.text(id).to_owned())
    }

    /// One job.
    pub fn job(&self, job: &Job) -> v1::JobView {
        let item = self.room.items.get(&job.item);
        v1::JobView {
            job: job.id.0,
            item: job.item.0,
            tag: job.course.tag.map_or_else(String::new, Tag::digits),
            item_kind: job.kind.code().to_owned(),
            complaint: job.complaint.code().to_owned(),
            note: self.text(job.note),
            fencer: self.text(job.fencer),
            team: job.team,
            owner: self.text(job.owner),
            bringer: self.text(job.bringer),
            official: self.text(job.official),
            came_from: Some(words::spot(job.came_from)),
            back_to: Some(words::spot(job.back_to)),
            need: words::need(self.room.need(job)),
            state: words::state(job.state()),
            place: Some(words::place(job.course.place)),
            bench: job.course.bench.map_or(0, |bench| u32::from(bench.0)),
            wanted_by_us: us(job.wanted_by),
            handed_in_us: job.handed_in.0,
            first_promise: job.first_promise.map(promise),
            promise: job.promise.map(promise),
            planned: self.slots.get(&job.id).map(|(_, slot)| planned(slot)),
            hold: job.hold.map(|hold| v1::HoldView {
                reason: words::hold_reason(hold.reason),
                note: self.text(hold.note),
                since_us: hold.since.0,
            }),
            pinned: job.pinned.map_or(0, |bench| u32::from(bench.0)),
            notice: job.notice.map(|notice| v1::NoticeView {
                notice: notice.id.0,
                kind: words::notice_kind(notice.what),
                to: Some(words::spot(notice.to)),
                sent_us: notice.sent.0,
                confirmed_us: us(notice.confirmed),
                raised: notice.raised,
            }),
            dry_at_us: us(job.course.dry_at),
            hands_on_us: job.course.clock.before.0,
            in_hand_since_us: us(job.course.clock.since),
            owed: item.map_or_else(Vec::new, |item| item.still_owed().map(|owed| owed.id.0).collect()),
            call: job.call.map_or(0, |call| call.0),
            changed_seq: job.changed.0,
            no_fault: job.course.no_fault,
            ended_us: us(job.course.ended),
            earlier_stays: item.map_or(0, |item| earlier_stays(item, job.id)),
        }
    }

    /// One bench.
    pub fn bench(&self, bench: &Bench) -> v1::BenchView {
        let now = self.room.bench(bench.id);
        v1::BenchView {
            bench: u32::from(bench.id.0),
            name: bench.name.clone(),
            armourer: self.text(bench.armourer),
            open: self.room.bench_is_open(bench.id, self.now),
            in_hand: now.job.map_or(0, |job| job.0),
            interrupted: now.interrupted,
            away_until_us: us(now.away_until),
            call: now.call.map_or(0, |call| call.0),
            closes_at_us: us(now.closes_at),
        }
    }

    /// One call-out.
    pub fn call(&self, call: &CallOut) -> v1::CallView {
        v1::CallView {
            call: call.id.0,
            strip: u32::from(call.strip.0),
            bench: u32::from(call.bench.0),
            state: words::call_state(call.state),
            note: self.text(call.note),
            called_us: call.called.0,
            arrival_us: call.arrival.0,
        }
    }

    /// What is owed on an item.
    pub fn owed(&self, item: &Item, owed: &Owed) -> v1::OwedView {
        let here = item.stays.iter().rev().find(|job| self.room.job(**job).is_some());
        v1::OwedView {
            owed: owed.id.0,
            item: item.id.0,
            item_kind: item.kind.code().to_owned(),
            work: owed_work(owed).code().to_owned(),
            fault: owed.fault.clone().unwrap_or_default(),
            since_us: owed.since.0,
            fencer: self.text(item.fencer),
            job: here.map_or(0, |job| job.0),
        }
    }

    /// All that is owed on an item.
    pub fn owed_on(&self, item: &Arc<Item>) -> Vec<v1::OwedView> {
        item.still_owed().map(|owed| self.owed(item, owed)).collect()
    }
}

/// Stays of the item before this one.
fn earlier_stays(item: &Item, job: JobId) -> u32 {
    u32::try_from(item.stays.iter().filter(|stay| **stay < job).count()).unwrap_or(u32::MAX)
}

fn promise(promise: Promise) -> v1::ReadyBy {
    v1::ReadyBy { likely_us: promise.likely.0, safe_us: us(promise.safe), said_us: promise.said.0 }
}

fn planned(slot: &Slot) -> v1::ReadyBy {
    v1::ReadyBy { likely_us: slot.likely.0, safe_us: us(slot.safe), said_us: 0 }
}

/// One bench's lane.
pub fn lane(reasons: &Reasons<'_>, room: &Armoury, bench: BenchId, slots: &[Slot]) -> v1::Lane {
    let step = |slot: &Slot| v1::LaneStep {
        job: slot.job.0,
        starts_us: slot.taken_up.0,
        ready: Some(planned(slot)),
        why: reasons.why(slot.job).sentence(room),
        late: reasons.late(slot.job).map_or_else(String::new, |late| late.sentence(room)),
    };
    v1::Lane { bench: u32::from(bench.0), steps: slots.iter().map(step).collect() }
}

/// Every lane.
pub fn lanes(room: &Armoury, plan: &Plan) -> Vec<v1::Lane> {
    let reasons = Reasons::new(room, plan);
    plan.lanes.iter().map(|(bench, slots)| lane(&reasons, room, *bench, slots)).collect()
}

/// What is wrong with who made a plan.
pub fn trouble(plan: &Plan) -> String {
    match plan.made_by {
        Maker::Planner => "",
        Maker::Failed => "The planner failed; a simple rule makes the lanes until it works again.",
        Maker::Slow => "The planner takes too long; a simple rule makes the lanes until it answers.",
    }
    .to_owned()
}

/// Jobs in no lane.
pub fn unplaced(plan: &Plan) -> Vec<v1::Unplaced> {
    let of = |(job, why): &(JobId, Unplaced)| v1::Unplaced { job: job.0, why: why_unplaced(*why).to_owned() };
    plan.unplaced.iter().map(of).collect()
}

/// Code of the reason why a job is in no lane.
pub fn why_unplaced(why: Unplaced) -> &'static str {
    match why {
        Unplaced::Held => "held",
        Unplaced::NoBench => "no_bench",
        Unplaced::NoTime => "no_time",
    }
}

/// A plan.
pub fn plan(room: &Armoury, plan: &Plan) -> v1::Plan {
    v1::Plan {
        covers_up_to: plan.based_on.0,
        made_at_us: plan.at.0,
        lanes: lanes(room, plan),
        unplaced: unplaced(plan),
        trouble: trouble(plan),
    }
}
