//! How calm plans are: a planner that counts how often another one changes what a bench was told to take next, though
//! nobody commanded it and no call-out caused it.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use remise_core::armoury::{Armoury, State};
use remise_core::ids::{BenchId, JobId, Seq};
use remise_core::plan::{Plan, Planner};
use remise_core::time::Stamp;

/// What was counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Calm {
    /// Plans made.
    pub plans: u64,
    /// Jobs that were in no bench's hand in the plan before and are in one's now.
    pub takes: u64,
    /// Changes of a bench's next job, whatever the reason.
    pub changes: u64,
    /// Those that nothing prompted: since the plan before, no event touched the job that was next nor the one that is.
    pub unprompted: u64,
}

impl Calm {
    /// So many in a hundred takes.
    pub fn per_100_takes(&self, count: u64) -> f64 {
        100.0 * count as f64 / (self.takes as f64).max(1.0)
    }

    /// Both together.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self {
            plans: self.plans + other.plans,
            takes: self.takes + other.takes,
            changes: self.changes + other.changes,
            unprompted: self.unprompted + other.unprompted,
        }
    }
}

/// A planner that is watched. A bench's next is the first job of its lane that is not in hand; it counts as changed
/// when that job could still be taken there and another one stands first.
pub struct Watched {
    inner: Box<dyn Planner>,
    count: Arc<Mutex<Calm>>,
    nexts: BTreeMap<BenchId, JobId>,
    hands: BTreeMap<BenchId, JobId>,
    seen: Seq,
}

impl Watched {
    /// Watches a planner; the count is shared.
    pub fn new(inner: Box<dyn Planner>) -> (Self, Arc<Mutex<Calm>>) {
        let count = Arc::<Mutex<Calm>>::default();
        (
            Self {
                inner,
                count: count.clone(),
                nexts: BTreeMap::new(),
                hands: BTreeMap::new(),
                seen: Seq(0),
            },
            count,
        )
    }

    fn look(&mut self, room: &Armoury, plan: &Plan) {
        let on_bench = |job: &JobId| room.job(*job).is_some_and(|job| job.state() == State::OnBench);
        let mut nexts = BTreeMap::new();
        for (bench, lane) in &plan.lanes {
            if let Some(next) = lane.iter().map(|slot| slot.job).find(|job| !on_bench(job)) {
                nexts.insert(*bench, next);
            }
        }
        let changed = self.nexts.iter().filter(|(bench, told)| {
            let state = room.bench(**bench);
            let there =
                state.call.is_none() && state.away_until.is_none() && room.bench_is_open(**bench, plan.at);
            let free = |job: &remise_core::armoury::Job| {
                job.state() == State::Waiting
                    && job.hold.is_none()
                    && job.pinned.is_none_or(|pinned| pinned == **bench)
            };
            there && room.job(**told).is_some_and(|job| free(job)) && nexts.get(bench) != Some(told)
        });
        let untouched = |job: &JobId| room.job(*job).is_some_and(|job| job.changed <= self.seen);
        let (mut changes, mut unprompted) = (0, 0);
        for (bench, told) in changed {
            changes += 1;
            unprompted += u64::from(untouched(told) && nexts.get(bench).is_none_or(untouched));
        }
        let venue = room.venue.iter().flat_map(|venue| &venue.benches);
        let hands: BTreeMap<_, _> =
            venue.filter_map(|bench| Some((bench.id, room.bench(bench.id).job?))).collect();
        let takes = hands.iter().filter(|(bench, job)| self.hands.get(bench) != Some(job)).count() as u64;
        let mut count = self.count.lock().unwrap_or_else(PoisonError::into_inner);
        *count = count.with(Calm { plans: 1, takes, changes, unprompted });
        drop(count);
        self.seen = room.head;
        (self.nexts, self.hands) = (nexts, hands);
    }
}

impl Planner for Watched {
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let plan = self.inner.repair(room, now);
        self.look(room, &plan);
        plan
    }

    fn improve(&mut self, room: &Armoury, now: Stamp, evaluations: u64) -> Option<Plan> {
        self.inner.improve(room, now, evaluations)
    }

    fn plan(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let plan = self.inner.plan(room, now);
        self.look(room, &plan);
        plan
    }
}
