//! Carrying out what a state asks for: each task runs by itself and brings its outcome back as a message.

use std::time::Duration;

use remise_core::armoury::Spot;
use remise_core::ids::{BenchId, StripId};
use remise_link::{Address, Link, Options, Role, Sent, WatchEvent, live_id};
use tokio::sync::{mpsc, watch};
use tokio::task::{AbortHandle, JoinSet};

use super::state::{Msg, Task};
use crate::named::Named;

/// Pause between tries to connect.
const PAUSE: Duration = Duration::from_secs(2);

/// The tasks of one screen.
pub struct Tasks {
    address: Address,
    named: Named,
    options: Options,
    to: mpsc::Sender<Msg>,
    /// The connection, once there is one.
    link: watch::Sender<Option<Link>>,
    watching: Option<AbortHandle>,
    /// What runs; it ends with the screen.
    running: JoinSet<()>,
}

impl Tasks {
    /// Tasks that report to `to`.
    pub fn new(address: Address, named: Named, options: Options, to: mpsc::Sender<Msg>) -> Self {
        let (link, running) = (watch::Sender::new(None), JoinSet::new());
        Self { address, named, options, to, link, watching: None, running }
    }

    /// Connects, however long it takes, and watches the board.
    pub fn watch(&mut self) {
        if let Some(old) = self.watching.take() {
            old.abort();
        }
        let (address, named, options) = (self.address.clone(), self.named, self.options.clone());
        let (to, link) = (self.to.clone(), self.link.clone());
        self.watching = Some(self.running.spawn(async move {
            // Nobody listens any more when sending fails: the screen has ended.
            let _ = follow(address, named, options, &to, &link).await;
        }));
    }

    /// Begins a task.
    pub fn begin(&mut self, task: Task) {
        if task == Task::Reconnect {
            return self.watch();
        }
        let (to, mut link) = (self.to.clone(), self.link.subscribe());
        self.running.spawn(async move {
            let Ok(known) = link.wait_for(Option::is_some).await.map(|link| link.clone()) else { return };
            let Some(link) = known else { return };
            let msg = carry_out(&link, task).await;
            let _ = to.send(msg).await;
        });
    }

    /// Returns when a task has panicked: what it was to bring will never come. Dropping the future loses nothing.
    pub async fn failed(&mut self) {
        loop {
            match self.running.join_next().await {
                Some(Err(error)) if error.is_panic() => return,
                Some(_) => {}
                // A task that is begun later is waited for when this is asked again.
                None => return std::future::pending().await,
            }
        }
    }
}

async fn carry_out(link: &Link, task: Task) -> Msg {
    match task {
        Task::Send { ticket, command } => {
            let request_id = live_id(link.options().clock.now());
            let sent = Sent { request_id, happened_at: None, command: *command };
            answer(link, ticket, sent).await
        }
        Task::SendAgain { ticket, sent } => answer(link, ticket, *sent).await,
        Task::ReadCourse(job, why) => Msg::Course(why, Box::new(link.course(job).await)),
        Task::Search(text) => {
            let found = link.find_jobs(&text, 0).await;
            Msg::Found(text, Box::new(found))
        }
        Task::Try(command, what) => Msg::Tried(what, Box::new(link.what_if(&[*command]).await)),
        Task::ReadNight => Msg::Night(Box::new(link.night_list().await)),
        Task::ReadVenue | Task::Reconnect => venue(link).await,
    }
}

async fn answer(link: &Link, ticket: u64, sent: Sent) -> Msg {
    let result = link.send(&sent).await;
    if let Err(error) = &result {
        tracing::warn!(%error, reason = error.reason(), "not done");
    }
    Msg::Answered { ticket, sent: Box::new(sent), result }
}

/// The tournament's file is needed for names and walks; without it the screen cannot work, so it is asked for
/// until it comes.
async fn venue(link: &Link) -> Msg {
    loop {
        match link.venue().await {
            Ok(venue) => return Msg::Venue(Box::new(venue)),
            Err(error) if error.may_retry() => tokio::time::sleep(PAUSE).await,
            Err(error) => return Msg::Over(error),
        }
    }
}

/// The screen has ended.
struct Ended;

async fn follow(
    address: Address,
    named: Named,
    options: Options,
    to: &mpsc::Sender<Msg>,
    link: &watch::Sender<Option<Link>>,
) -> Result<(), Ended> {
    let open = connect(&address, &options, to).await?;
    let Some(open) = open else { return Ok(()) };
    if let Err(other) = named.fits(&open.welcome()) {
        return tell(to, Msg::Over(other)).await;
    }
    tell(to, Msg::Hello(Box::new(open.welcome()))).await?;
    let role = open.welcome().role.or(address.open.as_ref().map(|open| open.role));
    let mut news = match role {
        Some(Role::Bench) => open.watch_bench(open.welcome().bench.or(bench(&address))),
        Some(Role::Head | Role::Observer) => open.watch_room(),
        Some(Role::Counter) => open.watch_strip(Some(Spot::Counter)),
        _ => open.watch_strip(open.welcome().strip.or(strip(&address)).map(Spot::Strip)),
    };
    link.send_replace(Some(open));
    while let Some(event) = news.next().await {
        match event {
            WatchEvent::News(board) => tell(to, Msg::Board(Box::new(board))).await?,
            WatchEvent::Away { since, reason } => tell(to, Msg::Away(since, reason)).await?,
            WatchEvent::Back => {}
            WatchEvent::Over(error) => tell(to, Msg::Over(error)).await?,
        }
    }
    Ok(())
}

fn bench(address: &Address) -> Option<BenchId> {
    address.open.as_ref().and_then(|open| open.bench)
}

fn strip(address: &Address) -> Option<StripId> {
    address.open.as_ref().and_then(|open| open.strip)
}

/// Connects; `None` when no further try would help, which was told.
async fn connect(
    address: &Address,
    options: &Options,
    to: &mpsc::Sender<Msg>,
) -> Result<Option<Link>, Ended> {
    loop {
        match Link::connect_with(address.clone(), options.clone()).await {
            Ok(link) => return Ok(Some(link)),
            Err(error) if error.may_retry() => {
                let since = options.clock.now();
                tell(to, Msg::Away(since, error.to_string())).await?;
                tokio::time::sleep(PAUSE).await;
            }
            Err(error) => {
                tell(to, Msg::Over(error)).await?;
                return Ok(None);
            }
        }
    }
}

async fn tell(to: &mpsc::Sender<Msg>, msg: Msg) -> Result<(), Ended> {
    to.send(msg).await.map_err(|_| Ended)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn tasks() -> Tasks {
        Tasks::new(
            Address::parse("127.0.0.1:1").unwrap(),
            Named::default(),
            Options::default(),
            mpsc::channel(1).0,
        )
    }

    #[tokio::test]
    async fn a_panic_of_a_task_is_told_and_an_end_is_not() {
        let mut tasks = tasks();
        tasks.running.spawn(async {});
        tasks.running.spawn(std::future::pending());
        tasks.running.spawn(async { panic!("planted") });
        tasks.failed().await;
        assert_eq!(tasks.running.len(), 1, "the task that ended well was passed over");
    }

    #[tokio::test]
    async fn what_runs_ends_with_the_screen() {
        let mut tasks = tasks();
        let (held, mut freed) = mpsc::channel::<()>(1);
        tasks.running.spawn(async move {
            std::future::pending::<()>().await;
            drop(held);
        });
        tokio::task::yield_now().await;
        drop(tasks);
        assert_eq!(freed.recv().await, None);
    }
}
