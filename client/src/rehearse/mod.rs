//! `remise rehearse`: plays a day through a real server and says how it went; or plays many days, for one number of
//! benches or for several, and says how many benches are needed.

mod chart;
mod day;
mod live;
mod options;
mod ranges;
mod sweep;
mod table;
mod words;

use std::ffi::OsString;
use std::io::Write;
use std::time::Duration;

use clap::Parser;
use remise_link::Address;
use remise_rehearsal::day::Day;
use remise_rehearsal::play::{self, PlayError, Played, Scene, Settings};
use remise_rehearsal::report::figures;
use tokio::sync::watch;
use tokio::task::JoinHandle;

use crate::exit;
use crate::screens::signals::{self, Signals, Told};
use crate::screens::terminal;

use live::Shown;
use options::Args;

/// Plays a day. Returns the exit code.
pub(crate) fn run(args: &[OsString], out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let name = [OsString::from("remise rehearse")];
    let args = match Args::try_parse_from(name.iter().chain(args)) {
        Ok(args) => args,
        Err(error) => return usage(&error, out, err),
    };
    if let Err(problem) = args.check() {
        return complain(err, &problem, exit::USAGE);
    }
    if args.plays_many() {
        return sweep::run(&args, out, err);
    }
    let day = match day::choose(&args, args.seed()) {
        Ok(day) => day,
        Err(problem) => return complain(err, &problem, exit::USAGE),
    };
    if let Some(path) = &args.write_day {
        return write_day(&day, path, out, err);
    }
    let Ok(runtime) = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()
    else {
        return complain(err, "no threads could be started. Nothing was played.", exit::BROKEN);
    };
    let shown = runtime.block_on(show(&args, &day));
    // Threads of a day that was broken off are not waited for.
    runtime.shutdown_timeout(Duration::from_millis(500));
    match shown {
        Ok(Went::Played(played)) => report(&args, &played, out, err),
        Ok(Went::BrokenOff(signal)) => complain(err, BROKEN_OFF, exit::by_signal(signal)),
        Err(error) => complain(err, &format!("{error}\nWhat was played so far is not judged."), exit::BROKEN),
    }
}

/// How a day went.
enum Went {
    /// To its end.
    Played(Box<Played>),
    /// Somebody ended it, by that signal or by the key that stands for it.
    BrokenOff(i32),
}

/// What Ctrl-C would send if keys did not come one by one.
const INTERRUPT: i32 = 2;

const BROKEN_OFF: &str = "the day was broken off before its end. Nothing of it is judged or kept.";

async fn show(args: &Args, day: &Day) -> Result<Went, PlayError> {
    let server = args.server.as_deref().map(Address::parse).transpose()?;
    let (scenes, watched) = watch::channel(Scene::default());
    let settings = Settings { seed: args.seed(), race: args.race, policy: args.policy, server, scenes };
    let on_screen = !args.json && terminal::is_there();
    let day = play::play(day, settings);
    if !on_screen {
        drop(watched);
        return day.await.map(|played| Went::Played(Box::new(played)));
    }
    let signals = Signals::listen()?;
    let mut screen = tokio::task::spawn_blocking(move || live::show(&watched));
    let went = tokio::select! {
        played = day => {
            // The scenes ended with the play, and with them the screen.
            if !screen.is_finished() {
                let _ = (&mut screen).await;
            }
            played.map(|played| Went::Played(Box::new(played)))
        }
        signal = told_to_end(signals) => Ok(Went::BrokenOff(signal)),
        () = seen_enough(&mut screen) => Ok(Went::BrokenOff(INTERRUPT)),
    };
    // Also when the thread that draws is not done.
    terminal::give_back();
    went
}

/// Returns when somebody at the terminal ends it. A screen that ended by itself leaves the day to be played.
async fn seen_enough(screen: &mut JoinHandle<Shown>) {
    if !matches!(screen.await, Ok(Shown::Enough)) {
        std::future::pending::<()>().await;
    }
}

/// Stops and goes on as it is told, until it is told to end.
async fn told_to_end(mut signals: Signals) -> i32 {
    loop {
        let taken = match signals.next().await {
            Told::End(signal) => return signal,
            Told::Stop => signals::stop(),
            Told::GoOn => terminal::take_again(),
        };
        if let Err(error) = taken {
            tracing::warn!(%error, "the day cannot be shown any more; it is played all the same");
        }
    }
}

fn report(args: &Args, played: &Played, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let (figures, judged) = figures(args.seed(), played);
    let written = if args.json {
        serde_json::to_string(&figures).map_err(Into::into).and_then(|json| writeln!(out, "{json}"))
    } else {
        writeln!(out, "{figures}").and_then(|()| words::learned(played, out))
    };
    for fault in &judged.faults {
        // Nobody is left to tell when the error stream fails as well.
        let _ = writeln!(err, "remise: the journal is at fault: {fault}");
    }
    match written {
        Ok(()) if figures.lost == 0 && figures.double_held == 0 => exit::DONE,
        Ok(()) => exit::BROKEN,
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => exit::DONE,
        Err(error) => complain(err, &format!("the figures could not be written: {error}"), exit::BROKEN),
    }
}

fn write_day(day: &Day, path: &std::path::Path, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let text = remise_rehearsal::day::csv::write(day);
    match std::fs::write(path, text) {
        Ok(()) => {
            let _ = writeln!(out, "{} hand-ins written to {}", day.hand_ins.len(), path.display());
            exit::DONE
        }
        Err(error) => {
            let text = format!(
                "{} could not be written: {error}. Nothing was played; choose another path.",
                path.display()
            );
            complain(err, &text, exit::USAGE)
        }
    }
}

fn complain(err: &mut dyn Write, text: &str, code: u8) -> u8 {
    let _ = writeln!(err, "remise: {text}");
    code
}

fn usage(error: &clap::Error, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let (stream, code): (&mut dyn Write, u8) =
        if error.use_stderr() { (err, exit::USAGE) } else { (out, exit::DONE) };
    let _ = write!(stream, "{}", error.render());
    code
}
