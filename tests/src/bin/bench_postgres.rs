//! The server against `PostgreSQL`: durable claims by 64 callers. Optional: says so when `PostgreSQL` is missing.

use std::time::Duration;

use anyhow::Result;
use clap::Parser;
use remise_tests::bench::load::{self, Lines, Mix};
use remise_tests::bench::postgres::{self, Postgres};
use remise_tests::bench::report::{self, Aim, Line};
use remise_tests::bench::{ours, sample, serve_if_asked};

/// Durable claims, ours and `PostgreSQL`'s, in turn.
#[derive(Parser)]
struct Args {
    /// Rounds, in turn.
    #[arg(long, default_value_t = 5)]
    rounds: usize,
    /// Seconds for each side of a round.
    #[arg(long, default_value_t = 4)]
    seconds: u64,
}

fn main() -> Result<()> {
    if serve_if_asked()? {
        return Ok(());
    }
    let args = Args::parse();
    let Some(programs) = postgres::programs() else {
        println!("PostgreSQL is not installed here (initdb, pg_ctl, pgbench): nothing was compared.");
        return Ok(());
    };
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(compare(&args, programs))
}

async fn compare(args: &Args, programs: std::path::PathBuf) -> Result<()> {
    let server = ours::start(None)?;
    let lines = Lines::open(server.hello.address, 16).await?;
    let samples = sample::take(&server, &lines).await?;
    let other = Postgres::start(programs)?;
    other.prepare(&samples, server.hello.jobs.len())?;
    let time = Duration::from_secs(args.seconds);
    let (mut mine, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..args.rounds {
        let outcome = load::closed(&lines, Mix::Take, postgres::CLIENTS, time, &server.hello.jobs).await?;
        mine.push(outcome.per_second());
        theirs.push(other.measure(time)?);
    }
    let line = Line::of("take, 64 callers, commands/s", &mine, &theirs, Aim::AtLeast(2.5));
    print!("{}", report::table("PostgreSQL", &[line]));
    Ok(())
}
