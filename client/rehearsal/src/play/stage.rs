//! The stage: a server of our own or somebody else's, the cast, the play, and the reading of the journal afterwards.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::time::{Duration, Instant};

use remise_checker::{ClientEntry, End, Row};
use remise_core::ids::Seq;
use remise_core::plan::Planner;
use remise_core::times::Learned;
use remise_core::venue::{Bench, Strip, Venue};
use remise_link::{Address, Link};
use remise_server::clock::Clock;
use remise_server::start::{self, Running, Store};
use remise_server::stations::Access;
use tokio::net::TcpListener;
use tokio::sync::watch;

use crate::day::Day;

use super::PlayError;
use super::agenda::{Agenda, Who};
use super::cast::Cast;
use super::director::{Director, Theatre};
use super::evening::Evening;
use super::policy::Policy;
use super::scene::Scene;
use super::thing::Things;

/// Events read from the journal at once.
const READ_AT_ONCE: u32 = 1_000;

/// How a day is played.
pub struct Settings {
    /// Seed of the request ids.
    pub seed: u64,
    /// Let everybody act at once.
    pub race: bool,
    /// Who plans the lanes of a server of our own; as a venue's server does when nothing is named.
    pub policy: Option<Policy>,
    /// Somebody else's server; a server of our own when there is none.
    pub server: Option<Address>,
    /// Where the scenes of the day go.
    pub scenes: watch::Sender<Scene>,
}

/// A day that was played.
pub struct Played {
    /// The whole journal.
    pub rows: Vec<Row>,
    /// Where the record ends: the time, and what the server says is the newest event.
    pub end: End,
    /// What every client sent and what came of it.
    pub history: Vec<ClientEntry>,
    /// Commands sent.
    pub commands: u64,
    /// Time that the play took.
    pub took: Duration,
    /// Planning times, 99 % of them no longer than this; unknown for somebody else's server.
    pub plan_p99: Option<Duration>,
    /// What the server learned; unknown for somebody else's server.
    pub learned: Option<Learned>,
    /// Whether the server's time followed the day, so that times mean something.
    pub timed: bool,
}

/// Plays a day to its end.
pub async fn play(day: &Day, settings: Settings) -> Result<Played, PlayError> {
    let planner = settings.policy.map(Policy::planner);
    play_with(day, settings, planner).await
}

/// Plays a day to its end with a planner for a server of its own, whatever the policy; as a venue's server plans when
/// there is none.
pub async fn play_with(
    day: &Day,
    settings: Settings,
    planner: Option<Box<dyn Planner>>,
) -> Result<Played, PlayError> {
    let folder = tempfile::tempdir()?;
    let begin = beginning(day);
    let (theatre, address) = match &settings.server {
        Some(address) => (Theatre::Other, address.clone()),
        None => own_server(day, folder.path(), begin, planner).await?,
    };
    let venue = match &theatre {
        Theatre::Own { .. } => day.tournament.venue.clone(),
        Theatre::Other => venue_of(&address).await?,
    };
    let cast = Cast::connect(&address, &venue, settings.seed).await?;
    let mut director = Director {
        day,
        venue,
        cast,
        agenda: Agenda::default(),
        things: Things::default(),
        handed: Vec::new(),
        benches: BTreeMap::new(),
        evening: Evening::default(),
        mixed_up: BTreeSet::new(),
        lying: Vec::new(),
        now: begin,
        changed: false,
        commands: 0,
        theatre,
        race: settings.race,
        scenes: settings.scenes,
    };
    let started = Instant::now();
    let outcome = director.run().await;
    let took = started.elapsed();
    let played = finish(director, took).await?;
    outcome.map(|()| played)
}

/// The first hall opens, or somebody hands in before it does.
fn beginning(day: &Day) -> remise_core::time::Stamp {
    let start = day.tournament.venue.days.first().map(|day| day.from).unwrap_or_default();
    day.hand_ins.first().map_or(start, |plan| plan.at.min(start))
}

