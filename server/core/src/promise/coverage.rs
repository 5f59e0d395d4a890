//! What was promised and what was kept, by class of need; and the correction that follows from it.
//!
//! Only a job's **first** promise counts: later ones are said because something moved, so they are a chosen sample, and
//! one job would count many times. A promise is *kept* when the job ended (ready, withdrawn or called off) by the time
//! that was said, and *missed* when it ended later or never.
//!
//! **When an outcome is known**: at the job's end or, when it has not ended by then, at the first event that is recorded
//! after the promised time: nobody has to wait for a late job to learn that it is late. An end that is entered late, or
//! corrected, or undone, takes the outcome back and counts it anew. Outcomes are counted in the order in which they
//! become known; `open_most` says how many promises waited for one at once, for [`Steering::farthest`].
//!
//! The *score* of an ended job is (end − raw likely) / (raw safe − raw likely) in thousandths, where the raw times are
//! what the draws gave: 0 is the raw median, 1000 the raw 90 %. The last [`WINDOW`] scores give the correction. Sums are
//! whole numbers, so that a replay gives the same.

use std::collections::BTreeMap;

use imbl::{OrdMap, OrdSet, Vector};
use serde::{Deserialize, Serialize};

use super::conformal::{Outcomes, Steering, sayable};
use super::start::START;
use crate::armoury::{CLOSED_KEPT, Need, Promise};
use crate::ids::JobId;
use crate::time::{Span, Stamp};

/// Scores that a bound is taken from. Our own choice: about half a day of a middling tournament.
pub const WINDOW: usize = START.len();
/// Outcomes that a class of need must have before its own bounds replace the pooled ones. Our own choice.
pub const FEW: u64 = 30;
/// How the likely time is steered: half of the jobs take longer.
pub const LIKELY: Steering = Steering { alpha: 0.5, gamma: 0.02, start: 0.5 };
/// How the safe time is steered: one job in ten takes longer.
pub const SAFE: Steering = Steering { alpha: 0.1, gamma: 0.02, start: 0.1 };
/// Thousandths of the raw width by which a bound grows per gamma where the exact one is infinite. Our own choice.
const STEP: i64 = 250;
/// Said times are rounded up to whole minutes, by half a minute in the mean: an end counts as so much sooner, so that the
/// rounding does not make the shares too large.
const ROUNDED_UP: Span = Span::seconds(30);
/// No score counts for more than this, in thousandths of the raw width.
const FARTHEST: i64 = 100_000;

/// Promises and what became of them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    classes: BTreeMap<Need, Class>,
    /// All classes together.
    pooled: Class,
    /// Promises of jobs that are still here.
    open: OrdMap<JobId, Open>,
    /// The same of jobs that left last, for a hand-back that is struck: at least those that the armoury keeps.
    over: OrdMap<JobId, Open>,
    /// Said times that have not passed, for outcomes that are not known.
    due: OrdSet<(Stamp, JobId)>,
    /// The most promises that ever waited for an outcome at once.
    open_most: u64,
}

/// One class of need.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Class {
    promised: u64,
    likely: Count,
    safe: Count,
    /// The newest scores, oldest first.
    recent: Vector<(JobId, i64)>,
}

/// Known outcomes of one kind of time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
struct Count {
    known: u64,
    missed: u64,
}

/// The first promise of a job that is still here, and what was counted of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Open {
    need: Need,
    likely: Stamp,
    safe: Stamp,
    raw: Raw,
    ended: Option<Stamp>,
    /// Missed or not, once that is known.
    missed_likely: Option<bool>,
    missed_safe: Option<bool>,
}

/// What the draws gave, before any correction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Raw {
    /// Half of the draws are ready by then.
    pub likely: Stamp,
    /// Nine draws in ten are ready by then. Later than `likely`.
    pub safe: Stamp,
}

