//! The director: takes errands off the agenda in order, lets somebody carry each out, moves the clock on.
//!
//! An errand has three steps. It is *prepared* (what does this person see now, and what will they ask for), the command
//! is *sent*, and what comes back is *followed* by new errands. Played in order, one command is in flight at a time.
//! Played as a race, all errands of a minute are prepared, then sent at once.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use remise_core::armoury::{Command, Place};
use remise_core::ids::{BenchId, CallId};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp};
use remise_core::venue::Venue;
use remise_link::{Accepted, LinkError};
use remise_server::clock::SetClock;
use remise_server::start::Running;
use tokio::sync::watch;

use crate::day::Day;

use super::PlayError;
use super::agenda::{Agenda, Errand, What, Who};
use super::bench::Bench;
use super::cast::{self, Cast};
use super::evening::Evening;
use super::scene::Scene;
use super::thing::{ThingId, Things};

/// In a race, errands of this much time happen at once.
const RACE_WINDOW: Span = Span::minutes(1);

/// What moves the time of a server that is played with.
pub(super) enum Theatre {
    /// A server of our own, with a clock that we set.
    Own { server: Box<Running>, clock: Arc<SetClock> },
    /// Somebody else's server, with its own time.
    Other,
}

/// Everything about a day that is being played.
pub(super) struct Director<'d> {
    pub day: &'d Day,
    pub venue: Venue,
    pub cast: Cast,
    pub agenda: Agenda,
    pub things: Things,
    /// The thing of each hand-in of the day.
    pub handed: Vec<ThingId>,
    pub benches: BTreeMap<BenchId, Bench>,
    pub evening: Evening,
    /// Swaps that happened and were not put right yet.
    pub mixed_up: BTreeSet<usize>,
    /// What lies where in the evening.
    pub lying: Vec<(Place, Tag)>,
    pub now: Stamp,
    /// Something was recorded since benches last looked.
    pub changed: bool,
    pub commands: u64,
    pub theatre: Theatre,
    pub race: bool,
    pub scenes: watch::Sender<Scene>,
}

/// A prepared errand: what is asked, if anything.
type Prepared = (Errand, Option<Command>);

