//! Health as `grpc.health.v1` tells it: the desk under the server's name and each service's, the planner under its own.

use std::sync::Arc;

use remise_core::plan::{Maker, Plan};
use tokio::sync::watch;
use tokio::task::JoinHandle;
use tonic_health::ServingStatus;
use tonic_health::pb::health_server::{Health, HealthServer};
use tonic_health::server::HealthReporter;

use crate::desk::Published;
use crate::house::House;

/// Names that the desk's health is told under: the whole server, and each service.
const DESK: [&str; 5] =
    ["", "remise.v1.StripDesk", "remise.v1.BenchDesk", "remise.v1.HeadDesk", "remise.v1.Journal"];
/// The planner's. While it does not serve, everything else does: a simple rule makes the lanes.
pub(super) const PLANNER: &str = "remise.planner";

/// The service, and the task that keeps it told until the server goes down.
pub(super) fn start(
    house: &House,
    closing: watch::Receiver<bool>,
) -> (JoinHandle<()>, HealthServer<impl Health + use<>>) {
    let (reporter, service) = tonic_health::server::health_reporter();
    let told = report(house.desk.publications(), house.planner.plans(), reporter, closing);
    (tokio::spawn(told), service)
}

/// Says `NOT_SERVING` of the desk while the journal cannot be written, of the planner while the simple rule plans in its
/// place, and of both when the server goes down.
async fn report(
    mut published: watch::Receiver<Arc<Published>>,
    mut plans: watch::Receiver<Arc<Plan>>,
    mut reporter: HealthReporter,
    mut closing: watch::Receiver<bool>,
) {
    let mut told = (None, None);
    loop {
        let desk = published.borrow_and_update().trouble.is_none();
        let planner = plans.borrow_and_update().made_by == Maker::Planner;
        if told.0.replace(desk) != Some(desk) {
            set(&reporter, &DESK, desk).await;
        }
        if told.1.replace(planner) != Some(planner) {
            set(&reporter, &[PLANNER], planner).await;
        }
        let goes_on = tokio::select! {
            changed = published.changed() => changed.is_ok(),
            changed = plans.changed() => changed.is_ok(),
            _ = closing.wait_for(|closing| *closing) => false,
        };
        if !goes_on {
            break;
        }
    }
    for name in DESK.into_iter().chain([PLANNER]) {
        set(&reporter, &[name], false).await;
        // Whoever watches health would keep the server from ending.
        reporter.clear_service_status(name).await;
    }
}

async fn set(reporter: &HealthReporter, names: &[&str], serves: bool) {
    let status = if serves { ServingStatus::Serving } else { ServingStatus::NotServing };
    for name in names {
        reporter.set_service_status(name, status).await;
    }
}
