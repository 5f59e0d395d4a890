//! `Journal`: the first message, the tournament, and what has happened.

use remise_core::armoury::Event;
use remise_proto::v1;
use remise_proto::v1::journal_server::Journal;
use tonic::{Code, Request, Response, Status};

use super::decode::{self, WireProblem};
use super::desks::{Desks, Moment, caller};
use super::encode;
use super::errors;
use super::feed::{self, Feed};
use super::watch_journal::{Wanted, view_of_row};
use crate::journal::{JournalError, JournalReader};
use crate::stations::{Role, Station};

/// Version of the wire.
const WIRE: u32 = 1;
/// Events that one answer holds, usually and at most.
const READ_USUAL: usize = 500;
const READ_MOST: usize = 2000;
/// Bytes of events that one answer holds; the answer itself may have 4 MiB.
pub(super) const BATCH_BYTES: usize = 2 << 20;
/// Kinds that a watcher may name.
const KINDS_MOST: usize = 80;

#[tonic::async_trait]
impl Journal for Desks {
    type WatchStream = Feed<v1::EventBatch>;

    async fn hello(&self, request: Request<v1::HelloRequest>) -> Result<Response<v1::Welcome>, Status> {
        let caller = caller(&request)?;
        let hello = request.into_inner();
        let client = decode::opt_name("client_version", &hello.client_version)
            .map_err(|why| errors::unreadable(&why))?;
        let moment = self.moment();
        settle(hello.wire, hello.epoch, moment.published.epoch)?;
        tracing::info!(station = %caller.station.name, client = client.unwrap_or_default(), "hello");
        Ok(Response::new(welcome(self, &moment, &caller.station)))
    }

    async fn get_venue(
        &self,
        request: Request<v1::GetVenueRequest>,
    ) -> Result<Response<v1::VenueView>, Status> {
        let caller = caller(&request)?;
        let moment = self.moment();
        let names = caller.station.role.sees_names() && caller.station.role != Role::Strip;
        Ok(Response::new(encode::venue(&moment.published.room, moment.venue()?, names)))
    }

    async fn head(&self, _: Request<v1::HeadRequest>) -> Result<Response<v1::JournalHead>, Status> {
        let published = self.house.desk.snapshot();
        Ok(Response::new(v1::JournalHead {
            head: published.room.head.0,
            recorded_at_us: published.room.at.0,
            epoch: published.epoch,
            now_us: self.house.clock.now().0,
        }))
    }

    async fn read(&self, request: Request<v1::ReadRequest>) -> Result<Response<v1::EventBatch>, Status> {
        let caller = caller(&request)?;
        let request = request.into_inner();
        let after = after(request.from_seq)?;
        let limit = decode::count_limit(request.limit, READ_USUAL, READ_MOST);
        let rows = with_reader(self, move |reader| reader.events(after, limit)).await?;
        let mut batch = v1::EventBatch { covers_up_to: after, events: Vec::new() };
        let mut bytes = 0;
        for row in &rows {
            bytes += row.body.len() + row.station.len();
            if bytes > BATCH_BYTES && !batch.events.is_empty() {
                break;
            }
            batch.covers_up_to = row.seq;
            batch.events.push(view_of_row(row, caller.station.role.sees_names()));
        }
        Ok(Response::new(batch))
    }

    async fn watch(
        &self,
        request: Request<v1::WatchRequest>,
    ) -> Result<Response<Feed<v1::EventBatch>>, Status> {
        let caller = caller(&request)?;
        let request = request.into_inner();
        let kinds = kinds(&request.kinds).map_err(|why| errors::unreadable(&why))?;
        let from = if request.from_seq == 0 { None } else { Some(after(request.from_seq)?) };
        let wanted = Wanted { kinds, stations: caller.station.role.sees_names() };
        let desks = self.clone();
        let events = feed::start(move |outlet| async move {
            desks.send_events(&outlet, &caller.station, from, &wanted).await
        });
        Ok(Response::new(events))
    }

    async fn verify(&self, _: Request<v1::VerifyRequest>) -> Result<Response<v1::Verified>, Status> {
        let report = with_reader(self, |reader| reader.verify_chain()).await?;
        let message = match &report.broken {
            None => format!("{} events: every hash fits", report.events),
            Some(broken) => format!(
                "event {} is not as it was written; the {} before it are. Keep a copy of the data folder as it is \
                 and look at a backup.",
                broken.seq, report.events
            ),
        };
        Ok(Response::new(v1::Verified {
            sound: report.broken.is_none(),
            checked: report.events,
            first_bad: report.broken.map_or(0, |broken| broken.seq),
            message,
        }))
    }
}

