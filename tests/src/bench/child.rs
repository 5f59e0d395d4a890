//! A server under test as a process of its own, so that its processor time and its memory can be read apart from
//! those of the load: the benchmark starts itself again with a hidden first argument.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child as Process, Command, Stdio};
use std::time::Duration;

use anyhow::{Context as _, Result};
use serde::{Deserialize, Serialize};
use tempfile::TempDir;

/// How long a server idles before its memory is looked at.
const IDLE: Duration = Duration::from_secs(3);

/// What a server says on its first line of output.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Hello {
    /// Where it listens.
    pub address: SocketAddr,
    /// Numbers of the jobs that lie open in it.
    pub jobs: Vec<u64>,
}

impl Hello {
    /// Says it.
    ///
    /// # Errors
    /// Nobody listens.
    pub fn say(&self) -> Result<()> {
        use std::io::Write as _;
        let mut out = std::io::stdout().lock();
        writeln!(out, "{}", serde_json::to_string(self)?)?;
        Ok(out.flush()?)
    }
}

/// A running server and its folder; both go when it is dropped.
pub struct Child {
    process: Process,
    /// What it said.
    pub hello: Hello,
    /// Its data.
    pub folder: TempDir,
}

impl Child {
    /// Starts this very program again: `PROGRAM kind FOLDER args…`.
    ///
    /// # Errors
    /// It cannot be started, or says nothing sensible.
    pub fn start(kind: &str, args: &[&str]) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let program = std::env::current_exe()?;
        Self::start_program(Command::new(program).arg(kind).arg(folder.path()).args(args), folder)
    }

    fn start_program(command: &mut Command, folder: TempDir) -> Result<Self> {
        let mut process = command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn()?;
        let out = process.stdout.take().context("the server's output")?;
        let mut line = String::new();
        BufReader::new(out).read_line(&mut line)?;
        let hello = serde_json::from_str(&line).with_context(|| format!("a server said {line:?}"))?;
        Ok(Self { process, hello, folder })
    }

    /// Processor time that it has used so far, all threads, user and system.
    ///
    /// # Errors
    /// Its numbers cannot be read; they are Linux's.
    pub fn cpu(&self) -> Result<Duration> {
        cpu_of(self.process.id())
    }
}

impl Drop for Child {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Processor time of a process, all threads, in nanoseconds as the scheduler counts it.
fn cpu_of(process: u32) -> Result<Duration> {
    let mut nanoseconds = 0;
    for thread in fs::read_dir(format!("/proc/{process}/task"))? {
        // A thread may end while it is looked at.
        let Ok(text) = fs::read_to_string(thread?.path().join("schedstat")) else { continue };
        let first = text.split_whitespace().next().context("an empty schedstat")?;
        nanoseconds += first.parse::<u64>()?;
    }
    Ok(Duration::from_nanos(nanoseconds))
}

/// Resident memory of a process in KiB.
///
/// # Errors
/// Its numbers cannot be read; they are Linux's.
pub fn resident_kib(process: u32) -> Result<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status"))?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:")).context("no VmRSS")?;
    line.trim().trim_end_matches("kB").trim().parse().context("VmRSS is no number")
}

/// Resident memory in KiB of `PROGRAM serve` with the example tournament, a while after its start.
///
/// # Errors
/// It does not start.
pub fn idle_kib(program: &Path) -> Result<u64> {
    let folder = tempfile::tempdir()?;
    let tournament = folder.path().join("example.toml");
    let example = Command::new(program).arg("example").output()?;
    fs::write(&tournament, example.stdout)?;
    let mut command = Command::new(program);
    command.arg("serve").arg("--tournament").arg(&tournament).arg("--data").arg(folder.path().join("data"));
    command.args(["--listen", "127.0.0.1:0", "--open"]).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut process = command.spawn()?;
    let mut line = String::new();
    let out = process.stdout.take().context("the server's output")?;
    let said = BufReader::new(out).read_line(&mut line);
    std::thread::sleep(IDLE);
    let kib = resident_kib(process.id());
    // It may have ended by itself.
    let _ = process.kill();
    process.wait()?;
    said?;
    anyhow::ensure!(line.starts_with("listening"), "the server said {line:?}");
    kib
}
