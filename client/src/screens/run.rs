//! The loop: one stream of keys, the server's news, what tasks bring back, and a tick a second; each becomes a
//! message, and what the state asks for becomes a task.

use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::Duration;

use crossterm::event::{Event, EventStream, KeyEvent};
use futures_util::StreamExt as _;
use remise_core::armoury::Spot;
use remise_core::time::Stamp;
use remise_link::{Address, Clock as _, Link, LinkError, Options, Role as Station, SystemClock};
use tokio::sync::mpsc;
use tokio::time::Instant;

use super::burst::Burst;
use super::signals::{self, Signals, Told};
use super::state::{Msg, Role, State};
use super::tasks::Tasks;
use super::terminal::{self, Terminal};
use super::theme::Theme;
use super::{update, view};
use crate::failure::Failure;
use crate::named::Named;

/// Messages that may wait for the screen.
const WAITING: usize = 256;

/// Which screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    /// For a strip's official.
    Strip,
    /// For the counter.
    Counter,
    /// For a bench's armourer.
    Bench,
    /// For the head armourer.
    Head,
}

impl Screen {
    /// As it is called on the command line.
    fn word(self) -> &'static str {
        match self {
            Self::Strip => "strip",
            Self::Counter => "counter",
            Self::Bench => "bench",
            Self::Head => "head",
        }
    }

    fn role(self) -> Role {
        match self {
            Self::Strip => Role::Strip,
            Self::Counter => Role::Counter,
            Self::Bench => Role::Bench,
            Self::Head => Role::Head,
        }
    }
}

/// Opens a screen and returns when it is closed. Logs go to the file or nowhere: the terminal is the screen's.
///
/// # Errors
/// What kept it from opening, or what ended it. The terminal is given back in every case.
pub fn run(
    screen: Screen,
    address: Address,
    named: Named,
    options: Options,
    log: Option<&Path>,
) -> Result<(), Failure> {
    if !terminal::is_there() {
        return Err(Failure::usage(
            "a screen needs a terminal, and standard input or output is none",
            "Start it in a terminal window, or name an action: `--help` lists them.",
        ));
    }
    let _log = log.map(log_to).transpose()?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|error| Failure::broken(format!("the program cannot start: {error}")))?;
    let played = AssertUnwindSafe(|| runtime.block_on(open(screen, address, named, options)));
    let result = catch_unwind(played).unwrap_or_else(|_| Err(mistake()));
    // A watch or a send that hangs must not keep the program from ending.
    runtime.shutdown_timeout(Duration::from_millis(200));
    result
}

/// Writes logs to a file until the guard is dropped.
fn log_to(file: &Path) -> Result<tracing_appender::non_blocking::WorkerGuard, Failure> {
    let opened = std::fs::OpenOptions::new().create(true).append(true).open(file).map_err(|error| {
        Failure::usage(format!("the log file cannot be written: {error}"), "Name another file after --log.")
    })?;
    let (writer, guard) = tracing_appender::non_blocking(opened);
    let subscriber = tracing_subscriber::fmt().with_writer(writer).with_ansi(false).finish();
    // A second subscriber is refused; then the first goes on, which is what is wanted.
    let _ = tracing::subscriber::set_global_default(subscriber);
    Ok(guard)
}

/// Connects and shows the screen. A server that is away is waited for on the screen; what no waiting mends is said
/// before the screen opens.
async fn open(screen: Screen, address: Address, named: Named, options: Options) -> Result<(), Failure> {
    knows_where(screen, &address)?;
    let state = first_state(screen, &address);
    let (to, from) = mpsc::channel(WAITING);
    let tasks = Tasks::new(address.clone(), named, options.clone(), to);
    match Link::connect_with(address, Options { retry: remise_link::Retry::once(), ..options }).await {
        Ok(link) => {
            fits(screen, link.welcome().role)?;
            named.fits(&link.welcome()).map_err(refused)?;
        }
        Err(error) if error.may_retry() => {}
        Err(error) => return Err(refused(error)),
    }
    show(state, tasks, from).await
}

fn refused(error: LinkError) -> Failure {
    Failure::from(error)
}

/// Without a token a bench and a strip have to say which they are.
fn knows_where(screen: Screen, address: &Address) -> Result<(), Failure> {
    let open = address.open.as_ref();
    let missing = match screen {
        _ if address.token.is_some() => None,
        Screen::Bench if open.is_none_or(|open| open.bench.is_none()) => Some("bench"),
        Screen::Strip if open.is_none_or(|open| open.strip.is_none()) => Some("strip"),
        _ => None,
    };
    let Some(what) = missing else { return Ok(()) };
    Err(Failure::usage(
        format!("this screen has to know which {what} it is for"),
        format!("Start it as `remise {what} --{what} 1`, or with the {what}'s token in REMISE_TOKEN."),
    ))
}

/// A token says who the station is: another screen would only be refused, again and again.
fn fits(screen: Screen, role: Option<Station>) -> Result<(), Failure> {
    let Some(role) = role else { return Ok(()) };
    let fits = match screen {
        Screen::Strip => role == Station::Strip,
        Screen::Counter => matches!(role, Station::Counter | Station::Head),
        Screen::Bench => role == Station::Bench,
        Screen::Head => role == Station::Head,
    };
    if fits {
        return Ok(());
    }
    let (has, wants) = (role.code(), screen.word());
    let hint = match role {
        Station::Observer => format!("An observer has no screen: use a {wants} station's token."),
        _ => format!(
            "Open `remise {has}` with this token, or put a {wants} station's token into REMISE_TOKEN."
        ),
    };
    Err(Failure::usage(format!("the token is that of a {has} station, and this is the {wants} screen"), hint))
}

