//! Expected start of a fencer's next bout in a pool or a team match, and the moment by which an item must be
//! back for it.

use std::collections::BTreeMap;

use super::{BoutProblem, PoolOrder, RELAYS, next_relay};
use crate::time::{Span, Stamp};

/// Rest between two bouts of one fencer in a pool, minutes (FIE o.71.2, status A).
pub const REST_POOL_MIN: i64 = 3;
/// Rest between two direct-elimination bouts, minutes (FIE o.80.3, status A).
pub const REST_ELIMINATION_MIN: i64 = 10;
/// Usual minutes before a bout by which an item is wanted back. Common practice, no source.
pub const MARGIN_MIN: u16 = 5;
/// The same before a pool, a team match or a first elimination bout, which are called ten minutes before
/// (FIE t.118.1, status A).
pub const MARGIN_BEFORE_FIRST_CALL_MIN: u16 = 10;
/// Largest margin that is accepted, minutes.
pub const MARGIN_MAX_MIN: u16 = 120;

/// Longest bout that is accepted, minutes from call to call.
const BOUT_MAX_MIN: u16 = 60;

/// Expected start of the next bout of the fencer at `place`, after bout `running` (from 1). Bouts follow each
/// other on one strip; a bout waits until both its fencers have rested. `None` when no bout is left.
pub fn pool_start(
    order: &PoolOrder,
    place: u8,
    running: u16,
    bout_min: u16,
    now: Stamp,
) -> Result<Option<Stamp>, BoutProblem> {
    if place == 0 || place > order.size {
        return Err(BoutProblem::PoolPlace { size: order.size, place });
    }
    check_running(order.bouts.len() as u16, running)?;
    let bout = bout_span(bout_min)?;
    let rest = Span::minutes(REST_POOL_MIN);
    let mut rested: BTreeMap<u8, Stamp> = BTreeMap::new();
    let mut strip_free = now;
    for (number, &(left, right)) in (1..).zip(&order.bouts) {
        let start = if number <= running {
            now - Span(bout.0 * i64::from(running - number))
        } else {
            let ready = |fencer| rested.get(fencer).copied().unwrap_or(strip_free);
            strip_free.or_later(ready(&left)).or_later(ready(&right))
        };
        if number > running && (left == place || right == place) {
            return Ok(Some(start));
        }
        strip_free = start + bout;
        rested.insert(left, strip_free + rest);
        rested.insert(right, strip_free + rest);
    }
    Ok(None)
}

/// Expected start of the fencer's next relay after relay `running` (1 to 9). `None` when none is left.
pub fn relay_start(
    running: u16,
    fencer: u8,
    relay_min: u16,
    now: Stamp,
) -> Result<Option<Stamp>, BoutProblem> {
    if !(1..=6).contains(&fencer) {
        return Err(BoutProblem::RelayFencer(fencer));
    }
    check_running(RELAYS.len() as u16, running)?;
    let relay = bout_span(relay_min)?;
    Ok(next_relay(running, fencer).map(|next| now + Span(relay.0 * i64::from(next - running))))
}

/// The moment `margin_min` minutes before a start.
pub fn wanted_by(start: Stamp, margin_min: u16) -> Result<Stamp, BoutProblem> {
    if margin_min > MARGIN_MAX_MIN {
        return Err(BoutProblem::Margin(margin_min));
    }
    Ok(start.plus_min(-i64::from(margin_min)))
}

/// The length of a bout as a span, when it is one that a bout can have.
pub(super) fn bout_span(minutes: u16) -> Result<Span, BoutProblem> {
    if minutes == 0 || minutes > BOUT_MAX_MIN {
        return Err(BoutProblem::BoutMinutes(minutes));
    }
    Ok(Span::minutes(i64::from(minutes)))
}

