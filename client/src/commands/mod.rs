//! Commands for scripts: every action of the screens, without a screen. Data goes to the output, messages to the
//! error stream; the exit codes are those of [`crate::exit`].

mod back;
mod bench;
mod estimates;
mod explain;
mod gear;
mod guide;
mod head;
mod intake;
mod journal;
mod keep;
mod look;
mod online;
mod parts;
mod prove;
mod said;
mod setting;
mod show;
mod strip;
mod todo;
mod trial;
mod weigh;
mod why;

use std::ffi::OsString;
use std::io::{self, ErrorKind, Write};

use clap::{CommandFactory, Parser};
use remise_link::Options;
use serde_json::{Value, json};

use crate::args::{Area, Cli};
use crate::exit;
use crate::failure::Failure;
use crate::rehearse;
use crate::screens::{self, Screen};

pub use bench::BenchAction;
pub use explain::ExplainArea;
pub use gear::GearAction;
pub use guide::GuideArea;
pub use head::HeadAction;
pub use journal::JournalAction;
pub use prove::ProveArea;
pub(crate) use show::share;
pub use strip::{CounterAction, StripAction};
pub use weigh::WeighArea;

/// What a command prints: sentences, or one JSON object.
#[derive(Clone, Debug, PartialEq)]
struct Shown {
    text: String,
    json: Value,
}

/// How a command went, before it is printed.
enum Done {
    /// This is to be printed.
    Show(Box<Shown>),
    /// This is to be printed, and the exit code says what it means.
    Judged(Box<Shown>, u8),
    /// Everything was printed already.
    Silent,
}

/// Runs one command line and returns the exit code. A reader who has gone away ends it quietly.
pub fn run<I>(args: I, out: &mut dyn Write, err: &mut dyn Write) -> u8
where
    I: IntoIterator<Item = OsString>,
{
    let args: Vec<OsString> = args.into_iter().collect();
    // A played day has options of its own, some of the same names.
    if args.get(1).is_some_and(|area| area == "rehearse") {
        return rehearse::run(&args[2..], out, err);
    }
    let cli = match Cli::try_parse_from(&args) {
        Ok(cli) => cli,
        Err(error) => return usage(&error, args.iter().any(|arg| arg == "--json"), out, err),
    };
    let json = cli.common.json;
    let printed = match carry_out(&cli, out) {
        Ok(Done::Silent) => out.flush().map(|()| exit::DONE),
        Ok(Done::Judged(shown, code)) => print(&shown, json, out).map(|()| code),
        Ok(Done::Show(shown)) => print(&shown, json, out).map(|()| exit::DONE),
        Err(failure) => tell(&failure, json, out, err),
    };
    printed.unwrap_or_else(|error| unwritten(&error, err))
}

fn carry_out(cli: &Cli, out: &mut dyn Write) -> Result<Done, Failure> {
    let screen = match &cli.area {
        Area::Gear(area) => return area.action.run().map(|shown| Done::Show(Box::new(shown))),
        Area::Prove(area) => return area.run().map(|(shown, code)| Done::Judged(Box::new(shown), code)),
        Area::Weigh(area) => return area.run().map(|shown| Done::Show(Box::new(shown))),
        Area::Guide(area) if area.asks(cli.common.json) => return area.ask(out).map(|()| Done::Silent),
        Area::Guide(area) => return area.run().map(|shown| Done::Show(Box::new(shown))),
        Area::Explain(area) => return area.run().map(|shown| Done::Show(Box::new(shown))),
        Area::Rehearse { .. } => {
            return Err(Failure::usage(
                "`rehearse` comes before its options",
                "See `remise rehearse --help`.",
            ));
        }
        Area::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Cli::command(), "remise", &mut script);
            // Whoever does not read it any more needs no message.
            let _ = out.write_all(&script);
            return Ok(Done::Silent);
        }
        Area::Strip(area) if area.action.is_none() => Some(Screen::Strip),
        Area::Counter(area) if area.action.is_none() => Some(Screen::Counter),
        Area::Bench(area) if area.action.is_none() => Some(Screen::Bench),
        Area::Head(area) if area.action.is_none() => Some(Screen::Head),
        _ => None,
    };
    match screen {
        Some(screen) => {
            let log = cli.common.log.as_deref();
            screens::run(screen, cli.address()?, cli.named(), Options::default(), log).map(|()| Done::Silent)
        }
        None => runtime()?.block_on(online::run(cli, out)).map(|shown| Done::Show(Box::new(shown))),
    }
}

fn runtime() -> Result<tokio::runtime::Runtime, Failure> {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|error| Failure::broken(format!("the program could not start: {error}")))
}

fn print(shown: &Shown, json: bool, out: &mut dyn Write) -> io::Result<()> {
    if json {
        writeln!(out, "{}", shown.json)?;
    } else {
        writeln!(out, "{}", shown.text.trim_end())?;
    }
    out.flush()
}

/// Tells a failure: in sentences on the error stream, and as the one JSON object where that is wanted.
fn tell(failure: &Failure, json: bool, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    // Nobody is left to tell when the error stream fails.
    let _ = writeln!(err, "{}", failure.sentences());
    if json {
        let mut object = serde_json::to_value(failure).unwrap_or_else(|_| json!({}));
        object["ok"] = Value::Bool(false);
        writeln!(out, "{object}")?;
        out.flush()?;
    }
    Ok(failure.exit)
}

/// Help and version are data; everything else that clap says is a message.
fn usage(error: &clap::Error, json: bool, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let text = error.render().to_string();
    if !error.use_stderr() {
        let written = write!(out, "{text}").and_then(|()| out.flush());
        return written.map_or_else(|error| unwritten(&error, err), |()| exit::DONE);
    }
    // Nobody is left to tell when the error stream fails.
    let _ = write!(err, "{text}");
    if json {
        let first = text.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned();
        let mut object =
            serde_json::to_value(Failure::usage(first, "See --help.")).unwrap_or_else(|_| json!({}));
        object["ok"] = Value::Bool(false);
        if let Err(error) = writeln!(out, "{object}").and_then(|()| out.flush()) {
            return unwritten(&error, err);
        }
    }
    exit::USAGE
}

fn unwritten(error: &io::Error, err: &mut dyn Write) -> u8 {
    if error.kind() == ErrorKind::BrokenPipe {
        return exit::DONE;
    }
    let _ = writeln!(err, "remise: the output could not be written: {error}");
    exit::BROKEN
}

#[cfg(test)]
mod stream_tests;
#[cfg(test)]
mod tests;
