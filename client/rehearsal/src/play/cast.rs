//! The cast: one connection for each station, and one way to send that keeps the history and makes the request ids.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use rand_chacha::ChaCha8Rng;
use remise_checker::{ClientEntry, Outcome as Judged};
use remise_core::armoury::Command;
use remise_core::time::Stamp;
use remise_core::venue::Venue;
use remise_link::{
    Accepted, Address, Ended, Link, LinkError, OpenStation, Options, Outcome, Recorder, RequestId, Role,
    Sent, request_id,
};

use crate::day::{Subject, stream};

use super::agenda::Who;

/// Everybody who talks to the server.
pub struct Cast {
    links: BTreeMap<Who, Link>,
    history: Arc<Histories>,
    ids: ChaCha8Rng,
}

/// Who sent what and what came of it.
#[derive(Default)]
struct Histories(Mutex<Vec<(String, Ended)>>);

struct Named {
    station: String,
    all: Arc<Histories>,
}

impl Recorder for Named {
    fn asked(&self, _: &remise_link::Asked) {}

    fn ended(&self, ended: &Ended) {
        let mut all = self.all.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.push((self.station.clone(), ended.clone()));
    }
}

impl Cast {
    /// Connects everybody: a link for each strip and bench, the counter and the head.
    pub async fn connect(address: &Address, venue: &Venue, seed: u64) -> Result<Self, LinkError> {
        let history = Arc::<Histories>::default();
        let mut links = BTreeMap::new();
        let strips = venue.strips.iter().map(|strip| Who::Strip(strip.id));
        let benches = venue.benches.iter().map(|bench| Who::Bench(bench.id));
        for who in strips.chain(benches).chain([Who::Counter, Who::Head]) {
            let station = open_station(who);
            let recorder = Named { station: station.name.clone(), all: history.clone() };
            let options = Options { recorder: Some(Arc::new(recorder)), ..Options::default() };
            let address = Address { open: Some(station), ..address.clone() };
            links.insert(who, Link::connect_with(address, options).await?);
        }
        Ok(Self { links, history, ids: stream(seed, Subject::People, u32::MAX) })
    }

    /// The link of somebody.
    pub fn link(&self, who: Who) -> Link {
        self.links.get(&who).or_else(|| self.links.get(&Who::Head)).expect("the head is always there").clone()
    }

    /// A request, ready to be sent.
    pub fn request(&mut self, at: Stamp, command: Command) -> Sent {
        Sent { request_id: self.next_id(at), happened_at: None, command }
    }

    fn next_id(&mut self, at: Stamp) -> RequestId {
        request_id(at, &mut self.ids)
    }

    /// What everybody sent, in the order in which it ended, as the checker reads it.
    pub fn history(&self) -> Vec<ClientEntry> {
        let all = self.history.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().map(|(client, ended)| entry(client, ended)).collect()
    }
}

/// Sends and brings back the answer beside what was asked.
pub async fn send(link: Link, sent: Sent) -> Result<Accepted, LinkError> {
    link.send(&sent).await
}

fn open_station(who: Who) -> OpenStation {
    match who {
        Who::Strip(id) => {
            OpenStation { name: format!("strip {id}"), role: Role::Strip, strip: Some(id), bench: None }
        }
        Who::Counter => {
            OpenStation { name: "counter".to_owned(), role: Role::Counter, strip: None, bench: None }
        }
        Who::Bench(id) => {
            OpenStation { name: format!("bench {id}"), role: Role::Bench, strip: None, bench: Some(id) }
        }
        Who::Head => OpenStation { name: "head".to_owned(), role: Role::Head, strip: None, bench: None },
    }
}

fn entry(client: &str, ended: &Ended) -> ClientEntry {
    let outcome = match &ended.outcome {
        Outcome::Accepted { first_seq, last_seq, jobs } => Judged::Accepted {
            first_seq: first_seq.0,
            last_seq: last_seq.0,
            jobs: jobs.iter().map(|job| job.0).collect(),
        },
        Outcome::Refused { reason } => Judged::Refused { reason: reason.clone() },
        Outcome::Unsure { reason } => Judged::Failed { code: reason.clone() },
    };
    ClientEntry {
        client: client.to_owned(),
        request_id: ended.request_id.bytes(),
        command: ended.command.to_owned(),
        sent_us: ended.sent.0,
        answered_us: Some(ended.answered.0),
        outcome,
    }
}
