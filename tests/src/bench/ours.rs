//! The real server as a process of its own, started as `remise-server serve --open` starts it, with the invented venue
//! and its open jobs.

use std::path::Path;

use anyhow::{Result, anyhow};
use remise_core::armoury::Command;
use remise_server::desk::{self, DeskHandle, DeskSettings, Request};
use remise_server::house::House;
use remise_server::start::{Running, Settings, Store};
use remise_server::stations::Access;
use tokio::net::TcpListener;
use tracing_subscriber::EnvFilter;

use super::child::{Child, Hello};
use super::{bare, room};

/// First argument of a process that is to be this server.
pub const SERVE: &str = "serve-ours";
/// Jobs that lie open.
pub const OPEN: usize = 500;

/// Starts it as a process of its own, with that many benches; `batch_most` caps the requests of one batch.
///
/// # Errors
/// It does not start.
pub fn start(batch_most: Option<usize>, benches: u16) -> Result<Child> {
    Child::start(SERVE, &[&batch_most.unwrap_or(desk::BATCH_MOST).to_string(), &benches.to_string()])
}

/// Serves until the process is ended.
///
/// # Errors
/// The folder cannot be written or the address not be bound.
pub fn serve(folder: &Path, batch_most: usize, benches: u16) -> Result<()> {
    // Logs as the program has them: what a span costs is part of what is measured.
    tracing_subscriber::fmt()
        .with_env_filter(EnvFilter::try_from_env("REMISE_LOG").unwrap_or_else(|_| EnvFilter::new("info")))
        .with_writer(std::io::stderr)
        .with_ansi(false)
        .init();
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(bare::WORKERS).enable_all().build()?;
    runtime.block_on(async {
        let listener = TcpListener::bind(("127.0.0.1", 0)).await?;
        let settings = Settings { desk: DeskSettings { batch_most }, ..Settings::live() };
        let running = Running::start(Store::sqlite(folder)?, None, Access::Open, listener, settings).await?;
        let jobs = fill(running.house(), benches).await?;
        Hello { address: running.address(), jobs }.say()?;
        running.until(std::future::pending()).await;
        Ok(())
    })
}

/// The tournament and the open jobs.
async fn fill(house: &House, benches: u16) -> Result<Vec<u64>> {
    let now = house.clock.now();
    let venue = room::venue(now, benches);
    own(&house.desk, Command::SetVenue { venue, armourers: Vec::new() }).await?;
    let mut jobs = Vec::new();
    for index in 0..OPEN {
        jobs.extend(own(&house.desk, room::hand_in(index, now)).await?);
    }
    Ok(jobs)
}

async fn own(desk: &DeskHandle, command: Command) -> Result<Vec<u64>> {
    let request =
        Request { request_id: None, station: "setup".into(), happened_at: None, command, deadline: None };
    let accepted = desk.submit(request).await.map_err(|why| anyhow!("{why}"))?;
    Ok(accepted.jobs.iter().map(|job| job.0).collect())
}
