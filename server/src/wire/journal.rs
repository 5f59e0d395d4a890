//! `Journal`: the first message, the tournament, and what has happened.

use remise_core::armoury::Event;
use remise_proto::v1;
use remise_proto::v1::journal_server;
use tonic::{Code, Request, Response, Status};

use super::decode::{self, WireProblem};
use super::door::Door;
use super::encode;
use super::errors;
use super::watch::{self, EventStream};
use crate::journal::{ChainReport, EventRow, JournalError};
use crate::planner::OWN_STATION;
use crate::stations::{Role, Station};

/// The wire that this server speaks.
const WIRE: u32 = 1;
/// Events brought back when nobody says how many, and at most.
const READ_USUAL: usize = 500;
const READ_MOST: usize = 2_000;
/// Kinds that a watcher may name.
const KINDS_MOST: usize = 80;

/// The service.
pub struct Journals(pub Door);

#[tonic::async_trait]
impl journal_server::Journal for Journals {
    type WatchStream = EventStream;

    async fn hello(&self, request: Request<v1::HelloRequest>) -> Result<Response<v1::Welcome>, Status> {
        let station = self.0.enter(request.metadata(), "Journal/Hello")?;
        let asked = request.into_inner();
        versions(asked.wire)?;
        let look = self.0.look();
        if asked.epoch > look.epoch {
            return Err(errors::stepped_down());
        }
        let venue = look.room.venue.as_deref();
        Ok(Response::new(v1::Welcome {
            server_version: env!("CARGO_PKG_VERSION").to_owned(),
            wire: WIRE,
            tournament: venue.map(|venue| venue.name.clone()).unwrap_or_default(),
            zone: venue.map(|venue| venue.zone.clone()).unwrap_or_default(),
            epoch: look.epoch,
            head: look.room.head.0,
            role: encode::role(station.role),
            station: station.name.to_string(),
            strip: station.strip.map_or(0, |strip| strip.0.into()),
            bench: station.bench.map_or(0, |bench| bench.0.into()),
            now_us: self.0.house.clock.now().0,
        }))
    }

    async fn get_venue(
        &self,
        request: Request<v1::GetVenueRequest>,
    ) -> Result<Response<v1::VenueView>, Status> {
        let station = self.0.enter(request.metadata(), "Journal/GetVenue")?;
        let look = self.0.look();
        match &look.room.venue {
            Some(venue) => Ok(Response::new(encode::venue(&look.room, venue, station.role.sees_names()))),
            None => Err(errors::refused(
                "NO_TOURNAMENT",
                "no tournament is open on this server",
                "Start the server with --tournament FILE.",
            )),
        }
    }

    async fn head(&self, request: Request<v1::HeadRequest>) -> Result<Response<v1::JournalHead>, Status> {
        self.0.enter(request.metadata(), "Journal/Head")?;
        let look = self.0.look();
        Ok(Response::new(v1::JournalHead {
            head: look.room.head.0,
            recorded_at_us: look.room.at.0,
            epoch: look.epoch,
            now_us: self.0.house.clock.now().0,
        }))
    }

    async fn read(&self, request: Request<v1::ReadRequest>) -> Result<Response<v1::EventBatch>, Status> {
        let station = self.0.enter(request.metadata(), "Journal/Read")?;
        let asked = request.into_inner();
        let limit = decode::count_limit(asked.limit, READ_USUAL, READ_MOST);
        let after = asked.from_seq.saturating_sub(1);
        let rows = self.0.read_rows(after, limit).await?;
        let covers_up_to = rows.last().map_or(after.min(self.0.look().room.head.0), |row| row.seq);
        let events = rows.iter().map(|row| event_view(row, &station)).collect();
        Ok(Response::new(v1::EventBatch { covers_up_to, events }))
    }

    async fn watch(&self, request: Request<v1::WatchRequest>) -> Result<Response<Self::WatchStream>, Status> {
        let station = self.0.enter(request.metadata(), "Journal/Watch")?;
        let asked = request.into_inner();
        known_kinds(&asked.kinds).map_err(|problem| errors::unreadable(&problem))?;
        Ok(Response::new(watch::events(&self.0, station, asked.from_seq, asked.kinds)))
    }

    async fn verify(&self, request: Request<v1::VerifyRequest>) -> Result<Response<v1::Verified>, Status> {
        self.0.enter(request.metadata(), "Journal/Verify")?;
        let desk = self.0.house.desk.clone();
        let verify = move || -> Result<ChainReport, JournalError> { desk.reader()?.verify_chain() };
        let report = tokio::task::spawn_blocking(verify).await.map_err(|_| errors::going_down())?;
        let report = report.map_err(|error| errors::unavailable(&error.to_string()))?;
        let message =
            report.broken.as_ref().map_or_else(|| "the chain is whole".to_owned(), ToString::to_string);
        Ok(Response::new(v1::Verified {
            sound: report.broken.is_none(),
            checked: report.events,
            first_bad: report.broken.map_or(0, |broken| broken.seq),
            message,
        }))
    }
}

impl Door {
    /// Rows of the journal after a number, read off this thread.
    pub async fn read_rows(&self, after: u64, limit: usize) -> Result<Vec<EventRow>, Status> {
        let desk = self.house.desk.clone();
        let read = move || desk.reader()?.events(after, limit);
        let rows = tokio::task::spawn_blocking(read).await.map_err(|_| errors::going_down())?;
        rows.map_err(|error: JournalError| errors::unavailable(&error.to_string()))
    }
}

/// An event as that station may see it.
pub(super) fn event_view(row: &EventRow, station: &Station) -> v1::EventView {
    let hidden = station.role == Role::Observer || row.station == OWN_STATION;
    v1::EventView {
        seq: row.seq,
        recorded_at_us: row.at_us,
        happened_at_us: row.happened_at_us,
        job: row.job.unwrap_or(0),
        station: if hidden { String::new() } else { row.station.clone() },
        kind: row.kind.clone(),
        version: row.v.into(),
        json: row.body.clone(),
    }
}

fn versions(wire: u32) -> Result<(), Status> {
    if wire == 0 || wire == WIRE {
        return Ok(());
    }
    let (reason, message, hint) = if wire < WIRE {
        ("CLIENT_TOO_OLD", "this client is older than the server can serve", "Update the client.")
    } else {
        (
            "CLIENT_TOO_NEW",
            "this client is newer than the server",
            "Update the server, or use the client that came with it.",
        )
    };
    Err(errors::status(Code::FailedPrecondition, reason, message, hint))
}

fn known_kinds(kinds: &[String]) -> Result<(), WireProblem> {
    if kinds.len() > KINDS_MOST {
        return Err(WireProblem::new("kinds", format!("it has more than {KINDS_MOST} entries")));
    }
    for (index, kind) in kinds.iter().enumerate() {
        if !Event::KINDS.iter().any(|(known, _)| known == kind) {
            return Err(WireProblem::new(format!("kinds[{index}]"), "there is no such kind of event"));
        }
    }
    Ok(())
}
