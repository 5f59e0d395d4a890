//! Answers as a server makes them, good and bad.
#![allow(clippy::unwrap_used)]

use remise_core::armoury::{HoldReason, Need, NoticeKind, Place, Spot, State};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::{BenchId, JobId, NoticeId, OwedId, Seq, StripId};
use remise_core::time::{Span, Stamp};
use remise_proto::v1;

use super::*;
use crate::error::LinkError;
use crate::view::{Board, JobView};

fn wire_spot(strip: u32) -> v1::Spot {
    v1::Spot { at: Some(v1::spot::At::Strip(strip)) }
}

fn wire_job(number: u64) -> v1::JobView {
    v1::JobView {
        job: number,
        item: 1,
        tag: "12340".into(),
        item_kind: "foil".into(),
        complaint: "white_on_off".into(),
        fencer: "Ada".into(),
        came_from: Some(wire_spot(3)),
        back_to: Some(wire_spot(4)),
        need: v1::Need::NoneLeft.into(),
        state: v1::State::OnBench.into(),
        place: Some(v1::Place { kind: v1::PlaceKind::Bench.into(), strip: 0, bench: 2 }),
        bench: 2,
        wanted_by_us: 500,
        handed_in_us: 100,
        promise: Some(v1::ReadyBy { likely_us: 300, safe_us: 0, said_us: 110 }),
        hold: Some(v1::HoldView {
            reason: v1::HoldReason::PartMissing.into(),
            note: "tip".into(),
            since_us: 200,
        }),
        notice: Some(v1::NoticeView {
            notice: 9,
            kind: v1::NoticeKind::Promise.into(),
            to: Some(wire_spot(4)),
            sent_us: 120,
            confirmed_us: 0,
            raised: true,
        }),
        hands_on_us: 40,
        in_hand_since_us: 150,
        owed: vec![6],
        changed_seq: 12,
        ..v1::JobView::default()
    }
}

fn one_job(raw: v1::JobView) -> Read<JobView> {
    let raw = v1::Board { full: true, jobs: vec![raw], ..v1::Board::default() };
    board(&raw).map(|board| board.jobs.into_iter().next().unwrap())
}

#[test]
fn a_job_is_read_whole() {
    let job = one_job(wire_job(17)).unwrap();
    assert_eq!((job.job, job.kind, job.complaint), (JobId(17), ItemKind::Foil, Complaint::WhiteOnOff));
    assert_eq!(job.tag.unwrap().digits(), "12340");
    assert_eq!((job.fencer.as_deref(), job.owner.as_deref()), (Some("Ada"), None));
    assert_eq!((job.came_from, job.back_to), (Spot::Strip(StripId(3)), Spot::Strip(StripId(4))));
    assert_eq!((job.need, job.state, job.place), (Need::NoneLeft, State::OnBench, Place::Bench(BenchId(2))));
    assert_eq!((job.bench, job.wanted_by, job.handed_in), (Some(BenchId(2)), Some(Stamp(500)), Stamp(100)));
    let promise = job.promise.unwrap();
    assert_eq!((promise.likely, promise.safe, promise.said), (Stamp(300), None, Some(Stamp(110))));
    let hold = job.hold.clone().unwrap();
    assert_eq!(
        (hold.reason, hold.note.as_deref(), hold.since),
        (HoldReason::PartMissing, Some("tip"), Stamp(200))
    );
    let notice = job.notice.unwrap();
    assert_eq!((notice.notice, notice.kind, notice.raised), (NoticeId(9), NoticeKind::Promise, true));
    assert_eq!((notice.confirmed, job.owed.as_slice()), (None, [OwedId(6)].as_slice()));
    assert_eq!((job.changed, job.planned, job.pinned, job.call), (Seq(12), None, None, None));
    assert_eq!(job.hands_on_at(Stamp(160)), Span(50));
}

/// Each row spoils one field; the error must name it.
#[test]
fn a_bad_field_is_named() {
    type Spoil = fn(&mut v1::JobView);
    let table: [(&str, Spoil); 12] = [
        ("jobs[0].job", |job| job.job = 0),
        ("jobs[0].tag", |job| job.tag = "12341".into()),
        ("jobs[0].item_kind", |job| job.item_kind = "trebuchet".into()),
        ("jobs[0].complaint", |job| job.complaint = String::new()),
        ("jobs[0].came_from", |job| job.came_from = None),
        ("jobs[0].back_to", |job| job.back_to = Some(wire_spot(70_000))),
        ("jobs[0].need", |job| job.need = 0),
        ("jobs[0].state", |job| job.state = 99),
        ("jobs[0].place", |job| job.place = Some(v1::Place { kind: 3, strip: 0, bench: 0 })),
        ("jobs[0].handed_in_us", |job| job.handed_in_us = 0),
        ("jobs[0].promise.likely_us", |job| job.promise = Some(v1::ReadyBy::default())),
        ("jobs[0].hold.reason", |job| job.hold = Some(v1::HoldView::default())),
    ];
    for (field, spoil) in table {
        let mut raw = wire_job(17);
        spoil(&mut raw);
        assert_eq!(one_job(raw).unwrap_err().field, field);
    }
}

