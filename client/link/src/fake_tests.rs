//! The link against a small server that answers as it is told: versions, retries, watches that resume. What the
//! real server does is tested elsewhere.
#![allow(clippy::unwrap_used)]

use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use remise_core::ids::Seq;
use remise_proto::v1;
use remise_proto::v1::journal_server::{Journal, JournalServer};
use tokio_stream::wrappers::TcpListenerStream;
use tonic::{Request, Response, Status};

use crate::{Address, Link, LinkError, Options, Retry, WatchEvent};

/// What the server saw, and how it is to behave.
#[derive(Default)]
struct Script {
    wire: u32,
    /// Tries of `Head` that fail before one succeeds.
    failing: u32,
    heads: u32,
    hellos: u32,
    watched_from: Vec<u64>,
    tokens: Vec<String>,
}

#[derive(Clone)]
struct Fake(Arc<Mutex<Script>>);

type Events = Pin<Box<dyn tokio_stream::Stream<Item = Result<v1::EventBatch, Status>> + Send>>;

fn event(seq: u64) -> v1::EventBatch {
    let event = v1::EventView {
        seq,
        recorded_at_us: 1,
        happened_at_us: 1,
        kind: "taken".into(),
        version: 1,
        json: "{}".into(),
        ..Default::default()
    };
    v1::EventBatch { covers_up_to: seq, events: vec![event] }
}

#[tonic::async_trait]
impl Journal for Fake {
    async fn hello(&self, request: Request<v1::HelloRequest>) -> Result<Response<v1::Welcome>, Status> {
        let token = request.metadata().get("authorization").map(|value| value.to_str().unwrap().to_owned());
        let mut script = self.0.lock().unwrap();
        script.hellos += 1;
        script.tokens.extend(token);
        let epoch = u64::from(script.hellos);
        Ok(Response::new(v1::Welcome { wire: script.wire, epoch, now_us: 5, ..Default::default() }))
    }

    async fn head(&self, _: Request<v1::HeadRequest>) -> Result<Response<v1::JournalHead>, Status> {
        let mut script = self.0.lock().unwrap();
        script.heads += 1;
        if script.heads <= script.failing {
            return Err(Status::unavailable("the disk is full"));
        }
        Ok(Response::new(v1::JournalHead { head: 41, epoch: 9, now_us: 5, ..Default::default() }))
    }

    type WatchStream = Events;

    /// Two events, then the connection breaks; afterwards one more, and a refusal.
    async fn watch(&self, request: Request<v1::WatchRequest>) -> Result<Response<Events>, Status> {
        let from = request.into_inner().from_seq;
        let mut script = self.0.lock().unwrap();
        script.watched_from.push(from);
        let sent = match script.watched_from.len() {
            1 => vec![Ok(event(from)), Ok(event(from + 1)), Err(Status::unavailable("power cut"))],
            2 => vec![Ok(event(from)), Err(Status::permission_denied("no longer"))],
            _ => Vec::new(),
        };
        Ok(Response::new(Box::pin(tokio_stream::iter(sent))))
    }

    async fn get_venue(&self, _: Request<v1::GetVenueRequest>) -> Result<Response<v1::VenueView>, Status> {
        Err(Status::unimplemented("fake"))
    }

    async fn read(&self, _: Request<v1::ReadRequest>) -> Result<Response<v1::EventBatch>, Status> {
        Ok(Response::new(v1::EventBatch { covers_up_to: 1, events: vec![v1::EventView::default()] }))
    }

    async fn verify(&self, _: Request<v1::VerifyRequest>) -> Result<Response<v1::Verified>, Status> {
        Err(Status::unimplemented("fake"))
    }
}

/// Starts a server that behaves so; where it listens.
async fn serve(script: Script) -> (Fake, Address) {
    let fake = Fake(Arc::new(Mutex::new(script)));
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let mut address = Address::parse(&listener.local_addr().unwrap().to_string()).unwrap();
    address.token = Some(crate::Token::new("word").unwrap());
    let service = JournalServer::new(fake.clone());
    let incoming = TcpListenerStream::new(listener);
    tokio::spawn(tonic::transport::Server::builder().serve_with_incoming(service, incoming));
    (fake, address)
}

fn quick(tries: u32) -> Options {
    let retry = Retry { tries, first: Duration::from_millis(1), ..Retry::default() };
    Options { retry, jitter: || 0, ..Options::default() }
}

#[tokio::test]
async fn hello_settles_versions_and_says_who_is_asking() {
    let (fake, address) = serve(Script { wire: 1, ..Script::default() }).await;
    let link = Link::connect_with(address, quick(1)).await.unwrap();
    assert_eq!((link.epoch(), link.welcome().wire), (1, 1));
    assert_eq!(fake.0.lock().unwrap().tokens, ["Bearer word"]);
    let (_, address) = serve(Script { wire: 0, ..Script::default() }).await;
    let refused = Link::connect_with(address, quick(1)).await.unwrap_err();
    assert!(
        matches!(&refused, LinkError::TooOld { hint, .. } if hint.contains("Update the server")),
        "{refused:?}"
    );
}

#[tokio::test]
async fn what_fails_for_the_moment_is_tried_again_and_then_given_up() {
    let (fake, address) = serve(Script { wire: 1, failing: 2, ..Script::default() }).await;
    let link = Link::connect_with(address, quick(3)).await.unwrap();
    assert_eq!(link.journal_head().await.unwrap().head, Seq(41));
    assert_eq!((fake.0.lock().unwrap().heads, link.epoch()), (3, 9));
    let (fake, address) = serve(Script { wire: 1, failing: 99, ..Script::default() }).await;
    let link = Link::connect_with(address, quick(3)).await.unwrap();
    let error = link.journal_head().await.unwrap_err();
    assert_eq!(error.to_string(), "the server is away: the disk is full");
    assert_eq!(fake.0.lock().unwrap().heads, 3);
}

#[tokio::test]
async fn an_answer_without_sense_is_an_error_and_no_panic() {
    let (_, address) = serve(Script { wire: 1, ..Script::default() }).await;
    let link = Link::connect_with(address, quick(1)).await.unwrap();
    let error = link.events(Seq(1), 0).await.unwrap_err();
    assert!(
        matches!(&error, LinkError::Garbled { field, .. } if field.starts_with("events[0]")),
        "{error:?}"
    );
}

#[tokio::test]
async fn a_watch_resumes_without_gap_or_repetition() {
    let (fake, address) = serve(Script { wire: 1, ..Script::default() }).await;
    let link = Link::connect_with(address, quick(3)).await.unwrap();
    // From now on: the journal stands at 41.
    let mut watch = link.watch_events(Seq(0), Vec::new());
    let mut told = Vec::new();
    while let Some(event) = watch.next().await {
        told.push(match event {
            WatchEvent::News(batch) => batch.covers_up_to.to_string(),
            WatchEvent::Away { reason, .. } => reason,
            WatchEvent::Back => "back".to_owned(),
            WatchEvent::Over(error) => error.reason().to_owned(),
        });
    }
    assert_eq!(told, ["42", "43", "the server is away: power cut", "back", "44", "NOT_ALLOWED"]);
    let script = fake.0.lock().unwrap();
    assert_eq!(script.watched_from, [42, 44]);
    assert_eq!((script.hellos, link.epoch()), (2, 9), "after an outage the link says hello once more");
}
