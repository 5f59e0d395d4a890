//! Benchmarks of the journal and of what is built from it: publishing a picture, folding a million events, starting
//! from a snapshot, an idle server's memory.

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};
use clap::Parser;
use remise_core::armoury::event::{PutBack, Taken};
use remise_core::armoury::{Armoury, Event, Recorded, record};
use remise_core::ids::{BenchId, Seq};
use remise_core::time::Stamp;
use remise_server::desk::{self, Published, SNAPSHOT_EVERY};
use remise_server::journal::{JOURNAL_FILE, Journal, SqliteJournal};
use remise_tests::bench::child;
use remise_tests::bench::history::History;
use remise_tests::bench::report::{self, Aim, Line};
use rusqlite::{Connection, OpenFlags};
use tokio::sync::watch;

/// Publishing, folding, starting, and the memory of an idle server. Ratios within one run; no absolute time is
/// asserted.
#[derive(Parser)]
struct Args {
    /// Events in the journal.
    #[arg(long, default_value_t = 1_000_000)]
    events: u64,
    /// Rounds, in turn.
    #[arg(long, default_value_t = 5)]
    rounds: usize,
    /// Open jobs in the picture that is published.
    #[arg(long, default_value_t = 2_000)]
    open: usize,
    /// The server whose memory is looked at; without it, `remise-server` beside this program.
    #[arg(long)]
    server: Option<PathBuf>,
}

/// Events since the newest snapshot when a server crashes at the worst moment.
const TAIL: u64 = SNAPSHOT_EVERY;

fn main() -> Result<()> {
    let args = Args::parse();
    publication(args.open)?;
    let folder = tempfile::tempdir()?;
    let snapshot = build(folder.path(), args.events)?;
    fold(folder.path(), args.rounds)?;
    start(folder.path(), snapshot, args.rounds)?;
    idle(args.server)
}

/// One publication as the desk does it: a private copy, one event on it, and the picture changed under readers that
/// keep the one before. Held against a copy of the map of jobs as plain values.
fn publication(open: usize) -> Result<()> {
    let mut history = History::new(None)?;
    for _ in 0..open {
        history.hand_in()?;
    }
    let job = *history.room.jobs.keys().next().context("an open job")?;
    let (publish, seen) = watch::channel(Arc::new(Published { room: history.room, ..Published::default() }));
    let events = [Event::from(Taken { job, bench: BenchId(1) }), Event::from(PutBack { job, note: None })];
    let times = 20_000_u32;
    let start = Instant::now();
    for turn in 0..times {
        let reader = seen.borrow().clone();
        let mut room = publish.borrow().room.clone();
        let seq = Seq(room.head.0 + 1);
        let event = events[turn as usize % 2].clone();
        room.apply(&Recorded { seq, at: room.at, happened_at: room.at, event });
        publish.send_replace(Arc::new(Published { room, ..Published::default() }));
        black_box(reader);
    }
    let ours = start.elapsed() / times;
    let room = seen.borrow().room.clone();
    let start = Instant::now();
    for _ in 0..50 {
        let copy: std::collections::BTreeMap<_, _> =
            room.jobs.iter().map(|(id, job)| (*id, job.as_ref().clone())).collect();
        black_box(copy);
    }
    let copy = start.elapsed() / 50;
    println!(
        "publication of one event at {open} open jobs: {ours:.1?}; a plain copy of those jobs: {copy:.1?}"
    );
    Ok(())
}

fn build(folder: &Path, events: u64) -> Result<(u64, Vec<u8>)> {
    let start = Instant::now();
    let mut history = History::new(Some(folder))?;
    history.go_on(events.saturating_sub(TAIL))?;
    let snapshot = (history.room.head.0, serde_json::to_vec(&history.room)?);
    history.go_on(events)?;
    println!(
        "journal: {} events, {} open jobs, {} items, {} MB, snapshot {} KB, {} events before the end; made in {:.0?}",
        history.room.head,
        history.room.jobs.len(),
        history.room.items.len(),
        folder.join(JOURNAL_FILE).metadata()?.len() / 1_000_000,
        snapshot.1.len() / 1000,
        history.room.head.0 - snapshot.0,
        start.elapsed(),
    );
    Ok(snapshot)
}

/// The whole journal into an armoury, and the least that any reader does: each row read, its JSON parsed, the event
/// put into a list.
fn fold(folder: &Path, rounds: usize) -> Result<()> {
    let (mut ours, mut bare) = (Vec::new(), Vec::new());
    for _ in 0..rounds {
        let (took, head) = load(folder)?;
        ours.push(took.as_secs_f64());
        let start = Instant::now();
        let list = read_parse_insert(&folder.join(JOURNAL_FILE))?;
        bare.push(start.elapsed().as_secs_f64());
        anyhow::ensure!(list.last().map(|event| event.seq) == Some(head), "both read the same journal");
    }
    let line = Line::of("fold of the journal, seconds", &ours, &bare, Aim::AtMost(2.0));
    print!("{}", report::table("bare", &[line]));
    Ok(())
}

fn load(folder: &Path) -> Result<(Duration, Seq)> {
    let start = Instant::now();
    let mut journal = SqliteJournal::open(folder)?;
    journal.raise_epoch()?;
    let room: Armoury = desk::load(&mut journal)?;
    Ok((start.elapsed(), room.head))
}

fn read_parse_insert(path: &Path) -> Result<Vec<Recorded>> {
    let db = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let mut select =
        db.prepare("SELECT seq, at_us, happened_at_us, kind, v, body FROM event ORDER BY seq")?;
    let mut rows = select.query([])?;
    let mut list = Vec::new();
    while let Some(row) = rows.next()? {
        let event = record::from_json(row.get_ref(3)?.as_str()?, row.get(4)?, row.get_ref(5)?.as_str()?)?;
        list.push(Recorded {
            seq: Seq(row.get::<_, i64>(0)? as u64),
            at: Stamp(row.get(1)?),
            happened_at: Stamp(row.get(2)?),
            event,
        });
    }
    Ok(list)
}

fn start(folder: &Path, (seq, bytes): (u64, Vec<u8>), rounds: usize) -> Result<()> {
    SqliteJournal::open(folder)?.save_snapshot(seq, &bytes)?;
    let mut took = Vec::new();
    for _ in 0..rounds {
        took.push(load(folder)?.0.as_secs_f64());
    }
    println!("start from a snapshot with that journal: {:.2} s (aim: under 1 s)", report::median(&took));
    Ok(())
}

/// Memory of a server that has a tournament and nothing to do.
fn idle(server: Option<PathBuf>) -> Result<()> {
    let server = match server {
        Some(server) => server,
        None => std::env::current_exe()?.with_file_name("remise-server"),
    };
    if !server.exists() {
        println!(
            "idle server: not measured, {} is not there (build it, or name it with --server)",
            server.display()
        );
        return Ok(());
    }
    let kib = child::idle_kib(&server)?;
    println!("idle server: {:.1} MB resident (aim: at most 25 MB)", kib as f64 / 1024.0);
    Ok(())
}
