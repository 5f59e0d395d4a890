//! The load: callers that send a command, wait for its answer and send the next (a closed loop), or commands sent at
//! a fixed pace whatever the answers do (an open loop, measured from the moment at which each should have gone out).

use std::net::SocketAddr;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};
use hdrhistogram::Histogram;
use remise_core::gear::{Complaint, ItemKind};
use remise_proto::v1;
use remise_proto::v1::bench_desk_client::BenchDeskClient;
use remise_proto::v1::strip_desk_client::StripDeskClient;
use tokio::sync::mpsc;
use tonic::transport::{Channel, Endpoint};

use super::room;

/// What the callers do over and over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mix {
    /// `Take` and `PutBack` in turn, each caller with a job and a bench of its own.
    Take,
    /// `HandIn`, then `CallOff` and `HandBack` of that job, so that the number of open jobs stays what it is.
    HandIn,
}

impl Mix {
    /// As the table names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Take => "take",
            Self::HandIn => "hand in",
        }
    }
}

/// What a load measured.
pub struct Outcome {
    /// Commands answered within its time.
    pub commands: u64,
    /// Those, and the few that the callers sent afterwards to leave nothing behind.
    pub all: u64,
    /// How long it ran.
    pub took: Duration,
    /// Microseconds from sending (or from when it should have been sent) to the answer.
    pub waits: Histogram<u64>,
}

impl Outcome {
    /// Commands per second.
    pub fn per_second(&self) -> f64 {
        self.commands as f64 / self.took.as_secs_f64()
    }

    /// The time within which that share of commands was answered, in milliseconds.
    pub fn wait_ms(&self, share: f64) -> f64 {
        self.waits.value_at_quantile(share) as f64 / 1000.0
    }
}

fn waits() -> Histogram<u64> {
    Histogram::new_with_bounds(1, 60_000_000, 3).expect("these bounds are valid")
}

/// Connections to a server.
#[derive(Clone)]
pub struct Lines(Vec<Channel>);

impl Lines {
    /// Connects.
    ///
    /// # Errors
    /// The server does not answer.
    pub async fn open(address: SocketAddr, connections: usize) -> Result<Self> {
        let mut channels = Vec::new();
        for _ in 0..connections {
            let endpoint = Endpoint::from_shared(format!("http://{address}"))?.tcp_nodelay(true);
            channels.push(endpoint.connect().await.context("connect to the server under test")?);
        }
        Ok(Self(channels))
    }

    fn caller(&self, number: usize, job: u64) -> Caller {
        let channel = self.0[number % self.0.len()].clone();
        Caller {
            number,
            job,
            strips: StripDeskClient::new(channel.clone()),
            benches: BenchDeskClient::new(channel),
            handed: 0,
            items: [0; ITEMS],
            step: 0,
        }
    }
}

/// One caller.
struct Caller {
    number: usize,
    job: u64,
    strips: StripDeskClient<Channel>,
    benches: BenchDeskClient<Channel>,
    handed: usize,
    /// Its items: each comes in again and again, as gear does.
    items: [u64; ITEMS],
    step: usize,
}

/// Items, and fencers, of one caller.
const ITEMS: usize = 16;

impl Caller {
    async fn next(&mut self, mix: Mix) -> Result<()> {
        let step = self.step;
        self.step += 1;
        let answered = match (mix, step % 2, step % 3) {
            (Mix::Take, 0, _) => self.benches.take(self.take()).await,
            (Mix::Take, _, _) => self.benches.put_back(self.put_back()).await,
            (Mix::HandIn, _, 0) => {
                self.handed += 1;
                self.strips.hand_in(self.hand_in()).await
            }
            (Mix::HandIn, _, 1) => self.strips.call_off(self.call_off()).await,
            (Mix::HandIn, _, _) => self.strips.hand_back(self.hand_back()).await,
        };
        let answer = answered?.into_inner();
        if let Some(job) = answer.jobs.first() {
            self.job = *job;
            // A new item's number is its first job's.
            let item = &mut self.items[self.handed % ITEMS];
            *item = if *item == 0 { *job } else { *item };
        }
        Ok(())
    }

    /// Leaves nothing behind.
    async fn finish(&mut self, mix: Mix) -> Result<u64> {
        let cycle = if mix == Mix::Take { 2 } else { 3 };
        let mut more = 0;
        while !self.step.is_multiple_of(cycle) {
            self.next(mix).await?;
            more += 1;
        }
        Ok(more)
    }

    fn take(&self) -> v1::TakeRequest {
        v1::TakeRequest { meta: meta(), job: job(self.job), bench: 1 + self.number as u32 }
    }

    fn put_back(&self) -> v1::PutBackRequest {
        v1::PutBackRequest { meta: meta(), job: job(self.job), note: String::new() }
    }