impl Director<'_> {
    /// Plays until nothing is left to do.
    pub async fn run(&mut self) -> Result<(), PlayError> {
        self.set_out();
        loop {
            while let Some(at) = self.agenda.next_at() {
                self.move_on(at).await;
                if self.race {
                    self.play_race().await?;
                } else {
                    self.play_in_order().await?;
                }
                self.settle().await;
                self.let_idle_benches_look();
                self.show().await;
            }
            if !self.next_of_the_evening().await? {
                return Ok(());
            }
        }
    }

    async fn move_on(&mut self, at: Stamp) {
        if at > self.now {
            self.now = at;
            if let Theatre::Own { clock, .. } = &self.theatre {
                clock.set(at);
            }
            self.settle().await;
        }
    }

    async fn settle(&self) {
        if let Theatre::Own { server, .. } = &self.theatre {
            server.settle().await;
        }
    }

    /// Everything that is due now, one command after another.
    async fn play_in_order(&mut self) -> Result<(), PlayError> {
        while let Some(errand) = self.agenda.due(self.now) {
            let (errand, command) = self.prepare(errand).await?;
            let Some(command) = command else { continue };
            let request = self.cast.request(self.now, command.clone());
            let result = cast::send(self.cast.link(errand.who), request).await;
            self.take_note(errand, &command, result)?;
        }
        Ok(())
    }

    /// Everything that is due within a minute, at once.
    async fn play_race(&mut self) -> Result<(), PlayError> {
        let mut waiting = Vec::new();
        while let Some(errand) = self.agenda.due(self.now + RACE_WINDOW) {
            let (errand, command) = self.prepare(errand).await?;
            if let Some(command) = command {
                let request = self.cast.request(self.now, command.clone());
                let link = self.cast.link(errand.who);
                waiting.push((errand, command, tokio::spawn(cast::send(link, request))));
            }
        }
        for (errand, command, sending) in waiting {
            let result = sending.await.map_err(|error| PlayError::Broken(error.to_string()))?;
            self.take_note(errand, &command, result)?;
        }
        Ok(())
    }

    fn take_note(
        &mut self,
        errand: Errand,
        command: &Command,
        result: Result<Accepted, LinkError>,
    ) -> Result<(), PlayError> {
        self.commands += 1;
        match &result {
            Ok(_) => self.changed = true,
            // A rule was against it: that is part of a day.
            Err(LinkError::Refused { reason, message, .. }) => {
                tracing::debug!(?errand, %reason, %message, "refused");
            }
            // A tag on the wrong item names another strip's job.
            Err(LinkError::NotAllowed { message, .. }) => {
                tracing::debug!(?errand, %message, "not allowed");
            }
            Err(error) => return Err(PlayError::Link(error.clone())),
        }
        self.follow(errand, command, result.ok());
        Ok(())
    }

    async fn prepare(&mut self, errand: Errand) -> Result<Prepared, PlayError> {
        let command = match errand.who {
            Who::Bench(bench) => self.prepare_bench(bench, errand.what).await?,
            Who::Strip(_) | Who::Counter => self.prepare_strip(errand.what).await?,
            Who::Head => match errand.what {
                What::Send(call, number, arrival) => {
                    self.send_to_strip(call, number, arrival).await?;
                    None
                }
                what => self.prepare_head(what),
            },
        };
        Ok((errand, command))
    }

    fn follow(&mut self, errand: Errand, command: &Command, accepted: Option<Accepted>) {
        match errand.who {
            Who::Bench(bench) => self.follow_bench(bench, errand.what, command, accepted.as_ref()),
            Who::Strip(_) | Who::Counter => self.follow_strip(errand, accepted),
            Who::Head => self.follow_head(errand.what, accepted),
        }
    }

    /// Puts the whole day on the agenda.
    fn set_out(&mut self) {
        let day = self.day;
        for (number, plan) in day.hand_ins.iter().enumerate() {
            let thing = self.things.add(plan);
            self.handed.push(thing);
            debug_assert_eq!(number + 1, self.handed.len());
            self.agenda.put(plan.at, super::strip::who(plan.spot), What::HandIn(thing));
        }
        for (number, call) in day.call_outs.iter().enumerate() {
            self.agenda.put(call.at, Who::Strip(call.strip), What::CallOut(number));
        }
        for (number, swap) in day.swaps.iter().enumerate() {
            self.agenda.put(swap.noticed, Who::Head, What::Exchange(number));
        }
        for bench in self.venue.benches.clone() {
            self.benches.insert(bench.id, Bench::default());
            self.plan_breaks(&bench);
            if matches!(self.theatre, Theatre::Other) {
                // Its hours are those of another time of day.
                self.agenda.put(self.now, Who::Head, What::Open(bench.id));
            }
        }
    }

    /// Reads whom the server sent to the strip; that armourer sets out.
    async fn send_to_strip(&mut self, call: CallId, number: usize, arrival: Stamp) -> Result<(), PlayError> {
        let room = self.cast.link(Who::Head).room().await?;
        let sent = room.calls.iter().flatten().find(|open| open.call == call).map(|open| open.bench);
        if let Some(bench) = sent {
            self.sent(bench, call, number, arrival);
        }
        Ok(())
    }

    /// The scene as it is now, for whoever watches.
    async fn show(&mut self) {
        if self.scenes.receiver_count() == 0 || self.now.since(self.scenes.borrow().at) < Span::minutes(1) {
            return;
        }
        if let Ok(room) = self.cast.link(Who::Head).room().await {
            let scene = Scene::of(self, &room);
            self.scenes.send_replace(scene);
        }
    }
}
