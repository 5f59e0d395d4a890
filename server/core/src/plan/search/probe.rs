//! What an operation would cost at a place, without moving anything.
//!
//! Bringing an operation into a lane never makes another one earlier, so the cost only grows along the lane: a probe
//! stops as soon as it is dearer than the best place known. (One exception: work that falls out of the last hours overruns
//! no call any more. A probe then keeps the longer overrun, and is too strict, never too lenient.)

use super::lanes::{Lanes, Place};
use super::model::NONE;
use crate::plan::problem::{Objective, Unit};

/// A place for an operation, and the objective with the operation there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offer {
    pub(super) value: Objective,
    pub(super) end: Unit,
    pub(super) at: Place,
    pub(super) minutes: Unit,
}

impl Offer {
    /// What rules over chance: all of the value but the sum of weight × end.
    pub(super) fn rank(&self) -> (i64, Unit, i64) {
        (self.value.unplaced, self.value.overrun, self.value.cost)
    }
}

/// What came of a probe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Probe {
    /// The operation can stand there.
    Offer(Offer),
    /// Dearer than the bound; `hopeless` when every later place in that lane is as well.
    Dear { hopeless: bool },
    /// Pushes run through one lane twice, or in a circle: only trying it out tells.
    Tangled,
}

/// How a ripple ended, when not well.
enum Stop {
    Dear,
    Tangled,
}

/// Most operations that a probe follows across cures, and most lanes.
const REACH: usize = 8;

/// A probe under way: what it costs so far, and which operations after a cure it pushes. Kept between probes, as
/// filling it anew would take as long as the probe.
#[derive(Clone, Debug)]
pub(super) struct Ripple {
    value: Objective,
    bound: Objective,
    /// The predecessor of the operation that is placed.
    prev: u32,
    pushed: [(u32, Unit); REACH],
    pushes: usize,
    lanes: [u32; REACH],
    visited: usize,
}

impl Ripple {
    /// Ready for use.
    pub(super) fn new() -> Self {
        Self {
            value: Objective::default(),
            bound: Objective::default(),
            prev: NONE,
            pushed: [(NONE, 0); REACH],
            pushes: 0,
            lanes: [NONE; REACH],
            visited: 0,
        }
    }

    fn push(&mut self, op: u32, ready: Unit) -> Result<(), Stop> {
        let slot = self.pushed.get_mut(self.pushes).ok_or(Stop::Tangled)?;
        *slot = (op, ready);
        self.pushes += 1;
        Ok(())
    }

    fn pushed(&self, op: u32) -> Option<Unit> {
        self.pushed[..self.pushes].iter().find(|(pushed, _)| *pushed == op).map(|(_, ready)| *ready)
    }

    fn visit(&mut self, bench: u32) -> Result<(), Stop> {
        let slot = self.lanes.get_mut(self.visited).ok_or(Stop::Tangled)?;
        *slot = bench;
        self.visited += 1;
        Ok(())
    }

    fn has_visited(&self, bench: u32) -> bool {
        self.lanes[..self.visited].contains(&bench)
    }

    fn check(&self) -> Result<(), Stop> {
        if self.value > self.bound { Err(Stop::Dear) } else { Ok(()) }
    }
}

