//! Who does what when. Errands come out ordered by time, then by who, then by the order in which they were put in, so
//! that a day is played the same way each time.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use remise_core::armoury::Place;
use remise_core::ids::{BenchId, CallId, StripId};
use remise_core::time::Stamp;

use super::thing::ThingId;

/// Somebody in the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    /// An official at a strip.
    Strip(StripId),
    /// The counter at the armoury's door.
    Counter,
    /// The armourer at a bench.
    Bench(BenchId),
    /// The head armourer.
    Head,
}

/// What somebody sets out to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// Hands something in.
    HandIn(ThingId),
    /// Calls an armourer to a stopped strip; the number of the plan.
    CallOut(usize),
    /// Sends whom the server chose to the strip; they arrive then.
    Send(CallId, usize, Stamp),
    /// Is back at the bench from a strip.
    Back,
    /// Is at the strip.
    Reach(CallId, usize),
    /// The strip runs again.
    RunAgain(CallId, usize),
    /// Scans something into the room.
    Scan(ThingId),
    /// No longer wants it mended.
    CallOff(ThingId),
    /// Reads and confirms the oldest notice.
    Confirm(ThingId),
    /// Comes for it.
    Collect(ThingId),
    /// Looks for the next job.
    Look,
    /// Goes on with the job in hand; stale when the number is not the hand's.
    Work(u64),
    /// Leaves the bench for a break.
    Leave(Stamp),
    /// Is back from the break.
    Return,
    /// Notices that two tags were on each other's items; the number of the plan.
    Exchange(usize),
    /// Opens a bench after hours.
    Open(BenchId),
    /// Records that something cannot be found.
    Missing(ThingId),
    /// Records that somebody must have collected it.
    Unseen(ThingId),
    /// Counts a place.
    Count(Place),
    /// Closes the day.
    CloseDay,
}

/// An errand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Errand {
    /// When.
    pub at: Stamp,
    /// Who.
    pub who: Who,
    /// Order of putting in.
    pub number: u64,
    /// What.
    pub what: What,
}

/// The errands still to be done.
#[derive(Debug, Default)]
pub struct Agenda {
    heap: BinaryHeap<Reverse<Errand>>,
    next: u64,
}

impl Agenda {
    /// Puts an errand in.
    pub fn put(&mut self, at: Stamp, who: Who, what: What) {
        self.next += 1;
        self.heap.push(Reverse(Errand { at, who, number: self.next, what }));
    }

    /// When the next errand is due.
    pub fn next_at(&self) -> Option<Stamp> {
        self.heap.peek().map(|Reverse(errand)| errand.at)
    }

    /// The next errand, when it is due no later than `until`.
    pub fn due(&mut self, until: Stamp) -> Option<Errand> {
        if self.next_at()? > until {
            return None;
        }
        self.heap.pop().map(|Reverse(errand)| errand)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errands_come_by_time_then_by_who_then_in_order() {
        let mut agenda = Agenda::default();
        agenda.put(Stamp(2), Who::Counter, What::Look);
        agenda.put(Stamp(1), Who::Head, What::Look);
        agenda.put(Stamp(1), Who::Counter, What::Return);
        agenda.put(Stamp(1), Who::Counter, What::Look);
        let order: Vec<_> = std::iter::from_fn(|| agenda.due(Stamp(1))).map(|e| (e.who, e.what)).collect();
        let expected = [(Who::Counter, What::Return), (Who::Counter, What::Look), (Who::Head, What::Look)];
        assert_eq!(order, expected);
        assert_eq!(agenda.next_at(), Some(Stamp(2)));
    }
}
