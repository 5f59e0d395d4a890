//! Durable commands: the real server, planner and all, against the bare server, in turn.

use std::time::Duration;

use anyhow::Result;
use clap::Parser;
use remise_tests::bench::child::Child;
use remise_tests::bench::load::{self, Lines, Mix};
use remise_tests::bench::report::{self, Aim, Line};
use remise_tests::bench::{bare, ours, room, sample, serve_if_asked};

/// Durable `take` and `hand in` with 500 open jobs and the planner on. Prints medians, ratios and aims.
#[derive(Parser)]
struct Args {
    /// Rounds, in turn; the order of the sides changes from round to round.
    #[arg(long, default_value_t = 5)]
    rounds: usize,
    /// Connections that the callers share.
    #[arg(long, default_value_t = 16)]
    connections: usize,
    /// Seconds for each load of each side of a round.
    #[arg(long, default_value_t = 1.5)]
    seconds: f64,
    /// Seconds for each paced load.
    #[arg(long, default_value_t = 5.0)]
    paced_seconds: f64,
    /// Only the two loads at 64 callers.
    #[arg(long)]
    short: bool,
    /// Only the loads whose name begins so: `take`, `hand in, 64`.
    #[arg(long, default_value = "")]
    only: String,
    /// Fail when the processor time for a command misses its aim.
    #[arg(long)]
    gate: bool,
}

/// Commands a second in a paced load.
const PACE: u32 = 200;

/// One load.
#[derive(Clone, Copy)]
enum Load {
    Closed(Mix, usize),
    Paced(Mix),
}

/// Places of the servers: ours with a bench for each of 64 callers, the bare one, ours with batches of one, ours with
/// a bench for each of 256 callers.
const OURS: usize = 0;
const BARE: usize = 1;
const SINGLE: usize = 2;
const LARGE: usize = 3;

impl Load {
    /// Which of our servers takes it.
    fn ours(self) -> usize {
        match self {
            Self::Closed(_, callers) if callers > usize::from(room::BENCHES) => LARGE,
            _ => OURS,
        }
    }

    fn name(self) -> String {
        match self {
            Self::Closed(mix, callers) => format!("{}, {callers} callers", mix.name()),
            Self::Paced(mix) => format!("{}, {PACE}/s", mix.name()),
        }
    }
}

/// One server with what was measured of it: for each load one entry a round.
struct Side {
    server: Child,
    lines: Lines,
    seen: Vec<Vec<Measure>>,
}

#[derive(Clone, Copy)]
struct Measure {
    cpu_us: f64,
    per_second: f64,
    p50_ms: f64,
    p99_ms: f64,
}

fn main() -> Result<()> {
    if serve_if_asked()? {
        return Ok(());
    }
    let args = Args::parse();
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    let lines = runtime.block_on(measure(&args))?;
    print!("{}", report::table("bare", &lines));
    if args.gate && report::gate_fails(&lines) {
        anyhow::bail!("the processor time for a command misses its aim");
    }
    Ok(())
}

async fn measure(args: &Args) -> Result<Vec<Line>> {
    let mut loads = vec![Load::Closed(Mix::Take, 64), Load::Closed(Mix::HandIn, 64)];
    if !args.short {
        loads.extend([Load::Closed(Mix::Take, 256), Load::Closed(Mix::HandIn, 256)]);
        loads.extend([Load::Paced(Mix::Take), Load::Paced(Mix::HandIn)]);
    }
    loads.retain(|load| load.name().starts_with(&args.only));
    anyhow::ensure!(!loads.is_empty(), "no load has a name that begins with `{}`", args.only);
    let server = ours::start(None, room::BENCHES)?;
    let calls = Lines::open(server.hello.address, args.connections).await?;
    let samples = sample::take(&server, &calls).await?;
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("samples.json");
    std::fs::write(&file, serde_json::to_vec(&samples)?)?;
    let bare = bare::start(&file, server.hello.jobs.len())?;
    let single = ours::start(Some(1), room::BENCHES)?;
    let large = ours::start(None, room::BENCHES_MOST)?;
    let mut sides = [
        Side::of(server, args.connections).await?,
        Side::of(bare, args.connections).await?,
        Side::of(single, args.connections).await?,
        Side::of(large, args.connections).await?,
    ];
    for round in 0..args.rounds {
        for (index, load) in loads.iter().enumerate() {
            // What a batch of one costs is looked at with the first load only.
            let mut order = vec![load.ours(), BARE];
            order.extend((index == 0).then_some(SINGLE));
            if round % 2 == 1 {
                order.reverse();
            }
            for side in order {
                sides[side].measure(args, index, *load).await?;
            }
        }
        eprintln!("round {} of {} done", round + 1, args.rounds);
    }
    Ok(lines(&loads, &sides))
}

