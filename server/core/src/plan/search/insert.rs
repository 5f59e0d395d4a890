//! Puts an operation where it is best, with some chance in it.

use std::cmp::Ordering;
use std::ops::Range;

use super::lanes::{Lanes, Place};
use super::model::NONE;
use super::probe::{Offer, Probe, Ripple};
use super::random::Random;
use crate::plan::problem::{Objective, Unit};

/// What decides among places that are equally late.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tie {
    /// The smaller sum of weight × end. Greedy: good for a last polish.
    Completion,
    /// Chance: the search then spreads over plans that are equally good, which is what finds the tight ones.
    Chance,
}

/// How far to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reach {
    /// Every bench and every position.
    All,
    /// A few benches, and positions around the latest start that is in time.
    Near,
}

/// With [`Reach::Near`]: most benches, and most positions on each. Short lanes are looked at as a whole.
const NEAR: (usize, usize) = (6, 24);

/// By chance, every 32nd place in the mean is passed over, so that the same work does not always go the same way.
const SKIPPED: usize = 32;

/// Puts operations in lanes and counts what it looked at.
#[derive(Debug)]
pub(super) struct Inserter {
    pub(super) random: Random,
    pub(super) spent: u64,
    ripple: Ripple,
    /// Places until the next one that is passed over.
    until_skip: usize,
}

/// One operation on its way into the lanes.
struct Errand {
    op: u32,
    tie: Tie,
    base: Objective,
    best: Option<Offer>,
    /// How many places were as good as the best one.
    equal: usize,
}

impl Errand {
    /// What a place must not be dearer than.
    fn bound(&self) -> Objective {
        let Some(best) = &self.best else { return Objective { unplaced: i64::MAX, ..self.base } };
        match self.tie {
            Tie::Completion => best.value,
            Tie::Chance => Objective { completion: i64::MAX, ..best.value },
        }
    }

    fn hear(&mut self, offer: Offer, random: &mut Random) {
        let order = self.best.map_or(Ordering::Less, |best| offer.rank().cmp(&best.rank()));
        let better = match (order, self.tie, &self.best) {
            (Ordering::Equal, Tie::Completion, Some(best)) => {
                (offer.value.completion, offer.end) < (best.value.completion, best.end)
            }
            (Ordering::Equal, ..) => {
                // The n-th of equal places is taken with a chance of 1/n: all are equally likely in the end.
                self.equal += 1;
                random.below(self.equal) == 0
            }
            (order, ..) => order == Ordering::Less,
        };
        if order == Ordering::Less {
            self.equal = 1;
        }
        if better {
            self.best = Some(offer);
        }
    }
}

impl Inserter {
    /// An inserter with its own chance.
    pub(super) fn new(seed: u64) -> Self {
        Self { random: Random::new(seed), spent: 0, ripple: Ripple::new(), until_skip: SKIPPED }
    }

    /// Puts an operation, its predecessors placed and its successors not, at the best place within reach. False when
    /// there is none; the lanes are then as before.
    pub(super) fn insert(&mut self, lanes: &mut Lanes<'_>, op: u32, tie: Tie, reach: Reach) -> bool {
        let model = lanes.model;
        let able = model.able(op);
        let mut errand = Errand { op, tie, base: lanes.without(op), best: None, equal: 0 };
        let few = reach == Reach::Near && able.len() > NEAR.0;
        let from = if few { self.random.below(able.len()) } else { 0 };
        let before = model.ops[op as usize].before;
        for (number, index) in (from..able.len()).chain(0..from).enumerate() {
            let (bench, minutes) = able[index];
            if few && number >= NEAR.0 && bench != before {
                continue;
            }
            let range = places(lanes, op, (bench, minutes), reach);
            self.look(lanes, &mut errand, (bench, minutes), range);
        }
        // Chance may have passed over the only place.
        let end = |bench: u32| Place { bench, pos: lanes.len(bench) as u32 };
        let (at, minutes) =
            errand.best.map_or((end(able[from].0), able[from].1), |best| (best.at, best.minutes));
        lanes.enter(op, at, minutes)
    }

    fn skips(&mut self) -> bool {
        if self.until_skip > 0 {
            self.until_skip -= 1;
            return false;
        }
        self.until_skip = self.random.below(2 * SKIPPED - 1);
        true
    }

    fn look(
        &mut self,
        lanes: &mut Lanes<'_>,
        errand: &mut Errand,
        (bench, minutes): (u32, Unit),
        range: Range<usize>,
    ) {
        let total = lanes.total;
        for pos in range {
            if errand.tie == Tie::Chance && self.skips() {
                continue;
            }
            let at = Place { bench, pos: pos as u32 };
            self.spent += 1;
            let bounds = (errand.base, errand.bound());
            match lanes.probe(errand.op, at, minutes, bounds, &mut self.ripple) {
                Probe::Offer(offer) => errand.hear(offer, &mut self.random),
                Probe::Dear { hopeless: true } => break,
                Probe::Dear { hopeless: false } => {}
                Probe::Tangled => {
                    if lanes.enter(errand.op, at, minutes) {
                        let end = lanes.end[errand.op as usize];
                        errand.hear(Offer { value: lanes.total, end, at, minutes }, &mut self.random);
                        lanes.leave(errand.op, total);
                    }
                }
            }
        }
    }
}

/// The positions to look at in a lane. Before work that ends by the time this one is ready it would only be in the way.
fn places(lanes: &Lanes<'_>, op: u32, (bench, minutes): (u32, Unit), reach: Reach) -> Range<usize> {
    let lane = &lanes.order[bench as usize];
    let ready = lanes.ready(op);
    let from = lane.partition_point(|other| lanes.end[*other as usize] <= ready);
    let told = lanes.model.told[bench as usize].is_some_and(|(told, _)| told == op);
    let from = if told && lanes.model.ops[op as usize].prev == NONE { 0 } else { from };
    let to = lane.len() + 1;
    if reach == Reach::All || to - from <= NEAR.1 {
        return from..to;
    }
    let info = &lanes.model.ops[op as usize];
    let latest = lanes.model.prices[info.job as usize].due - info.tail - minutes;
    let aim = lane.partition_point(|other| lanes.start(*other) <= latest);
    let from = aim.saturating_sub(NEAR.1 / 2).max(from).min(to - NEAR.1);
    from..from + NEAR.1
}