    fn hand_in(&self) -> v1::HandInRequest {
        let strip =
            v1::Spot { at: Some(v1::spot::At::Strip(1 + self.number as u32 % u32::from(room::STRIPS))) };
        v1::HandInRequest {
            meta: meta(),
            whose: Some(v1::hand_in_request::Whose::Fencer(self.fencer())),
            came_from: Some(strip),
            // From a strip, on its way: the tag comes with the scan.
            in_room: false,
            items: vec![v1::HandInItem {
                item_kind: ItemKind::Foil.code().to_owned(),
                item: self.items[self.handed % ITEMS],
                complaint: Complaint::WhiteOnOff.code().to_owned(),
                note: "when the blade is bent".to_owned(),
                need: v1::Need::OneLeft.into(),
                ..v1::HandInItem::default()
            }],
            ..v1::HandInRequest::default()
        }
    }

    /// None of those whose jobs lie open.
    fn fencer(&self) -> String {
        room::fencer(10_000 + self.number * ITEMS + self.handed % ITEMS)
    }

    fn call_off(&self) -> v1::CallOffRequest {
        v1::CallOffRequest { meta: meta(), job: job(self.job), reason: "borrowed one".to_owned() }
    }

    fn hand_back(&self) -> v1::HandBackRequest {
        v1::HandBackRequest { meta: meta(), job: job(self.job), to: self.fencer() }
    }
}

#[expect(clippy::unnecessary_wraps, reason = "the field that it fills is optional")]
fn meta() -> Option<v1::Meta> {
    let request_id = uuid::Uuid::now_v7().as_bytes().to_vec();
    Some(v1::Meta { request_id, happened_at_us: 0, wire_version: "1".to_owned(), epoch: 0 })
}

#[expect(clippy::unnecessary_wraps, reason = "the field that it fills is optional")]
fn job(number: u64) -> Option<v1::JobRef> {
    Some(v1::JobRef { by: Some(v1::job_ref::By::Job(number)) })
}

/// Runs `callers` in a closed loop for `time`.
///
/// # Errors
/// A command was refused or failed.
pub async fn closed(
    lines: &Lines,
    mix: Mix,
    callers: usize,
    time: Duration,
    jobs: &[u64],
) -> Result<Outcome> {
    let start = Instant::now();
    let tasks: Vec<_> = (0..callers)
        .map(|number| {
            let mut caller = lines.caller(number, jobs[number % jobs.len()]);
            tokio::spawn(async move {
                let mut seen = waits();
                while start.elapsed() < time {
                    let sent = Instant::now();
                    caller.next(mix).await?;
                    seen.saturating_record(sent.elapsed().as_micros() as u64);
                }
                let ended = start.elapsed();
                anyhow::Ok((seen, ended, caller))
            })
        })
        .collect();
    let mut outcome = Outcome { commands: 0, all: 0, took: time, waits: waits() };
    let mut done = Vec::new();
    for task in tasks {
        let (seen, ended, caller) = task.await??;
        outcome.commands += seen.len();
        outcome.took = outcome.took.max(ended);
        outcome.waits.add(&seen)?;
        done.push(caller);
    }
    outcome.all = outcome.commands;
    for caller in &mut done {
        outcome.all += caller.finish(mix).await?;
    }
    Ok(outcome)
}

/// Sends `per_second` commands at a steady pace for `time`, by as many callers as there are jobs (at most 64).
///
/// # Errors
/// A command was refused or failed.
pub async fn paced(
    lines: &Lines,
    mix: Mix,
    per_second: u32,
    time: Duration,
    jobs: &[u64],
) -> Result<Outcome> {
    let callers = jobs.len().min(64);
    let (turns, tasks): (Vec<_>, Vec<_>) = (0..callers)
        .map(|number| {
            let (turn, due) = mpsc::unbounded_channel();
            (turn, tokio::spawn(on_time(lines.caller(number, jobs[number]), mix, due)))
        })
        .unzip();
    let total = (f64::from(per_second) * time.as_secs_f64()) as usize;
    // A thread sleeps to within some 0.1 ms; the runtime's timer only to within 1 ms.
    let pace = std::thread::spawn(move || pace(&turns, per_second, total));
    let mut outcome = Outcome { commands: 0, all: 0, took: time, waits: waits() };
    for task in tasks {
        let seen = task.await??;
        outcome.commands += seen.len();
        outcome.waits.add(&seen)?;
    }
    outcome.all = outcome.commands;
    pace.join().map_err(|_| anyhow::anyhow!("the pacing thread failed"))?;
    Ok(outcome)
}

/// Sends a command for each moment that comes in, and measures from that moment.
async fn on_time(
    mut caller: Caller,
    mix: Mix,
    mut due: mpsc::UnboundedReceiver<Instant>,
) -> Result<Histogram<u64>> {
    let mut seen = waits();
    while let Some(due) = due.recv().await {
        caller.next(mix).await?;
        seen.saturating_record(due.elapsed().as_micros() as u64);
    }
    caller.finish(mix).await?;
    Ok(seen)
}

/// Gives the callers their turns, one after another.
fn pace(turns: &[mpsc::UnboundedSender<Instant>], per_second: u32, total: usize) {
    let start = Instant::now() + Duration::from_millis(20);
    for turn in 0..total {
        let due = start + Duration::from_secs_f64(turn as f64 / f64::from(per_second));
        std::thread::sleep(due.saturating_duration_since(Instant::now()));
        // A caller that has failed says so by itself.
        let _ = turns[turn % turns.len()].send(due);
    }
}
