//! "Why is this here?": answers from the plan's own terms, and one sentence of each.

#[cfg(test)]
mod tests;
mod words;

use std::collections::BTreeMap;

use super::lanes::frame::due;
use super::lanes::outlook::{Outlooks, Rest};
use super::urgency::{attended_from, here_from};
use super::{Plan, Slot, Unplaced, mixture};
use crate::armoury::{Armoury, Job, State};
use crate::gear::Work;
use crate::ids::{BenchId, JobId};
use crate::time::{Span, Stamp, US_PER_S, Window};
use crate::venue::Bench;

/// Why a job is where the plan has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// It needs no bench, or came after this plan was made.
    NotInPlan,
    /// No bench can have it.
    Nowhere(Unplaced),
    /// That bench has it in hand.
    InHand(BenchId),
    /// It is in that bench's lane.
    Placed {
        /// The bench.
        bench: BenchId,
        /// Why there.
        here: Here,
        /// Why then.
        turn: Turn,
    },
}

/// Why a job is at that bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Here {
    /// It is kept for it.
    Pinned,
    /// No other bench does this work.
    OnlyBench(Work),
    /// Others do this work too, but when this bench takes it up they are shut, or nobody is at them.
    OnlyAttended(Work),
    /// The next best bench would have it ready later by so much.
    Sooner(BenchId, Span),
    /// That bench would have it ready sooner by so much, which is not worth the change, or would make others late.
    NotWorthMoving(BenchId, Span),
}

/// Why a job is taken then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// Nothing more urgent is here.
    First,
    /// It is still on its way, for so much longer.
    OnItsWay(Span),
    /// It is not dry for so much longer.
    Dries(Span),
    /// Nobody is at the bench for so much longer.
    Away(Span),
    /// The bench is not open for so much longer.
    Shut(Span),
    /// After the job that the bench has in hand.
    AfterHand(JobId),
    /// After that job, and why that goes first.
    After(JobId, Ahead),
}

/// Why another job goes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ahead {
    /// Its fencer has less that works.
    NeedsMore,
    /// It is wanted sooner.
    WantedSooner,
    /// It has waited longer.
    WaitedLonger,
    /// It holds this one up by little.
    Short,
}

/// An expected lateness, and its reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Late {
    /// Back so much after it is wanted.
    pub by: Span,
    /// The reason.
    pub cause: Cause,
}

/// Why a job will be late.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The walk and the work alone take longer than was left when it came.
    TooShort,
    /// It must dry.
    Dries,
    /// That bench is the only one that does this work, and so many jobs go first there.
    OnlyBench(BenchId, Work, usize),
    /// Nobody is at that bench.
    Away(BenchId),
    /// So many jobs go first.
    Others(usize),
    /// No bench is free and open for long enough before.
    NoRoom,
}

/// Why the job is where the plan has it.
pub fn why(room: &Armoury, plan: &Plan, job: JobId) -> Why {
    Reasons::new(room, plan).why(job)
}

/// The reasons behind one plan, for many jobs at once.
pub struct Reasons<'a> {
    room: &'a Armoury,
    plan: &'a Plan,
    rests: BTreeMap<JobId, Rest>,
    busy: BTreeMap<BenchId, Vec<Window>>,
}

impl<'a> Reasons<'a> {
    /// Looks at a plan.
    pub fn new(room: &'a Armoury, plan: &'a Plan) -> Self {
        let mut reasons = Self { room, plan, rests: BTreeMap::new(), busy: BTreeMap::new() };
        let Some(venue) = &room.venue else { return reasons };
        let mut outlooks = Outlooks::new(room, venue);
        for slot in plan.lanes.values().flatten() {
            if let Some(job) = room.job(slot.job) {
                reasons.rests.insert(job.id, outlooks.rest(job, plan.at));
            }
        }
        reasons.busy = venue.benches.iter().map(|bench| (bench.id, reasons.busy_at(bench.id))).collect();
        reasons
    }

