//! By when an item is wanted: by a place in a pool, a table or a team match, by a time that the fencer said, or by
//! none that anybody said. Whoever has none left needs it for the next bout; whoever fences on with another one
//! mostly wants it back some time later, or before the day ends. How often each is said, and how much later, are
//! numbers of our own.

use rand_chacha::ChaCha8Rng;
use remise_core::armoury::{Need, Wanted};
use remise_core::bouts::{BoutPlace, RELAYS, pool_order};
use remise_core::time::{Span, Stamp};

use super::phases::{Phase, Stage};
use super::stream::{below, unit};

/// How somebody who has that much left says by when.
struct Ways {
    /// Share of hand-ins during a phase for which the strip gives the fencer's place.
    by_bout: f64,
    /// Share for which somebody says a time.
    by_time: f64,
    /// How soon that is at the least.
    soonest_min: i64,
}

impl Ways {
    fn of(need: Need) -> Self {
        match need {
            Need::OneLeft => Self { by_bout: 0.25, by_time: 0.5, soonest_min: 20 },
            Need::TwoOrMore => Self { by_bout: 0.0, by_time: 0.5, soonest_min: 45 },
            _ => Self { by_bout: 0.75, by_time: 0.2, soonest_min: 15 },
        }
    }
}

/// A said time is the soonest, or one of the steps after it: so many in all.
const STEPS: usize = 9;
/// Times are said in steps of five minutes.
const STEP: Span = Span::minutes(5);
/// A stopped strip wants its unit back after so many minutes.
const STOPPED_MIN: i64 = 20;
/// Most strips that a round counts.
const PARALLEL_MAX: usize = 64;

/// Draws by when something is wanted that is handed in during (or before, or after) a phase.
pub(super) fn wanted(phase: &Phase, at: Stamp, need: Need, apparatus: bool, rng: &mut ChaCha8Rng) -> Wanted {
    let ways = Ways::of(need);
    let (how, steps) = (unit(rng), below(rng, STEPS) as i64);
    if need == Need::StripStopped {
        return Wanted::At(up_to_step(at.plus_min(STOPPED_MIN)));
    }
    if apparatus || need == Need::Out {
        return Wanted::Open;
    }
    if how < ways.by_bout && phase.window.contains(at) {
        return bout(phase, at, rng).map_or(Wanted::Open, Wanted::Bout);
    }
    let said = up_to_step(Stamp(at.plus_min(ways.soonest_min).0 + steps * STEP.0));
    if how < ways.by_bout + ways.by_time { Wanted::At(said) } else { Wanted::Open }
}

fn up_to_step(at: Stamp) -> Stamp {
    Stamp(at.0.div_euclid(STEP.0) * STEP.0 + if at.0 % STEP.0 == 0 { 0 } else { STEP.0 })
}

/// A place that has a next bout; `None` when the one drawn has none left.
fn bout(phase: &Phase, at: Stamp, rng: &mut ChaCha8Rng) -> Option<BoutPlace> {
    let since = at.since(phase.window.from);
    let place = match phase.stage {
        Stage::Pools { size, bout_min, .. } => {
            let bouts = pool_order(size, None).map_or(1, |order| order.bouts.len() as u16);
            let place = 1 + below(rng, usize::from(size)) as u8;
            BoutPlace::Pool {
                size,
                variant: None,
                place,
                running_bout: calls(since, bout_min, bouts),
                bout_min,
            }
        }
        Stage::Elimination { table, bout_min } => elimination(phase, table, bout_min, since, rng),
        Stage::Teams { relay_min, .. } => BoutPlace::Relay {
            running_relay: calls(
                Span(since.0 % (i64::from(relay_min) * 9 * 60_000_000)),
                relay_min,
                RELAYS.len() as u16,
            ),
            fencer_no: 1 + below(rng, 6) as u8,
            relay_min,
        },
    };
    place.next_start(at).ok().flatten().map(|_| place)
}

/// How many calls there have been, the first at the start, `most` at most.
fn calls(since: Span, bout_min: u16, most: u16) -> u16 {
    let calls = 1 + since.0 / Span::minutes(i64::from(bout_min.max(1))).0;
    calls.min(i64::from(most)) as u16
}

/// Quarters and eighths of the plan have their own strips; otherwise bouts are called from the top, one on each
/// strip at once.
fn elimination(phase: &Phase, table: u16, bout_min: u16, since: Span, rng: &mut ChaCha8Rng) -> BoutPlace {
    let bouts = (table / 2).max(1);
    let strips = phase.strips.len().clamp(1, PARALLEL_MAX) as u16;
    let in_parts = matches!(strips, 4 | 8) && bouts >= strips;
    let running_bout = if in_parts {
        calls(since, bout_min, bouts / strips)
    } else {
        (calls(since, bout_min, bouts) * strips).min(bouts)
    };
    BoutPlace::Tableau {
        table,
        entrants: None,
        slot: 1 + below(rng, usize::from(table)) as u16,
        running_bout,
        parallel_strips: strips as u8,
        bout_min,
        last_bout_ended: None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::stream::{Subject, stream};
    use crate::day::{DayOptions, invented, timetable};

    #[test]
    fn every_place_drawn_is_one_that_the_core_can_answer() {
        let venue = invented(&DayOptions::default()).unwrap().venue;
        let mut by_bout = 0;
        for (number, phase) in timetable(&venue).iter().enumerate() {
            let minutes = phase.window.to.since(phase.window.from).ceil_min();
            for minute in 0..minutes {
                let at = phase.window.from.plus_min(minute);
                let mut rng = stream(2, Subject::Wanted, (number as i64 * 1_000 + minute) as u32);
                match wanted(phase, at, Need::NoneLeft, false, &mut rng) {
                    Wanted::Bout(place) => {
                        by_bout += 1;
                        assert!(place.wanted_by(at, 5).unwrap().unwrap() >= at, "{place:?}");
                    }
                    Wanted::At(time) => assert!(time > at && time.0 % STEP.0 == 0),
                    Wanted::Open => {}
                }
            }
        }
        assert!(by_bout > 300, "{by_bout}");
    }

    /// Worked by hand: bouts of five minutes; 0 to under 5 minutes is the first call, at 5 the second begins.
    #[test]
    fn calls_count_from_the_start() {
        assert_eq!(calls(Span::ZERO, 5, 21), 1);
        assert_eq!(calls(Span::seconds(299), 5, 21), 1);
        assert_eq!(calls(Span::minutes(5), 5, 21), 2);
        assert_eq!(calls(Span::minutes(500), 5, 21), 21);
    }
}
