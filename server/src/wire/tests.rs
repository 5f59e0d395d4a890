//! The services over a real connection on loopback, on a simulated disk. Held against the comments in the .proto
//! files and the design: who may do what, twice is once, watches without gaps.

#![allow(clippy::unwrap_used)]
// Fields of a request are optional on the wire; the helpers make them as they are used.
#![allow(clippy::unnecessary_wraps)]

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use remise_core::armoury::{Armoury, Command};
use remise_core::plan::{Plan, Planner, UrgencyPlanner};
use remise_core::tag::Tag;
use remise_core::time::Stamp;
use remise_proto::v1;
use remise_proto::v1::bench_desk_client::BenchDeskClient;
use remise_proto::v1::head_desk_client::HeadDeskClient;
use remise_proto::v1::journal_client::JournalClient;
use remise_proto::v1::strip_desk_client::StripDeskClient;
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use tonic::transport::Channel;
use tonic::{Code, Request, Status};
use tonic_types::StatusExt as _;

use super::scene::{MORNING, station, venue};
use super::serve;
use crate::clock::Clock;
use crate::desk::{self, DeskSettings};
use crate::house::House;
use crate::journal::{Faults, Journal as _, MemoryDisk};
use crate::planner;
use crate::stations::{Access, Role};

/// A server that runs, on a disk of its own.
pub(super) struct Running {
    channel: Channel,
    pub house: House,
    disk: MemoryDisk,
    pub stop: Option<oneshot::Sender<()>>,
    pub ended: tokio::task::JoinHandle<()>,
}

impl Running {
    pub async fn start(access: Access) -> Self {
        Self::planned_by(Box::new(UrgencyPlanner), access).await
    }

    async fn planned_by(planner: Box<dyn Planner>, access: Access) -> Self {
        let store = MemoryDisk::new(1, Faults::default());
        let (clock, _) = Clock::set_by_hand(MORNING);
        let reader_store = store.clone();
        let open_reader = Arc::new(move || reader_store.open().reader());
        let journal = Box::new(store.open());
        let (desk, _) = desk::open(journal, clock.clone(), DeskSettings::default(), open_reader).unwrap();
        let (planner, _) = planner::start(&desk, clock.clone(), planner, false);
        let house = House { desk, planner, clock };
        let command = Command::SetVenue { venue: venue(), armourers: Vec::new() };
        let request = desk::Request {
            request_id: None,
            station: "server".into(),
            happened_at: None,
            command,
            deadline: None,
        };
        house.desk.submit(request).await.unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let (stop, stopped) = oneshot::channel::<()>();
        let served = serve(listener, house.clone(), access, async { drop(stopped.await) });
        let ended = tokio::spawn(async { served.await.unwrap() });
        let channel = Channel::from_shared(address).unwrap().connect().await.unwrap();
        Self { channel, house, disk: store, stop: Some(stop), ended }
    }

    pub async fn open() -> Self {
        Self::start(Access::Open).await
    }

    pub fn strips(&self) -> StripDeskClient<Channel> {
        StripDeskClient::new(self.channel.clone())
    }

    pub fn benches(&self) -> BenchDeskClient<Channel> {
        BenchDeskClient::new(self.channel.clone())
    }

    pub fn heads(&self) -> HeadDeskClient<Channel> {
        HeadDeskClient::new(self.channel.clone())
    }

    pub fn journal(&self) -> JournalClient<Channel> {
        JournalClient::new(self.channel.clone())
    }

    /// Hands a foil in at strip 1 and returns its job.
    pub async fn foil(&self, fencer: &str) -> u64 {
        let accepted = self.strips().hand_in(as_strip(hand_in(fencer), 1)).await.unwrap().into_inner();
        accepted.jobs[0]
    }
}

fn meta() -> Option<v1::Meta> {
    let request_id = uuid::Uuid::now_v7().as_bytes().to_vec();
    Some(v1::Meta { request_id, ..v1::Meta::default() })
}

