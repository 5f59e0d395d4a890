//! `HeadDesk`.

use remise_proto::v1;
use remise_proto::v1::head_desk_server::HeadDesk;
use tonic::{Request, Response, Status};

use super::decode::head;
use super::desks::{Desks, caller};
use super::encode::{self, View};
use super::errors;
use super::feed::{self, End, Feed, Outlet, WINDOW};

super::actions! {
    impl HeadDesk {
        take_over(TakeOverRequest) = head::take_over;
        ready_anyway(ReadyAnywayRequest) = head::ready_anyway;
        release_confiscated(ReleaseConfiscatedRequest) = head::release_confiscated;
        pin(PinRequest) = head::pin;
        redirect(RedirectRequest) = head::redirect;
        open_bench(OpenBenchRequest) = head::open_bench;
        close_bench(CloseBenchRequest) = head::close_bench;
        close_bench_at(CloseBenchAtRequest) = head::close_bench_at;
        close_day(CloseDayRequest) = head::close_day;
    }

    type WatchRoomStream = Feed<v1::Board>;
    type WatchPlanStream = Feed<v1::Plan>;

    async fn room(&self, request: Request<v1::RoomRequest>) -> Result<Response<v1::Board>, Status> {
        let caller = caller(&request)?;
        Ok(Response::new(self.board(&caller.station, View::Room)))
    }

    async fn watch_room(&self, request: Request<v1::RoomRequest>) -> Result<Response<Feed<v1::Board>>, Status> {
        let caller = caller(&request)?;
        Ok(Response::new(self.watch_board(caller.station, View::Room)))
    }

    async fn watch_plan(
        &self,
        request: Request<v1::WatchPlanRequest>,
    ) -> Result<Response<Feed<v1::Plan>>, Status> {
        let caller = caller(&request)?;
        let desks = self.clone();
        let plans = feed::start(move |outlet| async move { desks.send_plans(&outlet, &caller.station).await });
        Ok(Response::new(plans))
    }

    async fn night_list(
        &self,
        request: Request<v1::NightListRequest>,
    ) -> Result<Response<v1::NightReport>, Status> {
        let caller = caller(&request)?;
        let moment = self.moment();
        Ok(Response::new(encode::night_report(&moment.lens(&caller.station))))
    }

    async fn what_if(
        &self,
        request: Request<v1::WhatIfRequest>,
    ) -> Result<Response<v1::WhatIfReport>, Status> {
        let caller = caller(&request)?;
        let moves = head::what_if(request.into_inner(), &caller.station);
        let moves = moves.map_err(|why| errors::unreadable(&why))?;
        Ok(Response::new(self.try_moves(&caller.station, moves).await?))
    }
}

impl Desks {
    async fn send_plans(mut self, outlet: &Outlet<v1::Plan>, station: &crate::stations::Station) -> End {
        let mut plans = self.house.planner.plans();
        loop {
            let plan = plans.borrow_and_update().clone();
            let resume = plan.based_on.0;
            if let Err(end) = outlet
                .send(encode::plan(&self.house.desk.snapshot().room, &plan), || errors::too_slow(resume))
                .await
            {
                return end;
            }
            let next = async {
                tokio::time::sleep(WINDOW).await;
                plans.changed().await.is_ok()
            };
            let goes_on = tokio::select! {
                () = outlet.gone() => return End::Gone,
                _ = self.closing.wait_for(|closing| *closing) => false,
                goes_on = next => goes_on,
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
