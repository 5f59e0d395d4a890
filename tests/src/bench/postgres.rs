//! `PostgreSQL` as Debian ships it, for comparison: a job is claimed by `SKIP LOCKED`, its event and its request number
//! are inserted, all in one statement, by 64 clients of `pgbench`.

use std::fmt::Write as _;
use std::fs;
use std::os::unix::fs::chown;
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use anyhow::{Context as _, Result, ensure};
use tempfile::TempDir;

use super::sample::{Sample, Samples};

/// Clients of `pgbench`.
pub const CLIENTS: usize = 64;

const TABLES: &str = "
CREATE TABLE job (
    id bigint PRIMARY KEY, state text NOT NULL, urgency bigint NOT NULL, bench integer, body text NOT NULL);
CREATE INDEX job_waiting ON job (urgency, id) WHERE state = 'waiting';
CREATE TABLE event (
    seq bigserial PRIMARY KEY, at_us bigint NOT NULL, happened_at_us bigint NOT NULL, job bigint,
    station text NOT NULL, kind text NOT NULL, v integer NOT NULL, body text NOT NULL, hash bytea NOT NULL);
CREATE INDEX event_of_job ON event (job) WHERE job IS NOT NULL;
CREATE TABLE answer (
    request_id uuid PRIMARY KEY, at_us bigint NOT NULL, station text NOT NULL, fields text NOT NULL,
    answer text NOT NULL);
";

/// The folder of `PostgreSQL`'s programs: Debian's newest, or where the search path has them.
pub fn programs() -> Option<PathBuf> {
    let mut folders: Vec<PathBuf> = fs::read_dir("/usr/lib/postgresql")
        .into_iter()
        .flatten()
        .filter_map(|entry| Some(entry.ok()?.path().join("bin")))
        .collect();
    folders.sort();
    folders.reverse();
    folders.extend(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default()));
    folders
        .into_iter()
        .find(|folder| ["initdb", "pg_ctl", "pgbench"].iter().all(|name| folder.join(name).exists()))
}

/// Where `/proc/PID/stat` has the parent and the four times (own and ended children's, user and system), counted after
/// the program's name. The times are in hundredths of a second.
const PARENT: usize = 1;
const TIMES: std::ops::Range<usize> = 11..15;

/// A server of its own in a folder of its own; both go when it is dropped.
pub struct Postgres {
    programs: PathBuf,
    folder: TempDir,
    /// User and group to run as: `PostgreSQL` refuses to run as root.
    user: Option<(u32, u32)>,
}

