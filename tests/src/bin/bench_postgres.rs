//! The server against `PostgreSQL`: durable claims by 64 callers. Optional: says so when `PostgreSQL` is missing.

use std::time::Duration;

use anyhow::Result;
use clap::Parser;
use remise_tests::bench::load::{self, Lines, Mix};
use remise_tests::bench::postgres::{self, Postgres};
use remise_tests::bench::report::{self, Aim, Line};
use remise_tests::bench::{ours, room, sample, serve_if_asked};

/// Durable claims, ours and `PostgreSQL`'s, in turn.
#[derive(Parser)]
struct Args {
    /// Rounds, in turn.
    #[arg(long, default_value_t = 5)]
    rounds: usize,
    /// Connections that our callers share. `pgbench` has one for each of its clients.
    #[arg(long, default_value_t = 16)]
    connections: usize,
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
    let server = ours::start(None, room::BENCHES)?;
    let lines = Lines::open(server.hello.address, args.connections).await?;
    let samples = sample::take(&server, &lines).await?;
    let other = Postgres::start(programs)?;
    other.prepare(&samples, server.hello.jobs.len())?;
    let time = Duration::from_secs(args.seconds);
    let (mut rates, mut cpus) = ((Vec::new(), Vec::new()), (Vec::new(), Vec::new()));
    for _ in 0..args.rounds {
        let before = server.cpu()?;
        let outcome = load::closed(&lines, Mix::Take, postgres::CLIENTS, time, &server.hello.jobs).await?;
        let used = server.cpu()?.saturating_sub(before);
        rates.0.push(outcome.per_second());
        cpus.0.push(used.as_secs_f64() * 1e6 / outcome.all as f64);
        let (rate, cpu) = other.measure(time)?;
        rates.1.push(rate);
        cpus.1.push(cpu);
    }
    let lines = [
        Line::of("take, 64 callers: commands/s", &rates.0, &rates.1, Aim::AtLeast(2.5)),
        Line::of("take, 64 callers: CPU us/command", &cpus.0, &cpus.1, Aim::None),
    ];
    print!("{}", report::table("PostgreSQL", &lines));
    Ok(())
}