#[test]
fn a_bad_answer_is_an_error_that_says_whether_it_counts() {
    let bad = accepted(&v1::Accepted { recorded_at_us: 0, ..v1::Accepted::default() }).unwrap_err();
    let error = LinkError::from(bad);
    assert_eq!(error.to_string(), "the server's answer makes no sense: `recorded_at_us`: it is missing");
    assert!(error.is_unsure() && !error.may_retry());
}

#[test]
fn names_cannot_paint_the_terminal() {
    let raw = v1::JobView { fencer: "A\u{1b}[31m\u{202e}da".into(), note: "x".repeat(5000), ..wire_job(17) };
    let job = one_job(raw).unwrap();
    assert_eq!(job.fencer.as_deref(), Some("A [31m da"));
    assert!(job.note.unwrap().len() < 1000);
}

fn numbers(board: &Board) -> Vec<u64> {
    board.jobs.iter().map(|job| job.job.0).collect()
}

#[test]
fn a_change_is_put_into_a_board() {
    let full = v1::Board {
        covers_up_to: 10,
        full: true,
        jobs: vec![wire_job(5), wire_job(3)],
        calls: Some(v1::board::Calls { calls: Vec::new() }),
        ..v1::Board::default()
    };
    let mut shown = Board::default();
    shown.apply(board(&full.clone()).unwrap());
    assert_eq!(numbers(&shown), [3, 5], "by number, whatever order the server chose");
    let mut changed = wire_job(5);
    changed.state = v1::State::Ready.into();
    let lanes = v1::board::Lanes { lanes: vec![v1::Lane { bench: 2, steps: Vec::new() }] };
    let change = v1::Board {
        covers_up_to: 12,
        jobs: vec![changed, wire_job(4)],
        removed: vec![3],
        lanes: Some(lanes),
        ..v1::Board::default()
    };
    shown.apply(board(&change).unwrap());
    assert_eq!((numbers(&shown), shown.covers_up_to), (vec![4, 5], Seq(12)));
    assert_eq!(shown.job(JobId(5)).unwrap().state, State::Ready);
    assert_eq!(shown.calls, Some(Vec::new()), "absent sections stay");
    assert!(shown.lane(BenchId(2)).is_some());
    shown.apply(board(&full).unwrap());
    assert_eq!((numbers(&shown), shown.lanes), (vec![3, 5], None), "a full board replaces everything");
}

#[test]
fn a_check_answered_before_the_last_repair_does_not_count() {
    let check = v1::CheckView {
        check: "foil_resistance".into(),
        title: "Resistance".into(),
        answered: false,
        answer: Some(v1::Answer { is: Some(v1::answer::Is::Reading(1800)) }),
        pass: true,
        ..v1::CheckView::default()
    };
    let raw = v1::Course { job: Some(wire_job(17)), proof: vec![check], ..v1::Course::default() };
    let course = course(&raw).unwrap();
    assert_eq!((course.proof[0].answer, course.proof[0].pass), (None, false));
    assert_eq!(super::course(&v1::Course::default()).unwrap_err().field, "job");
}

#[test]
fn an_event_must_be_json() {
    let event = |json: &str| v1::EventView {
        seq: 3,
        recorded_at_us: 7,
        happened_at_us: 7,
        kind: "taken".into(),
        version: 1,
        json: json.into(),
        ..v1::EventView::default()
    };
    let batch = |json| v1::EventBatch { covers_up_to: 3, events: vec![event(json)] };
    assert_eq!(events(&batch(r#"{"kind":"taken","v":1,"job":2}"#)).unwrap().events[0].event["job"], 2);
    assert_eq!(events(&batch("{")).unwrap_err().field, "events[0].json");
}

#[test]
fn hello_and_the_venue() {
    let raw = v1::Welcome {
        now_us: 9,
        role: v1::Role::Bench.into(),
        bench: 2,
        zone: "Etc/UTC".into(),
        ..Default::default()
    };
    let hello = welcome(&raw).unwrap();
    assert_eq!((hello.role, hello.bench, hello.strip), (Some(crate::Role::Bench), Some(BenchId(2)), None));
    let competition = v1::CompetitionInfo {
        name: "Foil".into(),
        weapon: "foil".into(),
        starts_us: 5,
        pool_size: 7,
        pool_bout_min: 5,
        ..Default::default()
    };
    let bad = v1::CompetitionInfo { weapon: "axe".into(), ..competition.clone() };
    let raw = v1::VenueView { competitions: vec![competition, bad], ..Default::default() };
    assert_eq!(venue(&raw.clone()).unwrap_err().field, "competitions[1].weapon");
    let raw = v1::VenueView { competitions: raw.competitions[..1].to_vec(), ..raw };
    let read = venue(&raw).unwrap();
    assert_eq!((read.competitions[0].pools, read.competitions[0].tableau), (Some((7, 5)), None));
}
