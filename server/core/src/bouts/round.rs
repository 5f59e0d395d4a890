//! Expected start of a fencer's next bout in direct elimination.
//!
//! Bouts are called from the top of the plan to the bottom. On four or eight strips each quarter or eighth of
//! the plan has its own strip and is called from its top (FIE o.80, status A); the strips are taken to be
//! equally far. On any other number of strips the next bout goes to the next strip that is free. The next
//! round begins when this one is over.

use super::next::{bout_span, check_running};
use super::{BoutProblem, REST_ELIMINATION_MIN, bout_of_slot, bouts_in, seeds};
use crate::time::{Span, Stamp};

const STRIPS_MAX: u8 = 64;

/// One round of a direct-elimination table while it is being fenced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Round {
    table: u16,
    /// Per bout from the top: whether both its lines are taken.
    fenced: Vec<bool>,
    running: u16,
    strips: u16,
    bout: Span,
}

impl Round {
    /// The round that a table of `table` lines begins. `entrants` is how many of the lines are taken when
    /// the table is not full; the empty lines are those of the last seeds. `running` is the latest bout
    /// called, `bout_min` the minutes from call to call on one strip.
    pub fn new(
        table: u16,
        entrants: Option<u16>,
        running: u16,
        strips: u8,
        bout_min: u16,
    ) -> Result<Self, BoutProblem> {
        let bouts = bouts_in(table)?;
        let entrants = entrants.unwrap_or(table);
        if entrants <= bouts || entrants > table {
            return Err(BoutProblem::Entrants { table, entrants });
        }
        if strips == 0 || strips > STRIPS_MAX {
            return Err(BoutProblem::Strips(strips));
        }
        check_running(bouts, running)?;
        let fenced: Vec<bool> =
            seeds(table)?.chunks(2).map(|pair| pair.iter().all(|&seed| seed <= entrants)).collect();
        if !fenced[usize::from(running - 1)] {
            return Err(BoutProblem::NotFenced(running));
        }
        Ok(Self { table, fenced, running, strips: u16::from(strips), bout: bout_span(bout_min)? })
    }

    /// Expected start of the next bout of the fencer on line `slot`: in this round, or in the next one when
    /// the fencer's bout in this round has been called or is not fenced. `None` after the final.
    /// `last_ended` is when the fencer's last bout ended, when that is known.
    pub fn next_start(
        &self,
        slot: u16,
        last_ended: Option<Stamp>,
        now: Stamp,
    ) -> Result<Option<Stamp>, BoutProblem> {
        let own = bout_of_slot(self.table, slot)?;
        self.check_line(slot, own)?;
        let rest = Span::minutes(REST_ELIMINATION_MIN);
        let last_ended = last_ended.map(|at| at.min(now));
        if self.is_fenced(own) && self.wave(own) > 0 {
            let called = self.start(own, now);
            return Ok(Some(last_ended.map_or(called, |at| called.or_later(at + rest))));
        }
        if self.table == 2 {
            return Ok(None);
        }
        let own_end = match (self.is_fenced(own), last_ended) {
            (true, Some(at)) if self.wave(own) < 0 => Some(at),
            (true, _) => self.end(own, now),
            (false, at) => at,
        };
        let other_end = self.end(sibling(own), now);
        let called = self.next_round_start(own.div_ceil(2), now);
        let rested = [own_end, other_end].into_iter().flatten().map(|end| end + rest);
        Ok(Some(rested.fold(called, Stamp::or_later)))
    }

    /// Refuses a line that belongs to nobody. In a bout that is not fenced the better seed is the one there.
    fn check_line(&self, slot: u16, own: u16) -> Result<(), BoutProblem> {
        if self.is_fenced(own) {
            return Ok(());
        }
        let lines = seeds(self.table)?;
        let at = usize::from(slot - 1);
        if lines[at] < lines[at ^ 1] { Ok(()) } else { Err(BoutProblem::EmptyLine(slot)) }
    }

    fn is_fenced(&self, bout: u16) -> bool {
        self.fenced[usize::from(bout - 1)]
    }