fn hand_in(fencer: &str) -> v1::HandInRequest {
    v1::HandInRequest {
        meta: meta(),
        whose: Some(v1::hand_in_request::Whose::Fencer(fencer.to_owned())),
        items: vec![v1::HandInItem {
            item_kind: "foil".to_owned(),
            complaint: "white_on_off".to_owned(),
            need: v1::Need::OneLeft as i32,
            ..v1::HandInItem::default()
        }],
        ..v1::HandInRequest::default()
    }
}

pub(super) fn with<R>(message: R, pairs: &[(&'static str, &str)]) -> Request<R> {
    let mut request = Request::new(message);
    for (key, value) in pairs {
        request.metadata_mut().insert(*key, value.parse().unwrap());
    }
    request
}

pub(super) fn as_strip<R>(message: R, number: u16) -> Request<R> {
    with(message, &[("x-remise-role", "strip"), ("x-remise-strip", &number.to_string())])
}

fn as_bench<R>(message: R, number: u16) -> Request<R> {
    with(message, &[("x-remise-role", "bench"), ("x-remise-bench", &number.to_string())])
}

pub(super) fn as_role<R>(message: R, role: &str) -> Request<R> {
    with(message, &[("x-remise-role", role)])
}

fn job(number: u64) -> Option<v1::JobRef> {
    Some(v1::JobRef { by: Some(v1::job_ref::By::Job(number)) })
}

pub(super) fn reason(status: &Status) -> String {
    status.get_details_error_info().unwrap().reason
}

#[tokio::test]
async fn the_first_message_says_who_and_where_one_is() {
    let server = Running::open().await;
    let hello = v1::HelloRequest { client_version: "test 1".to_owned(), wire: 1, epoch: 0 };
    let welcome = server.journal().hello(as_strip(hello, 2)).await.unwrap().into_inner();
    assert_eq!((welcome.role, welcome.strip), (v1::Role::Strip as i32, 2));
    assert_eq!((welcome.tournament.as_str(), welcome.zone.as_str()), ("Invented Open", "Europe/Vienna"));
    assert_eq!((welcome.head, welcome.now_us), (1, MORNING.0));
    let old = server.journal().hello(v1::HelloRequest::default()).await.unwrap_err();
    assert_eq!((old.code(), reason(&old).as_str()), (Code::FailedPrecondition, "CLIENT_TOO_OLD"));
    let seen = v1::HelloRequest { wire: 1, epoch: welcome.epoch + 1, ..v1::HelloRequest::default() };
    let stepped_down = server.journal().hello(seen).await.unwrap_err();
    assert_eq!((stepped_down.code(), reason(&stepped_down).as_str()), (Code::Unavailable, "STEPPED_DOWN"));
    let venue = server.journal().get_venue(v1::GetVenueRequest {}).await.unwrap().into_inner();
    assert_eq!((venue.strips.len(), venue.benches.len()), (2, 2));
}

#[tokio::test]
async fn the_same_request_twice_is_done_once() {
    let server = Running::open().await;
    let request = hand_in("Nia Vell");
    let first = server.strips().hand_in(as_strip(request.clone(), 1)).await.unwrap().into_inner();
    let again = server.strips().hand_in(as_strip(request.clone(), 1)).await.unwrap().into_inner();
    assert_eq!(first, again);
    assert_eq!((first.first_seq, first.jobs.as_slice()), (2, &[2][..]));
    let board = server.heads().room(v1::RoomRequest {}).await.unwrap().into_inner();
    assert_eq!(board.jobs.len(), 1);
    let mut other = request;
    other.items[0].need = v1::Need::NoneLeft as i32;
    let refused = server.strips().hand_in(as_strip(other, 1)).await.unwrap_err();
    assert_eq!((refused.code(), reason(&refused).as_str()), (Code::AlreadyExists, "DIFFERENT_CONTENT"));
}

#[tokio::test]
async fn what_cannot_be_read_or_may_not_be_is_refused_with_a_reason() {
    let server = Running::open().await;
    let unread = server.strips().hand_in(v1::HandInRequest { meta: None, ..hand_in("N") }).await.unwrap_err();
    assert_eq!(unread.code(), Code::InvalidArgument);
    assert_eq!(unread.get_details_bad_request().unwrap().field_violations[0].field, "meta");

    let close =
        server.heads().close_day(as_strip(v1::CloseDayRequest { meta: meta() }, 1)).await.unwrap_err();
    assert_eq!((close.code(), reason(&close).as_str()), (Code::PermissionDenied, "ROLE_MAY_NOT"));
    let call = v1::CallOutRequest { meta: meta(), strip: 2, note: String::new() };
    let other = server.strips().call_out(as_strip(call, 1)).await.unwrap_err();
    assert_eq!((other.code(), reason(&other).as_str()), (Code::PermissionDenied, "OTHER_STRIP"));
    let board = v1::StripBoardRequest { spot: Some(v1::Spot { at: Some(v1::spot::At::Strip(2)) }) };
    let other = server.strips().strip_board(as_strip(board, 1)).await.unwrap_err();
    assert_eq!(reason(&other), "OTHER_STRIP");
    let bench =
        server.benches().bench_board(as_bench(v1::BenchBoardRequest { bench: 2 }, 1)).await.unwrap_err();
    assert_eq!(reason(&bench), "OTHER_BENCH");
    let bench = server.benches().bench_board(v1::BenchBoardRequest { bench: 9 }).await.unwrap_err();
    assert_eq!((bench.code(), reason(&bench).as_str()), (Code::NotFound, "UNKNOWN_BENCH"));

    let unknown = v1::TakeRequest { meta: meta(), job: job(99), bench: 1 };
    let unknown = server.benches().take(unknown).await.unwrap_err();
    assert_eq!((unknown.code(), reason(&unknown).as_str()), (Code::NotFound, "UNKNOWN_JOB"));
    assert!(!unknown.get_details_error_info().unwrap().metadata["hint"].is_empty());

    let huge = v1::HandInRequest { official: "x".repeat(super::REQUEST_MOST), ..hand_in("N") };
    let huge = server.strips().hand_in(huge).await.unwrap_err();
    assert_eq!((huge.code(), reason(&huge).as_str()), (Code::OutOfRange, "REQUEST_TOO_LONG"));
}

#[tokio::test]
async fn a_newer_epoch_shown_in_a_change_is_heeded() {
    let server = Running::open().await;
    let mut request = hand_in("Nia Vell");
    request.meta.as_mut().unwrap().epoch = 99;
    let refused = server.strips().hand_in(as_strip(request, 1)).await.unwrap_err();
    assert_eq!((refused.code(), reason(&refused).as_str()), (Code::Unavailable, "STEPPED_DOWN"));
}

#[tokio::test]
async fn an_observer_sees_the_room_without_names_and_changes_nothing() {
    let server = Running::open().await;
    server.foil("Nia Vell").await;
    let board = server.heads().room(as_role(v1::RoomRequest {}, "observer")).await.unwrap().into_inner();
    assert_eq!((board.jobs.len(), board.jobs[0].fencer.as_str()), (1, ""));
    let refused = server.strips().hand_in(as_role(hand_in("N"), "observer")).await.unwrap_err();
    assert_eq!(refused.code(), Code::PermissionDenied);
    let read = as_role(v1::ReadRequest::default(), "observer");
    let events = server.journal().read(read).await.unwrap().into_inner().events;
    assert!(events.iter().all(|event| event.station.is_empty() && !event.json.contains("Vell")));
}

#[tokio::test]
async fn reading_is_bounded_and_the_chain_is_sound() {
    let server = Running::open().await;
    for n in 0..5 {
        server.foil(&format!("Fencer {n}")).await;
    }
    let read = v1::ReadRequest { from_seq: 2, limit: 3 };
    let batch = server.journal().read(read).await.unwrap().into_inner();
    assert_eq!(batch.events.iter().map(|event| event.seq).collect::<Vec<_>>(), [2, 3, 4]);
    assert_eq!(batch.events[0].kind, "handed_in");
    let verified = server.journal().verify(v1::VerifyRequest {}).await.unwrap().into_inner();
    assert!(verified.sound);
    assert_eq!((verified.checked, verified.first_bad), (6, 0));
}

#[tokio::test]
async fn a_job_is_followed_from_hand_in_to_hand_back() {
    let server = Running::open().await;
    let id = server.foil("Nia Vell").await;
    let tag = Tag::issue(4321).unwrap().digits();
    let scan = v1::ScanInRequest { meta: meta(), job: job(id), tag: tag.clone() };
    server.strips().scan_in(as_role(scan, "counter")).await.unwrap();
    let take = v1::TakeRequest { meta: meta(), job: job(id), bench: 0 };
    server.benches().take(as_bench(take, 1)).await.unwrap();
    let ready = v1::JobRequest { meta: meta(), job: job(id) };
    let other = server.benches().ready(as_bench(ready, 2)).await.unwrap_err();
    assert_eq!(reason(&other), "OTHER_BENCHS_JOB");
    let unfit = v1::WithdrawRequest { meta: meta(), job: job(id), reason: "cracked blade".to_owned() };
    server.benches().withdraw(as_bench(unfit, 1)).await.unwrap();

    let board = server.strips().strip_board(as_strip(v1::StripBoardRequest::default(), 1)).await.unwrap();
    let notice = board.into_inner().jobs[0].notice.unwrap();
    assert_eq!(notice.kind, v1::NoticeKind::Withdrawn as i32);
    let confirm = v1::ConfirmNoticeRequest { meta: meta(), notice: notice.notice };
    server.strips().confirm_notice(as_strip(confirm, 1)).await.unwrap();
    let by_tag = v1::JobRef { by: Some(v1::job_ref::By::Tag(tag)) };
    let back = v1::HandBackRequest { meta: meta(), job: Some(by_tag), to: "Nia Vell".to_owned() };
    server.strips().hand_back(as_role(back, "counter")).await.unwrap();

    let course = v1::JobCourseRequest { job: job(id) };
    let seen = server.strips().job_course(as_strip(course.clone(), 1)).await.unwrap().into_inner();
    let shown = seen.job.unwrap();
    assert_eq!((shown.state, shown.fencer.as_str()), (v1::State::Returned as i32, "Nia Vell"));
    assert!(seen.history.iter().any(|line| line.sentence.contains("cracked blade")));
    assert_eq!(seen.history.last().unwrap().sentence, "handed back to Nia Vell");
    assert_eq!(seen.history.last().unwrap().station, "counter");
    // Another strip does not learn that there is such a job.
    let hidden = server.strips().job_course(as_strip(course, 2)).await.unwrap_err();
    assert_eq!((hidden.code(), reason(&hidden).as_str()), (Code::NotFound, "UNKNOWN_JOB"));
}

async fn health(server: &Running, service: &str) -> i32 {
    use tonic_health::pb::{HealthCheckRequest, health_client::HealthClient};
    let request = HealthCheckRequest { service: service.to_owned() };
    HealthClient::new(server.channel.clone()).check(request).await.unwrap().into_inner().status
}

/// Asks until it is so, for a while: health follows the desk, it does not lead it.
async fn until_health(server: &Running, service: &str, wanted: tonic_health::ServingStatus) {
    for _ in 0..2000 {
        if health(server, service).await == wanted as i32 {
            return;
        }
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    panic!("health never became {wanted:?}");
}

const DESK: &str = "remise.v1.StripDesk";

/// Fails while it is told to.
struct Fails(Arc<AtomicBool>);

impl Planner for Fails {
    fn repair(&mut self, room: &Armoury, now: Stamp) -> Plan {
        assert!(!self.0.load(Ordering::SeqCst), "planted");
        UrgencyPlanner.plan(room, now)
    }
}

#[tokio::test]
async fn a_planner_that_fails_is_told_in_health_beside_a_desk_that_serves() {
    use tonic_health::ServingStatus::{NotServing, Serving};
    let bad = Arc::new(AtomicBool::new(false));
    let server = Running::planned_by(Box::new(Fails(bad.clone())), Access::Open).await;
    until_health(&server, super::health::PLANNER, Serving).await;
    for (fails, status) in [(true, NotServing), (false, Serving)] {
        bad.store(fails, Ordering::SeqCst);
        server.house.planner.plan_now().await.unwrap();
        until_health(&server, super::health::PLANNER, status).await;
        assert_eq!(health(&server, DESK).await, Serving as i32);
    }
}

#[tokio::test]
async fn a_full_disk_is_said_in_answers_and_in_health_and_passes() {
    let server = Running::open().await;
    until_health(&server, DESK, tonic_health::ServingStatus::Serving).await;
    server.disk.set_full(true);
    let request = hand_in("Nia Vell");
    let refused = server.strips().hand_in(as_strip(request.clone(), 1)).await.unwrap_err();
    assert_eq!((refused.code(), reason(&refused).as_str()), (Code::Unavailable, "JOURNAL_REFUSES"));
    assert!(refused.get_details_retry_info().is_some());
    until_health(&server, DESK, tonic_health::ServingStatus::NotServing).await;
    server.disk.set_full(false);
    server.strips().hand_in(as_strip(request, 1)).await.unwrap();
    until_health(&server, DESK, tonic_health::ServingStatus::Serving).await;
}

#[tokio::test]
async fn what_is_behind_the_door_does_not_answer_without_a_caller() {
    let request = Request::new(());
    assert_eq!(super::desks::caller(&request).unwrap_err().code(), Code::Unauthenticated);
    assert_eq!(station(Role::Head, 0).role, Role::Head);
}

/// Two tags were on each other's items, and both have gone back: what was done under a tag is told of the item that it
/// was done to.
#[tokio::test]
async fn the_course_of_a_closed_job_whose_tag_was_exchanged() {
    let server = Running::open().await;
    let (first, second) = (server.foil("Nia Vell").await, server.foil("Tam Orr").await);
    for (id, number) in [(first, 301), (second, 302)] {
        let scan =
            v1::ScanInRequest { meta: meta(), job: job(id), tag: Tag::issue(number).unwrap().digits() };
        server.strips().scan_in(scan).await.unwrap();
    }
    let take = v1::TakeRequest { meta: meta(), job: job(first), bench: 1 };
    server.benches().take(take).await.unwrap();
    let find = v1::FindRequest {
        meta: meta(),
        job: job(first),
        fault: "foil_screw_lost".to_owned(),
        showed: v1::Showed::Present.into(),
        note: String::new(),
    };
    server.benches().find(find).await.unwrap();
    let tag = async |id| {
        let request = v1::JobCourseRequest { job: job(id) };
        server.strips().job_course(request).await.unwrap().into_inner().job.unwrap().tag
    };
    let (a, b) = (tag(first).await, tag(second).await);
    server.benches().exchange_tags(v1::ExchangeTagsRequest { meta: meta(), a, b }).await.unwrap();
    for id in [first, second] {
        let off = v1::CallOffRequest { meta: meta(), job: job(id), reason: "out".to_owned() };
        server.strips().call_off(off).await.unwrap();
        let back = v1::HandBackRequest { meta: meta(), job: job(id), to: "Nia Vell".to_owned() };
        server.strips().hand_back(back).await.unwrap();
    }
    for (id, findings) in [(first, 0), (second, 1)] {
        let request = v1::JobCourseRequest { job: job(id) };
        let course = server.strips().job_course(request).await.unwrap().into_inner();
        assert_eq!(course.findings.len(), findings);
        let exchanged = course.history.iter().filter(|line| line.sentence.contains("exchanged")).count();
        assert_eq!(exchanged, 1, "told of both");
    }
}
