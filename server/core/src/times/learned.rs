//! What was learned, by kind of work, weapon and bench, and what is expected from it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::censored::posterior;
use super::nig::Nig;
use super::prior::{BENCH_OFF, KIND_OFF, SPREAD_WORTH, room, start};
use super::seen::Seen;
use super::student::Predictive;
use super::{Observation, Spread};
use crate::gear::{Weapon, Work};
use crate::ids::BenchId;

/// What was learned from the journal.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Learned {
    /// Everything together.
    room: Seen,
    /// By kind of work, then by weapon.
    kinds: BTreeMap<Work, BTreeMap<Of, Kind>>,
}

/// A weapon, or what is none: a map's key must be one word in a snapshot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Of {
    Foil,
    Epee,
    Sabre,
    NoWeapon,
}

impl From<Option<Weapon>> for Of {
    fn from(weapon: Option<Weapon>) -> Self {
        match weapon {
            Some(Weapon::Foil) => Self::Foil,
            Some(Weapon::Epee) => Self::Epee,
            Some(Weapon::Sabre) => Self::Sabre,
            None => Self::NoWeapon,
        }
    }
}

/// One kind of work on one weapon.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
struct Kind {
    pool: Seen,
    benches: BTreeMap<BenchId, Seen>,
}

/// How fast one kind of work goes: the belief about ln(minutes / usual minutes). Serves every fault of that kind of
/// work, so that whoever asks often asks once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    belief: Nig,
    sigma: f64,
}

impl Pace {
    /// How long a repair takes that takes `prior` before anything was learned. Wider for a fault whose own minutes are
    /// wider than its kind of work's.
    pub fn predict(&self, prior: Spread) -> Predictive {
        let next = self.belief.predictive_of(prior.sigma_ln / self.sigma);
        Predictive { centre_ln: prior.likely_min.ln() + next.centre_ln, ..next }
    }

    /// Minutes come out as this many times the estimate, in the middle.
    pub fn factor(&self) -> f64 {
        self.belief.m.exp()
    }
}

impl Learned {
    /// Takes in one observation.
    pub fn learn(&mut self, seen: &Observation) {
        self.room.put_in(seen);
        let kind = self.kinds.entry(seen.work).or_default().entry(seen.weapon.into()).or_default();
        kind.pool.put_in(seen);
        kind.benches.entry(seen.bench).or_default().put_in(seen);
        self.prune(seen);
    }

    /// Takes one observation out again, exactly.
    pub fn unlearn(&mut self, seen: &Observation) {
        let kind = self.kinds.get_mut(&seen.work).and_then(|of| of.get_mut(&seen.weapon.into()));
        let Some(kind) = kind else { return };
        let Some(bench) = kind.benches.get_mut(&seen.bench) else { return };
        bench.take_out(seen);
        kind.pool.take_out(seen);
        self.room.take_out(seen);
        self.prune(seen);
    }

    /// Drops what is empty, so that what was unlearned leaves no trace.
    fn prune(&mut self, seen: &Observation) {
        let Some(of) = self.kinds.get_mut(&seen.work) else { return };
        if let Some(kind) = of.get_mut(&seen.weapon.into()) {
            kind.benches.retain(|_, bench| !bench.is_empty());
        }
        of.retain(|_, kind| !kind.pool.is_empty());
        if of.is_empty() {
            self.kinds.remove(&seen.work);
        }
    }

    /// What was seen of one kind of work, all weapons and benches together.
    pub fn seen(&self, work: Work) -> Seen {
        let of = self.kinds.get(&work).into_iter().flat_map(BTreeMap::values);
        of.fold(Seen::default(), |sum, kind| sum.with(&kind.pool))
    }

    /// How fast that work goes at that bench; at none in particular when `bench` is `None`.
    pub fn pace(&self, work: Work, weapon: Option<Weapon>, bench: Option<BenchId>) -> Pace {
        let empty = Kind::default();
        let kind = self.kinds.get(&work).and_then(|of| of.get(&weapon.into())).unwrap_or(&empty);
        let own = bench.and_then(|bench| kind.benches.get(&bench)).cloned().unwrap_or_default();
        let mut pace = self.pool_pace(work, &kind.pool, &own);
        if bench.is_some() {
            let prior = pace.belief.child(BENCH_OFF, SPREAD_WORTH);
            pace.belief = posterior(prior, &own, &own.reached());
        }
        pace
    }

    /// The pace of a pool of work, without a part of it.
    fn pool_pace(&self, work: Work, pool: &Seen, part: &Seen) -> Pace {
        let sigma = start(work).sigma;
        // The room tells how far the estimates are off, from finished work; the spread is the kind of work's own.
        let others = self.room.clone().without(pool);
        let whole = posterior(room(sigma), &others, &[]);
        let variance = sigma * sigma;
        let whole = Nig { a: SPREAD_WORTH, b: SPREAD_WORTH * variance, ..whole };
        let rest = pool.clone().without(part);
        Pace { belief: posterior(whole.child(KIND_OFF, SPREAD_WORTH), &rest, &rest.reached()), sigma }
    }

    /// How long a repair takes that takes `prior` before anything was learned.
    pub fn predict(
        &self,
        work: Work,
        weapon: Option<Weapon>,
        bench: Option<BenchId>,
        prior: Spread,
    ) -> Predictive {
        self.pace(work, weapon, bench).predict(prior)
    }

    /// Median minutes expected at any bench and of any weapon when our estimate is `prior_min`.
    pub fn median_min(&self, work: Work, prior_min: f64) -> f64 {
        prior_min * self.pool_pace(work, &self.seen(work), &Seen::default()).factor()
    }
}