/// Whether client and server understand each other.
fn settle(wire: u32, seen_epoch: u64, epoch: u64) -> Result<(), Status> {
    if wire < WIRE {
        return Err(errors::status(
            Code::FailedPrecondition,
            "CLIENT_TOO_OLD",
            format!("this server speaks version {WIRE} of the wire, the client version {wire}"),
            "Install the version of `remise` that came with this server.",
        ));
    }
    if wire > WIRE {
        return Err(errors::status(
            Code::FailedPrecondition,
            "CLIENT_TOO_NEW",
            format!("this server speaks version {WIRE} of the wire, the client version {wire}"),
            "Update the server, or use the version of `remise` that came with it.",
        ));
    }
    if seen_epoch > epoch { Err(errors::stepped_down()) } else { Ok(()) }
}

fn welcome(desks: &Desks, moment: &Moment, station: &Station) -> v1::Welcome {
    let published = &moment.published;
    let venue = published.room.venue.as_ref();
    v1::Welcome {
        server_version: env!("CARGO_PKG_VERSION").to_owned(),
        wire: WIRE,
        tournament: venue.map_or_else(String::new, |venue| venue.name.clone()),
        zone: venue.map_or_else(String::new, |venue| venue.zone.clone()),
        epoch: published.epoch,
        head: published.room.head.0,
        role: encode::role(station.role),
        station: station.name.to_string(),
        strip: station.strip.map_or(0, |strip| u32::from(strip.0)),
        bench: station.bench.map_or(0, |bench| u32::from(bench.0)),
        now_us: desks.house.clock.now().0,
    }
}

/// The number before the first one wanted.
fn after(from: u64) -> Result<u64, Status> {
    if i64::try_from(from).is_err() {
        return Err(errors::unreadable(&WireProblem::new("from_seq", "there is no such number")));
    }
    Ok(from.saturating_sub(1))
}

/// The kinds that a watcher wants; none for all.
fn kinds(named: &[String]) -> Result<Vec<&'static str>, WireProblem> {
    decode::at_most("kinds", named, KINDS_MOST)?;
    let known = |(index, raw): (usize, &String)| {
        let field = format!("kinds[{index}]");
        let code = decode::code(&field, raw)?;
        let found = Event::KINDS.iter().map(|(kind, _)| *kind).find(|kind| *kind == code);
        found.ok_or_else(|| WireProblem::new(field, format!("there is no kind of event `{code}`")))
    };
    named.iter().enumerate().map(known).collect()
}

/// Reads the journal on a thread that may wait for the disk.
pub(super) async fn with_reader<T: Send + 'static>(
    desks: &Desks,
    read: impl FnOnce(&mut dyn JournalReader) -> Result<T, JournalError> + Send + 'static,
) -> Result<T, Status> {
    let desk = desks.house.desk.clone();
    let read = tokio::task::spawn_blocking(move || read(desk.reader()?.as_mut())).await;
    let failed =
        |why: &dyn std::fmt::Display| errors::unavailable(&format!("the journal cannot be read: {why}"));
    read.map_err(|why| failed(&why))?.map_err(|why| failed(&why))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use tonic_types::StatusExt as _;

    use super::*;

    #[test]
    fn an_old_client_is_told_what_to_do() {
        assert!(settle(1, 3, 3).is_ok());
        let reason = |status: Status| status.get_details_error_info().unwrap();
        let old = reason(settle(0, 0, 1).unwrap_err());
        assert_eq!(old.reason, "CLIENT_TOO_OLD");
        assert!(old.metadata["hint"].contains("Install"));
        assert_eq!(reason(settle(2, 0, 1).unwrap_err()).reason, "CLIENT_TOO_NEW");
        assert_eq!(reason(settle(1, 4, 3).unwrap_err()).reason, "STEPPED_DOWN");
    }

    #[test]
    fn unknown_kinds_of_event_are_named() {
        assert_eq!(kinds(&["taken".to_owned()]), Ok(vec!["taken"]));
        assert_eq!(kinds(&["taken".to_owned(), "eaten".to_owned()]).unwrap_err().field, "kinds[1]");
        assert_eq!(kinds(&vec!["taken".to_owned(); 81]).unwrap_err().field, "kinds");
    }
}
