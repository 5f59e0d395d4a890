//! The planner's thread: takes the newest armoury, plans it, publishes the plan, and asks the desk to say the promises
//! that are worth saying. Never holds up the desk.
//!
//! Live, it plans a moment after something happened and again as time goes by. In a rehearsal it plans when it is told
//! to, so that the same day gives the same journal.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError, mpsc};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use remise_core::armoury::{Command, Event};
use remise_core::plan::{Plan, Planner};
use remise_core::promise;
use tokio::sync::{oneshot, watch};

use crate::clock::Clock;
use crate::desk::{DeskHandle, Request};

/// How long the planner waits for more to happen before it plans.
const DEBOUNCE: Duration = Duration::from_millis(30);
/// After a plan it rests this many times as long as the plan took, so that planning takes a small share of one core
/// however much happens.
const REST: u32 = 40;
/// But never shorter than this: a command that comes while a plan is made waits for a core.
const REST_LEAST: Duration = Duration::from_millis(200);
/// And never longer than this.
const REST_MOST: Duration = Duration::from_millis(500);
/// A plan older than this is made anew even when nothing happened: time itself moves lanes.
const STALE: Duration = Duration::from_secs(20);
/// The station under whose name the server's own commands are journalled.
pub const OWN_STATION: &str = "server";

enum Ask {
    /// Something happened.
    Look,
    /// Plan now, and say when the plan stands.
    Now(oneshot::Sender<Arc<Plan>>),
}

/// A handle to the planner. The thread ends when the last one is dropped.
#[derive(Clone)]
pub struct PlannerHandle {
    ask: mpsc::Sender<Ask>,
    plans: watch::Receiver<Arc<Plan>>,
    times: Arc<PlanTimes>,
}

/// How long plans took, for the figures of a rehearsal and for health. The newest ten thousand are kept.
#[derive(Debug, Default)]
pub struct PlanTimes(Mutex<VecDeque<Duration>>);

impl PlanTimes {
    const KEPT: usize = 10_000;

    fn add(&self, took: Duration) {
        let mut times = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if times.len() == Self::KEPT {
            times.pop_front();
        }
        times.push_back(took);
    }

    /// 99 % of the plans took no longer; `None` before the first.
    pub fn p99(&self) -> Option<Duration> {
        let times = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut sorted: Vec<_> = times.iter().copied().collect();
        sorted.sort_unstable();
        let at = (sorted.len() * 99).div_ceil(100);
        sorted.get(at.saturating_sub(1)).copied()
    }
}

impl PlannerHandle {
    /// How long plans took.
    pub fn times(&self) -> &PlanTimes {
        &self.times
    }

    /// The newest plan.
    pub fn plan(&self) -> Arc<Plan> {
        self.plans.borrow().clone()
    }

    /// Tells of each new plan; only the newest is kept.
    pub fn plans(&self) -> watch::Receiver<Arc<Plan>> {
        self.plans.clone()
    }

    /// Plans now and waits until the plan stands.
    pub async fn plan_now(&self) -> Option<Arc<Plan>> {
        let (done, stands) = oneshot::channel();
        self.ask.send(Ask::Now(done)).ok()?;
        stands.await.ok()
    }

    /// Says that something happened.
    pub fn look(&self) {
        // A planner that has ended needs no telling.
        let _ = self.ask.send(Ask::Look);
    }
}

/// Starts the planner's thread.
pub fn start(
    desk: &DeskHandle,
    clock: Clock,
    planner: Box<dyn Planner>,
    by_itself: bool,
) -> (PlannerHandle, JoinHandle<()>) {
    let (ask, asked) = mpsc::channel();
    let (publish, plans) = watch::channel(Arc::default());
    let times = Arc::<PlanTimes>::default();
    let work = Work { snapshots: desk.publications(), clock, planner, publish, times: times.clone() };
    let thread = thread::Builder::new()
        .name("planner".to_owned())
        .spawn(move || work.run(&asked, by_itself))
        .expect("a thread can be started");
    (PlannerHandle { ask, plans, times }, thread)
}

struct Work {
    snapshots: watch::Receiver<Arc<crate::desk::Published>>,
    clock: Clock,
    planner: Box<dyn Planner>,
    publish: watch::Sender<Arc<Plan>>,
    times: Arc<PlanTimes>,
}

impl Work {
    fn run(mut self, asked: &mpsc::Receiver<Ask>, by_itself: bool) {
        let mut rested = Instant::now();
        loop {
            match asked.recv_timeout(STALE) {
                Ok(Ask::Now(done)) => {
                    let plan = self.plan();
                    // The asker may have gone.
                    let _ = done.send(plan);
                }
                Ok(Ask::Look) if by_itself => {
                    thread::sleep(DEBOUNCE.max(rested.saturating_duration_since(Instant::now())));
                    let start = Instant::now();
                    self.answer_waiting(asked);
                    rested = Instant::now() + (start.elapsed() * REST).clamp(REST_LEAST, REST_MOST);
                }
                Ok(Ask::Look) => {}
                Err(mpsc::RecvTimeoutError::Timeout) => {
                    if by_itself {
                        self.plan();
                    }
                }
                Err(mpsc::RecvTimeoutError::Disconnected) => return,
            }
        }
    }

    /// Everything that was asked meanwhile is answered by one plan.
    fn answer_waiting(&mut self, asked: &mpsc::Receiver<Ask>) {
        let waiting: Vec<_> = asked.try_iter().collect();
        let plan = self.plan();
        for ask in waiting {
            if let Ask::Now(done) = ask {
                let _ = done.send(plan.clone());
            }
        }
    }

    fn plan(&mut self) -> Arc<Plan> {
        let room = self.snapshots.borrow().room.clone();
        let now = self.clock.now().or_later(room.at);
        // Measured in real time also when the server's time is set by hand.
        let began = Instant::now();
        let mut plan = self.planner.plan(&room, now);
        self.times.add(began.elapsed());
        // What happened while it was planned: the plan is mended, never dropped.
        plan.mend(&self.snapshots.borrow().room);
        let plan = Arc::new(plan);
        self.publish.send_replace(plan.clone());
        plan
    }
}

/// Asks the desk to say what is worth saying, and lets time-bound things happen.
pub async fn say(desk: &DeskHandle, plan: &Plan) {
    let room = desk.snapshot();
    let promises = promise::worth_saying(&room.room, plan);
    if !promises.is_empty() {
        own(desk, Command::SayPromises { promises }).await;
    }
}

/// Lets time-bound things happen.
pub async fn tick(desk: &DeskHandle, clock: &Clock) {
    let due = {
        let room = desk.snapshot();
        let now = clock.now();
        remise_core::armoury::decide(&room.room, &Command::Tick, now.or_later(room.room.at), now)
            .is_ok_and(|decision| decision.events.iter().any(|event| matches!(event, Event::NoticeRaised(_))))
    };
    if due {
        own(desk, Command::Tick).await;
    }
}

async fn own(desk: &DeskHandle, command: Command) {
    let request =
        Request { request_id: None, station: OWN_STATION.into(), happened_at: None, command, deadline: None };
    if let Err(error) = desk.submit(request).await {
        tracing::warn!(%error, "the server's own command was not accepted; it is tried again with the next plan");
    }
}