/// Where said times lie on the raw scale, in thousandths: 0 is the raw likely time, 1000 the raw safe time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Correction {
    /// Of the likely time.
    pub likely: i64,
    /// Of the safe time.
    pub safe: i64,
}

/// What was promised in one class of need.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Coverage {
    /// The class; `None` for all together.
    pub need: Option<Need>,
    /// Jobs that were promised a time.
    pub promised: u64,
    /// Known outcomes of the likely times.
    pub likely: Outcomes,
    /// Known outcomes of the safe times.
    pub safe: Outcomes,
    /// What the next promise is corrected by.
    pub correction: Correction,
}

impl Raw {
    fn width(self) -> i64 {
        (self.safe.0 - self.likely.0).max(1)
    }

    /// Where `at` lies between the two, in thousandths, rounded down.
    pub fn score(self, at: Stamp) -> i64 {
        let off = i128::from(at.0) - i128::from(self.likely.0);
        let score = (off * 1_000).div_euclid(i128::from(self.width()));
        score.clamp(i128::from(-FARTHEST), i128::from(FARTHEST)) as i64
    }

    /// The time with that score.
    pub fn at(self, score: i64) -> Stamp {
        let off = i128::from(self.width()) * i128::from(score) / 1_000;
        self.likely + Span(off.clamp(i128::from(i64::MIN), i128::from(i64::MAX)) as i64)
    }
}

impl Open {
    fn missed(self, said: Stamp, now: Stamp) -> Option<bool> {
        match self.ended {
            Some(ended) => Some(ended > said),
            None => (now > said).then_some(true),
        }
    }
}

impl Kept {
    /// A job was promised its first time. A promise without raw times, as older versions said them, is not followed.
    pub(crate) fn said(&mut self, job: JobId, need: Need, promise: &Promise) {
        let (Some(safe), Some(raw)) = (promise.safe, promise.raw) else { return };
        let open = Open {
            need,
            likely: promise.likely,
            safe,
            raw,
            ended: None,
            missed_likely: None,
            missed_safe: None,
        };
        self.open.insert(job, open);
        self.due.insert((open.likely, job));
        self.due.insert((open.safe, job));
        self.each(need, |class| class.promised += 1);
        self.open_most = self.open_most.max(self.open_now());
    }

    /// Promises that wait for an outcome.
    fn open_now(&self) -> u64 {
        self.pooled.promised - self.pooled.safe.known
    }

    /// The job stands so now: it has ended or, after a correction, it has not.
    pub(crate) fn stands(&mut self, job: JobId, ended: Option<Stamp>, now: Stamp) {
        if let Some(open) = self.over.remove(&job) {
            // It did not go back after all. What was never going to end may end yet.
            self.count(job, open, now);
        }
        let Some(open) = self.open.get(&job).filter(|open| open.ended != ended).copied() else { return };
        let open = Open { ended, ..open };
        self.each(open.need, |class| class.forget(job));
        if let Some(ended) = ended {
            let score = open.raw.score(ended - ROUNDED_UP);
            self.each(open.need, |class| class.add(job, score));
        }
        self.count(job, open, now);
    }

    /// The job is over. What has not ended never will.
    pub(crate) fn closed(&mut self, job: JobId) {
        let Some(open) = self.open.get(&job).copied() else { return };
        if open.ended.is_none() {
            self.count(job, open, Stamp(i64::MAX));
        }
        if let Some(open) = self.open.remove(&job) {
            self.over.insert(job, open);
        }
        if self.over.len() > CLOSED_KEPT {
            self.over = self.over.without_min().1;
        }
    }

    /// Time has passed: what is still open after its time is a miss.
    pub(crate) fn passed(&mut self, now: Stamp) {
        while let Some((_, job)) = self.due.get_min().copied().filter(|(said, _)| *said < now) {
            let Some(open) = self.open.get(&job).copied() else { return };
            self.count(job, open, now);
        }
    }