impl Side {
    async fn of(server: Child, connections: usize) -> Result<Self> {
        let lines = Lines::open(server.hello.address, connections).await?;
        Ok(Self { server, lines, seen: Vec::new() })
    }

    async fn measure(&mut self, args: &Args, index: usize, load: Load) -> Result<()> {
        let jobs = &self.server.hello.jobs;
        let before = self.server.cpu()?;
        let outcome = match load {
            Load::Closed(mix, callers) => {
                let time = Duration::from_secs_f64(args.seconds);
                load::closed(&self.lines, mix, callers, time, jobs).await?
            }
            Load::Paced(mix) => {
                let time = Duration::from_secs_f64(args.paced_seconds);
                load::paced(&self.lines, mix, PACE, time, jobs).await?
            }
        };
        let used = self.server.cpu()?.saturating_sub(before);
        if self.seen.len() <= index {
            self.seen.resize(index + 1, Vec::new());
        }
        self.seen[index].push(Measure {
            cpu_us: used.as_secs_f64() * 1e6 / outcome.all as f64,
            per_second: outcome.per_second(),
            p50_ms: outcome.wait_ms(0.5),
            p99_ms: outcome.wait_ms(0.99),
        });
        Ok(())
    }

    fn column(&self, index: usize, pick: fn(&Measure) -> f64) -> Vec<f64> {
        self.seen[index].iter().map(pick).collect()
    }
}

fn lines(loads: &[Load], sides: &[Side]) -> Vec<Line> {
    let (bare, single) = (&sides[BARE], &sides[SINGLE]);
    let mut lines = Vec::new();
    for (index, load) in loads.iter().enumerate() {
        let name = load.name();
        let ours = &sides[load.ours()];
        let mut add = |what: &str, pick: fn(&Measure) -> f64, aim: Aim| {
            let line = Line::of(
                format!("{name}: {what}"),
                &ours.column(index, pick),
                &bare.column(index, pick),
                aim,
            );
            lines.push(line);
        };
        if let Load::Closed(_, callers) = load {
            let aim = if *callers == 64 { Aim::AtMost(1.6) } else { Aim::None };
            add("CPU us/command", |seen| seen.cpu_us, aim);
            add("commands/s", |seen| seen.per_second, Aim::AtLeast(0.7));
            add("p99 ms", |seen| seen.p99_ms, Aim::None);
        } else {
            add("p50 ms", |seen| seen.p50_ms, Aim::None);
            add("p99 ms", |seen| seen.p99_ms, Aim::AtMost(2.0));
        }
    }
    for line in lines.iter_mut().filter(|line| line.aim == Aim::AtMost(1.6)) {
        line.gate = true;
    }
    let ours = &sides[loads[0].ours()];
    let rates = (ours.column(0, |seen| seen.per_second), single.column(0, |seen| seen.per_second));
    let what = format!("{}: commands/s, other: batches of 1", loads[0].name());
    lines.push(Line::of(what, &rates.0, &rates.1, Aim::AtLeast(2.5)));
    lines
}