async fn own_server(
    day: &Day,
    folder: &std::path::Path,
    begin: remise_core::time::Stamp,
    planner: Option<Box<dyn Planner>>,
) -> Result<(Theatre, Address), PlayError> {
    let (clock, set) = Clock::set_by_hand(begin);
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    let store = Store::sqlite(folder)?;
    let tournament = Some(day.tournament.clone());
    let mut settings = start::Settings::rehearsal(clock);
    if let Some(planner) = planner {
        settings.planner = planner;
    }
    let server = Running::start(store, tournament, Access::Open, listener, settings).await?;
    let address = Address::parse(&server.address().to_string())?;
    Ok((Theatre::Own { server: Box::new(server), clock: set }, address))
}

/// The tournament of somebody else's server.
async fn venue_of(address: &Address) -> Result<Venue, PlayError> {
    let view = Link::connect(address.clone()).await?.venue().await?;
    let walk = |minutes| u16::try_from(minutes).unwrap_or(u16::MAX);
    let strips =
        view.strips.into_iter().map(|s| Strip { id: s.strip, name: s.name, walk_min: walk(s.walk_min) });
    let benches = view.benches.into_iter().map(|b| Bench {
        id: b.bench,
        name: b.name,
        armourer: None,
        works: b.works,
        open: b.open,
        roving: b.roving,
    });
    Ok(Venue {
        name: view.name,
        zone: view.zone,
        days: view.days,
        counter: view.counter,
        strips: strips.collect(),
        benches: benches.collect(),
        competitions: Vec::new(),
        edition: view.edition,
        margin_min: walk(view.margin_min),
    })
}

async fn finish(director: Director<'_>, took: Duration) -> Result<Played, PlayError> {
    let Director { cast, theatre, commands, now, .. } = director;
    let history = cast.history();
    match theatre {
        Theatre::Own { server, .. } => {
            drop(cast);
            let rows = read_own(&server)?;
            let published = server.house().desk.snapshot();
            let end = End { at_us: now.0, head: Some(published.room.head.0), hash: Some(published.hash) };
            drop(published);
            let learned = Some(server.house().desk.snapshot().room.learned.clone());
            let plan_p99 = server.house().planner.times().p99();
            server.stop().await;
            Ok(Played { rows, end, history, commands, took, plan_p99, learned, timed: true })
        }
        Theatre::Other => {
            let rows = read_other(&cast.link(Who::Head)).await?;
            let end = End::at(rows.last().map_or(now.0, |row| row.at_us));
            Ok(Played { rows, end, history, commands, took, plan_p99: None, learned: None, timed: false })
        }
    }
}

/// The journal byte for byte, so that its chain can be judged.
fn read_own(server: &Running) -> Result<Vec<Row>, PlayError> {
    let mut rows = Vec::new();
    server.house().desk.reader()?.for_each_event(0, &mut |row| {
        rows.push(Row {
            seq: row.seq,
            at_us: row.at_us,
            happened_at_us: row.happened_at_us,
            job: row.job,
            station: row.station.clone(),
            body: row.body.clone(),
            hash: None,
        });
        ControlFlow::Continue(())
    })?;
    Ok(rows)
}

/// What the wire shows of somebody else's journal: enough to judge, not enough to recompute its chain.
async fn read_other(link: &Link) -> Result<Vec<Row>, PlayError> {
    let mut rows: Vec<Row> = Vec::new();
    loop {
        let from = Seq(rows.last().map_or(1, |row| row.seq + 1));
        let batch = link.events(from, READ_AT_ONCE).await?;
        if batch.events.is_empty() {
            return Ok(rows);
        }
        rows.extend(batch.events.into_iter().map(|event| Row {
            seq: event.seq.0,
            at_us: event.recorded_at.0,
            happened_at_us: event.happened_at.0,
            job: event.job.map(|job| job.0),
            station: event.station.unwrap_or_default(),
            body: event.event.to_string(),
            hash: None,
        }));
    }
}
