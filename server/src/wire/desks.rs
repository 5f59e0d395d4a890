//! What the four services share: the way from a request to the desk and back, and boards.

use std::sync::Arc;

use remise_core::armoury::{Command, Refusal, Spot};
use remise_core::ids::{BenchId, StripId};
use remise_core::plan::Plan;
use remise_core::venue::Venue;
use remise_proto::v1;
use tokio::sync::{Semaphore, watch};
use tonic::{Request, Response, Status};

use super::decode::{self, WireProblem};
use super::encode::{Lens, Sent, View, full};
use super::errors;
use super::feed::{self, End, Feed, Outlet, WINDOW};
use super::guard::Caller;
use crate::desk::{self, Published};
use crate::house::House;
use crate::stations::{Access, OutOfScope, Role, Station, check_scope};

/// Time itself changes a board: benches open and close.
const REFRESH: std::time::Duration = std::time::Duration::from_secs(10);

/// The handlers of all four services.
#[derive(Clone)]
pub(super) struct Desks {
    pub house: House,
    pub access: Access,
    /// Becomes true when the server goes down.
    pub closing: watch::Receiver<bool>,
    /// One turn: moves are tried by one caller after the other.
    pub trials: Arc<Semaphore>,
}

/// Who is asking. The door puts it there; a request that did not come through it is nobody's.
pub(super) fn caller<R>(request: &Request<R>) -> Result<Caller, Status> {
    request.extensions().get::<Caller>().cloned().ok_or_else(errors::unknown_station)
}

/// One moment to look at.
pub(super) struct Moment {
    pub published: Arc<Published>,
    pub plan: Arc<Plan>,
    pub now: remise_core::time::Stamp,
}

impl Moment {
    pub fn lens(&self, station: &Station) -> Lens<'_> {
        Lens::new(&self.published.room, &self.plan, self.now, station.role.sees_names())
    }

    pub fn venue(&self) -> Result<&Arc<Venue>, Status> {
        self.published.room.venue.as_ref().ok_or_else(|| errors::of_refusal(&Refusal::NoTournament))
    }
}

impl Desks {
    /// How things stand now.
    pub fn moment(&self) -> Moment {
        let published = self.house.desk.snapshot();
        let now = self.house.clock.now().or_later(published.room.at);
        Moment { published, plan: self.house.planner.plan(), now }
    }

    /// A change: reads the request, asks the desk, answers.
    pub async fn act<R>(
        &self,
        mut request: Request<R>,
        take_meta: impl FnOnce(&mut R) -> Option<v1::Meta>,
        decode: impl FnOnce(R, &Station) -> Result<Command, WireProblem>,
    ) -> Result<Response<v1::Accepted>, Status> {
        let caller = caller(&request)?;
        let meta = decode::meta(take_meta(request.get_mut())).map_err(|why| errors::unreadable(&why))?;
        tracing::Span::current().record("request", tracing::field::display(hex(&meta.request_id)));
        let command =
            decode(request.into_inner(), &caller.station).map_err(|why| errors::unreadable(&why))?;
        self.check(&caller.station, meta.epoch, &command)?;
        let asked = desk::Request {
            request_id: Some(meta.request_id),
            station: Arc::clone(&caller.station.name),
            happened_at: meta.happened_at,
            command,
            deadline: Some(caller.deadline),
        };
        let accepted = self.house.desk.submit(asked).await.map_err(errors::of_desk)?;
        Ok(Response::new(answer(accepted)))
    }

    /// Whether the caller may ask that of this server. A request that then waits for its answer holds no old picture.
    fn check(&self, station: &Station, epoch: u64, command: &Command) -> Result<(), Status> {
        let published = self.house.desk.snapshot();
        if epoch > published.epoch {
            return Err(errors::stepped_down());
        }
        check_scope(station, command, &published.room).map_err(errors::out_of_scope)
    }