    fn benches(&self) -> &'a [Bench] {
        self.room.venue.as_ref().map_or(&[], |venue| &venue.benches)
    }

    fn seconds(&self, job: JobId, bench: BenchId) -> Option<Span> {
        let index = self.benches().iter().position(|known| known.id == bench)?;
        let rest = self.rests.get(&job)?;
        rest.first.iter().find(|(able, _)| *able == index).map(|(_, seconds)| Span::seconds(*seconds))
    }

    /// When a bench is busy with what the plan gives it, ascending.
    fn busy_at(&self, bench: BenchId) -> Vec<Window> {
        let away = Window { from: self.plan.at, to: attended_from(self.room, bench, self.plan.at) };
        let lane = self.plan.lanes.get(&bench).into_iter().flatten();
        let slots = lane.map(|slot| {
            let work = self.seconds(slot.job, bench).unwrap_or(Span::minutes(1));
            Window { from: slot.start, to: slot.start + work }
        });
        let back = self.plan.comes_back.values().filter(|back| back.bench == bench);
        let back = back.map(|back| Window { from: back.start, to: back.start + Span::minutes(1) });
        let mut busy: Vec<_> = slots.chain(back).chain([away]).collect();
        busy.sort_by_key(|window| window.from);
        busy
    }

    /// Why the job is where the plan has it.
    pub fn why(&self, id: JobId) -> Why {
        let Some(job) = self.room.job(id) else { return Why::NotInPlan };
        if let Some((_, reason)) = self.plan.unplaced.iter().find(|(job, _)| *job == id) {
            return Why::Nowhere(*reason);
        }
        let Some((bench, slot)) = self.plan.slot(id) else { return Why::NotInPlan };
        if job.state() == State::OnBench {
            return Why::InHand(bench);
        }
        Why::Placed { bench, here: self.here(job, bench, slot), turn: self.turn(job, bench, slot) }
    }

    fn here(&self, job: &Job, bench: BenchId, slot: &Slot) -> Here {
        if job.pinned == Some(bench) {
            return Here::Pinned;
        }
        match self.elsewhere(job, bench, slot.start) {
            None if self.is_only(job) => Here::OnlyBench(likeliest(job)),
            None => Here::OnlyAttended(likeliest(job)),
            Some((other, ready)) if ready >= slot.likely => Here::Sooner(other, ready.since(slot.likely)),
            Some((other, ready)) => Here::NotWorthMoving(other, slot.likely.since(ready)),
        }
    }

    /// Whether a single bench does the job's work, open or not.
    fn is_only(&self, job: &Job) -> bool {
        self.rests.get(&job.id).is_none_or(|rest| rest.first.len() <= 1)
    }

    /// Whether the bench is open and somebody is there by that time.
    fn is_attended_by(&self, bench: BenchId, at: Stamp) -> bool {
        let now = self.plan.at;
        let open = self.room.open_windows(bench, now).any(|open| open.from <= at && at < open.to);
        open && attended_from(self.room, bench, now) <= at
    }

    /// The other bench that would have it ready first in the gaps of the plan, and when. One that is shut or left
    /// when this bench takes the job up is no choice: that it would be later says nothing.
    fn elsewhere(&self, job: &Job, bench: BenchId, taken_up: Stamp) -> Option<(BenchId, Stamp)> {
        let from = here_from(self.room, job, self.plan.at);
        let rest = self.rests.get(&job.id)?;
        let then = rest.after();
        let others = self.benches().iter().filter(|other| other.id != bench);
        let others = others.filter(|other| self.is_attended_by(other.id, taken_up));
        let ready = others.filter_map(|other| {
            let work = self.seconds(job.id, other.id)?;
            Some((self.gap(other, from, work)? + Span::seconds(then), other.id))
        });
        ready.min().map(|(ready, other)| (other, ready))
    }

    /// When so much work is done at a bench in the first gap that its lane leaves.
    fn gap(&self, bench: &Bench, from: Stamp, work: Span) -> Option<Stamp> {
        let busy = self.busy.get(&bench.id)?;
        self.room.open_windows(bench.id, from).find_map(|open| {
            let mut start = open.from.or_later(from);
            for busy in busy.iter().filter(|busy| from < busy.to) {
                if start + work <= busy.from {
                    break;
                }
                start = start.or_later(busy.to);
            }
            (start + work <= open.to).then(|| start + work)
        })
    }

    fn turn(&self, job: &Job, bench: BenchId, slot: &Slot) -> Turn {
        let now = self.plan.at;
        let here = here_from(self.room, job, now);
        let soon = |at: Stamp| at + Span::minutes(1) >= slot.start && at > now;
        if soon(here) {
            let left = here.since(now);
            return if job.state() == State::Curing { Turn::Dries(left) } else { Turn::OnItsWay(left) };
        }
        let lane = self.plan.lanes.get(&bench).map_or(&[][..], |lane| lane);
        let before = lane.iter().take_while(|other| other.job != job.id).last();
        let before = before.and_then(|slot| self.room.job(slot.job));
        match before {
            Some(other) if other.state() == State::OnBench => Turn::AfterHand(other.id),
            Some(other) => Turn::After(other.id, self.ahead(other, job, bench)),
            None if soon(attended_from(self.room, bench, now)) => Turn::Away(slot.start.since(now)),
            None if slot.start.0 > now.0 + 60 * US_PER_S => Turn::Shut(slot.start.since(now)),
            None => Turn::First,
        }
    }

    fn ahead(&self, other: &Job, job: &Job, bench: BenchId) -> Ahead {
        let need = |job: &Job| self.room.need(job).weight();
        if need(other) > need(job) {
            return Ahead::NeedsMore;
        }
        if due(self.room, other) < due(self.room, job) {
            return Ahead::WantedSooner;
        }
        let work = |job: &Job| self.seconds(job.id, bench).unwrap_or(Span::ZERO);
        if work(other) >= work(job) && other.handed_in <= job.handed_in {
            return Ahead::WaitedLonger;
        }
        Ahead::Short
    }

    /// Whether the job will be late by this plan, and why.
    pub fn late(&self, id: JobId) -> Option<Late> {
        let job = self.room.job(id)?;
        let (bench, slot) = self.plan.slot(id)?;
        let by = self.room.lateness(job, slot.likely)?;
        Some(Late { by, cause: self.cause(job, bench, slot, by) })
    }

    fn cause(&self, job: &Job, bench: BenchId, slot: &Slot, by: Span) -> Cause {
        let here = here_from(self.room, job, self.plan.at);
        let then = self.rests.get(&job.id).map_or(0, Rest::after);
        let work = self.seconds(job.id, bench).unwrap_or(Span::ZERO);
        let due = slot.likely - by;
        if here + work + Span::seconds(then) > due {
            let wet = job.state() == State::Curing || here + work <= due;
            return if wet { Cause::Dries } else { Cause::TooShort };
        }
        let lane = self.plan.lanes.get(&bench).map_or(&[][..], |lane| lane);
        let first = lane.iter().take_while(|other| other.job != job.id).count();
        if self.is_only(job) && job.pinned.is_none() {
            return Cause::OnlyBench(bench, likeliest(job), first);
        }
        if attended_from(self.room, bench, self.plan.at) + work > due {
            return Cause::Away(bench);
        }
        if first > 0 { Cause::Others(first) } else { Cause::NoRoom }
    }
}

/// The likeliest work that the job needs.
fn likeliest(job: &Job) -> Work {
    let mut shares: BTreeMap<Work, f64> = BTreeMap::new();
    for (fault, share) in mixture(job) {
        *shares.entry(fault.work).or_default() += share;
    }
    let most = shares.into_iter().max_by(|(_, a), (_, b)| a.total_cmp(b));
    most.map_or(Work::Apparatus, |(work, _)| work)
}
