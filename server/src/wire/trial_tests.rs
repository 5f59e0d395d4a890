//! Moves tried over a real connection. Held against the comments in `head.proto`: what moves is told, nothing is done, a
//! move that would be refused is named.

#![allow(clippy::unwrap_used)]

use remise_proto::v1;
use remise_proto::v1::trial_move::Is;
use tonic::Code;
use tonic_types::StatusExt as _;

use super::scene::MORNING;
use super::tests::{Running, as_role, reason};

fn moves(all: Vec<Is>) -> v1::WhatIfRequest {
    v1::WhatIfRequest { moves: all.into_iter().map(|is| v1::TrialMove { is: Some(is) }).collect() }
}

fn close(bench: u32) -> Is {
    Is::CloseBench(v1::CloseBenchRequest { meta: None, bench })
}

fn close_at(bench: u32, minutes: i64) -> Is {
    let at_us = MORNING.plus_min(minutes).0;
    Is::CloseBenchAt(v1::CloseBenchAtRequest { meta: None, bench, at_us })
}

#[tokio::test]
async fn moves_are_tried_and_nothing_is_done() {
    let server = Running::open().await;
    for fencer in ["Nia Vell", "Ole Marn", "Pia Tolk"] {
        server.foil(fencer).await;
    }
    let head = server.journal().head(v1::HeadRequest {}).await.unwrap().into_inner().head;
    let asked = moves(vec![close_at(1, 1), close_at(2, 1)]);
    let what = server.heads().what_if(asked.clone()).await.unwrap().into_inner();
    assert_eq!((what.covers_up_to, what.at_us), (head, MORNING.0));
    let (before, after) = (what.before.unwrap(), what.after.unwrap());
    assert_eq!((before.nowhere, after.nowhere, what.moved.len()), (0, 3, 3));
    let first = &what.moved[0];
    assert!(!first.job.as_ref().unwrap().fencer.is_empty());
    assert!(first.before.as_ref().unwrap().bench > 0);
    assert_eq!(first.after.as_ref().unwrap().unplaced, "no_time");
    let board = server.heads().room(v1::RoomRequest {}).await.unwrap().into_inner();
    assert_eq!(board.covers_up_to, head, "nothing was recorded");
    assert!(board.benches.unwrap().benches.iter().all(|bench| bench.open && bench.closes_at_us == 0));
    let alike = server.heads().what_if(v1::WhatIfRequest::default()).await.unwrap().into_inner();
    assert!(alike.moved.is_empty() && alike.before == alike.after);
    let counter = server.heads().what_if(as_role(asked, "counter")).await.unwrap_err();
    assert_eq!((counter.code(), reason(&counter).as_str()), (Code::PermissionDenied, "ROLE_MAY_NOT"));
}

#[tokio::test]
async fn what_cannot_be_tried_is_refused_and_named() {
    let server = Running::open().await;
    let twice = server.heads().what_if(moves(vec![close(1), close(1)])).await.unwrap_err();
    assert_eq!((twice.code(), reason(&twice).as_str()), (Code::FailedPrecondition, "NOTHING_CHANGES"));
    assert_eq!(twice.get_details_error_info().unwrap().metadata["move"], "2");
    assert!(twice.message().starts_with("move 2 would be refused"), "{}", twice.message());
    let past = server.heads().what_if(moves(vec![close_at(1, -5)])).await.unwrap_err();
    assert_eq!((past.code(), reason(&past).as_str()), (Code::InvalidArgument, "TIME_IS_PAST"));
    let field =
        |status: &tonic::Status| status.get_details_bad_request().unwrap().field_violations[0].field.clone();
    let many = server.heads().what_if(moves((0..21).map(|_| close(1)).collect())).await.unwrap_err();
    assert_eq!(field(&many), "moves");
    let empty = v1::WhatIfRequest { moves: vec![v1::TrialMove { is: None }] };
    assert_eq!(field(&server.heads().what_if(empty).await.unwrap_err()), "moves[0].is");
    let unread = server.heads().what_if(moves(vec![close(1), close(0)])).await.unwrap_err();
    assert_eq!(field(&unread), "moves[1].close_bench.bench");
}
