//! Monte Carlo through a plan: when each job may be ready, draw by draw.
//!
//! In each draw every job gets its cause and its minutes ([`super::causes`]), then the benches are played forward from now:
//! a bench that is free takes what has come out of curing first, then the first job of its lane that is in the room; a
//! bench whose lane has nothing for it helps with the earliest job of another lane that it can do, as the planner would
//! have it after the next event. Work that runs into a break goes on after it. **Not drawn** is what is handed in later
//! and is more urgent: that is left to the correction ([`super::coverage`]).
//!
//! Draws are common random numbers: number `d` of a job comes from the job's own number (its place in the journal) and `d` alone, so
//! that the same job keeps its luck from plan to plan and quotes move only for a reason.

use super::causes::{self, Cause, Left};
use crate::armoury::{Armoury, Job, State};
use crate::ids::{BenchId, JobId};
use crate::plan::{self, Plan};
use crate::time::{Stamp, US_PER_S};
use crate::venue::Bench;

/// Draws for each plan, live and in rehearsals alike. Of 250 draws the 90 % point is within about 2 % of its level.
pub const DRAWS: usize = 250;

/// Later than anything that is played, in seconds.
const NEVER: i32 = i32::MAX / 2;
/// Salt of the random numbers.
const SALT: u64 = 0x5265_6d69_7365_2031;
/// Minutes that an armourer is busy at a stopped strip. An estimate of our own.
const AT_STRIP_MIN: i64 = 5;

/// When each job was ready in each draw, in seconds from `now`.
#[derive(Clone, Debug)]
pub struct Drawn {
    now: Stamp,
    draws: usize,
    jobs: Vec<JobId>,
    ready: Vec<i32>,
}

impl Drawn {
    /// The jobs, as the plan orders them by start.
    pub fn jobs(&self) -> &[JobId] {
        &self.jobs
    }

    /// The moment by which the `index`th job is ready in that share of the draws.
    pub fn at(&mut self, index: usize, level: f64) -> Stamp {
        let draws = &mut self.ready[index * self.draws..(index + 1) * self.draws];
        let rank = ((level * self.draws as f64 - 1e-9).ceil() as usize).clamp(1, self.draws);
        let (_, seconds, _) = draws.select_nth_unstable(rank - 1);
        Stamp(self.now.0 + i64::from(*seconds) * US_PER_S)
    }
}

/// Plays the plan forward so many times.
pub fn draw(room: &Armoury, plan: &Plan, now: Stamp, draws: usize) -> Drawn {
    let field = Field::new(room, plan, now);
    let mut drawn = Drawn {
        now,
        draws: draws.max(1),
        jobs: field.jobs.iter().map(|job| job.id).collect(),
        ready: vec![NEVER; field.jobs.len() * draws.max(1)],
    };
    let mut play = Play::new(&field);
    for number in 0..drawn.draws {
        play.run(&field, number, drawn.draws, &mut drawn.ready);
    }
    drawn
}

/// The plan and the house, laid out flat.
struct Field {
    /// By planned start.
    jobs: Vec<Step>,
    causes: Vec<Cause>,
    desks: Vec<Desk>,
    /// Open hours in seconds from now, bench after bench.
    hours: Vec<(i32, i32)>,
}

/// A job as it is played.
struct Step {
    id: JobId,
    seed: u64,
    /// In the room, or dry, from then on.
    here: i32,
    /// The bench of its lane, by its place in `desks`.
    lane: usize,
    /// The benches that may take it, a bit each.
    able: u64,
    /// Its causes; empty when only `rest` is left.
    causes: std::ops::Range<usize>,
    rest: f64,
    /// It is in hand at its lane's bench.
    in_hand: bool,
    /// It comes out of curing.
    cured: bool,
}

impl Step {
    fn may_go_to(&self, desk: usize) -> bool {
        self.lane == desk || self.able & bit(desk) != 0
    }
}

/// A bench as it is played.
struct Desk {
    free: i32,
    hours: std::ops::Range<usize>,
}

impl Field {
    fn new(room: &Armoury, plan: &Plan, now: Stamp) -> Self {
        let mut field = Self { jobs: Vec::new(), causes: Vec::new(), desks: Vec::new(), hours: Vec::new() };
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
        field
    }

