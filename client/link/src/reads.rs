//! Questions to the server: a method for each. They change nothing, so they are asked again when an answer fails
//! to come.

use std::time::Duration;

use remise_core::armoury::{Command, JobRef, Spot};
use remise_core::ids::{BenchId, Seq};
use remise_proto::v1;

use crate::connect::Link;
use crate::decode;
use crate::encode::{job, spot, trial};
use crate::error::LinkError;
use crate::view::{
    BenchBoard, Course, EventBatch, Found, JournalHead, NightList, RoomView, StripBoard, VenueView, Verified,
    WhatIf,
};

/// Deadline of recomputing a chain, which may be long.
const VERIFY_WITHIN: Duration = Duration::from_mins(5);

impl Link {
    /// Jobs that came from a strip or go back to it, or the counter's; `None` for the station's own.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn strip_board(&self, at: Option<Spot>) -> Result<StripBoard, LinkError> {
        let asked = v1::StripBoardRequest { spot: at.map(spot) };
        let call = || {
            let (mut desk, request) = (self.strip_desk(), self.request(asked));
            async move { desk.strip_board(request).await }
        };
        Ok(decode::board(&self.tried(call).await.result?)?)
    }

    /// The job in hand, the lane and what waits; `None` for the station's own bench.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn bench_board(&self, bench: Option<BenchId>) -> Result<BenchBoard, LinkError> {
        let asked = v1::BenchBoardRequest { bench: bench.map_or(0, |bench| bench.0.into()) };
        let call = || {
            let (mut desk, request) = (self.bench_desk(), self.request(asked));
            async move { desk.bench_board(request).await }
        };
        Ok(decode::board(&self.tried(call).await.result?)?)
    }

    /// The whole room.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn room(&self) -> Result<RoomView, LinkError> {
        let asked = v1::RoomRequest {};
        let call = || {
            let (mut desk, request) = (self.head_desk(), self.request(asked));
            async move { desk.room(request).await }
        };
        Ok(decode::board(&self.tried(call).await.result?)?)
    }

    /// What is still here, uncollected, missing, confiscated or owed tonight.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn night_list(&self) -> Result<NightList, LinkError> {
        let asked = v1::NightListRequest {};
        let call = || {
            let (mut desk, request) = (self.head_desk(), self.request(asked));
            async move { desk.night_list(request).await }
        };
        Ok(decode::night_list(&self.tried(call).await.result?)?)
    }

    /// What these moves would change, done one after the other; nothing is done.
    ///
    /// # Errors
    /// [`LinkError::NotSendable`] for what cannot be tried, [`LinkError::Refused`] when the server would refuse one of
    /// them, and what the server or the connection said last.
    pub async fn what_if(&self, moves: &[Command]) -> Result<WhatIf, LinkError> {
        let asked = v1::WhatIfRequest { moves: moves.iter().map(trial).collect::<Result<_, _>>()? };
        let call = || {
            let (mut desk, request) = (self.head_desk(), self.request(asked.clone()));
            async move { desk.what_if(request).await }
        };
        Ok(decode::what_if(&self.tried(call).await.result?)?)
    }

    /// Open jobs by tag, number, or part of a name or note; at most `limit`, the server's usual number for 0.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn find_jobs(&self, text: &str, limit: u32) -> Result<Found, LinkError> {
        let asked = v1::FindJobsRequest { text: text.to_owned(), limit };
        let call = || {
            let (mut desk, request) = (self.strip_desk(), self.request(asked.clone()));
            async move { desk.find_jobs(request).await }
        };
        Ok(decode::found(&self.tried(call).await.result?)?)
    }

    /// All that is known of one job.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn course(&self, of: JobRef) -> Result<Course, LinkError> {
        let asked = v1::JobCourseRequest { job: Some(job(of)) };
        let call = || {
            let (mut desk, request) = (self.strip_desk(), self.request(asked.clone()));
            async move { desk.job_course(request).await }
        };
        Ok(decode::course(&self.tried(call).await.result?)?)
    }

    /// The tournament.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn venue(&self) -> Result<VenueView, LinkError> {
        let asked = v1::GetVenueRequest {};
        let call = || {
            let (mut desk, request) = (self.journal(), self.request(asked));
            async move { desk.get_venue(request).await }
        };
        Ok(decode::venue(&self.tried(call).await.result?)?)
    }

    /// Events from a number on; at most `limit`, the server's usual number for 0.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn events(&self, from: Seq, limit: u32) -> Result<EventBatch, LinkError> {
        let asked = v1::ReadRequest { from_seq: from.0, limit };
        let call = || {
            let (mut desk, request) = (self.journal(), self.request(asked));
            async move { desk.read(request).await }
        };
        Ok(decode::events(&self.tried(call).await.result?)?)
    }

    /// The journal's newest number, and its epoch, which the link keeps.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn journal_head(&self) -> Result<JournalHead, LinkError> {
        let call = || {
            let (mut desk, request) = (self.journal(), self.request(v1::HeadRequest {}));
            async move { desk.head(request).await }
        };
        let head = decode::head(&self.tried(call).await.result?);
        self.saw_epoch(head.epoch);
        Ok(head)
    }

    /// Has the server recompute the chain of hashes.
    ///
    /// # Errors
    /// What the server or the connection said last.
    pub async fn verify(&self) -> Result<Verified, LinkError> {
        let call = || {
            let request = self.request_within(v1::VerifyRequest {}, VERIFY_WITHIN);
            let mut desk = self.journal();
            async move { desk.verify(request).await }
        };
        Ok(decode::verified(&self.tried(call).await.result?))
    }
}
