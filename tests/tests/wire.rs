//! Bad input over real gRPC: every request that is wrong gets a reason that programs can read and leaves the journal
//! as it is; a full disk is told and passes; a watch goes on where it was broken off. A server in this process on a
//! simulated disk, with the generated clients only. Held against the comments of the .proto files.
#![allow(clippy::unwrap_used)]
// Fields of a request are optional on the wire; the helpers make them as they are used.
#![allow(clippy::unnecessary_wraps)]
// A field that is spoilt reads best as an assignment.
#![allow(clippy::assigning_clones)]

use std::sync::Arc;
use std::time::Duration;

use remise_core::time::Stamp;
use remise_proto::v1;
use remise_proto::v1::bench_desk_client::BenchDeskClient;
use remise_proto::v1::head_desk_client::HeadDeskClient;
use remise_proto::v1::journal_client::JournalClient;
use remise_proto::v1::strip_desk_client::StripDeskClient;
use remise_server::clock::{Clock, SetClock};
use remise_server::journal::{Faults, MemoryDisk};
use remise_server::start::{Running, Settings, Store};
use remise_server::stations::Access;
use remise_tests::hall::TOURNAMENT;
use tokio::net::TcpListener;
use tokio_stream::StreamExt as _;
use tonic::transport::Channel;
use tonic::{Code, Request, Status};
use tonic_health::ServingStatus;
use tonic_health::pb::{HealthCheckRequest, health_client::HealthClient};
use tonic_types::StatusExt as _;

/// 2026-05-02T10:00:00Z, on the example tournament's first day.
const NOON: Stamp = Stamp(1_777_716_000_000_000);

struct House {
    channel: Channel,
    disk: MemoryDisk,
    running: Running,
    _clock: Arc<SetClock>,
}

impl House {
    async fn open() -> Self {
        let disk = MemoryDisk::new(1, Faults::default());
        let (clock, set) = Clock::set_by_hand(NOON);
        let tournament = remise_server::tournament::parse(&std::fs::read(TOURNAMENT).unwrap()).unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let settings = Settings::rehearsal(clock);
        let store = Store::memory(&disk);
        let running =
            Running::start(store, Some(tournament), Access::Open, listener, settings).await.unwrap();
        let address = format!("http://{}", running.address());
        let channel = Channel::from_shared(address).unwrap().connect().await.unwrap();
        Self { channel, disk, running, _clock: set }
    }

    fn strips(&self) -> StripDeskClient<Channel> {
        StripDeskClient::new(self.channel.clone())
    }

    fn benches(&self) -> BenchDeskClient<Channel> {
        BenchDeskClient::new(self.channel.clone())
    }

    fn journal(&self) -> JournalClient<Channel> {
        JournalClient::new(self.channel.clone())
    }

    async fn head(&self) -> u64 {
        self.journal().head(v1::HeadRequest {}).await.unwrap().into_inner().head
    }

    async fn hand_in(&self, request: v1::HandInRequest) -> Result<v1::Accepted, Status> {
        Ok(self.strips().hand_in(request).await?.into_inner())
    }

