//! What went wrong, gathered while a record is read: faults in words, and losses, each counted once.

use std::collections::BTreeSet;
use std::fmt;

use serde::Serialize;

/// How many faults are kept in words; the others are only counted.
pub const FAULTS_IN_WORDS: usize = 1_000;

/// Something that cannot be right.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fault {
    /// Number of the event that shows it; 0 when it is about the record as a whole.
    pub seq: u64,
    /// What is wrong, in words.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.seq {
            0 => f.write_str(&self.what),
            seq => write!(f, "event {seq}: {}", self.what),
        }
    }
}

/// Faults and losses so far.
#[derive(Debug, Default)]
pub(crate) struct Ledger {
    pub faults: Vec<Fault>,
    pub faults_in_all: u64,
    /// Moments at which one job came to be on two benches, or two jobs on one.
    pub double_held: u64,
    /// Stretches of journal numbers that should be there and are not, both ends included.
    absent: Vec<(u64, u64)>,
    /// Requests whose answer says something else than the journal.
    answers: BTreeSet<[u8; 16]>,
    /// Jobs that nobody can account for.
    jobs: BTreeSet<u64>,
}

impl Ledger {
    pub fn fault(&mut self, seq: u64, what: impl Into<String>) {
        self.faults_in_all += 1;
        if self.faults.len() < FAULTS_IN_WORDS {
            self.faults.push(Fault { seq, what: what.into() });
        }
    }

    /// The journal lacks these numbers. Nothing when `to` lies before `from`.
    pub fn absent(&mut self, from: u64, to: u64) {
        if from <= to {
            self.absent.push((from, to));
        }
    }

    pub fn lost_answer(&mut self, request: [u8; 16]) {
        self.answers.insert(request);
    }

    pub fn lost_job(&mut self, job: u64) {
        self.jobs.insert(job);
    }

    /// Losses in all: absent numbers, each once; answers that the journal contradicts; jobs that nobody can
    /// account for, other than those whose hand-in is itself an absent number.
    pub fn lost(&self) -> u64 {
        let stretches = self.merged();
        let within = |job: &u64| {
            let after = stretches.partition_point(|(from, _)| from <= job);
            after > 0 && stretches[after - 1].1 >= *job
        };
        let jobs = self.jobs.iter().filter(|job| !within(job)).count();
        let absent =
            stretches.iter().fold(0_u64, |sum, (from, to)| sum.saturating_add((to - from).saturating_add(1)));
        absent.saturating_add(jobs as u64).saturating_add(self.answers.len() as u64)
    }

    fn merged(&self) -> Vec<(u64, u64)> {
        let mut sorted = self.absent.clone();
        sorted.sort_unstable();
        let mut merged: Vec<(u64, u64)> = Vec::new();
        for (from, to) in sorted {
            match merged.last_mut() {
                Some(last) if from <= last.1.saturating_add(1) => last.1 = last.1.max(to),
                _ => merged.push((from, to)),
            }
        }
        merged
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_loss_counts_once() {
        let mut ledger = Ledger::default();
        ledger.absent(5, 7);
        ledger.absent(7, 8);
        ledger.absent(3, 2);
        ledger.lost_job(6);
        ledger.lost_job(2);
        ledger.lost_job(2);
        ledger.lost_answer([1; 16]);
        assert_eq!(ledger.lost(), 4 + 1 + 1);
    }

    #[test]
    fn absurd_stretches_and_endless_faults_stay_bounded() {
        let mut ledger = Ledger::default();
        ledger.absent(0, u64::MAX);
        ledger.absent(9, u64::MAX);
        (0..5_000).for_each(|seq| ledger.fault(seq, "x"));
        assert_eq!(ledger.lost(), u64::MAX);
        assert_eq!((ledger.faults.len(), ledger.faults_in_all), (FAULTS_IN_WORDS, 5_000));
    }
}
