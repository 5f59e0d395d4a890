//! `BenchDesk`: what benches ask for.

use remise_core::ids::BenchId;
use remise_proto::v1;
use remise_proto::v1::bench_desk_server::BenchDesk;
use tonic::{Request, Response, Status};

use super::decode::{self, bench as read};
use super::door::Door;
use super::encode::{self, View};
use super::errors;
use super::watch::{self, BoardStream};
use crate::stations::{OutOfScope, Station};

/// The service.
pub struct Benches(pub Door);

super::actions! {
    Benches as BenchDesk, "BenchDesk", read;
    take Take TakeRequest, put_back PutBack PutBackRequest, pass_on PassOn PassOnRequest,
    interrupt Interrupt BenchRequest, resume Resume BenchRequest,
    go_away GoAway GoAwayRequest, come_back ComeBack BenchRequest,
    reach_strip ReachStrip ReachStripRequest, run_again RunAgain RunAgainRequest,
    find Find FindRequest, repair Repair RepairRequest, cure Cure CureRequest, dry_now DryNow JobRequest,
    no_fault_found NoFaultFound JobRequest, fault_elsewhere FaultElsewhere FaultElsewhereRequest,
    prove Prove ProveRequest, ready Ready JobRequest, withdraw Withdraw WithdrawRequest,
    hold Hold HoldRequest, release Release JobRequest, end_owed EndOwed EndOwedRequest,
    correct Correct CorrectRequest, exchange_tags ExchangeTags ExchangeTagsRequest;
    {
        type WatchBenchStream = BoardStream;

        async fn bench_board(
            &self,
            request: Request<v1::BenchBoardRequest>,
        ) -> Result<Response<v1::Board>, Status> {
            let station = self.0.enter(request.metadata(), "BenchDesk/BenchBoard")?;
            let bench = self.bench(&station, request.into_inner().bench)?;
            Ok(Response::new(self.0.with_lens(&station, |lens| encode::full(lens, View::Bench(bench)))))
        }

        async fn watch_bench(
            &self,
            request: Request<v1::BenchBoardRequest>,
        ) -> Result<Response<Self::WatchBenchStream>, Status> {
            let station = self.0.enter(request.metadata(), "BenchDesk/WatchBench")?;
            let bench = self.bench(&station, request.into_inner().bench)?;
            Ok(Response::new(watch::board(&self.0, station, View::Bench(bench))))
        }
    }
}

impl Benches {
    /// Which bench: the one asked for, or the station's own.
    fn bench(&self, station: &Station, asked: u32) -> Result<BenchId, Status> {
        let bench = decode::own_bench("bench", asked, station.bench)
            .map_err(|problem| errors::unreadable(&problem))?;
        if let Some(own) = station.bench.filter(|own| *own != bench) {
            return Err(errors::out_of_scope(OutOfScope::OtherBench(own)));
        }
        let known = self.0.look().room.venue.as_ref().is_some_and(|venue| venue.bench(bench).is_some());
        if known {
            Ok(bench)
        } else {
            let hint = "Look at the list of benches and try again.";
            Err(errors::refused(
                "UNKNOWN_BENCH",
                &format!("there is no bench {bench} in this tournament"),
                hint,
            ))
        }
    }
}