    /// Counts what is known of a promise, taking back what was counted before.
    fn count(&mut self, job: JobId, mut open: Open, now: Stamp) {
        let likely = (open.missed_likely, open.missed(open.likely, now));
        let safe = (open.missed_safe, open.missed(open.safe, now));
        self.each(open.need, |class| {
            class.likely.turn(likely.0, likely.1);
            class.safe.turn(safe.0, safe.1);
        });
        for (said, known) in [(open.likely, likely.1), (open.safe, safe.1)] {
            // One entry when both times are the same: it stays until both are known, which is at once.
            if known.is_some() {
                self.due.remove(&(said, job));
            } else {
                self.due.insert((said, job));
            }
        }
        (open.missed_likely, open.missed_safe) = (likely.1, safe.1);
        self.open.insert(job, open);
    }

    fn each(&mut self, need: Need, change: impl Fn(&mut Class)) {
        change(&mut self.pooled);
        change(self.classes.entry(need).or_default());
    }

    /// The correction for a promise to that class.
    ///
    /// A class with fewer than [`FEW`] outcomes is corrected by all classes together. One with more has its own
    /// `alpha_t`, and its own scores come first; as long as they do not fill the window, the newest of all classes do.
    pub fn correction(&self, need: Need) -> Correction {
        match self.classes.get(&need).filter(|class| class.safe.known >= FEW) {
            Some(class) => class.correction(&self.pooled),
            None => self.pooled.correction(&self.pooled),
        }
    }

    /// What was promised and kept: all together, then each class that was ever promised anything.
    pub fn coverage(&self) -> Vec<Coverage> {
        let line = |need, class: &Class, correction| Coverage {
            need,
            promised: class.promised,
            likely: class.likely.outcomes(),
            safe: class.safe.outcomes(),
            correction,
        };
        let mut lines = vec![line(None, &self.pooled, self.pooled.correction(&self.pooled))];
        lines.extend(
            self.classes.iter().map(|(need, class)| line(Some(*need), class, self.correction(*need))),
        );
        lines
    }

    /// The most promises that ever waited for an outcome at once.
    pub fn open_most(&self) -> u64 {
        self.open_most
    }
}

impl Count {
    fn turn(&mut self, before: Option<bool>, after: Option<bool>) {
        if let Some(missed) = before {
            self.known -= 1;
            self.missed -= u64::from(missed);
        }
        if let Some(missed) = after {
            self.known += 1;
            self.missed += u64::from(missed);
        }
    }

    fn outcomes(self) -> Outcomes {
        Outcomes { resolved: self.known, misses: self.missed }
    }
}

impl Class {
    fn add(&mut self, job: JobId, score: i64) {
        if self.recent.len() == WINDOW {
            self.recent.pop_front();
        }
        self.recent.push_back((job, score));
    }

    fn forget(&mut self, job: JobId) {
        if let Some(at) = self.recent.iter().rposition(|(scored, _)| *scored == job) {
            self.recent.remove(at);
        }
    }

    fn correction(&self, pooled: &Self) -> Correction {
        let own = self.recent.iter().rev();
        let others = pooled.recent.iter().rev();
        // Own scores once; the others' fill up, and what the house starts with fills the rest.
        let others = others.filter(|entry| !std::ptr::eq(self, pooled) && !self.recent.contains(entry));
        let scores = own.chain(others).map(|(_, score)| *score);
        let mut sorted: Vec<i64> = scores.chain(START.iter().copied()).take(WINDOW).collect();
        sorted.sort_unstable();
        let bound = |steering: Steering, count: Count| {
            sayable(steering, steering.alpha_t(count.outcomes()), &sorted, STEP)
        };
        let likely = bound(LIKELY, self.likely);
        // Safe is never sooner than likely.
        Correction { likely, safe: bound(SAFE, self.safe).max(likely) }
    }
}

#[cfg(test)]
#[path = "coverage_tests.rs"]
pub(crate) mod tests;
