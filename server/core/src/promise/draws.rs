//! Monte Carlo through a plan: when each job may be ready, draw by draw.
//!
//! In each draw every job gets its cause and its minutes (`causes`), then the benches are played forward from now:
//! a bench that is free takes what has come out of curing first, then the first job of its lane that is in the room; a
//! bench whose lane has nothing for it helps with the earliest job of another lane that it can do, as the planner would
//! have it after the next event. Work that runs into a break goes on after it. **Not drawn** is what is handed in later
//! and is more urgent: that is left to the correction ([`super::coverage`]).
//!
//! Draws are common random numbers: number `d` of a job comes from the job's own number (its place in the journal) and `d` alone, so
//! that the same job keeps its luck from plan to plan and quotes move only for a reason.

use super::causes::Left;
use super::field::{Field, NEVER};
use super::soonest::Soonest;
use crate::armoury::Armoury;
use crate::ids::JobId;
use crate::plan::Plan;
use crate::time::{Stamp, US_PER_S};

/// Draws for each plan, live and in rehearsals alike. Of 250 draws the 90 % point is within about 2 % of its level.
pub const DRAWS: usize = 250;

/// When each job was taken up and when it was ready in each draw, in seconds from `now`.
#[derive(Clone, Debug)]
pub struct Drawn {
    now: Stamp,
    draws: usize,
    jobs: Vec<JobId>,
    begun: Vec<i32>,
    ready: Vec<i32>,
}

impl Drawn {
    /// The jobs, as the plan orders them by start.
    pub fn jobs(&self) -> &[JobId] {
        &self.jobs
    }

    /// The moment by which the `index`th job is ready in that share of the draws.
    pub fn at(&mut self, index: usize, level: f64) -> Stamp {
        let seconds = quantile(&mut self.ready[index * self.draws..(index + 1) * self.draws], level);
        self.stamp(seconds)
    }

    /// The moment by which a bench has taken up the `index`th job in half of the draws: now when it is in hand, `None`
    /// when no bench comes to it. Never later than half of them are ready.
    pub fn taken_up(&mut self, index: usize) -> Option<Stamp> {
        let seconds = quantile(&mut self.begun[index * self.draws..(index + 1) * self.draws], 0.5);
        (seconds < NEVER).then(|| self.stamp(seconds))
    }

    fn stamp(&self, seconds: i32) -> Stamp {
        Stamp(self.now.0 + i64::from(seconds) * US_PER_S)
    }
}

/// The least of the values that so large a share of them does not pass.
fn quantile(values: &mut [i32], level: f64) -> i32 {
    let rank = ((level * values.len() as f64 - 1e-9).ceil() as usize).clamp(1, values.len());
    *values.select_nth_unstable(rank - 1).1
}

/// Plays the plan forward so many times.
pub fn draw(room: &Armoury, plan: &Plan, now: Stamp, draws: usize) -> Drawn {
    let field = Field::new(room, plan, now);
    let mut drawn = Drawn {
        now,
        draws: draws.max(1),
        jobs: field.jobs.iter().map(|job| job.id).collect(),
        begun: vec![NEVER; field.jobs.len() * draws.max(1)],
        ready: vec![NEVER; field.jobs.len() * draws.max(1)],
    };
    let mut play = Play::new(&field);
    for number in 0..drawn.draws {
        play.run(&field, number, drawn.draws, &mut drawn.ready);
        for (at, begun) in play.begun.iter().enumerate() {
            drawn.begun[at * drawn.draws + number] = *begun;
        }
    }
    drawn
}

/// One draw being played. All arrays are made once.
struct Play {
    left: Vec<Left>,
    started: Vec<bool>,
    /// When a bench took the job up, for the first time from now on.
    begun: Vec<i32>,
    /// When each bench is free.
    free: Soonest,
    /// What cures: dry from then on, and which job.
    shelf: Vec<(i32, usize)>,
    /// Nothing on the shelf is dry sooner.
    next_dry: i32,
    /// Where in `in_lanes` the first job of each lane stands that has not started.
    next: Vec<usize>,
    /// The first job that has not started.
    first: usize,
}

impl Play {
    fn new(field: &Field) -> Self {
        let nothing = Left { head: 0.0, curing: 0.0, tail: 0.0 };
        Self {
            left: vec![nothing; field.jobs.len()],
            started: vec![false; field.jobs.len()],
            begun: vec![NEVER; field.jobs.len()],
            free: Soonest::new(field.desks.len(), 0),
            shelf: Vec::with_capacity(field.jobs.len()),
            next_dry: NEVER,
            next: vec![0; field.desks.len()],
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
            let end = self.work(field, at, job.lane, self.free.all()[job.lane]);
            note(at, end);
        }
        // As long as something is left to do and somebody to do it.
        while note(0, None)
            && let Some(desk) = self.first_free()
        {
            let free = self.free.all()[desk];
            let now = field.open_from(desk, free);
            match self.pick(field, desk, now) {
                _ if now > free => self.free.set(desk, now),
                Pick::Dry(on_shelf) => {
                    let at = self.pick_up(on_shelf);
                    self.begun[at] = self.begun[at].min(now);
                    let end = field.done(desk, now, self.left[at].tail);
                    self.free.set(desk, end);
                    note(at, Some(end));
                }
                Pick::Job(at) => {
                    let end = self.work(field, at, desk, now);
                    note(at, end);
                }
                Pick::WaitUntil(then) => self.free.set(desk, then),
            }
        }
    }

