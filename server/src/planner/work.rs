//! The planner's own thread: when it plans, what it publishes, and what it does when the planner fails.

use std::sync::{Arc, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use remise_core::plan::{Maker, Plan, Planner as _, UrgencyPlanner};
use remise_core::promise;
use remise_core::time::Stamp;
use tokio::sync::watch;

use super::engine::{Engine, Task, Trouble};
use super::{Ask, PlanTimes};
use crate::clock::Clock;
use crate::desk::Published;

/// How long the planner waits for more to happen before it plans.
const DEBOUNCE: Duration = Duration::from_millis(30);
/// After a plan it rests this many times as long as the plan took, so that planning takes a small share of one core
/// however much happens.
const REST: u32 = 40;
/// But never shorter than this: a command that comes while a plan is made waits for a core.
const REST_LEAST: Duration = Duration::from_millis(200);
/// And never longer than this.
const REST_MOST: Duration = Duration::from_secs(1);
/// A plan older than this is made anew even when nothing happened: time itself moves lanes.
const STALE: Duration = Duration::from_secs(20);
/// How often it is looked whether a planner that took too long has answered.
const LATE_LOOK: Duration = Duration::from_millis(100);
/// Evaluations of one slice of improvement: some milliseconds, after which it is looked whether something happened.
const SLICE: u64 = 10_000;
/// Slices in a row without a gain after which a plan is taken to be as good as it gets.
const VAIN: u32 = 3;
/// Improvement takes no longer than this, on top of its budget.
const IMPROVE_MOST: Duration = Duration::from_millis(100);

pub(super) struct Work {
    pub(super) snapshots: watch::Receiver<Arc<Published>>,
    pub(super) clock: Clock,
    pub(super) engine: Engine,
    pub(super) publish: watch::Sender<Arc<Plan>>,
    pub(super) times: Arc<PlanTimes>,
}

impl Work {
    pub(super) fn run(mut self, asked: &mpsc::Receiver<Ask>, by_itself: bool) {
        let mut rested = Instant::now();
        loop {
            let wait = if self.engine.is_busy() { LATE_LOOK } else { STALE };
            match asked.recv_timeout(wait) {
                Ok(Ask::Now(done)) => {
                    let plan = self.whole();
                    // The asker may have gone.
                    let _ = done.send(plan);
                }
                Ok(Ask::Look) if by_itself => {
                    thread::sleep(DEBOUNCE.max(rested.saturating_duration_since(Instant::now())));
                    let start = Instant::now();
                    self.answer_waiting(asked);
                    let took = start.elapsed();
                    rested = Instant::now() + (took * REST).clamp(REST_LEAST, REST_MOST);
                    self.improve(took);
                }
                Ok(Ask::Look) => {}
                Err(mpsc::RecvTimeoutError::Timeout) => self.time_passed(by_itself),
                Err(mpsc::RecvTimeoutError::Disconnected) => return,
            }
        }
    }

    /// Nothing was asked for a while.
    fn time_passed(&mut self, by_itself: bool) {
        if self.engine.is_busy() {
            self.take_late();
        } else if by_itself {
            let began = Instant::now();
            self.repaired();
            self.improve(began.elapsed());
        }
    }

    /// Everything that was asked meanwhile is answered by one plan.
    fn answer_waiting(&mut self, asked: &mpsc::Receiver<Ask>) {
        let waiting: Vec<_> = asked.try_iter().collect();
        let whole = waiting.iter().any(|ask| matches!(ask, Ask::Now(_)));
        let plan = if whole { self.whole() } else { self.repaired() };
        for ask in waiting {
            if let Ask::Now(done) = ask {
                let _ = done.send(plan.clone());
            }
        }
    }

    /// A plan with the whole budget.
    fn whole(&mut self) -> Arc<Plan> {
        self.plan(Task::Plan)
    }

    /// A repaired plan, to be improved afterwards.
    fn repaired(&mut self) -> Arc<Plan> {
        self.plan(Task::Repair)
    }

    fn plan(&mut self, task: Task) -> Arc<Plan> {
        self.take_late();
        let (newest, now) = self.newest();
        // Measured in real time also when the server's time is set by hand.
        let began = Instant::now();
        let answer = self.engine.ask(task, newest.clone(), now);
        let plan = match answer {
            Ok(Some(plan)) => plan,
            Ok(None) => Self::simple(&newest, now, Maker::Failed),
            Err(trouble) => self.in_trouble(&trouble, &newest, now),
        };
        self.times.add(began.elapsed());
        self.publish(plan)
    }

    /// The newest armoury, and the time.
    fn newest(&self) -> (Arc<Published>, Stamp) {
        let newest = self.snapshots.borrow().clone();
        let now = self.clock.now().or_later(newest.room.at);
        (newest, now)
    }

    /// Improves the plan last published for as long as nothing new comes. How long that takes does not count as
    /// planning: it gives way at once.
    fn improve(&mut self, took: Duration) {
        let end = Instant::now() + IMPROVE_MOST.saturating_sub(took);
        let (mut vain, mut best) = (0, None);
        while vain < VAIN && Instant::now() < end && !self.engine.is_busy() {
            let (newest, now) = self.newest();
            if self.publish.borrow().based_on != newest.room.head {
                break;
            }
            match self.engine.ask(Task::Improve(SLICE), newest.clone(), now) {
                Ok(Some(better)) => {
                    vain = 0;
                    best = Some(better);
                }
                Ok(None) => vain += 1,
                Err(trouble) => {
                    // The repaired plan stands; it says that what should improve it does not.
                    best = Some(self.in_trouble(&trouble, &newest, now));
                    break;
                }
            }
        }
        if let Some(plan) = best {
            self.publish(plan);
        }
    }

    /// Takes a plan that comes late: mended against the newest armoury and published.
    fn take_late(&mut self) {
        match self.engine.late() {
            None | Some(Ok(None)) => {}
            Some(Ok(Some(plan))) => {
                self.publish(plan);
            }
            Some(Err(trouble)) => {
                let (newest, now) = self.newest();
                let plan = self.in_trouble(&trouble, &newest, now);
                self.publish(plan);
            }
        }
    }

    /// The simple rule's plan, and a word in the log when the trouble is new.
    fn in_trouble(&self, trouble: &Trouble, newest: &Published, now: Stamp) -> Plan {
        let made_by = match trouble {
            Trouble::Panicked(_) => Maker::Failed,
            Trouble::Slow => Maker::Slow,
        };
        if self.publish.borrow().made_by != made_by {
            match trouble {
                Trouble::Panicked(said) => {
                    tracing::error!(%said, "the planner failed; the simple rule plans until it works again");
                }
                Trouble::Slow => {
                    tracing::warn!("the planner takes too long; the simple rule plans until it answers");
                }
            }
        }
        Self::simple(newest, now, made_by)
    }

    fn simple(newest: &Published, now: Stamp, made_by: Maker) -> Plan {
        Plan { made_by, ..UrgencyPlanner.plan(&newest.room, now) }
    }

    /// What happened while it was planned: the plan is mended, never dropped. Then its times are drawn.
    fn publish(&self, mut plan: Plan) -> Arc<Plan> {
        let (newest, now) = self.newest();
        plan.mend(&newest.room);
        promise::quote(&newest.room, &mut plan, now);
        if plan.made_by == Maker::Planner && self.publish.borrow().made_by != Maker::Planner {
            tracing::info!("the planner works again");
        }
        let plan = Arc::new(plan);
        self.publish.send_replace(plan.clone());
        plan
    }
}
