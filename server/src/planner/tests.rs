//! The planner's thread with planners that panic, hang and come late. Held against the module's own words; no outside
//! source. No test measures time: a hanging planner is let go by the test.
#![allow(clippy::unwrap_used)]

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use remise_core::armoury::Armoury;
use remise_core::ids::{BenchId, JobId};
use remise_core::plan::{LanePlanner, Maker};
use remise_core::time::Stamp;

use super::*;
use crate::desk::{self, DeskSettings};
use crate::journal::{Faults, Journal as _, MemoryDisk};
use crate::wire::scene::{MORNING, venue};

/// A desk with an opened tournament.
async fn open_desk() -> (DeskHandle, Clock) {
    let store = MemoryDisk::new(1, Faults::default());
    let (clock, _) = Clock::set_by_hand(MORNING);
    let reader_store = store.clone();
    let open_reader = Arc::new(move || reader_store.open().reader());
    let (desk, _) =
        desk::open(Box::new(store.open()), clock.clone(), DeskSettings::default(), open_reader).unwrap();
    own(&desk, Command::SetVenue { venue: venue(), armourers: Vec::new() }).await;
    (desk, clock)
}

/// Panics while it is told to, with a plan half made.
struct Panics(Arc<AtomicBool>, LanePlanner);

impl Planner for Panics {
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let plan = self.1.repair(room, now);
        assert!(!self.0.load(Ordering::SeqCst), "planted");
        plan
    }
}

#[tokio::test]
async fn a_planner_that_panics_is_replaced_until_it_works_again() {
    let (desk, clock) = open_desk().await;
    let bad = Arc::new(AtomicBool::new(false));
    let planted = Box::new(Panics(bad.clone(), LanePlanner::default()));
    let (planner, _) = start(&desk, clock, planted, false);
    assert_eq!(planner.plan_now().await.unwrap().made_by, Maker::Planner);
    bad.store(true, Ordering::SeqCst);
    for _ in 0..2 {
        let plan = planner.plan_now().await.unwrap();
        assert_eq!((plan.made_by, plan.based_on), (Maker::Failed, desk.snapshot().room.head));
    }
    bad.store(false, Ordering::SeqCst);
    assert_eq!(planner.plan_now().await.unwrap().made_by, Maker::Planner);
}

/// Answers only when the test lets it; its plan names a job that does not exist.
struct Hangs(Mutex<mpsc::Receiver<()>>);

impl Planner for Hangs {
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan {
        let _ = self.0.lock().unwrap().recv();
        let slot = remise_core::plan::Slot::new(JobId(999), now, now);
        let mut plan = Plan { based_on: room.head, at: now, ..Plan::default() };
        plan.lanes.insert(BenchId(1), vec![slot]);
        plan
    }
}

#[tokio::test]
async fn a_planner_that_hangs_is_replaced_and_its_late_plan_is_mended_and_published() {
    let (desk, clock) = open_desk().await;
    let (go, held) = mpsc::channel();
    let planted = Box::new(Hangs(Mutex::new(held)));
    let (planner, _) = start_with(&desk, clock, planted, false, Some(Duration::from_millis(1)));
    for _ in 0..2 {
        assert_eq!(planner.plan_now().await.unwrap().made_by, Maker::Slow);
    }
    // The armoury goes on meanwhile.
    own(&desk, Command::OpenBench { bench: BenchId(1) }).await;
    let head = desk.snapshot().room.head;
    let mut plans = planner.plans();
    plans.mark_unchanged();
    go.send(()).unwrap();
    plans.changed().await.unwrap();
    let late = planner.plan();
    assert_eq!((late.made_by, late.based_on), (Maker::Planner, head));
    assert!(late.lanes.values().all(Vec::is_empty), "what does not exist is mended away: {late:?}");
}

#[tokio::test]
async fn it_plans_by_itself_when_something_happens() {
    let (desk, clock) = open_desk().await;
    let (planner, _) = start(&desk, clock, Box::new(LanePlanner::default()), true);
    let mut plans = planner.plans();
    own(&desk, Command::OpenBench { bench: BenchId(1) }).await;
    planner.look();
    plans.wait_for(|plan| plan.based_on == desk.snapshot().room.head).await.unwrap();
    assert!(planner.times().p99().is_some());
}
