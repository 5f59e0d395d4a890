//! `StripDesk`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use remise_core::armoury::{Event, Job, JobRef, Refusal};
use remise_core::ids::JobId;
use remise_proto::v1;
use remise_proto::v1::strip_desk_server::StripDesk;
use tonic::{Request, Response, Status};

use super::decode::{self, strip};
use super::desks::{Desks, caller};
use super::encode::{self, Past};
use super::errors;
use super::feed::Feed;
use super::service_journal::with_reader;
use crate::desk::event_of;
use crate::journal::{EventRow, JournalError, JournalReader};
use crate::stations::{Station, find_job, sees_job};

/// Jobs that a search answers with, usually and at most.
const FOUND_USUAL: usize = 50;
const FOUND_MOST: usize = 200;

super::actions! {
    impl StripDesk {
        hand_in(HandInRequest) = strip::hand_in;
        scan_in(ScanInRequest) = strip::scan_in;
        claim(ClaimRequest) = strip::claim;
        fencer_out(FencerRequest) = strip::fencer_out;
        fencer_in(FencerRequest) = strip::fencer_in;
        lend(LoanRequest) = strip::lend;
        loan_back(LoanRequest) = strip::loan_back;
        call_out(CallOutRequest) = strip::call_out;
        confirm_notice(ConfirmNoticeRequest) = strip::confirm_notice;
        hand_back(HandBackRequest) = strip::hand_back;
        back_to(BackToRequest) = strip::back_to;
        want_by(WantByRequest) = strip::want_by;
        set_need(SetNeedRequest) = strip::set_need;
        call_off(CallOffRequest) = strip::call_off;
        missing(MissingRequest) = strip::missing;
        found_again(FoundAgainRequest) = strip::found_again;
        collected_unseen(CollectedUnseenRequest) = strip::collected_unseen;
        confiscate(ConfiscateRequest) = strip::confiscate;
        count(CountRequest) = strip::count;
    }

    type WatchStripStream = Feed<v1::Board>;

    async fn strip_board(&self, request: Request<v1::StripBoardRequest>) -> Result<Response<v1::Board>, Status> {
        let caller = caller(&request)?;
        let view = self.strip_view(&caller.station, request.into_inner().spot)?;
        Ok(Response::new(self.board(&caller.station, view)))
    }

    async fn watch_strip(
        &self,
        request: Request<v1::StripBoardRequest>,
    ) -> Result<Response<Feed<v1::Board>>, Status> {
        let caller = caller(&request)?;
        let view = self.strip_view(&caller.station, request.into_inner().spot)?;
        Ok(Response::new(self.watch_board(caller.station, view)))
    }

    async fn find_jobs(&self, request: Request<v1::FindJobsRequest>) -> Result<Response<v1::FoundJobs>, Status> {
        let caller = caller(&request)?;
        let request = request.into_inner();
        let text = decode::search_text("text", &request.text).map_err(|why| errors::unreadable(&why))?;
        let limit = decode::count_limit(request.limit, FOUND_USUAL, FOUND_MOST);
        let moment = self.moment();
        Ok(Response::new(encode::found(&moment.lens(&caller.station), &caller.station, &text, limit)))
    }

    async fn job_course(&self, request: Request<v1::JobCourseRequest>) -> Result<Response<v1::Course>, Status> {
        let caller = caller(&request)?;
        let named = decode::job_ref("job", request.into_inner().job).map_err(|why| errors::unreadable(&why))?;
        self.course_of(&caller.station, named).await.map(Response::new)
    }
}

impl Desks {
    async fn course_of(&self, station: &Station, named: JobRef) -> Result<v1::Course, Status> {
        let id = match (named, find_job(&self.moment().published.room, named)) {
            (_, Some(job)) => job.id,
            (JobRef::Job(id), None) => id,
            (JobRef::Tag(tag), None) => return Err(errors::of_refusal(&Refusal::UnknownTag { tag })),
        };
        let family = with_reader(self, move |reader| family(reader, id.0)).await?;
        let family = family
            .iter()
            .map(|row| Ok(Past { recorded: event_of(row)?, station: row.station.clone() }))
            .collect::<Result<Vec<_>, remise_core::armoury::record::UnreadableEvent>>()
            .map_err(|why| errors::unavailable(&why.to_string()))?;
        // Only now, so that the picture is not older than the events.
        let moment = self.moment();
        let job = known_job(&moment.published.room, id, &family).filter(|job| sees_job(station, job));
        let job = job.ok_or_else(|| errors::of_refusal(&Refusal::UnknownJob { job: id }))?;
        let own: Vec<_> = family.into_iter().filter(|one| one.is_of(id)).collect();
        Ok(encode::course(&moment.lens(station), &job, &own))
    }
}

/// The events of the job and of every job whose tag was exchanged with one of theirs: what was done under a tag moved
/// with it, so that none can be told without the others. By number.
fn family(reader: &mut dyn JournalReader, job: u64) -> Result<Vec<EventRow>, JournalError> {
    let (mut rows, mut seen, mut ask) = (BTreeMap::new(), BTreeSet::from([job]), vec![job]);
    while let Some(job) = ask.pop() {
        for row in reader.job_events(job)? {
            if let Ok(Event::TagsExchanged(e)) = event_of(&row).map(|recorded| recorded.event) {
                ask.extend([e.a.0, e.b.0].into_iter().filter(|other| seen.insert(*other)));
            }
            rows.insert(row.seq, row);
        }
    }
    Ok(rows.into_values().collect())
}

/// The job, open or closed.
fn known_job(room: &remise_core::armoury::Armoury, id: JobId, past: &[Past]) -> Option<Arc<Job>> {
    room.job(id).cloned().or_else(|| encode::replay(room, id, past))
}
