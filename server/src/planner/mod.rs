//! The planner's thread: takes the newest armoury, plans it, publishes the plan, and asks the desk to say the promises
//! that are worth saying. Never holds up the desk.
//!
//! Live, it plans a moment after something happened and again as time goes by: first it repairs the newest plan and
//! publishes that, then it improves it for as long as nothing new comes. In a rehearsal it plans when it is told to, with
//! the whole budget at once, so that the same day gives the same journal.
//!
//! A planner that panics or takes too long is replaced by the simple rule until it works again; the plan says so
//! ([`remise_core::plan::Maker`]). A plan that comes late is mended against the newest armoury and published.

mod engine;
#[cfg(test)]
mod tests;
mod times;
mod work;

use std::sync::{Arc, mpsc};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use remise_core::armoury::{Command, Event};
use remise_core::plan::{Plan, Planner};
use remise_core::promise;
use tokio::sync::{oneshot, watch};

pub use times::PlanTimes;

use crate::clock::Clock;
use crate::desk::{DeskHandle, Request};
use engine::Engine;
use work::Work;

/// A planner that takes longer than this for one answer is replaced by the simple rule until it answers. Only live: in
/// a rehearsal no time of the machine counts.
const PATIENCE: Duration = Duration::from_secs(2);
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

/// Starts the planner's threads.
pub fn start(
    desk: &DeskHandle,
    clock: Clock,
    planner: Box<dyn Planner>,
    by_itself: bool,
) -> (PlannerHandle, JoinHandle<()>) {
    start_with(desk, clock, planner, by_itself, by_itself.then_some(PATIENCE))
}

fn start_with(
    desk: &DeskHandle,
    clock: Clock,
    planner: Box<dyn Planner>,
    by_itself: bool,
    patience: Option<Duration>,
) -> (PlannerHandle, JoinHandle<()>) {
    let (ask, asked) = mpsc::channel();
    let (publish, plans) = watch::channel(Arc::default());
    let times = Arc::<PlanTimes>::default();
    let engine = Engine::start(planner, patience);
    let work = Work { snapshots: desk.publications(), clock, engine, publish, times: times.clone() };
    let thread = thread::Builder::new()
        .name("planner".to_owned())
        .spawn(move || work.run(&asked, by_itself))
        .expect("a thread can be started");
    (PlannerHandle { ask, plans, times }, thread)
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
        remise_core::armoury::decide(&room.room, &Command::Tick, now.or_later(room.room.at), now).is_ok_and(
            |decision| {
                let due = |event: &Event| matches!(event, Event::NoticeRaised(_) | Event::BenchClosed(_));
                decision.events.iter().any(due)
            },
        )
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