fn first_state(screen: Screen, address: &Address) -> State {
    let open = address.open.as_ref();
    let spot = match screen {
        Screen::Strip => open.and_then(|open| open.strip).map(Spot::Strip),
        Screen::Counter => Some(Spot::Counter),
        _ => None,
    };
    State::new(screen.role(), spot, open.and_then(|open| open.bench), now())
}

fn now() -> Stamp {
    SystemClock.now()
}

/// What came in.
enum Came {
    Messages(Vec<Msg>),
    Key(KeyEvent),
    Redraw,
    Lost(io::Error),
    End(Failure),
}

async fn show(mut state: State, mut tasks: Tasks, mut from: mpsc::Receiver<Msg>) -> Result<(), Failure> {
    let theme = Theme { colour: std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty()) };
    let mut signals = Signals::listen().map_err(|error| broken(&error))?;
    let mut terminal = Terminal::open().map_err(|error| broken(&error))?;
    let mut keys = EventStream::new();
    let mut second = tokio::time::interval(Duration::from_secs(1));
    second.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Skip);
    tasks.watch();
    let mut burst = Burst::default();
    while !state.over {
        // Drawing would take time that a scanner does not give.
        if burst.due().is_none()
            && let Err(error) = terminal.draw(|frame| view(&state, frame, theme))
        {
            return Err(lost(&error, &mut signals).await);
        }
        let came = tokio::select! {
            event = keys.next() => from_terminal(event),
            Some(msg) = from.recv() => Came::Messages(vec![msg]),
            _ = second.tick() => Came::Messages(vec![Msg::Tick(now())]),
            () = pause(burst.due()) => Came::Messages(burst.give_up()),
            told = signals.next() => from_outside(told),
            () = tasks.failed() => Came::End(mistake()),
        };
        match came {
            Came::Key(key) => take(&mut state, &mut tasks, burst.key(key, Instant::now())),
            Came::Messages(mut all) => {
                // What came at the same moment is drawn at once.
                all.extend(std::iter::from_fn(|| from.try_recv().ok()));
                take(&mut state, &mut tasks, all);
            }
            Came::Redraw => {}
            Came::Lost(error) => return Err(lost(&error, &mut signals).await),
            Came::End(failure) => return Err(failure),
        }
    }
    Ok(())
}

fn take(state: &mut State, tasks: &mut Tasks, all: Vec<Msg>) {
    for task in all.into_iter().flat_map(|msg| update(state, msg)).collect::<Vec<_>>() {
        tasks.begin(task);
    }
}

/// Returns at that moment; never when there is none.
async fn pause(until: Option<Instant>) {
    match until {
        Some(until) => tokio::time::sleep_until(until).await,
        None => std::future::pending().await,
    }
}

/// When the terminal goes away its stream ends, or fails again and again: both end the program.
fn from_terminal(event: Option<io::Result<Event>>) -> Came {
    match event {
        Some(Ok(Event::Key(key))) => Came::Key(key),
        Some(Ok(Event::Paste(text))) => Came::Messages(vec![Msg::Paste(text)]),
        Some(Ok(_)) => Came::Redraw,
        Some(Err(error)) => Came::Lost(error),
        None => Came::Lost(io::ErrorKind::UnexpectedEof.into()),
    }
}

/// A stop lasts until somebody lets the program go on; then everything is drawn anew.
fn from_outside(told: Told) -> Came {
    let taken = match told {
        Told::End(signal) => return Came::End(Failure::signalled(signal)),
        Told::Stop => signals::stop(),
        Told::GoOn => terminal::take_again(),
    };
    match taken {
        Ok(()) => Came::Redraw,
        Err(error) => Came::Lost(error),
    }
}

/// Nothing can be drawn any more. When the terminal has gone away, that is about to be told.
async fn lost(error: &io::Error, signals: &mut Signals) -> Failure {
    match tokio::time::timeout(Duration::from_millis(200), signals.next()).await {
        Ok(Told::End(signal)) => Failure::signalled(signal),
        _ => broken(error),
    }
}

fn broken(error: &io::Error) -> Failure {
    Failure::ended(format!("the terminal cannot be used: {error}"))
}

/// A task or the loop panicked; the panic's own message was printed when it happened.
fn mistake() -> Failure {
    Failure::ended("the screen ended by a mistake in this program, which is told above")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use remise_link::OpenStation;

    use super::*;

    #[test]
    fn a_token_of_another_station_is_told_by_its_name() {
        let failure = fits(Screen::Head, Some(Station::Strip)).unwrap_err().sentences();
        for says in ["a strip station", "the head screen", "remise strip", "REMISE_TOKEN"] {
            assert!(failure.contains(says), "{failure}");
        }
        for (screen, role) in [
            (Screen::Counter, Station::Head),
            (Screen::Bench, Station::Bench),
            (Screen::Strip, Station::Strip),
            (Screen::Head, Station::Head),
        ] {
            assert_eq!(fits(screen, Some(role)), Ok(()));
        }
        assert!(fits(Screen::Head, Some(Station::Observer)).is_err());
    }

    #[test]
    fn a_bench_without_a_number_is_asked_for_it() {
        let mut address = Address::parse("127.0.0.1:1").unwrap();
        for (screen, flag) in [(Screen::Bench, "--bench 1"), (Screen::Strip, "--strip 1")] {
            let failure = knows_where(screen, &address).unwrap_err().sentences();
            assert!(failure.contains(flag), "{failure}");
        }
        assert_eq!(knows_where(Screen::Head, &address), Ok(()));
        let bench = Some(remise_core::ids::BenchId(2));
        address.open = Some(OpenStation { role: Station::Bench, name: "bench".into(), strip: None, bench });
        assert_eq!(knows_where(Screen::Bench, &address), Ok(()));
    }
}
