//! The door: who is asking, whether they may, and how long they wait.

use std::sync::Arc;
use std::time::Duration;

use remise_core::armoury::Command;
use remise_core::ids::{BenchId, StripId};
use remise_core::time::Span;
use remise_proto::v1;
use tonic::metadata::MetadataMap;
use tonic::{Response, Status};
use tracing::Instrument as _;

use crate::desk::{Accepted, DeskError, Published, Request};
use crate::house::House;
use crate::stations::{self, Access, Role, Station};

use super::decode::{self, Meta, WireProblem};
use super::encode::Lens;
use super::errors;

/// How long a call may take when the caller names no deadline.
const USUAL_DEADLINE: Duration = Duration::from_secs(10);
/// Nobody waits longer than this for one answer.
const LONGEST_DEADLINE: Duration = Duration::from_secs(60);

/// The server's parts and its rules of entry, shared by all services.
#[derive(Clone)]
pub struct Door {
    pub house: House,
    pub access: Access,
}

impl Door {
    /// Who is asking, when their role may call that RPC.
    pub fn enter(&self, metadata: &MetadataMap, rpc: &str) -> Result<Station, Status> {
        let station = match &self.access {
            Access::Book(book) => bearer(metadata)
                .and_then(|token| book.authenticate(token))
                .ok_or_else(errors::unknown_station)?,
            Access::Open => believed(metadata).map_err(errors::bad_metadata)?,
        };
        if stations::may(station.role, rpc) {
            Ok(station)
        } else {
            Err(errors::role_may_not(station.role, rpc))
        }
    }

    /// The armoury as it is now.
    pub fn look(&self) -> Arc<Published> {
        self.house.desk.snapshot()
    }

    /// Carries out one request that changes something.
    pub async fn act<M>(
        &self,
        rpc: &'static str,
        request: tonic::Request<M>,
        meta: impl FnOnce(&mut M) -> Option<v1::Meta>,
        decode: fn(M, &Station) -> Result<Command, WireProblem>,
    ) -> Result<Response<v1::Accepted>, Status> {
        let station = self.enter(request.metadata(), rpc)?;
        let wait = deadline(request.metadata());
        let mut message = request.into_inner();
        let meta = decode::meta(meta(&mut message)).map_err(|problem| errors::unreadable(&problem))?;
        let command = decode(message, &station).map_err(|problem| errors::unreadable(&problem))?;
        let span = tracing::info_span!(
            "request",
            rpc,
            station = %station.name,
            id = %uuid::Uuid::from_bytes(meta.request_id),
            events = tracing::field::Empty
        );
        self.submit(station, meta, command, wait).instrument(span).await
    }

    async fn submit(
        &self,
        station: Station,
        meta: Meta,
        command: Command,
        wait: Duration,
    ) -> Result<Response<v1::Accepted>, Status> {
        let published = self.look();
        if meta.epoch > published.epoch {
            // The client has seen a newer server for this journal: this one must not answer.
            return Err(errors::stepped_down());
        }
        stations::check_scope(&station, &command, &published.room).map_err(errors::out_of_scope)?;
        let elapsed = self.house.clock.monotonic.elapsed();
        let request = Request {
            request_id: Some(meta.request_id),
            station: station.name.clone(),
            happened_at: meta.happened_at,
            command,
            deadline: Some(elapsed + Span(i64::try_from(wait.as_micros()).unwrap_or(i64::MAX))),
        };
        match tokio::time::timeout(wait, self.house.desk.submit(request)).await {
            Ok(Ok(accepted)) => Ok(Response::new(answer(accepted))),
            Ok(Err(error)) => Err(status(&error)),
            Err(_) => Err(errors::answer_late()),
        }
    }