impl Postgres {
    /// Starts one with Debian's settings (`synchronous_commit` and `fsync` are on), reachable by a socket only.
    ///
    /// # Errors
    /// One of its programs fails.
    pub fn start(programs: PathBuf) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let user = if number("-u", None)? == 0 {
            let user = (number("-u", Some("postgres"))?, number("-g", Some("postgres"))?);
            chown(folder.path(), Some(user.0), Some(user.1))?;
            Some(user)
        } else {
            None
        };
        let server = Self { programs, folder, user };
        let data = server.path("data");
        server
            .run("initdb", &["-D", &data, "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale", "C"])?;
        let socket = server.folder.path().display();
        let options = format!("-k {socket} -c listen_addresses='' -c max_connections=100");
        server.run("pg_ctl", &["-D", &data, "-w", "-l", &server.path("log"), "-o", &options, "start"])?;
        Ok(server)
    }

    fn path(&self, name: &str) -> String {
        self.folder.path().join(name).display().to_string()
    }

    fn run(&self, program: &str, args: &[&str]) -> Result<String> {
        let mut command = Command::new(self.programs.join(program));
        command.args(args).current_dir(self.folder.path()).stdin(Stdio::null());
        if let Some((user, group)) = self.user {
            command.uid(user).gid(group);
        }
        // A server that was started keeps its output open: it goes to a file, not to a pipe.
        let said = self.folder.path().join("said");
        let file = fs::File::create(&said)?;
        command.stdout(file.try_clone()?).stderr(file);
        let status = command.status().with_context(|| format!("start {program}"))?;
        let said = fs::read_to_string(said)?;
        ensure!(status.success(), "{program} failed: {said}");
        Ok(said)
    }

    /// Makes the tables and the open jobs, and writes the script that the clients run.
    ///
    /// # Errors
    /// One of its programs fails.
    pub fn prepare(&self, samples: &Samples, jobs: usize) -> Result<()> {
        let mut sql = TABLES.to_owned();
        for job in 1..=jobs {
            // Writing to a String cannot fail.
            let _ =
                writeln!(sql, "INSERT INTO job VALUES ({job}, 'waiting', {job}, NULL, repeat('x', 300));");
        }
        sql.push_str("ANALYZE;");
        self.write("tables.sql", &sql)?;
        let file = self.path("tables.sql");
        let host = self.folder.path().display().to_string();
        self.run("psql", &["-q", "-h", &host, "-U", "postgres", "-v", "ON_ERROR_STOP=1", "-f", &file])?;
        let sample = |kind: &str| samples.get(kind).context("a sample of every command");
        let claim = script(CLAIM, sample("taken")?);
        let back = script(BACK, sample("put_back")?);
        self.write("claim.sql", &format!("\\set bench random(1, 256)\n{claim} \\gset\n{back};\n"))
    }

    fn write(&self, name: &str, text: &str) -> Result<()> {
        let path = self.folder.path().join(name);
        fs::write(&path, text)?;
        if let Some((user, group)) = self.user {
            chown(Path::new(&path), Some(user), Some(group))?;
        }
        Ok(())
    }

    /// Processor time of the server and of all its backends so far, also of those that have ended.
    fn cpu(&self) -> Result<Duration> {
        let file = fs::read_to_string(self.folder.path().join("data/postmaster.pid"))?;
        let server: u32 = file.lines().next().context("an empty postmaster.pid")?.trim().parse()?;
        let mut ticks = 0;
        for process in fs::read_dir("/proc")? {
            let Some(number) = process?.file_name().to_str().and_then(|name| name.parse::<u32>().ok()) else {
                continue;
            };
            // A process may end while it is looked at.
            let Ok(stat) = fs::read_to_string(format!("/proc/{number}/stat")) else { continue };
            let Some((_, fields)) = stat.rsplit_once(") ") else { continue };
            let fields: Vec<u64> = fields.split(' ').map(|field| field.trim().parse().unwrap_or(0)).collect();
            let parent = fields.get(PARENT).copied().unwrap_or(0);
            if number == server || parent == u64::from(server) {
                ticks += fields.get(TIMES).context("a short stat")?.iter().sum::<u64>();
            }
        }
        Ok(Duration::from_millis(ticks * 10))
    }

    /// Claims and put-backs in turn, each a transaction of its own: commands per second, and microseconds of the
    /// server's processor time for each.
    ///
    /// # Errors
    /// `pgbench` fails, or the system tells no processor times.
    pub fn measure(&self, time: Duration) -> Result<(f64, f64)> {
        let before = self.cpu()?;
        let (rate, commands) = self.run_clients(time)?;
        let used = self.cpu()?.saturating_sub(before);
        Ok((rate, used.as_secs_f64() * 1e6 / commands))
    }

    /// Commands per second, and how many there were.
    fn run_clients(&self, time: Duration) -> Result<(f64, f64)> {
        let host = self.folder.path().display().to_string();
        let (clients, seconds) = (CLIENTS.to_string(), time.as_secs().max(1).to_string());
        let file = self.path("claim.sql");
        let said = self.run(
            "pgbench",
            &[
                "-n", "-M", "prepared", "-c", &clients, "-j", "2", "-T", &seconds, "-f", &file, "-h", &host,
                "-U", "postgres", "postgres",
            ],
        )?;
        let told = |what: &str| -> Result<f64> {
            let line =
                said.lines().find_map(|line| line.strip_prefix(what)).context("pgbench told no figures")?;
            Ok(line.split_whitespace().next().unwrap_or_default().parse()?)
        };
        // Each transaction of its own count is a claim and a put-back.
        Ok((2.0 * told("tps = ")?, 2.0 * told("number of transactions actually processed: ")?))
    }
}

impl Drop for Postgres {
    fn drop(&mut self) {
        // The folder goes in any case.
        let _ = self.run("pg_ctl", &["-D", &self.path("data"), "-m", "immediate", "stop"]);
    }
}

const CLAIM: &str = "one AS (
    SELECT id FROM job WHERE state = 'waiting' ORDER BY urgency, id LIMIT 1 FOR UPDATE SKIP LOCKED
), changed AS (
    UPDATE job SET state = 'on_bench', bench = :bench FROM one WHERE job.id = one.id RETURNING job.id
)";
const BACK: &str = "changed AS (
    UPDATE job SET state = 'waiting', bench = NULL WHERE id = :id RETURNING id
)";

/// One statement: the change, its event and its request number.
fn script(change: &str, sample: &Sample) -> String {
    let empty = super::sample::Event::default();
    let event = sample.events.first().unwrap_or(&empty);
    // pgbench takes a colon for the beginning of a variable, even within quotes; the bytes stay as many.
    let quoted = |text: &str| format!("'{}'", text.replace('\'', "''").replace(':', "="));
    let now = "(extract(epoch FROM clock_timestamp()) * 1000000)::bigint";
    format!(
        "WITH {change}, noted AS (
    INSERT INTO event (at_us, happened_at_us, job, station, kind, v, body, hash)
    SELECT {now}, {now}, id, {station}, {kind}, {v}, {body}, decode(repeat('07', 32), 'hex') FROM changed
), kept AS (
    INSERT INTO answer SELECT gen_random_uuid(), {now}, {station}, {fields}, {answer} FROM changed
) SELECT id FROM changed",
        station = quoted(&event.station),
        kind = quoted(&event.kind),
        v = event.v,
        body = quoted(&event.body),
        fields = quoted(&sample.fields),
        answer = quoted(&sample.answer),
    )
}

/// What `id` says of a user.
fn number(option: &str, user: Option<&str>) -> Result<u32> {
    let out = Command::new("id").arg(option).args(user).output()?;
    ensure!(out.status.success(), "there is no user {}", user.unwrap_or("at all"));
    Ok(String::from_utf8_lossy(&out.stdout).trim().parse()?)
}
