//! The power goes while requests are under way: what was answered is there, what was not answered is there once or
//! not at all, and the same request sent again settles it. A real server in a process of its own, killed with
//! callers waiting. Held against the design: an answer means that it is on disk, and the same request is done once.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use remise_proto::v1;
use remise_proto::v1::strip_desk_client::StripDeskClient;
use remise_tests::hall::{Hall, Programs};

const PROGRAMS: Programs =
    Programs { server: env!("CARGO_BIN_EXE_as_server"), client: env!("CARGO_BIN_EXE_as_client") };

/// Callers with one request each under way.
const CALLERS: usize = 24;
/// Answers after which the power goes.
const ANSWERS: usize = 150;

/// A request, and the jobs that its answer named when one came.
type Sent = BTreeMap<Vec<u8>, (v1::HandInRequest, Option<Vec<u64>>)>;

fn hand_in(caller: usize, number: usize) -> v1::HandInRequest {
    let request_id = uuid::Uuid::now_v7().as_bytes().to_vec();
    v1::HandInRequest {
        meta: Some(v1::Meta { request_id, wire_version: "1".to_owned(), ..v1::Meta::default() }),
        whose: Some(v1::hand_in_request::Whose::Fencer(format!("Fencer {caller} {number}"))),
        came_from: Some(v1::Spot { at: Some(v1::spot::At::Strip(3)) }),
        items: vec![v1::HandInItem {
            item_kind: "foil".to_owned(),
            complaint: "white_on_off".to_owned(),
            need: v1::Need::OneLeft.into(),
            ..v1::HandInItem::default()
        }],
        ..v1::HandInRequest::default()
    }
}

async fn strips(hall: &Hall) -> StripDeskClient<tonic::transport::Channel> {
    StripDeskClient::connect(format!("http://{}", hall.address())).await.unwrap()
}

/// Sends one request after the other until the server is gone.
async fn ask_until_the_end(
    mut strips: StripDeskClient<tonic::transport::Channel>,
    caller: usize,
    answered: Arc<AtomicUsize>,
) -> Sent {
    let mut sent = Sent::new();
    for number in 0.. {
        let request = hand_in(caller, number);
        let id = request.meta.as_ref().unwrap().request_id.clone();
        let answer = strips.hand_in(request.clone()).await;
        let jobs = answer.as_ref().ok().map(|accepted| accepted.get_ref().jobs.clone());
        sent.insert(id, (request, jobs));
        if answer.is_err() {
            break;
        }
        answered.fetch_add(1, Ordering::SeqCst);
    }
    sent
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn requests_under_way_when_the_power_goes_are_done_once() {
    let mut hall = Hall::open(PROGRAMS);
    let mut all = Sent::new();
    for _ in 0..2 {
        let answered = Arc::new(AtomicUsize::new(0));
        let channel = strips(&hall).await;
        let callers = (0..CALLERS)
            .map(|caller| tokio::spawn(ask_until_the_end(channel.clone(), caller, answered.clone())))
            .collect::<Vec<_>>();
        while answered.load(Ordering::SeqCst) < ANSWERS {
            tokio::task::yield_now().await;
        }
        hall.kill();
        let mut open = 0;
        for caller in callers {
            let sent = caller.await.unwrap();
            open += sent.values().filter(|(_, jobs)| jobs.is_none()).count();
            all.extend(sent);
        }
        assert_eq!(open, CALLERS, "every caller was waiting for an answer");
        hall.start(&["--open"]);
    }
    // Everything is sent once more under the same ids, as a client does that does not know.
    let mut strips = strips(&hall).await;
    let mut jobs = BTreeSet::new();
    for (request, before) in all.values() {
        let again = strips.hand_in(request.clone()).await.unwrap().into_inner().jobs;
        assert_eq!(before.as_ref().unwrap_or(&again), &again, "the same answer as the first time");
        assert!(jobs.insert(again[0]), "no two requests opened one job");
    }
    let room = hall.client("head room");
    let open = room["board"]["jobs"].as_array().unwrap_or_else(|| panic!("no jobs in {room}")).len();
    assert_eq!(open, jobs.len(), "and nothing was opened twice");
    assert_eq!(hall.client("journal verify")["verified"]["sound"], true);
}
