//! `StripDesk`: what strips and the counter ask for.

use remise_core::armoury::{JobRef, Spot};
use remise_proto::v1;
use remise_proto::v1::strip_desk_server::StripDesk;
use tonic::{Request, Response, Status};

use super::decode::{self, strip as read};
use super::door::Door;
use super::encode::{self, Past, View};
use super::errors;
use super::watch::{self, BoardStream};
use crate::desk::event_of;
use crate::stations::{Station, sees_job};

/// Jobs that a search brings back when nobody says how many, and at most.
const FOUND_USUAL: usize = 50;
const FOUND_MOST: usize = 200;

/// The service.
pub struct Strips(pub Door);

super::actions! {
    Strips as StripDesk, "StripDesk", read;
    hand_in HandIn HandInRequest, scan_in ScanIn ScanInRequest, claim Claim ClaimRequest,
    fencer_out FencerOut FencerRequest, fencer_in FencerIn FencerRequest,
    lend Lend LoanRequest, loan_back LoanBack LoanRequest,
    call_out CallOut CallOutRequest, confirm_notice ConfirmNotice ConfirmNoticeRequest,
    hand_back HandBack HandBackRequest, back_to BackTo BackToRequest, want_by WantBy WantByRequest,
    set_need SetNeed SetNeedRequest, call_off CallOff CallOffRequest,
    missing Missing MissingRequest, found_again FoundAgain FoundAgainRequest,
    collected_unseen CollectedUnseen CollectedUnseenRequest,
    confiscate Confiscate ConfiscateRequest, count Count CountRequest;
    {
        type WatchStripStream = BoardStream;

        async fn strip_board(
            &self,
            request: Request<v1::StripBoardRequest>,
        ) -> Result<Response<v1::Board>, Status> {
            let station = self.0.enter(request.metadata(), "StripDesk/StripBoard")?;
            let view = strip_view(&station, request.into_inner().spot)?;
            Ok(Response::new(self.0.with_lens(&station, |lens| encode::full(lens, view))))
        }

        async fn watch_strip(
            &self,
            request: Request<v1::StripBoardRequest>,
        ) -> Result<Response<Self::WatchStripStream>, Status> {
            let station = self.0.enter(request.metadata(), "StripDesk/WatchStrip")?;
            let view = strip_view(&station, request.into_inner().spot)?;
            Ok(Response::new(watch::board(&self.0, station, view)))
        }

        async fn find_jobs(
            &self,
            request: Request<v1::FindJobsRequest>,
        ) -> Result<Response<v1::FoundJobs>, Status> {
            let station = self.0.enter(request.metadata(), "StripDesk/FindJobs")?;
            let asked = request.into_inner();
            let text = decode::search_text("text", &asked.text).map_err(|problem| errors::unreadable(&problem))?;
            let limit = decode::count_limit(asked.limit, FOUND_USUAL, FOUND_MOST);
            Ok(Response::new(self.0.with_lens(&station, |lens| encode::found(lens, &station, &text, limit))))
        }

        async fn job_course(
            &self,
            request: Request<v1::JobCourseRequest>,
        ) -> Result<Response<v1::Course>, Status> {
            let station = self.0.enter(request.metadata(), "StripDesk/JobCourse")?;
            let asked = decode::job_ref("job", request.into_inner().job);
            let asked = asked.map_err(|problem| errors::unreadable(&problem))?;
            self.0.course(&station, asked).await.map(Response::new)
        }
    }
}

/// Which board: the one asked for, or the station's own.
fn strip_view(station: &Station, asked: Option<v1::Spot>) -> Result<View, Status> {
    let spot = match (asked, station.strip) {
        (None, Some(own)) => Spot::Strip(own),
        (None, None) => Spot::Counter,
        (asked, _) => decode::spot("spot", asked).map_err(|problem| errors::unreadable(&problem))?,
    };
    match (spot, station.strip) {
        (Spot::Strip(strip), Some(own)) if strip != own => {
            Err(errors::out_of_scope(crate::stations::OutOfScope::OtherStrip(own)))
        }
        (Spot::Counter, Some(own)) => Err(errors::out_of_scope(crate::stations::OutOfScope::OtherStrip(own))),
        (Spot::Strip(strip), _) => Ok(View::Strip(strip)),
        (Spot::Counter, None) => Ok(View::Counter),
    }
}

impl Door {
    /// All that is known of one job, open or closed.
    async fn course(&self, station: &Station, asked: JobRef) -> Result<v1::Course, Status> {
        let published = self.look();
        let id = match asked {
            JobRef::Job(id) => id,
            JobRef::Tag(tag) => {
                *published.room.tags.get(&tag).ok_or_else(|| unknown("no item here carries that tag"))?
            }
        };
        let desk = self.house.desk.clone();
        let past = tokio::task::spawn_blocking(move || -> Result<Vec<Past>, String> {
            let mut reader = desk.reader().map_err(|error| error.to_string())?;
            let rows = reader.job_events(id.0).map_err(|error| error.to_string())?;
            let past = |row: &crate::journal::EventRow| {
                let recorded = event_of(row).map_err(|error| error.to_string())?;
                Ok(Past { recorded, station: row.station.clone() })
            };
            rows.iter().map(past).collect()
        });
        let past = past.await.map_err(|_| errors::going_down())?.map_err(|why| errors::unavailable(&why))?;
        let open = published.room.job(id).cloned();
        let job = open.or_else(|| encode::replay(&published.room, id, &past));
        let job = job.filter(|job| sees_job(station, job)).ok_or_else(|| unknown("there is no such job"))?;
        Ok(self.with_lens(station, |lens| encode::course(lens, &job, &past)))
    }
}

fn unknown(message: &str) -> Status {
    errors::refused("UNKNOWN_JOB", message, "Search for the fencer or scan the tag.")
}