    fn bouts(&self) -> u16 {
        self.table / 2
    }

    /// How many bouts are fenced on one strip before this one, or by all strips when there are no parts.
    fn rank(&self, bout: u16) -> i64 {
        let len = part_len(self.bouts(), self.strips);
        let first = (bout - 1) / len * len;
        (first + 1..bout).filter(|&b| self.is_fenced(b)).count() as i64
    }

    /// Calls from the running bout to this one: 0 for bouts on a strip now, negative for earlier ones.
    fn wave(&self, bout: u16) -> i64 {
        let ahead = self.rank(bout) - self.rank(self.running);
        let strips = if in_parts(self.bouts(), self.strips) { 1 } else { i64::from(self.strips) };
        // Rounds up for negative values too: the bouts called just before the running one are on the strips.
        -((-ahead).div_euclid(strips))
    }

    fn start(&self, bout: u16, now: Stamp) -> Stamp {
        now + Span(self.bout.0 * self.wave(bout))
    }

    fn end(&self, bout: u16, now: Stamp) -> Option<Stamp> {
        self.is_fenced(bout).then(|| self.start(bout, now) + self.bout)
    }

    /// Call of a bout of the next round, when this one is over.
    fn next_round_start(&self, bout: u16, now: Stamp) -> Stamp {
        let fenced = (1..=self.bouts()).filter(|&b| self.is_fenced(b));
        let over = fenced.filter_map(|b| self.end(b, now)).fold(now, Stamp::or_later);
        let bouts = self.bouts() / 2;
        let ahead = if in_parts(bouts, self.strips) {
            (bout - 1) % part_len(bouts, self.strips)
        } else {
            (bout - 1) / self.strips
        };
        over + Span(self.bout.0 * i64::from(ahead))
    }
}

/// The bout whose winner meets this one's winner.
fn sibling(bout: u16) -> u16 {
    if bout % 2 == 1 { bout + 1 } else { bout - 1 }
}

/// Whether each quarter or eighth has its own strip.
fn in_parts(bouts: u16, strips: u16) -> bool {
    matches!(strips, 4 | 8) && bouts >= strips
}

