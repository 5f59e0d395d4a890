//! Which bench has which job in hand. Unlike the server it can hold what must not be: a job on two benches, or
//! two jobs on one.

use std::collections::{BTreeMap, BTreeSet};

/// Benches and the jobs in hand there.
#[derive(Debug, Default)]
pub(crate) struct Hands {
    by_bench: BTreeMap<u64, BTreeSet<u64>>,
    by_job: BTreeMap<u64, BTreeSet<u64>>,
}

impl Hands {
    /// A bench has a job in hand from now on. Says in words whether now something is held twice.
    pub fn take(&mut self, job: u64, bench: u64) -> Option<String> {
        let benches = self.by_job.entry(job).or_default();
        let jobs = self.by_bench.entry(bench).or_default();
        let other_bench = benches.iter().find(|other| **other != bench).copied();
        let other_job = jobs.iter().find(|other| **other != job).copied();
        benches.insert(bench);
        jobs.insert(job);
        match (other_bench, other_job) {
            (Some(other), _) => Some(format!("job {job} is on bench {bench} and on bench {other}")),
            (None, Some(other)) => Some(format!("bench {bench} has both job {job} and job {other} in hand")),
            (None, None) => None,
        }
    }

    /// No bench has the job in hand any more.
    pub fn leave(&mut self, job: u64) {
        for bench in self.by_job.remove(&job).unwrap_or_default() {
            if let Some(jobs) = self.by_bench.get_mut(&bench) {
                jobs.remove(&job);
            }
        }
    }

    /// The benches that have one job in hand have the other in hand from now on, and the other way round.
    pub fn swap(&mut self, a: u64, b: u64) {
        let benches_of_a = self.by_job.get(&a).cloned().unwrap_or_default();
        let benches_of_b = self.by_job.get(&b).cloned().unwrap_or_default();
        self.leave(a);
        self.leave(b);
        for (job, benches) in [(a, benches_of_b), (b, benches_of_a)] {
            for bench in benches {
                self.by_job.entry(job).or_default().insert(bench);
                self.by_bench.entry(bench).or_default().insert(job);
            }
        }
    }

    /// Whether the bench has the job in hand.
    pub fn has(&self, bench: u64, job: u64) -> bool {
        self.by_bench.get(&bench).is_some_and(|jobs| jobs.contains(&job))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_benches_or_two_jobs_are_noticed_and_end_with_the_job() {
        let mut hands = Hands::default();
        assert_eq!(hands.take(5, 1), None);
        assert_eq!(hands.take(5, 1), None);
        assert_eq!(hands.take(6, 1).as_deref(), Some("bench 1 has both job 6 and job 5 in hand"));
        assert_eq!(hands.take(5, 2).as_deref(), Some("job 5 is on bench 2 and on bench 1"));
        hands.leave(5);
        hands.leave(6);
        assert_eq!(hands.take(7, 1), None);
    }

    #[test]
    fn an_exchange_changes_places() {
        let mut hands = Hands::default();
        hands.take(5, 1);
        hands.swap(5, 6);
        assert!(hands.has(1, 6) && !hands.has(1, 5));
        hands.take(5, 2);
        hands.swap(5, 6);
        assert!(hands.has(1, 5) && hands.has(2, 6));
    }
}