    /// What a strip's or the counter's board shows.
    pub fn strip_view(&self, station: &Station, spot: Option<v1::Spot>) -> Result<View, Status> {
        let view = match (spot, station.strip) {
            (None, Some(own)) => View::Strip(own),
            (None, None) => View::Counter,
            (given, _) => match decode::spot("spot", given).map_err(|why| errors::unreadable(&why))? {
                Spot::Strip(strip) => View::Strip(strip),
                Spot::Counter => View::Counter,
            },
        };
        match (view, station.strip) {
            (View::Strip(asked), None) => self.known_strip(asked)?,
            (asked, Some(own)) if asked != View::Strip(own) => {
                return Err(errors::out_of_scope(OutOfScope::OtherStrip(own)));
            }
            _ => {}
        }
        Ok(view)
    }

    fn known_strip(&self, strip: StripId) -> Result<(), Status> {
        let known = self.moment().venue()?.strip(strip).is_some();
        if known { Ok(()) } else { Err(errors::of_refusal(&Refusal::UnknownStrip { strip })) }
    }

    /// What a bench's board shows.
    pub fn bench_view(&self, station: &Station, bench: u32) -> Result<View, Status> {
        let bench =
            decode::own_bench("bench", bench, station.bench).map_err(|why| errors::unreadable(&why))?;
        if let Some(own) = station.bench.filter(|own| *own != bench && station.role == Role::Bench) {
            return Err(errors::out_of_scope(OutOfScope::OtherBench(own)));
        }
        self.known_bench(bench)?;
        Ok(View::Bench(bench))
    }

    fn known_bench(&self, bench: BenchId) -> Result<(), Status> {
        let known = self.moment().venue()?.bench(bench).is_some();
        if known { Ok(()) } else { Err(errors::of_refusal(&Refusal::UnknownBench { bench })) }
    }

    /// A whole board.
    pub fn board(&self, station: &Station, view: View) -> v1::Board {
        full(&self.moment().lens(station), view)
    }

    /// A board that is kept up to date.
    pub fn watch_board(&self, station: Arc<Station>, view: View) -> Feed<v1::Board> {
        let desks = self.clone();
        feed::start(move |outlet| async move { desks.keep_sending(&outlet, &station, view).await })
    }

    async fn keep_sending(mut self, outlet: &Outlet<v1::Board>, station: &Station, view: View) -> End {
        let mut published = self.house.desk.publications();
        let mut plans = self.house.planner.plans();
        let mut sent = Sent::default();
        loop {
            published.mark_unchanged();
            plans.mark_unchanged();
            let board = self.board(station, view);
            let resume = board.covers_up_to;
            if let Some(change) = sent.change(board)
                && let Err(end) = outlet.send(change, || errors::too_slow(resume)).await
            {
                return end;
            }
            let pause = async {
                tokio::time::sleep(WINDOW).await;
                tokio::select! {
                    changed = published.changed() => changed.is_ok(),
                    changed = plans.changed() => changed.is_ok(),
                    () = tokio::time::sleep(REFRESH) => true,
                }
            };
            let goes_on = tokio::select! {
                () = outlet.gone() => return End::Gone,
                _ = self.closing.wait_for(|closing| *closing) => false,
                goes_on = pause => goes_on,
            };
            if !goes_on {
                return End::Told(errors::going_down());
            }
            if !self.access.still_knows(station) {
                return End::Told(errors::unknown_station());
            }
        }
    }
}

fn answer(accepted: desk::Accepted) -> v1::Accepted {
    let nothing = accepted.first > accepted.last;
    v1::Accepted {
        first_seq: if nothing { 0 } else { accepted.first.0 },
        last_seq: if nothing { 0 } else { accepted.last.0 },
        jobs: accepted.jobs.into_iter().map(|job| job.0).collect(),
        recorded_at_us: accepted.at.0,
        advice: accepted.advice,
    }
}

fn hex(id: &[u8; 16]) -> uuid::Uuid {
    uuid::Uuid::from_bytes(*id)
}
