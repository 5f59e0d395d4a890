//! The plan and the house laid out flat, as the draws play them: times in whole seconds from now.

use super::causes::{self, Cause, Left};
use crate::armoury::{Armoury, Job, State};
use crate::ids::{BenchId, JobId};
use crate::plan::{self, Plan};
use crate::time::{Stamp, US_PER_S};
use crate::venue::Bench;

/// Later than anything that is played, in seconds.
pub(super) const NEVER: i32 = i32::MAX / 2;
/// Salt of the random numbers.
const SALT: u64 = 0x5265_6d69_7365_2031;
/// Minutes that an armourer is busy at a stopped strip. An estimate of our own.
const AT_STRIP_MIN: i64 = 5;

/// The plan and the house, laid out flat.
pub(super) struct Field {
    /// By planned start.
    pub jobs: Vec<Step>,
    pub causes: Vec<Cause>,
    pub desks: Vec<Desk>,
    /// The jobs of each lane, lane after lane, by planned start.
    pub in_lanes: Vec<usize>,
    /// Open hours in seconds from now, bench after bench.
    pub hours: Vec<(i32, i32)>,
}

/// A job as it is played.
pub(super) struct Step {
    pub id: JobId,
    pub seed: u64,
    /// In the room, or dry, from then on.
    pub here: i32,
    /// The bench of its lane, by its place in `desks`.
    pub lane: usize,
    /// The benches that may take it, a bit each.
    pub able: u64,
    /// Its causes; empty when only `rest` is left.
    pub causes: std::ops::Range<usize>,
    pub rest: f64,
    /// It is in hand at its lane's bench.
    pub in_hand: bool,
    /// It comes out of curing.
    pub cured: bool,
}

impl Step {
    pub fn may_go_to(&self, desk: usize) -> bool {
        self.lane == desk || self.able & bit(desk) != 0
    }
}

/// A bench as it is played.
pub(super) struct Desk {
    pub free: i32,
    pub hours: std::ops::Range<usize>,
    /// Its jobs in `in_lanes`.
    pub lane: std::ops::Range<usize>,
}

impl Field {
    pub fn new(room: &Armoury, plan: &Plan, now: Stamp) -> Self {
        let mut field = Self {
            jobs: Vec::new(),
            causes: Vec::new(),
            desks: Vec::new(),
            hours: Vec::new(),
            in_lanes: Vec::new(),
        };
        let Some(venue) = room.venue.as_deref() else { return field };
        for bench in &venue.benches {
            field.add_desk(room, bench, now);
        }
        let mut slots: Vec<_> = plan
            .lanes
            .iter()
            .flat_map(|(bench, lane)| {
                lane.iter().enumerate().map(|(at, slot)| (slot.start, at, *bench, slot.job))
            })
            .collect();
        slots.sort_unstable();
        for (_, _, bench, id) in slots {
            let lane = venue.benches.iter().position(|other| other.id == bench);
            let job = room.job(id).filter(|job| job.awaits_work());
            if let (Some(lane), Some(job)) = (lane, job) {
                field.add_job(room, job, lane, &venue.benches, now);
            }
        }
        for desk in 0..field.desks.len() {
            let from = field.in_lanes.len();
            let own = field.jobs.iter().enumerate().filter(|(_, job)| job.lane == desk);
            field.in_lanes.extend(own.map(|(at, _)| at));
            field.desks[desk].lane = from..field.in_lanes.len();
        }
        field
    }

    fn add_desk(&mut self, room: &Armoury, bench: &Bench, now: Stamp) {
        let from = self.hours.len();
        if room.bench(bench.id).forced.is_none() {
            let open = bench.open.iter().filter(|window| window.to > now);
            self.hours.extend(open.map(|window| (seconds(window.from, now).max(0), seconds(window.to, now))));
        }
        let free = seconds(attended_from(room, bench.id, now), now).max(0);
        self.desks.push(Desk { free, hours: from..self.hours.len(), lane: 0..0 });
    }

