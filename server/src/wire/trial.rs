//! Trying the head's moves: planned aside, off the threads that answer, by a planner of its own. The desk and the planner
//! at work notice nothing of it.

use std::sync::Arc;

use remise_core::armoury::Command;
use remise_core::plan::lanes::BUDGET;
use remise_core::plan::{LanePlanner, Planner, what_if};
use remise_proto::v1;
use tonic::Status;

use super::desks::Desks;
use super::{encode, errors};
use crate::stations::Station;

impl Desks {
    /// What the moves would change now. One question at a time, however many ask: planning takes a core.
    pub(super) async fn try_moves(
        &self,
        station: &Arc<Station>,
        moves: Vec<Command>,
    ) -> Result<v1::WhatIfReport, Status> {
        let turn = Arc::clone(&self.trials).acquire_owned().await.map_err(|_| errors::going_down())?;
        let (moment, station) = (self.moment(), Arc::clone(station));
        let tried = tokio::task::spawn_blocking(move || {
            // Kept until the plans are made, also when the caller has gone by then.
            let _turn = turn;
            let (room, newest) = (&moment.published.room, &*moment.plan);
            let planner = || -> Box<dyn Planner> { Box::new(LanePlanner::going_on(BUDGET, room, newest)) };
            let tried = what_if(room, moment.now, &moves, planner);
            tried.map(|what| encode::what_if(&moment.lens(&station), &what))
        });
        match tried.await {
            Ok(Ok(report)) => Ok(report),
            Ok(Err(stopped)) => Err(errors::move_refused(&stopped)),
            Err(failed) => {
                tracing::error!(%failed, "moves could not be tried");
                Err(errors::trial_failed())
            }
        }
    }
}
