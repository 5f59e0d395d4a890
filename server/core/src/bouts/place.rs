//! Where a fencer stands in a competition, as a strip states it with a hand-in.

use serde::{Deserialize, Serialize};

use super::{BoutProblem, Round, pool_order, pool_start, relay_start, wanted_by};
use crate::time::Stamp;

/// A fencer's place in a pool, a direct-elimination table or a team match, and the bout that is running.
/// Values are checked when the next start is asked for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BoutPlace {
    /// In a pool.
    Pool {
        /// Fencers in the pool, 4 to 12.
        size: u8,
        /// Name of the bout order; the usual one of the size when left out.
        #[serde(default)]
        variant: Option<String>,
        /// The fencer's number on the pool sheet, from 1.
        place: u8,
        /// Number of the bout that is running, from 1.
        running_bout: u16,
        /// Minutes from call to call, 1 to 60.
        bout_min: u16,
    },
    /// In a direct-elimination table.
    Tableau {
        /// Lines of the table of the round that is running: 2, 4 … 256.
        table: u16,
        /// How many lines are taken, when the table is not full.
        #[serde(default)]
        entrants: Option<u16>,
        /// The fencer's line in that table, from 1 at the top of the plan.
        slot: u16,
        /// Number of the latest bout called in this round, from 1 at the top.
        running_bout: u16,
        /// Strips on which the round is fenced, 1 to 64.
        parallel_strips: u8,
        /// Minutes from call to call on one strip, 1 to 60.
        bout_min: u16,
        /// When the fencer's last bout ended, when known.
        #[serde(default)]
        last_bout_ended: Option<Stamp>,
    },
    /// In a team match of nine relays.
    Relay {
        /// Number of the relay that is running, 1 to 9.
        running_relay: u16,
        /// The fencer's number on the score sheet, 1 to 6.
        fencer_no: u8,
        /// Minutes from relay to relay, 1 to 60.
        relay_min: u16,
    },
}

impl BoutPlace {
    /// Expected start of the fencer's next bout; `None` when no bout is left.
    pub fn next_start(&self, now: Stamp) -> Result<Option<Stamp>, BoutProblem> {
        match *self {
            Self::Pool { size, ref variant, place, running_bout, bout_min } => {
                let order = pool_order(size, variant.as_deref())?;
                pool_start(order, place, running_bout, bout_min, now)
            }
            Self::Tableau {
                table,
                entrants,
                slot,
                running_bout,
                parallel_strips,
                bout_min,
                last_bout_ended,
            } => Round::new(table, entrants, running_bout, parallel_strips, bout_min)?.next_start(
                slot,
                last_bout_ended,
                now,
            ),
            Self::Relay { running_relay, fencer_no, relay_min } => {
                relay_start(running_relay, fencer_no, relay_min, now)
            }
        }
    }

    /// The moment by which an item must be back: `margin_min` minutes before the next start, and never
    /// before `now`. `None` when no bout is left.
    pub fn wanted_by(&self, now: Stamp, margin_min: u16) -> Result<Option<Stamp>, BoutProblem> {
        let start = self.next_start(now)?.map(|start| wanted_by(start, margin_min));
        Ok(start.transpose()?.map(|at| at.or_later(now)))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use proptest::prelude::*;

    use super::*;
    use crate::bouts::{MARGIN_MIN, seeds};

    fn pool(place: u8, running_bout: u16) -> BoutPlace {
        BoutPlace::Pool { size: 6, variant: None, place, running_bout, bout_min: 5 }
    }

    /// Worked by hand on FIE o.69.2, pool of six: 1-2 4-3 6-5 3-1 2-6 …
    #[test]
    fn a_place_gives_the_moment_by_which_the_item_is_wanted() {
        let now = Stamp(0).plus_min(600);
        assert_eq!(pool(2, 1).next_start(now), Ok(Some(now.plus_min(20))));
        assert_eq!(pool(2, 1).wanted_by(now, MARGIN_MIN), Ok(Some(now.plus_min(15))));
        assert_eq!(pool(2, 4).wanted_by(now, 30), Ok(Some(now)));
        assert_eq!(pool(2, 14).wanted_by(now, MARGIN_MIN), Ok(None));
        assert_eq!(pool(2, 1).wanted_by(now, 999), Err(BoutProblem::Margin(999)));
    }

    #[test]
    fn the_written_form_keeps_its_shape() {
        let text = r#"{"pool":{"size":6,"variant":"usa","place":2,"running_bout":1,"bout_min":5}}"#;
        let place: BoutPlace = serde_json::from_str(text).unwrap();
        assert_eq!(serde_json::to_string(&place).unwrap(), text);
        let short = r#"{"tableau":{"table":8,"slot":1,"running_bout":1,"parallel_strips":1,"bout_min":9}}"#;
        assert!(serde_json::from_str::<BoutPlace>(short).is_ok());
    }

    proptest! {
        #[test]
        fn any_values_are_answered_or_refused(
            a in any::<u16>(), b in any::<u16>(), c in any::<u16>(), d in any::<u8>(), e in any::<u8>(),
            at in any::<i64>(), last in any::<Option<i64>>(), table in 0_u32..18,
        ) {
            let table = 1_u16.checked_shl(table).unwrap_or(a);
            let places = [
                BoutPlace::Pool { size: d, variant: None, place: e, running_bout: a, bout_min: b },
                BoutPlace::Tableau {
                    table, entrants: last.map(|_| c), slot: a, running_bout: b, parallel_strips: d,
                    bout_min: c, last_bout_ended: last.map(Stamp),
                },
                BoutPlace::Relay { running_relay: a, fencer_no: d, relay_min: b },
            ];
            for place in places {
                if let Err(problem) = place.next_start(Stamp(at)) {
                    prop_assert!(problem.to_string().contains("nothing was recorded"));
                }
            }
        }

        #[test]
        fn a_next_bout_is_never_in_the_past(
            power in 1_u32..=8, entrants in any::<prop::sample::Index>(), slot in any::<prop::sample::Index>(),
            running in any::<prop::sample::Index>(), strips in 1_u8..=16, bout_min in 1_u16..=60,
        ) {
            let table = 1_u16 << power;
            let entrants = table / 2 + 1 + entrants.index(usize::from(table / 2)) as u16;
            let slot = 1 + slot.index(usize::from(table)) as u16;
            let running_bout = 1 + running.index(usize::from(table / 2)) as u16;
            let place = |running_bout| BoutPlace::Tableau {
                table, entrants: Some(entrants), slot, running_bout, parallel_strips: strips, bout_min,
                last_bout_ended: None,
            };
            let now = Stamp(0);
            match place(running_bout).next_start(now) {
                Ok(start) => prop_assert!(start.is_none_or(|at| at > now)),
                Err(BoutProblem::EmptyLine(_)) => {
                    prop_assert!(seeds(table).unwrap()[usize::from(slot - 1)] > entrants);
                }
                Err(problem) => prop_assert_eq!(problem, BoutProblem::NotFenced(running_bout)),
            }
        }
    }
}