    fn add_job(&mut self, room: &Armoury, job: &Job, lane: usize, benches: &[Bench], now: Stamp) {
        let from = self.causes.len();
        let causes = causes::of(room, job, now);
        let rest = if causes.is_none() { causes::rest(job) } else { 0.0 };
        self.causes.extend(causes.into_iter().flatten());
        let here = match job.state() {
            State::OnItsWay => job.handed_in.plus_min(room.walk_min(job.came_from)),
            State::Curing => job.course.dry_at.unwrap_or(now),
            _ => now,
        };
        let here = if job.state() == State::Curing { here } else { here.or_later(now) };
        self.jobs.push(Step {
            id: job.id,
            seed: mix(job.id.0 ^ SALT),
            here: seconds(here, now).max(0),
            lane,
            able: able(room, job, benches),
            causes: from..self.causes.len(),
            rest,
            in_hand: job.state() == State::OnBench,
            cured: job.state() == State::Curing,
        });
    }

    /// What is left of the job in that draw.
    pub fn left(&self, job: &Step, number: u64) -> Left {
        if job.causes.is_empty() {
            return Left { head: job.rest, curing: 0.0, tail: 0.0 };
        }
        let bits = mix(job.seed.wrapping_add(number.wrapping_mul(0x9e37_79b9_7f4a_7c15)));
        let which = (bits >> 32) as f64 / 4_294_967_296.0;
        let uniform = ((bits & 0xffff_ffff) as f64 + 0.5) / 4_294_967_296.0;
        let causes = &self.causes[job.causes.clone()];
        let cause = causes.iter().find(|cause| which < cause.up_to).unwrap_or(&causes[causes.len() - 1]);
        cause.draw(uniform)
    }

    /// The first moment from `at` on at which the bench is open; after its last hours, `at` itself.
    pub fn open_from(&self, desk: usize, at: i32) -> i32 {
        let hours = &self.hours[self.desks[desk].hours.clone()];
        hours.iter().find(|(_, to)| at < *to).map_or(at, |(from, _)| at.max(*from))
    }

    /// When a bench has done so many minutes from `start` on, breaks left out; after its last hours it goes on.
    pub fn done(&self, desk: usize, start: i32, minutes: f64) -> i32 {
        let (mut at, mut left) = (start, (minutes * 60.0) as i32);
        for (from, to) in &self.hours[self.desks[desk].hours.clone()] {
            if at >= *to {
                continue;
            }
            at = at.max(*from);
            if left <= *to - at {
                return at + left;
            }
            left -= *to - at;
            at = *to;
        }
        at.saturating_add(left).min(NEVER)
    }
}

fn bit(desk: usize) -> u64 {
    // Benches beyond the 64th help nobody; their own lanes are played all the same.
    if desk < 64 { 1 << desk } else { 0 }
}

fn able(room: &Armoury, job: &Job, benches: &[Bench]) -> u64 {
    if job.pinned.is_some() {
        return 0;
    }
    let work = plan::expected(room, job).work;
    let can = |bench: &Bench| bench.can(work) && room.bench(bench.id).forced != Some(false);
    benches.iter().enumerate().filter(|(_, bench)| can(bench)).fold(0, |bits, (desk, _)| bits | bit(desk))
}

/// When the bench's armourer is there again.
fn attended_from(room: &Armoury, bench: BenchId, now: Stamp) -> Stamp {
    let state = room.bench(bench);
    let from = state.away_until.unwrap_or(now).or_later(now);
    let Some(call) = state.call.and_then(|call| room.calls.get(&call)) else { return from };
    let walk = room.venue.as_ref().map_or(0, |venue| venue.walk_min(call.strip));
    from.or_later(call.arrival.plus_min(AT_STRIP_MIN + walk)).or_later(now.plus_min(walk))
}

/// Seconds from `now`, negative before it.
fn seconds(at: Stamp, now: Stamp) -> i32 {
    let seconds = at.0.saturating_sub(now.0) / US_PER_S;
    seconds.clamp(i64::from(-NEVER), i64::from(NEVER - 1)) as i32
}

/// Stafford's mix of 64 bits as in the public-domain `SplitMix64` (constants from memory).
fn mix(mut bits: u64) -> u64 {
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}
