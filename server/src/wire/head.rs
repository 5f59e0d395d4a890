//! `HeadDesk`: what the head armourer asks for.

use remise_proto::v1;
use remise_proto::v1::head_desk_server::HeadDesk;
use tonic::{Request, Response, Status};

use super::decode::head as read;
use super::door::Door;
use super::encode::{self, View};
use super::watch::{self, BoardStream, PlanStream};

/// The service.
pub struct Heads(pub Door);

super::actions! {
    Heads as HeadDesk, "HeadDesk", read;
    take_over TakeOver TakeOverRequest, ready_anyway ReadyAnyway ReadyAnywayRequest,
    release_confiscated ReleaseConfiscated ReleaseConfiscatedRequest, pin Pin PinRequest,
    redirect Redirect RedirectRequest, open_bench OpenBench OpenBenchRequest,
    close_bench CloseBench CloseBenchRequest, close_day CloseDay CloseDayRequest;
    {
        type WatchRoomStream = BoardStream;
        type WatchPlanStream = PlanStream;

        async fn room(&self, request: Request<v1::RoomRequest>) -> Result<Response<v1::Board>, Status> {
            let station = self.0.enter(request.metadata(), "HeadDesk/Room")?;
            Ok(Response::new(self.0.with_lens(&station, |lens| encode::full(lens, View::Room))))
        }

        async fn watch_room(
            &self,
            request: Request<v1::RoomRequest>,
        ) -> Result<Response<Self::WatchRoomStream>, Status> {
            let station = self.0.enter(request.metadata(), "HeadDesk/WatchRoom")?;
            Ok(Response::new(watch::board(&self.0, station, View::Room)))
        }

        async fn watch_plan(
            &self,
            request: Request<v1::WatchPlanRequest>,
        ) -> Result<Response<Self::WatchPlanStream>, Status> {
            let station = self.0.enter(request.metadata(), "HeadDesk/WatchPlan")?;
            Ok(Response::new(watch::plan(&self.0, station)))
        }

        async fn night_list(
            &self,
            request: Request<v1::NightListRequest>,
        ) -> Result<Response<v1::NightReport>, Status> {
            let station = self.0.enter(request.metadata(), "HeadDesk/NightList")?;
            Ok(Response::new(self.0.with_lens(&station, encode::night_report)))
        }
    }
}
