//! Putting a server together and taking it apart: journal, desk, planner, wire, and the upkeep that time asks for.

use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use remise_core::armoury::Command;
use remise_core::plan::{LanePlanner, Planner};
use thiserror::Error;
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tokio::time::{Instant, MissedTickBehavior};

use crate::clock::Clock;
use crate::desk::{self, DeskError, DeskSettings, LoadError, OpenReader, Request};
use crate::house::House;
use crate::journal::{Journal, JournalError, MemoryDisk, SqliteJournal, SqliteReader};
use crate::planner::{self, OWN_STATION};
use crate::stations::Access;
use crate::tournament::Tournament;
use crate::wire;

/// How often time-bound things are looked at.
const TICK: Duration = Duration::from_secs(5);

/// A journal with the way to read it from other threads.
pub struct Store {
    journal: Box<dyn Journal>,
    open_reader: OpenReader,
}

impl Store {
    /// The journal in a data folder, made when there is none.
    pub fn sqlite(folder: &Path) -> Result<Self, JournalError> {
        let journal = SqliteJournal::open(folder)?;
        let path = journal.path().to_path_buf();
        let open_reader = Arc::new(move || SqliteReader::open(&path).map(|reader| Box::new(reader) as _));
        Ok(Self { journal: Box::new(journal), open_reader })
    }

    /// A simulated disk.
    pub fn memory(disk: &MemoryDisk) -> Self {
        let (journal, disk) = (Box::new(disk.open()), disk.clone());
        Self { journal, open_reader: Arc::new(move || disk.open().reader()) }
    }
}

/// How a server runs.
pub struct Settings {
    /// Its time.
    pub clock: Clock,
    /// How its desk works.
    pub desk: DeskSettings,
    /// Who plans the lanes.
    pub planner: Box<dyn Planner>,
    /// Whether it plans and looks at the time by itself. A rehearsal says no and calls [`Running::settle`].
    pub by_itself: bool,
}

impl Settings {
    /// As a venue runs it.
    pub fn live() -> Self {
        Self {
            clock: Clock::of_the_machine(),
            desk: DeskSettings::default(),
            planner: Box::new(LanePlanner::default()),
            by_itself: true,
        }
    }

    /// As a rehearsal runs it: with its own clock, and nothing happens by itself.
    pub fn rehearsal(clock: Clock) -> Self {
        Self { clock, by_itself: false, ..Self::live() }
    }
}

/// Why a server did not start.
#[derive(Debug, Error)]
pub enum StartError {
    /// The armoury could not be built.
    #[error(transparent)]
    Load(#[from] LoadError),
    /// The tournament file was not accepted.
    #[error("the tournament could not be opened: {0}")]
    Tournament(#[from] DeskError),
    /// The address could not be used.
    #[error("the server cannot listen: {0}")]
    Listen(#[from] io::Error),
}

/// A server at work.
pub struct Running {
    address: SocketAddr,
    house: House,
    stop: oneshot::Sender<()>,
    serving: JoinHandle<Result<(), wire::ServeError>>,
    upkeep: Option<JoinHandle<()>>,
    threads: Vec<thread::JoinHandle<()>>,
}

impl Running {
    /// Starts a server on a journal and a listener.
    pub async fn start(
        store: Store,
        tournament: Option<Tournament>,
        access: Access,
        listener: TcpListener,
        settings: Settings,
    ) -> Result<Self, StartError> {
        let Settings { clock, desk: desk_settings, planner, by_itself } = settings;
        let (desk, desk_thread) = desk::open(store.journal, clock.clone(), desk_settings, store.open_reader)?;
        if let Some(Tournament { venue, armourers, .. }) = tournament {
            let armourers = armourers.into_iter().collect();
            let command = Command::SetVenue { venue, armourers };
            let station = OWN_STATION.into();
            desk.submit(Request { request_id: None, station, happened_at: None, command, deadline: None })
                .await?;
        }
        let (planner, planner_thread) = planner::start(&desk, clock.clone(), planner, by_itself);
        let house = House { desk, planner, clock };
        let address = listener.local_addr()?;
        let (stop, stopped) = oneshot::channel();
        let shutdown = async move {
            // A dropped sender stops the server as well.
            let _ = stopped.await;
        };
        let serving = tokio::spawn(wire::serve(listener, house.clone(), access, shutdown));
        let upkeep = by_itself.then(|| tokio::spawn(upkeep(house.clone())));
        Ok(Self { address, house, stop, serving, upkeep, threads: vec![desk_thread, planner_thread] })
    }

    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Its parts.
    pub fn house(&self) -> &House {
        &self.house
    }

    /// Plans now, says what is worth saying, and lets time-bound things happen; returns when all of it is journalled.
    /// For rehearsals, where nothing happens by itself.
    pub async fn settle(&self) {
        planner::tick(&self.house.desk, &self.house.clock).await;
        if let Some(plan) = self.house.planner.plan_now().await {
            planner::say(&self.house.desk, &plan).await;
        }
    }

    /// Serves until `signal`, then stops in good order.
    pub async fn until(self, signal: impl Future<Output = ()>) {
        signal.await;
        self.stop().await;
    }

    /// Takes no new requests, answers those that wait, closes the journal.
    pub async fn stop(self) {
        let Self { house, stop, serving, upkeep, threads, .. } = self;
        // The receiver is gone when serving has ended by itself.
        let _ = stop.send(());
        if let Some(upkeep) = upkeep {
            upkeep.abort();
            let _ = upkeep.await;
        }
        match serving.await {
            Ok(Ok(())) => {}
            Ok(Err(error)) => tracing::error!(%error, "the wire ended with an error"),
            Err(error) => tracing::error!(%error, "the wire ended unexpectedly"),
        }
        drop(house);
        let joined = tokio::task::spawn_blocking(move || {
            threads.into_iter().map(thread::JoinHandle::join).all(|end| end.is_ok())
        });
        if !joined.await.unwrap_or(false) {
            tracing::error!("a thread ended unexpectedly; what is journalled is unharmed");
        }
    }
}

/// Promises are said no more often than this, many in one commit: while the desk commits them, commands wait.
const SAY_EVERY: Duration = Duration::from_millis(500);

/// What a server does by itself: plans when something happened, says promises, looks at the time.
async fn upkeep(house: House) {
    let mut publications = house.desk.publications();
    let mut plans = house.planner.plans();
    let mut tick = tokio::time::interval(TICK);
    tick.set_missed_tick_behavior(MissedTickBehavior::Delay);
    house.planner.look();
    let (mut said, mut due) = (None, None);
    loop {
        tokio::select! {
            changed = publications.changed() => {
                if changed.is_err() {
                    return;
                }
                house.planner.look();
            }
            changed = plans.changed() => {
                if changed.is_err() {
                    return;
                }
                due = due.or_else(|| Some(said.map_or_else(Instant::now, |said| said + SAY_EVERY)));
            }
            () = tokio::time::sleep_until(due.unwrap_or_else(Instant::now)), if due.is_some() => {
                (said, due) = (Some(Instant::now()), None);
                let plan = plans.borrow_and_update().clone();
                planner::say(&house.desk, &plan).await;
            }
            _ = tick.tick() => planner::tick(&house.desk, &house.clock).await,
        }
    }
}