impl Lanes<'_> {
    /// The earliest that an operation in no lane could start: its release, or the end of its cure.
    pub(super) fn ready(&self, op: u32) -> Unit {
        let info = &self.model.ops[op as usize];
        if info.prev == NONE { info.after } else { self.end[info.prev as usize] + info.after }
    }

    /// Probes a place for an operation that is in no lane, its predecessors placed, its successors not.
    /// `base` is [`Self::without`] of it; a place that is dearer than `bound` is not looked at any further.
    pub(super) fn probe(
        &self,
        op: u32,
        at: Place,
        minutes: Unit,
        (base, bound): (Objective, Objective),
        ripple: &mut Ripple,
    ) -> Probe {
        (ripple.value, ripple.bound) = (base, bound);
        ripple.prev = self.model.ops[op as usize].prev;
        (ripple.pushes, ripple.visited) = (0, 0);
        self.probe_calm(op, at, &mut ripple.value);
        let soonest = self.free(at).max(self.ready(op));
        let end = fit(&self.model.open[at.bench as usize], &mut 0, soonest, minutes);
        self.add_price(op, end, 1, &mut ripple.value);
        if ripple.check().is_err() {
            return Probe::Dear { hopeless: at.pos > 0 };
        }
        match self.spread(ripple, at, end) {
            Ok(()) => Probe::Offer(Offer { value: ripple.value, end, at, minutes }),
            Err(Stop::Dear) => Probe::Dear { hopeless: false },
            Err(Stop::Tangled) => Probe::Tangled,
        }
    }

    /// When a bench is done with what stands before a place.
    pub(super) fn free(&self, at: Place) -> Unit {
        let before = (at.pos as usize).checked_sub(1);
        before.map_or(Unit::MIN / 4, |pos| self.end[self.order[at.bench as usize][pos] as usize])
    }

    /// Pushes what stands from `at` on, with the bench free at `free`, and then what that pushes across cures.
    fn spread(&self, ripple: &mut Ripple, at: Place, free: Unit) -> Result<(), Stop> {
        ripple.visit(at.bench)?;
        self.ripple(ripple, at, free)?;
        let mut next = 0;
        while next < ripple.pushes {
            let bench = self.place[ripple.pushed[next].0 as usize].bench;
            next += 1;
            if ripple.has_visited(bench) {
                continue;
            }
            ripple.visit(bench)?;
            let places = ripple.pushed[..ripple.pushes].iter().map(|(op, _)| self.place[*op as usize]);
            let Some(pos) = places.filter(|place| place.bench == bench).map(|place| place.pos).min() else {
                continue;
            };
            let from = Place { bench, pos };
            self.ripple(ripple, from, self.free(from))?;
        }
        Ok(())
    }

    fn ripple(&self, ripple: &mut Ripple, at: Place, mut free: Unit) -> Result<(), Stop> {
        let model = self.model;
        let open = &model.open[at.bench as usize];
        let mut window = 0;
        let mut last = self.last_push(ripple, at.bench);
        for (&other, pos) in self.order[at.bench as usize][at.pos as usize..].iter().zip(at.pos..) {
            let info = &model.ops[other as usize];
            let old = self.end[other as usize];
            let mut soonest = free.max(self.ready(other));
            if info.prev != NONE && ripple.pushes > 0 {
                soonest = soonest.max(ripple.pushed(other).unwrap_or(soonest));
            }
            free = fit(open, &mut window, soonest, self.minutes_now(other));
            if free == old {
                if pos >= last {
                    break;
                }
            } else if info.next != NONE && self.is_placed(info.next) {
                last = last.max(self.push_on(ripple, info.next, Place { bench: at.bench, pos }, free)?);
            } else if other == ripple.prev {
                return Err(Stop::Tangled);
            } else {
                info.price.shift(old + info.tail, free + info.tail, model.limit, &mut ripple.value);
                ripple.check()?;
            }
        }
        Ok(())
    }

    /// The last position of a lane that was pushed from another.
    fn last_push(&self, ripple: &Ripple, bench: u32) -> u32 {
        let places = ripple.pushed[..ripple.pushes].iter().map(|(op, _)| self.place[*op as usize]);
        places.filter(|place| place.bench == bench).map(|place| place.pos).max().unwrap_or(0)
    }

    /// Notes that `next` is pushed by an operation that now ends at `end`, if it is; its position when it stands in
    /// the same lane.
    fn push_on(&self, ripple: &mut Ripple, next: u32, from: Place, end: Unit) -> Result<u32, Stop> {
        let ready = end + self.model.ops[next as usize].after;
        if self.start(next) >= ready {
            return Ok(0);
        }
        let place = self.place[next as usize];
        let same = place.bench == from.bench;
        if (same && place.pos < from.pos) || (!same && ripple.has_visited(place.bench)) {
            return Err(Stop::Tangled);
        }
        ripple.push(next, ready)?;
        Ok(if same { place.pos } else { 0 })
    }

    /// The objective without what the operation's predecessor counts as the job's last one in a lane.
    pub(super) fn without(&self, op: u32) -> Objective {
        let mut value = self.total;
        let prev = self.model.ops[op as usize].prev;
        if prev != NONE {
            self.add_price(prev, self.end[prev as usize], -1, &mut value);
        }
        value
    }

    fn add_price(&self, op: u32, end: Unit, sign: i64, value: &mut Objective) {
        let info = &self.model.ops[op as usize];
        let part = info.price.at(end + info.tail, self.model.limit);
        value.unplaced += sign * part.0;
        value.cost += sign * part.1;
        value.completion += sign * part.2;
        if sign > 0 {
            value.overrun = value.overrun.max(info.price.overrun(end + info.tail, self.model.limit));
        }
    }

    fn probe_calm(&self, op: u32, at: Place, value: &mut Objective) {
        let before = self.model.ops[op as usize].before;
        if before != NONE && before != at.bench {
            value.cost += self.model.move_cost;
        }
        let Some((told, cost)) = self.model.told[at.bench as usize].filter(|_| at.pos == 0) else { return };
        let first = self.order[at.bench as usize].first();
        if first.is_some_and(|first| *first != told) {
            value.cost -= cost;
        }
        if op != told {
            value.cost += cost;
        }
    }
}

/// The end of work that lasts `minutes` and starts no sooner than `soonest`, in the first window from `window` on
/// that it fits.
pub(super) fn fit(open: &[(Unit, Unit)], window: &mut usize, soonest: Unit, minutes: Unit) -> Unit {
    loop {
        let (from, to) = open[*window];
        let end = soonest.max(from) + minutes;
        if end <= to {
            return end;
        }
        *window += 1;
    }
}