    /// The bench that is free first and not for good.
    fn first_free(&self) -> Option<usize> {
        self.free.first().filter(|desk| self.free.all()[*desk] < NEVER)
    }

    fn set_out(&mut self, field: &Field, number: usize) {
        self.shelf.clear();
        self.begun.fill(NEVER);
        self.next_dry = NEVER;
        self.first = 0;
        self.free.set_all(field.desks.iter().map(|desk| desk.free));
        for (at, desk) in field.desks.iter().enumerate() {
            self.next[at] = desk.lane.start;
        }
        for (at, job) in field.jobs.iter().enumerate() {
            self.left[at] = field.left(job, number as u64);
            self.started[at] = job.cured;
            if job.cured {
                self.left[at].tail = job.rest;
                self.lay_down(job.here, at);
            }
        }
    }

    /// A bench works on the job until it is ready, at the time given back, or cures.
    fn work(&mut self, field: &Field, at: usize, desk: usize, now: i32) -> Option<i32> {
        let end = field.done(desk, now, self.left[at].head);
        self.started[at] = true;
        self.begun[at] = if field.jobs[at].in_hand { 0 } else { now };
        self.free.set(desk, end);
        if self.left[at].curing <= 0.0 {
            return Some(end);
        }
        let dry = end.saturating_add((self.left[at].curing * 60.0) as i32).min(NEVER - 1);
        self.lay_down(dry, at);
        // Whoever had nothing left to wait for can wait for this.
        for other in 0..field.desks.len() {
            if self.free.all()[other] >= NEVER {
                self.free.set(other, dry);
            }
        }
        None
    }

    fn lay_down(&mut self, dry: i32, at: usize) {
        self.shelf.push((dry, at));
        self.next_dry = self.next_dry.min(dry);
    }

    fn pick_up(&mut self, on_shelf: usize) -> usize {
        let (_, at) = self.shelf.swap_remove(on_shelf);
        self.next_dry = self.shelf.iter().map(|(dry, _)| *dry).min().unwrap_or(NEVER);
        at
    }

    /// What a free bench does: what is dry, its own lane, another's.
    fn pick(&mut self, field: &Field, desk: usize, now: i32) -> Pick {
        let mut wait = self.next_dry;
        if self.next_dry <= now {
            wait = NEVER;
            for (on_shelf, (dry, _)) in
                self.shelf.iter().enumerate().filter(|(_, (_, at))| field.jobs[*at].may_go_to(desk))
            {
                if *dry <= now {
                    return Pick::Dry(on_shelf);
                }
                wait = wait.min(*dry);
            }
        }
        self.own(field, desk, now, &mut wait)
            .or_else(|| self.help(field, desk, now, &mut wait))
            .map_or(Pick::WaitUntil(wait), Pick::Job)
    }

    /// The first job of the bench's lane that is here; when the next of them comes.
    fn own(&mut self, field: &Field, desk: usize, now: i32, wait: &mut i32) -> Option<usize> {
        let lane = &field.desks[desk].lane;
        while self.next[desk] < lane.end && self.started[field.in_lanes[self.next[desk]]] {
            self.next[desk] += 1;
        }
        for at in &field.in_lanes[self.next[desk]..lane.end] {
            let here = field.jobs[*at].here;
            if self.started[*at] {
                continue;
            }
            if here <= now {
                return Some(*at);
            }
            *wait = here.min(*wait);
        }
        None
    }

    /// The first job of the others that it can do; when the next of them comes.
    fn help(&mut self, field: &Field, desk: usize, now: i32, wait: &mut i32) -> Option<usize> {
        while self.started.get(self.first).is_some_and(|started| *started) {
            self.first += 1;
        }
        for (at, job) in field.jobs.iter().enumerate().skip(self.first) {
            if self.started[at] || job.lane == desk || !job.may_go_to(desk) {
                continue;
            }
            if job.here <= now {
                return Some(at);
            }
            *wait = job.here.min(*wait);
        }
        None
    }
}

enum Pick {
    /// Out of curing: this place on the shelf.
    Dry(usize),
    Job(usize),
    WaitUntil(i32),
}

#[cfg(test)]
#[path = "draws_tests.rs"]
mod tests;
