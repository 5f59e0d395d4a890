//! The same day with another number of benches: same arrivals, causes, minutes and people, so that numbers of benches
//! can be compared on equal days. Only the room changes.

use std::collections::BTreeMap;

use remise_core::ids::BenchId;
use remise_core::time::Window;
use remise_core::venue::Bench;

use super::people;
use super::plan::Day;
use super::venue::{name_of, open, works};

/// The same day at the same tournament with so many benches, 2 to 60, divided and open as those of an invented
/// tournament are: up to four do everything, more divide the work, the last roves, all have their lunch.
#[must_use]
pub fn with_benches(day: &Day, benches: u16, seed: u64) -> Day {
    let mut day = day.clone();
    let days = day.tournament.venue.days.clone();
    let bench = |number: u16| Bench {
        id: BenchId(number),
        name: name_of(number, benches),
        armourer: None,
        works: works(number, benches),
        open: days.iter().flat_map(|day| open(number, hours(*day), *day)).collect(),
        roving: number == benches,
    };
    day.tournament.venue.benches = (1..=benches).map(bench).collect();
    let names = people::armourers(seed, usize::from(benches));
    day.tournament.armourers = (1..).map(BenchId).zip(names).collect::<BTreeMap<_, _>>();
    day
}

/// Whole hours.
fn hours(day: Window) -> u16 {
    u16::try_from(day.to.since(day.from).ceil_min() / 60).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::{DayOptions, busiest_two_hours_load, invented, invented_day};

    /// Common random numbers: hand-ins, truths, call-outs and swaps do not know how many benches there are.
    #[test]
    fn arrivals_causes_and_minutes_do_not_depend_on_the_number_of_benches() {
        let options = DayOptions { seed: 6, ..DayOptions::default() };
        let day = invented_day(&options).unwrap();
        let mut loads = Vec::new();
        for benches in 2..=8 {
            let other = with_benches(&day, benches, options.seed);
            assert_eq!(other.hand_ins, day.hand_ins);
            assert_eq!((&other.call_outs, &other.swaps), (&day.call_outs, &day.swaps));
            let same = invented(&DayOptions { benches, ..options.clone() }).unwrap();
            assert_eq!(other.tournament, same, "{benches} benches");
            loads.push(busiest_two_hours_load(&other));
        }
        assert!(loads.is_sorted_by(|more, less| more > less), "{loads:?}");
        assert_eq!(with_benches(&day, options.benches, options.seed), day);
    }
}
