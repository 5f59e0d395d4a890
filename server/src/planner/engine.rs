//! The engine: a thread on which nothing but the planner runs, so that a planner that panics or never ends takes
//! nothing else with it.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, mpsc};
use std::thread;
use std::time::Duration;

use remise_core::plan::{Plan, Planner};
use remise_core::time::Stamp;

use crate::desk::Published;

/// What the planner is asked to do.
#[derive(Clone, Copy, Debug)]
pub(super) enum Task {
    /// A plan with the whole budget.
    Plan,
    /// A repaired plan.
    Repair,
    /// Some evaluations' worth of improvement.
    Improve(u64),
}

/// Why there is no answer.
#[derive(Debug)]
pub(super) enum Trouble {
    /// The planner panicked.
    Panicked(String),
    /// It has not answered in time, and is still at it.
    Slow,
}

struct Job {
    task: Task,
    room: Arc<Published>,
    now: Stamp,
}

type Answer = Result<Option<Plan>, String>;

/// A handle to the engine. Its thread ends with the handle, as soon as the planner has answered.
pub(super) struct Engine {
    jobs: mpsc::Sender<Job>,
    answers: mpsc::Receiver<Answer>,
    busy: bool,
    patience: Option<Duration>,
}

impl Engine {
    /// Starts the thread. Without `patience` an answer is waited for however long it takes.
    pub(super) fn start(planner: Box<dyn Planner>, patience: Option<Duration>) -> Self {
        let (jobs, given) = mpsc::channel();
        let (answer, answers) = mpsc::channel();
        thread::Builder::new()
            .name("plan engine".to_owned())
            .spawn(move || work(planner, &given, &answer))
            .expect("a thread can be started");
        Self { jobs, answers, busy: false, patience }
    }

    /// Whether the planner is still at what it did not answer in time.
    pub(super) fn is_busy(&self) -> bool {
        self.busy
    }

    /// The answer that came late, once it is there.
    pub(super) fn late(&mut self) -> Option<Result<Option<Plan>, Trouble>> {
        if !self.busy {
            return None;
        }
        match self.answers.try_recv() {
            Ok(answer) => {
                self.busy = false;
                Some(answer.map_err(Trouble::Panicked))
            }
            Err(mpsc::TryRecvError::Empty) => None,
            Err(mpsc::TryRecvError::Disconnected) => Some(Err(ended())),
        }
    }

    /// Has something done. While it is busy the answer is [`Trouble::Slow`] at once.
    pub(super) fn ask(
        &mut self,
        task: Task,
        room: Arc<Published>,
        now: Stamp,
    ) -> Result<Option<Plan>, Trouble> {
        if self.busy {
            return Err(Trouble::Slow);
        }
        self.jobs.send(Job { task, room, now }).map_err(|_| ended())?;
        let answer = match self.patience {
            None => self.answers.recv().map_err(|_| ended())?,
            Some(patience) => match self.answers.recv_timeout(patience) {
                Ok(answer) => answer,
                Err(mpsc::RecvTimeoutError::Disconnected) => return Err(ended()),
                Err(mpsc::RecvTimeoutError::Timeout) => {
                    self.busy = true;
                    return Err(Trouble::Slow);
                }
            },
        };
        answer.map_err(Trouble::Panicked)
    }
}

fn ended() -> Trouble {
    Trouble::Panicked("its thread has ended".to_owned())
}

fn work(mut planner: Box<dyn Planner>, jobs: &mpsc::Receiver<Job>, answer: &mpsc::Sender<Answer>) {
    for Job { task, room, now } in jobs {
        // What a panic leaves behind is the planner's own: it must be able to make a plan from whatever it remembers.
        let done = catch_unwind(AssertUnwindSafe(|| match task {
            Task::Plan => Some(planner.plan(&room.room, now)),
            Task::Repair => Some(planner.repair(&room.room, now)),
            Task::Improve(evaluations) => planner.improve(&room.room, now, evaluations),
        }));
        if answer.send(done.map_err(|panic| said(panic.as_ref()))).is_err() {
            return;
        }
    }
}

fn said(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().map(|text| (*text).to_owned());
    text.or_else(|| panic.downcast_ref::<String>().cloned()).unwrap_or_else(|| "it panicked".to_owned())
}
