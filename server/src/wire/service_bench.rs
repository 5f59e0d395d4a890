//! `BenchDesk`.

use remise_proto::v1;
use remise_proto::v1::bench_desk_server::BenchDesk;
use tonic::{Request, Response, Status};

use super::decode::bench;
use super::desks::{Desks, caller};
use super::feed::Feed;

super::actions! {
    impl BenchDesk {
        take(TakeRequest) = bench::take;
        put_back(PutBackRequest) = bench::put_back;
        pass_on(PassOnRequest) = bench::pass_on;
        interrupt(BenchRequest) = bench::interrupt;
        resume(BenchRequest) = bench::resume;
        go_away(GoAwayRequest) = bench::go_away;
        come_back(BenchRequest) = bench::come_back;
        reach_strip(ReachStripRequest) = bench::reach_strip;
        run_again(RunAgainRequest) = bench::run_again;
        find(FindRequest) = bench::find;
        see(SeeRequest) = bench::see;
        repair(RepairRequest) = bench::repair;
        cure(CureRequest) = bench::cure;
        dry_now(JobRequest) = bench::dry_now;
        no_fault_found(JobRequest) = bench::no_fault_found;
        fault_elsewhere(FaultElsewhereRequest) = bench::fault_elsewhere;
        prove(ProveRequest) = bench::prove;
        ready(JobRequest) = bench::ready;
        withdraw(WithdrawRequest) = bench::withdraw;
        hold(HoldRequest) = bench::hold;
        release(JobRequest) = bench::release;
        end_owed(EndOwedRequest) = bench::end_owed;
        correct(CorrectRequest) = bench::correct;
        exchange_tags(ExchangeTagsRequest) = bench::exchange_tags;
    }

    type WatchBenchStream = Feed<v1::Board>;

    async fn bench_board(&self, request: Request<v1::BenchBoardRequest>) -> Result<Response<v1::Board>, Status> {
        let caller = caller(&request)?;
        let view = self.bench_view(&caller.station, request.into_inner().bench)?;
        Ok(Response::new(self.board(&caller.station, view)))
    }

    async fn watch_bench(
        &self,
        request: Request<v1::BenchBoardRequest>,
    ) -> Result<Response<Feed<v1::Board>>, Status> {
        let caller = caller(&request)?;
        let view = self.bench_view(&caller.station, request.into_inner().bench)?;
        Ok(Response::new(self.watch_board(caller.station, view)))
    }
}
