//! `serve`: runs the server until it is told to stop.

use std::fs;
use std::io::{self, Write};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tokio::net::TcpListener;

use crate::start::{Running, Settings, Store};
use crate::stations::{Access, StationBook};
use crate::tournament::{self, Tournament};

use super::{Done, OK, PROBLEMS, USAGE};

/// Runtime workers; two were found best, the desk has a thread of its own.
const WORKERS: usize = 2;

/// Run the server.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example:\n  remise-server serve --tournament cup.toml --data ./cup --listen 127.0.0.1:18300 --open"
)]
pub(super) struct Args {
    /// The tournament file. Without it, the tournament that the journal knows goes on.
    #[arg(long, value_name = "FILE")]
    tournament: Option<PathBuf>,
    /// The folder with the journal; it is made when there is none.
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// Where to listen.
    #[arg(long, value_name = "ADDR", default_value = "127.0.0.1:18300")]
    listen: SocketAddr,
    /// Let everybody in, with the role that they name. Only on this machine's own addresses, and only as long as no
    /// stations are defined.
    #[arg(long)]
    open: bool,
}

pub(super) fn run(args: &Args, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let tournament = match args.tournament.as_deref().map(read).transpose() {
        Ok(tournament) => tournament,
        Err(message) => return refuse(err, &message, PROBLEMS),
    };
    let access = match access(args, err)? {
        Ok(access) => access,
        Err(message) => return refuse(err, &message, USAGE),
    };
    start_logs();
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(WORKERS).enable_all().build()?;
    match runtime.block_on(serve(args, tournament, access, out)) {
        Ok(()) => Ok(OK),
        Err(message) => refuse(err, &message, PROBLEMS),
    }
}

fn refuse(err: &mut dyn Write, message: &str, code: u8) -> Done {
    writeln!(err, "remise-server: {message}")?;
    Ok(code)
}

fn read(path: &Path) -> Result<Tournament, String> {
    let bytes = fs::read(path).map_err(|error| {
        format!("{} cannot be read: {error}. Nothing was started; check the path.", path.display())
    })?;
    tournament::parse(&bytes).map_err(|problems| {
        format!(
            "{} has {} problem(s). Nothing was started; `remise-server check {}` lists them all.",
            path.display(),
            problems.len(),
            path.display()
        )
    })
}

/// Who is let in. Without stations nobody is, unless the server is open, which it may be on loopback only.
fn access(args: &Args, err: &mut dyn Write) -> io::Result<Result<Access, String>> {
    fs::create_dir_all(&args.data)?;
    let book = match StationBook::load(&args.data) {
        Ok(book) => book,
        Err(error) => return Ok(Err(error.to_string())),
    };
    if args.open {
        if !args.listen.ip().is_loopback() {
            return Ok(Err(format!(
                "--open lets everybody in and is allowed on this machine's own addresses only, not on {}. Nothing was started; add stations with `remise-server stations add`.",
                args.listen
            )));
        }
        if !book.is_empty() {
            return Ok(Err(
                "--open does not go with stations. Nothing was started; leave --open out, or remove the stations.".to_owned()
            ));
        }
        writeln!(
            err,
            "remise-server: OPEN: everybody on this machine may do everything. For trying out only."
        )?;
        return Ok(Ok(Access::Open));
    }
    if book.is_empty() {
        return Ok(Err(
            "no stations are defined, so nobody could connect. Nothing was started; add them with `remise-server stations add`, or try it out on this machine with --open.".to_owned()
        ));
    }
    if !args.listen.ip().is_loopback() {
        writeln!(
            err,
            "remise-server: the connection is not encrypted yet: use it in a network that you trust."
        )?;
    }
    Ok(Ok(Access::Book(Arc::new(book))))
}

async fn serve(
    args: &Args,
    tournament: Option<Tournament>,
    access: Access,
    out: &mut dyn Write,
) -> Result<(), String> {
    let listener = TcpListener::bind(args.listen).await.map_err(|error| {
        format!(
            "{} cannot be listened on: {error}. Nothing was started; is another server running there?",
            args.listen
        )
    })?;
    let store = Store::sqlite(&args.data).map_err(|error| error.to_string())?;
    let running = Running::start(store, tournament, access, listener, Settings::live())
        .await
        .map_err(|error| error.to_string())?;
    let said = writeln!(out, "listening on {}", running.address()).and_then(|()| out.flush());
    if let Err(error) = said {
        tracing::debug!(%error, "nobody reads where the server listens");
    }
    running.until(stop_signal()).await;
    Ok(())
}

/// Ctrl-C, or the service manager's request to stop.
async fn stop_signal() {
    let mut terminate = match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
        Ok(terminate) => terminate,
        Err(error) => {
            tracing::warn!(%error, "no SIGTERM can be received; Ctrl-C still stops the server");
            let _ = tokio::signal::ctrl_c().await;
            return;
        }
    };
    tokio::select! {
        _ = terminate.recv() => {}
        _ = tokio::signal::ctrl_c() => {}
    }
}

/// Logs go to the error stream; `REMISE_LOG` says how much (`info` when unset).
fn start_logs() {
    let filter = tracing_subscriber::EnvFilter::try_from_env("REMISE_LOG")
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("info"));
    // A second start in one process keeps the first one's logs.
    let _ =
        tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr).with_ansi(false).try_init();
}
