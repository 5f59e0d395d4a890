//! Watches over a real connection: full first, then changes; no gap, nothing twice; an end with a reason.

#![allow(clippy::unwrap_used)]

use std::sync::Arc;
use std::time::Duration;

use remise_proto::v1;
use tonic::{Code, Status, Streaming};

use super::tests::{Running, as_role, as_strip, reason, with};
use crate::stations::{Access, Role, Station, StationBook};

async fn next<T>(stream: &mut Streaming<T>) -> Result<Option<T>, Status> {
    tokio::time::timeout(Duration::from_secs(20), stream.message()).await.expect("a message in time")
}

#[tokio::test]
async fn only_known_tokens_open_the_door_and_a_removed_station_is_cut_off() {
    let dir = tempfile::tempdir().unwrap();
    let book = StationBook::load(dir.path()).unwrap();
    let strip = Station::new("strip 1", Role::Strip, Some(remise_core::ids::StripId(1)), None).unwrap();
    let token = book.add(&strip).unwrap().reveal();
    let server = Running::start(Access::Book(Arc::new(book))).await;
    let bearer = format!("Bearer {token}");

    // Metadata that an open server would believe is worth nothing here.
    let stranger = server.heads().room(as_role(v1::RoomRequest {}, "head")).await.unwrap_err();
    assert_eq!((stranger.code(), reason(&stranger).as_str()), (Code::Unauthenticated, "UNKNOWN_STATION"));
    let wrong = format!("Bearer {}", "0".repeat(64));
    let wrong = with(v1::StripBoardRequest::default(), &[("authorization", &wrong)]);
    assert_eq!(server.strips().strip_board(wrong).await.unwrap_err().code(), Code::Unauthenticated);

    let known = with(v1::StripBoardRequest::default(), &[("authorization", &bearer)]);
    let mut watch = server.strips().watch_strip(known).await.unwrap().into_inner();
    assert!(next(&mut watch).await.unwrap().unwrap().full);
    StationBook::load(dir.path()).unwrap().remove("strip 1").unwrap();
    // Something happens; the watcher is not told of it any more.
    server.house.planner.plan_now().await.unwrap();
    assert_eq!(next(&mut watch).await.unwrap_err().code(), Code::Unauthenticated);
}

#[tokio::test]
async fn a_strip_watch_begins_full_and_goes_on_with_changes() {
    let server = Running::open().await;
    let first = server.foil("Nia Vell").await;
    let request = as_strip(v1::StripBoardRequest::default(), 1);
    let mut watch = server.strips().watch_strip(request).await.unwrap().into_inner();
    let full = next(&mut watch).await.unwrap().unwrap();
    assert!(full.full);
    assert_eq!(full.jobs.iter().map(|job| job.job).collect::<Vec<_>>(), [first]);
    assert_eq!(full.jobs[0].fencer, "Nia Vell");

    let second = server.foil("Tam Orr").await;
    let change = next(&mut watch).await.unwrap().unwrap();
    assert!(!change.full);
    assert_eq!(change.jobs.iter().map(|job| job.job).collect::<Vec<_>>(), [second]);
    assert!(change.covers_up_to >= second);
}

async fn numbers(watch: &mut Streaming<v1::EventBatch>, up_to: u64) -> Vec<u64> {
    let mut numbers = Vec::new();
    loop {
        let batch = next(watch).await.unwrap().unwrap();
        numbers.extend(batch.events.iter().map(|event| event.seq));
        assert!(batch.events.iter().all(|event| event.seq <= batch.covers_up_to));
        if batch.covers_up_to >= up_to {
            return numbers;
        }
    }
}

#[tokio::test]
async fn a_journal_watch_has_no_gap_and_nothing_twice() {
    let server = Running::open().await;
    for n in 0..1200 {
        server.foil(&format!("Fencer {n}")).await;
    }
    let head = |server: &Running| server.house.desk.snapshot().room.head.0;
    let request = v1::WatchRequest { from_seq: 5, kinds: Vec::new() };
    let mut watch = server.journal().watch(request).await.unwrap().into_inner();
    // More happens while the backlog is read.
    let while_reading = async {
        for n in 0..200 {
            server.foil(&format!("Late {n}")).await;
        }
    };
    let target = head(&server) + 200;
    let (seen, ()) = tokio::join!(numbers(&mut watch, target), while_reading);
    assert_eq!(seen, (5..=target).collect::<Vec<_>>());

    // Broken off and resumed, and from now on.
    drop(watch);
    let request = v1::WatchRequest { from_seq: target, kinds: Vec::new() };
    let mut resumed = server.journal().watch(request).await.unwrap().into_inner();
    assert_eq!(numbers(&mut resumed, target).await, [target]);
    let mut fresh = server.journal().watch(v1::WatchRequest::default()).await.unwrap().into_inner();
    let none = next(&mut fresh).await.unwrap().unwrap();
    assert_eq!((none.covers_up_to, none.events.len()), (target, 0), "where it begins, and nothing old");
    let new = server.foil("Ulla Senn").await;
    assert_eq!(numbers(&mut fresh, new).await, [new]);
}

#[tokio::test]
async fn a_journal_watch_may_ask_for_some_kinds_only() {
    let server = Running::open().await;
    server.foil("Nia Vell").await;
    let request = v1::WatchRequest { from_seq: 1, kinds: vec!["venue_set".to_owned()] };
    let mut watch = server.journal().watch(request).await.unwrap().into_inner();
    assert_eq!(numbers(&mut watch, 2).await, [1]);
    let unknown = v1::WatchRequest { from_seq: 1, kinds: vec!["eaten".to_owned()] };
    assert_eq!(server.journal().watch(unknown).await.unwrap_err().code(), Code::InvalidArgument);
}

#[tokio::test]
async fn an_orderly_end_tells_the_watchers() {
    let mut server = Running::open().await;
    let mut boards = server.heads().watch_room(v1::RoomRequest {}).await.unwrap().into_inner();
    let mut plans = server.heads().watch_plan(v1::WatchPlanRequest {}).await.unwrap().into_inner();
    let mut events =
        server.journal().watch(v1::WatchRequest { from_seq: 1, kinds: vec![] }).await.unwrap().into_inner();
    assert!(next(&mut boards).await.unwrap().is_some());
    assert!(next(&mut plans).await.unwrap().is_some());
    assert!(next(&mut events).await.unwrap().is_some());
    server.stop.take().unwrap().send(()).unwrap();
    assert_eq!(reason(&next(&mut boards).await.unwrap_err()), "GOING_DOWN");
    assert_eq!(reason(&next(&mut plans).await.unwrap_err()), "GOING_DOWN");
    assert_eq!(reason(&next(&mut events).await.unwrap_err()), "GOING_DOWN");
    tokio::time::timeout(Duration::from_secs(20), &mut server.ended).await.expect("it ends").unwrap();
}