    async fn is(&self, wanted: ServingStatus) {
        // Health follows the desk, it does not lead it.
        for _ in 0..2000 {
            let request = HealthCheckRequest { service: String::new() };
            let answer = HealthClient::new(self.channel.clone()).check(request).await.unwrap();
            if answer.into_inner().status == wanted as i32 {
                return;
            }
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        panic!("health never became {wanted:?}");
    }
}

fn meta() -> Option<v1::Meta> {
    let request_id = uuid::Uuid::now_v7().as_bytes().to_vec();
    Some(v1::Meta { request_id, ..v1::Meta::default() })
}

fn strip(number: u32) -> Option<v1::Spot> {
    Some(v1::Spot { at: Some(v1::spot::At::Strip(number)) })
}

fn good() -> v1::HandInRequest {
    v1::HandInRequest {
        meta: meta(),
        whose: Some(v1::hand_in_request::Whose::Fencer("Nia Vell".to_owned())),
        came_from: strip(3),
        items: vec![v1::HandInItem {
            item_kind: "foil".to_owned(),
            complaint: "white_on_off".to_owned(),
            need: v1::Need::OneLeft as i32,
            ..v1::HandInItem::default()
        }],
        ..v1::HandInRequest::default()
    }
}

fn spoilt(spoil: impl FnOnce(&mut v1::HandInRequest)) -> v1::HandInRequest {
    let mut request = good();
    spoil(&mut request);
    request
}

fn reason(status: &Status) -> String {
    status.get_details_error_info().map_or_else(|| format!("no reason: {status:?}"), |info| info.reason)
}

/// What is wrong with a hand-in, in a word, with the request and the reason that it must be refused with.
fn bad_hand_ins() -> Vec<(&'static str, v1::HandInRequest, &'static str)> {
    let at = |at_us| Some(v1::Wanted { by: Some(v1::wanted::By::AtUs(at_us)) });
    vec![
        ("no meta", spoilt(|r| r.meta = None), "BAD_FIELD"),
        ("no id", spoilt(|r| r.meta.as_mut().unwrap().request_id.clear()), "BAD_FIELD"),
        ("half an id", spoilt(|r| r.meta.as_mut().unwrap().request_id.truncate(8)), "BAD_FIELD"),
        ("nobody's", spoilt(|r| r.whose = None), "BAD_FIELD"),
        ("from nowhere", spoilt(|r| r.came_from = None), "BAD_FIELD"),
        ("a need that is none", spoilt(|r| r.items[0].need = 99), "BAD_FIELD"),
        ("no need", spoilt(|r| r.items[0].need = 0), "BAD_FIELD"),
        ("a negative need", spoilt(|r| r.items[0].need = -1), "BAD_FIELD"),
        ("an unknown kind", spoilt(|r| r.items[0].item_kind = "trebuchet".to_owned()), "BAD_FIELD"),
        ("an unknown complaint", spoilt(|r| r.items[0].complaint = "squeaks".to_owned()), "BAD_FIELD"),
        ("no items", spoilt(|r| r.items.clear()), "NO_ITEMS"),
        ("a tag of letters", spoilt(|r| r.items[0].tag = "foil!".to_owned()), "BAD_FIELD"),
        ("a mistyped tag", spoilt(|r| r.items[0].tag = "00014".to_owned()), "BAD_FIELD"),
        ("an unknown item", spoilt(|r| r.items[0].item = 777), "UNKNOWN_ITEM"),
        ("an unknown strip", spoilt(|r| r.came_from = strip(99)), "UNKNOWN_STRIP"),
        ("a strip beyond all numbers", spoilt(|r| r.came_from = strip(70_000)), "BAD_FIELD"),
        ("wanted in another year", spoilt(|r| r.wanted = at(NOON.plus_min(600_000).0)), "TIME_OUT_OF_RANGE"),
        ("wanted at the end of time", spoilt(|r| r.wanted = at(i64::MAX)), "BAD_FIELD"),
        ("wanted before all time", spoilt(|r| r.wanted = at(i64::MIN)), "BAD_FIELD"),
        (
            "happened next week",
            spoilt(|r| r.meta.as_mut().unwrap().happened_at_us = NOON.plus_min(10_000).0),
            "HAPPENED_OUT_OF_RANGE",
        ),
        (
            "happened at the end of time",
            spoilt(|r| r.meta.as_mut().unwrap().happened_at_us = i64::MAX),
            "BAD_FIELD",
        ),
    ]
}

#[tokio::test]
async fn every_bad_hand_in_is_refused_with_its_reason_and_changes_nothing() {
    let house = House::open().await;
    let before = house.head().await;
    for (what, request, expected) in bad_hand_ins() {
        let refused = house.hand_in(request).await.expect_err(what);
        assert_eq!(reason(&refused), expected, "{what}: {refused:?}");
        assert!(!refused.message().is_empty(), "{what} is said to a person as well");
    }
    for text in ["a\u{1b}[2J", "a\nb", "a\u{0}", "\u{202e}abc"] {
        let named = spoilt(|r| r.whose = Some(v1::hand_in_request::Whose::Fencer(text.to_owned())));
        let noted = spoilt(|r| r.items[0].note = text.to_owned());
        for request in [named, noted] {
            let refused = house.hand_in(request).await.expect_err(text);
            assert_eq!(refused.code(), Code::InvalidArgument, "{text:?}: {refused:?}");
            assert!(["BAD_TEXT", "BAD_FIELD"].contains(&reason(&refused).as_str()), "{text:?}: {refused:?}");
            assert!(!refused.message().contains(text), "control characters are not sent back");
        }
    }
    assert_eq!(house.head().await, before);
    house.hand_in(good()).await.unwrap();
    house.running.stop().await;
}

#[tokio::test]
async fn what_is_not_there_cannot_be_worked_on() {
    let house = House::open().await;
    let before = house.head().await;
    let take = |by: v1::job_ref::By, bench: u32| v1::TakeRequest {
        meta: meta(),
        job: Some(v1::JobRef { by: Some(by) }),
        bench,
    };
    let tag = || v1::job_ref::By::Tag("00013".to_owned());
    for (what, request, expected) in [
        ("an unknown tag", take(tag(), 1), "UNKNOWN_TAG"),
        ("an unknown job", take(v1::job_ref::By::Job(999_999), 1), "UNKNOWN_JOB"),
        ("a job beyond all numbers", take(v1::job_ref::By::Job(u64::MAX), 1), "BAD_FIELD"),
        ("an unknown bench", take(v1::job_ref::By::Job(1), 59), "UNKNOWN_BENCH"),
        ("a bench beyond all numbers", take(tag(), u32::MAX), "BAD_FIELD"),
        ("no job", v1::TakeRequest { meta: meta(), job: None, bench: 1 }, "BAD_FIELD"),
    ] {
        let refused = house.benches().take(request).await.expect_err(what);
        assert_eq!(reason(&refused), expected, "{what}: {refused:?}");
    }
    let unknown = v1::StripBoardRequest { spot: strip(99) };
    assert_eq!(reason(&house.strips().strip_board(unknown).await.unwrap_err()), "UNKNOWN_STRIP");
    assert_eq!(house.head().await, before);
    house.running.stop().await;
}

#[tokio::test]
async fn ten_megabytes_are_refused_before_they_are_read() {
    let house = House::open().await;
    let before = house.head().await;
    let huge = spoilt(|r| r.items[0].note = "x".repeat(10 << 20));
    let refused = house.hand_in(huge).await.unwrap_err();
    // The transport's own code for a message above the limit; when the server stops reading first, the stream breaks.
    assert!([Code::OutOfRange, Code::ResourceExhausted].contains(&refused.code()), "{refused:?}");
    assert_eq!(house.head().await, before);
    house.hand_in(good()).await.unwrap();
    house.running.stop().await;
}

#[tokio::test]
async fn a_deadline_that_has_passed_is_told_and_the_request_can_be_sent_again() {
    let house = House::open().await;
    let before = house.head().await;
    let request = good();
    let mut late = Request::new(request.clone());
    late.metadata_mut().insert("grpc-timeout", "1n".parse().unwrap());
    let refused = house.strips().hand_in(late).await.unwrap_err();
    // The client's own timer may be quicker than the server's answer.
    assert!([Code::DeadlineExceeded, Code::Cancelled].contains(&refused.code()), "{refused:?}");
    // Whether it was carried out is open; sent again it is, and once.
    let accepted = house.hand_in(request.clone()).await.unwrap();
    assert_eq!(house.hand_in(request).await.unwrap(), accepted);
    assert_eq!((accepted.first_seq, house.head().await), (before + 1, before + 1));
    house.running.stop().await;
}

#[tokio::test]
async fn a_full_disk_is_said_and_passes_and_nothing_half_done_remains() {
    let house = House::open().await;
    house.is(ServingStatus::Serving).await;
    let before = house.head().await;
    house.disk.set_full(true);
    let request = good();
    for _ in 0..2 {
        let refused = house.hand_in(request.clone()).await.unwrap_err();
        assert_eq!((refused.code(), reason(&refused)), (Code::Unavailable, "JOURNAL_REFUSES".to_owned()));
        assert!(refused.message().contains("full"), "{refused:?}");
    }
    house.is(ServingStatus::NotServing).await;
    assert_eq!(house.head().await, before);
    let room = HeadDeskClient::new(house.channel.clone()).room(v1::RoomRequest {}).await.unwrap();
    assert_eq!(room.into_inner().jobs.len(), 0, "it can still be read");
    house.disk.set_full(false);
    let accepted = house.hand_in(request.clone()).await.unwrap();
    assert_eq!((accepted.first_seq, house.head().await), (before + 1, before + 1));
    assert_eq!(house.hand_in(request).await.unwrap(), accepted, "the same request is done once");
    house.is(ServingStatus::Serving).await;
    house.running.stop().await;
}

/// The numbers that a watch brings, up to one.
async fn watched(house: &House, from_seq: u64, up_to: u64) -> Vec<u64> {
    let request = v1::WatchRequest { from_seq, kinds: Vec::new() };
    let mut watch = house.journal().watch(request).await.unwrap().into_inner();
    let mut numbers = Vec::new();
    loop {
        let batch = tokio::time::timeout(Duration::from_secs(20), watch.message()).await;
        let batch = batch.expect("a message in time").unwrap().unwrap();
        numbers.extend(batch.events.iter().map(|event| event.seq));
        if batch.covers_up_to >= up_to {
            return numbers;
        }
    }
}

#[tokio::test]
async fn a_broken_watch_goes_on_without_a_gap_and_without_a_repetition() {
    let house = House::open().await;
    for _ in 0..20 {
        house.hand_in(good()).await.unwrap();
    }
    let first = house.head().await;
    let mut seen = watched(&house, 1, first).await;
    for _ in 0..20 {
        house.hand_in(good()).await.unwrap();
    }
    let last = house.head().await;
    let resume = seen.last().unwrap() + 1;
    let more = async {
        for _ in 0..10 {
            house.hand_in(good()).await.unwrap();
        }
    };
    let (rest, ()) = tokio::join!(watched(&house, resume, last + 10), more);
    seen.extend(rest);
    assert_eq!(seen, (1..=last + 10).collect::<Vec<_>>());
    house.running.stop().await;
}

#[tokio::test]
async fn the_server_describes_its_wire() {
    use tonic_reflection::pb::v1::server_reflection_client::ServerReflectionClient;
    use tonic_reflection::pb::v1::server_reflection_request::MessageRequest;
    use tonic_reflection::pb::v1::server_reflection_response::MessageResponse;
    use tonic_reflection::pb::v1::{ServerReflectionRequest, ServerReflectionResponse};
    let house = House::open().await;
    let ask = ServerReflectionRequest {
        host: String::new(),
        message_request: Some(MessageRequest::ListServices(String::new())),
    };
    let mut client = ServerReflectionClient::new(house.channel.clone());
    let stream = client.server_reflection_info(tokio_stream::once(ask)).await.unwrap();
    let answer: ServerReflectionResponse = stream.into_inner().next().await.unwrap().unwrap();
    let Some(MessageResponse::ListServicesResponse(list)) = answer.message_response else {
        panic!("no list: {answer:?}");
    };
    let mut names: Vec<String> = list.service.into_iter().map(|service| service.name).collect();
    names.retain(|name| name.starts_with("remise."));
    names.sort();
    let own = ["remise.v1.BenchDesk", "remise.v1.HeadDesk", "remise.v1.Journal", "remise.v1.StripDesk"];
    assert_eq!(names, own);
    drop(client);
    house.running.stop().await;
}