/// Refuses a running bout outside 1 to `bouts`.
pub(super) fn check_running(bouts: u16, running: u16) -> Result<(), BoutProblem> {
    if running == 0 || running > bouts {
        return Err(BoutProblem::RunningBout { bouts, given: running });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::bouts::pool_order;

    const NOW: Stamp = Stamp(1_000_000_000);

    fn pool(size: u8, place: u8, running: u16, bout_min: u16) -> Option<i64> {
        let order = pool_order(size, None).unwrap();
        let start = pool_start(order, place, running, bout_min, NOW).unwrap();
        start.map(|at| (at.0 - NOW.0) / crate::time::US_PER_MIN)
    }

    /// Worked by hand on FIE o.69.1, pool of seven: 1-4 2-5 3-6 7-1 5-4 2-3 6-7 …
    #[test]
    fn pool_of_seven_counts_the_bouts_in_between() {
        assert_eq!(pool(7, 4, 1, 4), Some(4 * 4)); // fences bout 1 now, next is bout 5
        assert_eq!(pool(7, 7, 1, 4), Some(3 * 4)); // bout 4
        assert_eq!(pool(7, 6, 3, 5), Some(4 * 5)); // bout 7
        assert_eq!(pool(7, 1, 20, 4), None); // 1 fenced its last in bout 20
    }

    /// Worked by hand on the customary pool of four: 1-4 2-3 1-3 2-4 3-4 1-2. Fencer 3 has bouts 2 and 3
    /// running and 4 has 4 and 5, so the rest of three minutes (o.71.2) holds the strip up each time.
    #[test]
    fn pool_of_four_waits_for_the_rest() {
        // Bout 2 now, ends at 5; bout 3 may begin at 8, bout 4 at 13; bout 5 (4 rests) at 21; bout 6 at 26.
        assert_eq!(pool(4, 3, 2, 5), Some(8));
        assert_eq!(pool(4, 4, 2, 5), Some(13));
        assert_eq!(pool(4, 1, 3, 5), Some(5 + 5 + 3 + 5));
        assert_eq!(pool(4, 3, 5, 5), None);
    }

    /// Worked by hand: with bouts of two minutes a single bout between is too short a rest. Pool of five,
    /// 1-2 3-4 5-1 …: bout 1 ended now, so fencer 1 is rested at 3 although the strip is free at 2.
    #[test]
    fn a_short_bout_between_does_not_make_a_rest() {
        assert_eq!(pool(5, 1, 2, 2), Some(3));
        assert_eq!(pool(5, 5, 1, 2), Some(2 + 2 + 1));
    }

    /// Worked by hand on FIE o.99.3: 3-6 1-5 2-4 1-6 3-4 2-5 1-4 2-6 3-5.
    #[test]
    fn relays_follow_without_rest() {
        let start = |running, fencer| relay_start(running, fencer, 3, NOW).unwrap();
        assert_eq!(start(1, 3), Some(NOW.plus_min(12)));
        assert_eq!(start(6, 5), Some(NOW.plus_min(9)));
        assert_eq!(start(8, 6), None);
    }

    #[test]
    fn an_item_is_wanted_the_margin_before() {
        assert_eq!(wanted_by(NOW, MARGIN_MIN), Ok(NOW.plus_min(-5)));
        assert_eq!(wanted_by(NOW, 121), Err(BoutProblem::Margin(121)));
    }

    #[test]
    fn values_out_of_range_are_refused() {
        let six = pool_order(6, None).unwrap();
        assert_eq!(pool_start(six, 7, 1, 5, NOW), Err(BoutProblem::PoolPlace { size: 6, place: 7 }));
        assert_eq!(pool_start(six, 0, 1, 5, NOW), Err(BoutProblem::PoolPlace { size: 6, place: 0 }));
        assert_eq!(pool_start(six, 1, 0, 5, NOW), Err(BoutProblem::RunningBout { bouts: 15, given: 0 }));
        assert_eq!(pool_start(six, 1, 16, 5, NOW), Err(BoutProblem::RunningBout { bouts: 15, given: 16 }));
        assert_eq!(pool_start(six, 1, 1, 0, NOW), Err(BoutProblem::BoutMinutes(0)));
        assert_eq!(pool_start(six, 1, 1, 61, NOW), Err(BoutProblem::BoutMinutes(61)));
        assert_eq!(relay_start(1, 7, 3, NOW), Err(BoutProblem::RelayFencer(7)));
        assert_eq!(relay_start(10, 1, 3, NOW), Err(BoutProblem::RunningBout { bouts: 9, given: 10 }));
    }
}