/// Bouts of the part of the plan that is called from its own top.
fn part_len(bouts: u16, strips: u16) -> u16 {
    if in_parts(bouts, strips) { bouts / strips } else { bouts }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const NOW: Stamp = Stamp(50_000_000_000);

    fn minutes(round: &Round, slot: u16, last: Option<i64>) -> Option<i64> {
        let last = last.map(|ago| NOW.plus_min(-ago));
        round.next_start(slot, last, NOW).unwrap().map(|at| (at.0 - NOW.0) / crate::time::US_PER_MIN)
    }

    /// Worked by hand: table of 16, eight bouts, one strip, bouts of 15 minutes, bout 2 running.
    #[test]
    fn on_one_strip_bouts_follow_from_the_top() {
        let round = Round::new(16, None, 2, 1, 15).unwrap();
        assert_eq!(minutes(&round, 5, None), Some(15)); // line 5 is in bout 3
        assert_eq!(minutes(&round, 16, None), Some(6 * 15)); // bout 8
    }

    /// Worked by hand: three strips, bout 3 the latest called, so 1 to 3 are on and 4 to 6 come next.
    #[test]
    fn on_three_strips_three_bouts_go_at_once() {
        let round = Round::new(16, None, 3, 3, 15).unwrap();
        assert_eq!(minutes(&round, 7, None), Some(15)); // bout 4
        assert_eq!(minutes(&round, 12, None), Some(15)); // bout 6
        assert_eq!(minutes(&round, 13, None), Some(30)); // bout 7
    }

    /// FIE o.80, worked by hand: table of 64 on four strips, eight bouts a quarter. Bout 10 is the second of
    /// its quarter; bout 20 is the fourth of the third quarter, two calls later.
    #[test]
    fn on_four_strips_each_quarter_is_called_from_its_top() {
        let round = Round::new(64, None, 10, 4, 15).unwrap();
        assert_eq!(minutes(&round, 39, None), Some(30)); // line 39: bout 20
        assert_eq!(minutes(&round, 5, None), Some(15)); // bout 3, third of the first quarter
    }

    /// FIE o.80.3: ten minutes between two elimination bouts, whatever the call says.
    #[test]
    fn the_rest_of_ten_minutes_is_kept() {
        let round = Round::new(8, None, 1, 4, 15).unwrap();
        assert_eq!(minutes(&round, 1, None), Some(15 + 10)); // own bout ends at 15, then ten minutes
        let round = Round::new(16, None, 1, 1, 5).unwrap();
        assert_eq!(minutes(&round, 3, Some(2)), Some(8)); // bout 2 called at 5, rested at 8
        assert_eq!(minutes(&round, 3, Some(6)), Some(5));
        assert_eq!(minutes(&round, 3, Some(-4)), Some(10)); // a clock that runs ahead counts as now
    }

    /// Worked by hand: table of 4 on one strip, bout 2 running with bouts of 15 minutes. Bout 1 was won long
    /// ago, but the other finalist's bout ends at 15 and rests until 25.
    #[test]
    fn the_opponent_rests_too() {
        let round = Round::new(4, None, 2, 1, 15).unwrap();
        assert_eq!(minutes(&round, 1, Some(20)), Some(25));
        assert_eq!(minutes(&round, 4, None), Some(25));
    }

    /// Worked by hand: table of 8 on one strip, bout 2 running: the round is over at 45, the second bout of
    /// the next round is called at 60.
    #[test]
    fn a_fenced_bout_leads_to_the_next_round() {
        let round = Round::new(8, None, 2, 1, 15).unwrap();
        assert_eq!(minutes(&round, 2, Some(1)), Some(45));
        let late = Round::new(8, None, 3, 1, 15).unwrap();
        assert_eq!(minutes(&late, 6, None), Some(30 + 15));
    }

    /// Worked by hand: six in a table of 8 (1-8 5-4 3-6 7-2): bouts 1 and 4 are not fenced.
    #[test]
    fn empty_lines_take_no_time() {
        let round = Round::new(8, Some(6), 2, 1, 15).unwrap();
        assert_eq!(minutes(&round, 5, None), Some(15)); // bout 3 is the only one left
        assert_eq!(minutes(&round, 1, None), Some(30)); // over at 30; its opponent ends at 15
        assert_eq!(minutes(&round, 8, None), Some(45)); // second bout of four lines
        assert_eq!(round.next_start(2, None, NOW), Err(BoutProblem::EmptyLine(2)));
        assert_eq!(Round::new(8, Some(6), 1, 1, 15), Err(BoutProblem::NotFenced(1)));
    }

    #[test]
    fn after_the_final_there_is_none() {
        assert_eq!(minutes(&Round::new(2, None, 1, 1, 15).unwrap(), 2, None), None);
    }

    #[test]
    fn values_out_of_range_are_refused() {
        assert_eq!(Round::new(12, None, 1, 1, 15), Err(BoutProblem::TableSize(12)));
        assert_eq!(Round::new(8, Some(4), 1, 1, 15), Err(BoutProblem::Entrants { table: 8, entrants: 4 }));
        assert_eq!(Round::new(8, Some(9), 1, 1, 15), Err(BoutProblem::Entrants { table: 8, entrants: 9 }));
        assert_eq!(Round::new(8, None, 5, 1, 15), Err(BoutProblem::RunningBout { bouts: 4, given: 5 }));
        assert_eq!(Round::new(8, None, 1, 0, 15), Err(BoutProblem::Strips(0)));
        assert_eq!(Round::new(8, None, 1, 65, 15), Err(BoutProblem::Strips(65)));
        let round = Round::new(8, None, 1, 1, 15).unwrap();
        assert_eq!(round.next_start(0, None, NOW), Err(BoutProblem::Slot { table: 8, slot: 0 }));
        assert_eq!(round.next_start(9, None, NOW), Err(BoutProblem::Slot { table: 8, slot: 9 }));
    }
}
