//! Reads planning instances in the format of `reference/planning/instances` (see `reference/SOURCES.md`): benches and
//! jobs named by text, whole minutes, and the plan recorded with them.

use std::collections::BTreeMap;

use anyhow::{Context, Result, ensure};
use remise_core::plan::problem::{Bench, Job, Operation, Problem, Row, Schedule};
use serde::{Deserialize, Serialize};

/// An instance as written in the file.
#[derive(Debug, Deserialize)]
pub struct File {
    /// Its name.
    pub name: String,
    benches: Vec<FileBench>,
    jobs: Vec<FileJob>,
    /// Objective of each simple rule, when recorded.
    #[serde(default)]
    pub baselines: BTreeMap<String, i64>,
    /// The best plan known, when recorded.
    pub best: Option<Best>,
}

/// The best plan known.
#[derive(Debug, Deserialize)]
pub struct Best {
    /// Its weighted lateness.
    pub objective: i64,
    /// Whether nothing better exists.
    #[serde(default)]
    pub proven: bool,
    /// The plan.
    #[serde(default)]
    pub schedule: Vec<FileRow>,
}

#[derive(Debug, Deserialize)]
struct FileBench {
    id: String,
    busy_until: i64,
    open: Vec<(i64, i64)>,
}

#[derive(Debug, Deserialize)]
struct FileJob {
    id: String,
    release: i64,
    due: i64,
    weight: i64,
    ops: Vec<FileOp>,
}

#[derive(Debug, Deserialize)]
struct FileOp {
    after_cure: i64,
    minutes: BTreeMap<String, i64>,
}

/// A plan's row as written in the file.
#[derive(Clone, Debug, Deserialize, Serialize)]
pub struct FileRow {
    job: String,
    op: usize,
    bench: String,
    start: i64,
    end: i64,
}

/// An instance: the problem, and what its benches and jobs are called.
#[derive(Debug)]
pub struct Instance {
    /// Its name.
    pub name: String,
    /// The problem; benches and jobs ascending by their names as text, as ties are broken by that.
    pub problem: Problem,
    benches: Vec<String>,
    jobs: Vec<String>,
}

impl File {
    /// The instance, checked.
    pub fn instance(&self) -> Result<Instance> {
        let benches = sorted(self.benches.iter().map(|bench| &bench.id));
        let jobs = sorted(self.jobs.iter().map(|job| &job.id));
        ensure!(benches.is_sorted_by(|a, b| a < b), "two benches of {} have one name", self.name);
        ensure!(jobs.is_sorted_by(|a, b| a < b), "two jobs of {} have one name", self.name);
        let mut problem = Problem::default();
        problem.benches.resize(benches.len(), Bench::default());
        problem.jobs.resize(jobs.len(), Job::default());
        for bench in &self.benches {
            let (busy_until, open) = (bench.busy_until, bench.open.clone());
            problem.benches[index(&benches, &bench.id)?] = Bench { busy_until, open, told: None };
        }
        for (job, order) in self.jobs.iter().zip(0..) {
            problem.jobs[index(&jobs, &job.id)?] = job.read(order, &benches)?;
        }
        problem.validate().with_context(|| format!("{} makes no sense", self.name))?;
        Ok(Instance { name: self.name.clone(), problem, benches, jobs })
    }
}

impl FileJob {
    fn read(&self, order: u32, benches: &[String]) -> Result<Job> {
        let ops: Result<Vec<_>> = self.ops.iter().map(|op| op.read(benches)).collect();
        // Numbered jobs (J12) keep their number; others are numbered as they come.
        let number = self.id.trim_start_matches(|c: char| !c.is_ascii_digit()).parse().unwrap_or(order);
        let (release, due, weight) = (self.release, self.due, self.weight);
        Ok(Job { number, release, due, weight, last_call: None, ops: ops? })
    }
}

impl FileOp {
    fn read(&self, benches: &[String]) -> Result<Operation> {
        let minutes: Result<Vec<_>> =
            self.minutes.iter().map(|(bench, minutes)| Ok((index(benches, bench)?, *minutes))).collect();
        Ok(Operation { after_cure: self.after_cure, minutes: minutes?, before: None })
    }
}

impl Instance {
    /// A plan read from a file, by index.
    pub fn plan(&self, rows: &[FileRow]) -> Result<Schedule> {
        let rows: Result<Vec<_>> = rows
            .iter()
            .map(|row| {
                let (job, bench) = (index(&self.jobs, &row.job)?, index(&self.benches, &row.bench)?);
                Ok(Row { start: row.start, bench, end: row.end, job, op: row.op })
            })
            .collect();
        Ok(Schedule { rows: rows?, unplaced: Vec::new() })
    }

    /// A plan as a file has it.
    pub fn rows(&self, plan: &Schedule) -> Vec<FileRow> {
        let row = |row: &Row| FileRow {
            job: self.jobs[row.job].clone(),
            op: row.op,
            bench: self.benches[row.bench].clone(),
            start: row.start,
            end: row.end,
        };
        plan.rows.iter().map(row).collect()
    }
}

fn sorted<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut names: Vec<_> = names.cloned().collect();
    names.sort();
    names
}

fn index(names: &[String], name: &String) -> Result<usize> {
    names.binary_search(name).map_err(|_| anyhow::anyhow!("{name} is named but not listed"))
}