    /// A look at the armoury for one caller.
    pub fn with_lens<T>(&self, station: &Station, show: impl FnOnce(&Lens<'_>) -> T) -> T {
        let (published, plan) = (self.look(), self.house.planner.plan());
        show(&Lens::new(&published.room, &plan, self.house.clock.now(), station.role.sees_names()))
    }
}

fn answer(accepted: Accepted) -> v1::Accepted {
    let happened = accepted.last >= accepted.first;
    tracing::Span::current().record("events", tracing::field::debug(accepted.first.0..=accepted.last.0));
    v1::Accepted {
        first_seq: if happened { accepted.first.0 } else { 0 },
        last_seq: if happened { accepted.last.0 } else { 0 },
        jobs: accepted.jobs.iter().map(|job| job.0).collect(),
        recorded_at_us: accepted.at.0,
        advice: accepted.advice,
    }
}

fn status(error: &DeskError) -> Status {
    match error {
        DeskError::Refused(why) => errors::refused(&why.reason, &why.message, &why.hint),
        DeskError::DifferentContent { field } => errors::different_content(field),
        DeskError::Overloaded { retry_after } => errors::overloaded(*retry_after),
        DeskError::Expired => errors::expired(),
        DeskError::Unavailable(why) => errors::unavailable(why),
        DeskError::SteppedDown { .. } => errors::stepped_down(),
    }
}

/// The caller's deadline from `grpc-timeout` (a number of at most eight digits and a unit, as the gRPC protocol over
/// HTTP/2 defines it), within bounds.
fn deadline(metadata: &MetadataMap) -> Duration {
    let parse = |text: &str| {
        let (number, unit) = text.split_at_checked(text.len().checked_sub(1)?)?;
        let number: u64 = number.parse().ok().filter(|_| number.len() <= 8)?;
        Some(match unit {
            "H" => Duration::from_secs(number.saturating_mul(3_600)),
            "M" => Duration::from_secs(number.saturating_mul(60)),
            "S" => Duration::from_secs(number),
            "m" => Duration::from_millis(number),
            "u" => Duration::from_micros(number),
            "n" => Duration::from_nanos(number),
            _ => return None,
        })
    };
    let asked = metadata.get("grpc-timeout").and_then(|value| value.to_str().ok()).and_then(parse);
    asked.unwrap_or(USUAL_DEADLINE).min(LONGEST_DEADLINE)
}

fn bearer(metadata: &MetadataMap) -> Option<&str> {
    metadata.get("authorization")?.to_str().ok()?.strip_prefix("Bearer ")
}

/// On a server without stations, callers are who they say they are.
fn believed(metadata: &MetadataMap) -> Result<Station, &'static str> {
    let text =
        |key: &str| metadata.get(key).map(|value| value.to_str().map_err(|_| "metadata must be ASCII text"));
    let number = |key: &str| match text(key).transpose()? {
        None => Ok(None),
        Some(raw) => raw.parse::<u16>().map(Some).map_err(|_| "a strip or bench is a number"),
    };
    let role = match text("x-remise-role").transpose()? {
        None => Role::Head,
        Some(code) => {
            Role::from_code(code).ok_or("x-remise-role is none of strip, counter, bench, head, observer")?
        }
    };
    let name = text("x-remise-station").transpose()?.unwrap_or(role.code());
    let strip = number("x-remise-strip")?.map(StripId).filter(|_| role == Role::Strip);
    let bench = number("x-remise-bench")?.map(BenchId).filter(|_| role == Role::Bench);
    Station::new(name, role, strip, bench)
        .map_err(|_| "the station's name, strip or bench does not fit its role")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn timeout(text: &str) -> Duration {
        let mut metadata = MetadataMap::new();
        metadata.insert("grpc-timeout", text.parse().unwrap());
        deadline(&metadata)
    }

    #[test]
    fn deadlines_are_read_and_kept_within_bounds() {
        assert_eq!(timeout("250m"), Duration::from_millis(250));
        assert_eq!(timeout("3S"), Duration::from_secs(3));
        assert_eq!(timeout("99999999H"), LONGEST_DEADLINE);
        for nonsense in ["", "S", "12", "x5S", "999999999S", "-1S"] {
            assert_eq!(timeout(nonsense), USUAL_DEADLINE, "{nonsense}");
        }
        assert_eq!(deadline(&MetadataMap::new()), USUAL_DEADLINE);
    }

    #[test]
    fn an_open_server_believes_what_makes_sense() {
        let mut metadata = MetadataMap::new();
        assert_eq!(believed(&metadata).unwrap().role, Role::Head);
        metadata.insert("x-remise-role", "bench".parse().unwrap());
        assert!(believed(&metadata).is_err(), "which bench?");
        metadata.insert("x-remise-bench", "2".parse().unwrap());
        assert_eq!(believed(&metadata).unwrap().bench, Some(BenchId(2)));
        metadata.insert("x-remise-role", "king".parse().unwrap());
        assert!(believed(&metadata).is_err());
    }
}
