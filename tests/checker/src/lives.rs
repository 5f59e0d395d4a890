//! Every job's life in times, for figures over many days: when it came, was taken up, was known, ended and left, and
//! what was promised meanwhile. Read from the journal in the same walk as the judgement.

use crate::figures::{kept, kept_safe};
use crate::ledger::Ledger;
use crate::life::{Job, Promise};
use crate::row::Row;
use crate::said::Said;
use crate::walk::Room;

/// One job's life; all times are microseconds since 1970-01-01T00:00:00Z at which the thing happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Life {
    /// The number of its hand-in.
    pub job: u64,
    /// What the fencer still had at hand-in, in the journal's words.
    pub need: &'static str,
    /// Handed in.
    pub came_us: i64,
    /// First in the room; `None` when it never came there.
    pub in_room_us: Option<i64>,
    /// First taken up by a bench.
    pub taken_us: Option<i64>,
    /// First known what is wrong, or that nothing is.
    pub known_us: Option<i64>,
    /// Last made ready, withdrawn or called off.
    pub ended_us: Option<i64>,
    /// Handed back or collected.
    pub left_us: Option<i64>,
    /// Every promise, in order, with the time at which it was recorded.
    pub promises: Vec<Promise>,
    /// Whether the first promise's likely time was kept. None said within 60 s is a miss, and so is not ending.
    pub likely_kept: bool,
    /// The same for its safe time; `None` when the promise had none.
    pub safe_kept: Option<bool>,
}

impl Life {
    /// Minutes from lying in the room until a bench first took it up; `None` when one of them never was.
    pub fn wait_min(&self) -> Option<f64> {
        Some((self.taken_us? - self.in_room_us?).max(0) as f64 / 6e7)
    }

    fn of(id: u64, job: Job) -> Self {
        Self {
            job: id,
            need: job.need.code(),
            came_us: job.came_us,
            in_room_us: job.course.in_room_us,
            taken_us: job.course.taken_us,
            known_us: job.course.known_us,
            ended_us: job.course.ended_us,
            left_us: job.left_us.filter(|_| job.closed),
            likely_kept: kept(&job, |promise| promise.likely),
            safe_kept: kept_safe(&job),
            promises: job.promises,
        }
    }
}

/// The life of every job of a journal, by job. What does not follow is [`judge`](crate::judge)'s to tell.
pub fn lives<'a>(rows: impl IntoIterator<Item = &'a Row>) -> Vec<Life> {
    let (mut room, mut ledger) = (Room::default(), Ledger::default());
    for row in rows {
        if let Ok(said) = Said::read(&row.body) {
            room.event(row, &said, &mut ledger);
        }
    }
    room.jobs.into_iter().map(|(id, job)| Life::of(id, job)).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::{Day, clean_day, min};

    /// Worked by hand on an invented day.
    #[test]
    fn a_life_has_its_times() {
        let mut day = Day::open();
        let job = day.hand_in(1, "10001", "none_left", Some(30));
        day.promise(1, job, 20, Some(25));
        day.take(7, job, 1);
        day.step(9, job, "found");
        day.promise(9, job, 22, Some(24));
        day.step(19, job, "repaired");
        day.prove(20, job, true);
        day.ready(21, job);
        day.hand_back(30, job);
        let life = lives(&day.rows).pop().unwrap();
        assert_eq!((life.job, life.need, life.promises.len()), (job, "none_left", 2));
        let times = [life.in_room_us, life.taken_us, life.known_us, life.ended_us, life.left_us];
        assert_eq!((life.came_us, times), (min(1), [1, 7, 9, 21, 30].map(|at| Some(min(at)))));
        assert_eq!((life.likely_kept, life.safe_kept), (false, Some(true)));
        assert!((life.wait_min().unwrap() - 6.0).abs() < 1e-9);
    }

    /// Two ways to the same shares: the judgement's and the lives'.
    #[test]
    fn lives_agree_with_the_judgement() {
        let day = clean_day();
        let (lives, judged) = (lives(&day.rows), day.judged());
        assert_eq!(lives.len() as u64, judged.jobs);
        let kept = lives.iter().filter(|life| life.likely_kept).count() as f64 / lives.len() as f64;
        assert_eq!(Some(kept), judged.promise_likely_share);
    }
}