    fn add_desk(&mut self, room: &Armoury, bench: &Bench, now: Stamp) {
        let from = self.hours.len();
        if room.bench(bench.id).forced.is_none() {
            let open = bench.open.iter().filter(|window| window.to > now);
            self.hours.extend(open.map(|window| (seconds(window.from, now).max(0), seconds(window.to, now))));
        }
        let free = seconds(attended_from(room, bench.id, now), now).max(0);
        self.desks.push(Desk { free, hours: from..self.hours.len() });
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
    fn left(&self, job: &Step, number: u64) -> Left {
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
    fn open_from(&self, desk: usize, at: i32) -> i32 {
        let hours = &self.hours[self.desks[desk].hours.clone()];
        hours.iter().find(|(_, to)| at < *to).map_or(at, |(from, _)| at.max(*from))
    }

    /// When a bench has done so many minutes from `start` on, breaks left out; after its last hours it goes on.
    fn done(&self, desk: usize, start: i32, minutes: f64) -> i32 {
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

/// One draw being played. All arrays are made once.
struct Play {
    left: Vec<Left>,
    started: Vec<bool>,
    free: Vec<i32>,
    /// What cures: dry from then on, and which job.
    shelf: Vec<(i32, usize)>,
    /// The first job that has not started.
    first: usize,
}

impl Play {
    fn new(field: &Field) -> Self {
        let nothing = Left { head: 0.0, curing: 0.0, tail: 0.0 };
        Self {
            left: vec![nothing; field.jobs.len()],
            started: vec![false; field.jobs.len()],
            free: vec![0; field.desks.len()],
            shelf: Vec::with_capacity(field.jobs.len()),
            first: 0,
        }
    }

    fn run(&mut self, field: &Field, number: usize, draws: usize, ready: &mut [i32]) {
        self.set_out(field, number);
        let mut still = field.jobs.len();
        let mut note = |at: usize, end: Option<i32>| {
            if let Some(end) = end {
                ready[at * draws + number] = end;
                still -= 1;
            }
            still > 0
        };
        for (at, job) in field.jobs.iter().enumerate().filter(|(_, job)| job.in_hand) {
            let end = self.work(field, at, job.lane, self.free[job.lane]);
            note(at, end);
        }
        // As long as something is left to do and somebody to do it.
        while note(0, None)
            && let Some(desk) = (0..self.free.len()).min_by_key(|desk| self.free[*desk])
            && self.free[desk] < NEVER
        {
            let now = field.open_from(desk, self.free[desk]);
            match self.pick(field, desk, now) {
                _ if now > self.free[desk] => self.free[desk] = now,
                Pick::Dry(on_shelf) => {
                    let (_, at) = self.shelf.swap_remove(on_shelf);
                    self.free[desk] = field.done(desk, now, self.left[at].tail);
                    note(at, Some(self.free[desk]));
                }
                Pick::Job(at) => {
                    let end = self.work(field, at, desk, now);
                    note(at, end);
                }
                Pick::WaitUntil(then) => self.free[desk] = then,
            }
        }
    }

    fn set_out(&mut self, field: &Field, number: usize) {
        self.shelf.clear();
        self.first = 0;
        for (free, desk) in self.free.iter_mut().zip(&field.desks) {
            *free = desk.free;
        }
        for (at, job) in field.jobs.iter().enumerate() {
            self.left[at] = field.left(job, number as u64);
            self.started[at] = job.cured;
            if job.cured {
                self.left[at].tail = job.rest;
                self.shelf.push((job.here, at));
            }
        }
    }

    /// A bench works on the job until it is ready, at the time given back, or cures.
    fn work(&mut self, field: &Field, at: usize, desk: usize, now: i32) -> Option<i32> {
        let end = field.done(desk, now, self.left[at].head);
        self.started[at] = true;
        self.free[desk] = end;
        if self.left[at].curing <= 0.0 {
            return Some(end);
        }
        let dry = end.saturating_add((self.left[at].curing * 60.0) as i32).min(NEVER - 1);
        self.shelf.push((dry, at));
        // Whoever had nothing left to wait for can wait for this.
        self.free.iter_mut().filter(|free| **free >= NEVER).for_each(|free| *free = dry);
        None
    }

    fn pick(&mut self, field: &Field, desk: usize, now: i32) -> Pick {
        let mut wait = NEVER;
        for (on_shelf, (dry, at)) in self.shelf.iter().enumerate() {
            if !field.jobs[*at].may_go_to(desk) {
                continue;
            }
            if *dry <= now {
                return Pick::Dry(on_shelf);
            }
            wait = wait.min(*dry);
        }
        while self.started.get(self.first).is_some_and(|started| *started) {
            self.first += 1;
        }
        let mut help = None;
        for at in self.first..field.jobs.len() {
            let job = &field.jobs[at];
            if self.started[at] || !job.may_go_to(desk) {
                continue;
            }
            if job.here > now {
                wait = wait.min(job.here);
            } else if job.lane == desk {
                return Pick::Job(at);
            } else if help.is_none() {
                help = Some(at);
            }
        }
        help.map_or(Pick::WaitUntil(wait), Pick::Job)
    }
}

enum Pick {
    /// Out of curing: this place on the shelf.
    Dry(usize),
    Job(usize),
    WaitUntil(i32),
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

/// Stafford's mix of 64 bits as in the public-domain SplitMix64 (constants from memory).
fn mix(mut bits: u64) -> u64 {
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}

#[cfg(test)]
#[path = "draws_tests.rs"]
mod tests;
