//! An invented one-day tournament. The hall, its strips and benches, hours, breaks and entries are numbers of
//! our own for the rehearsal.

use std::collections::BTreeMap;

use remise_core::gear::{Weapon, Work};
use remise_core::ids::{BenchId, StripId};
use remise_core::time::{Span, Stamp, Window};
use remise_core::venue::{Bench, Competition, Pools, Strip, Tableau, Teams, Venue};
use remise_server::tournament::Tournament;

use super::options::{DayOptions, OptionProblem};
use super::people;

/// 2026-05-02T08:00 in Vienna, two hours ahead of UTC: when the armoury opens. A test holds it against the
/// time zone database.
const OPENING: Stamp = Stamp(1_777_701_600_000_000);
const ZONE: &str = "Europe/Vienna";
/// Length of a lunch break.
const LUNCH: Span = Span::minutes(30);
/// Shorter days have no lunch break.
const LUNCH_FROM_HOURS: u16 = 6;
/// Benches take turns at lunch in this many sittings.
const SITTINGS: u16 = 5;

/// An invented tournament of one day, 2026-05-02 in Vienna from 08:00, with as many strips, benches and hours as
/// the options say.
///
/// # Errors
/// Every option that is out of bounds.
pub fn invented(options: &DayOptions) -> Result<Tournament, Vec<OptionProblem>> {
    options.check()?;
    let day = Window { from: OPENING, to: OPENING.plus_min(i64::from(options.hours) * 60) };
    let names = people::armourers(options.seed, usize::from(options.benches));
    let armourers: BTreeMap<BenchId, String> = (1..).map(BenchId).zip(names).collect();
    let venue = Venue {
        name: "Lantern Hall Rehearsal".to_owned(),
        zone: ZONE.to_owned(),
        days: vec![day],
        counter: "Hatch by the north stairs".to_owned(),
        strips: strips(options.strips),
        benches: benches(options, day),
        competitions: competitions(options),
        edition: "fie-2026".to_owned(),
        margin_min: 5,
    };
    Ok(Tournament { venue, armourers, warnings: Vec::new() })
}

/// The nearest quarter is one minute's walk away, the farthest four.
fn strips(count: u16) -> Vec<Strip> {
    let strip = |number: u16| Strip {
        id: StripId(number),
        name: if number == count && count > 1 { "Final".to_owned() } else { number.to_string() },
        walk_min: 1 + (number - 1) * 4 / count,
    };
    (1..=count).map(strip).collect()
}

fn benches(options: &DayOptions, day: Window) -> Vec<Bench> {
    let bench = |number: u16| Bench {
        id: BenchId(number),
        name: name_of(number, options.benches),
        armourer: None,
        works: works(number, options.benches),
        open: open(number, options.hours, day),
        roving: number == options.benches,
    };
    (1..=options.benches).map(bench).collect()
}

/// The last one roves.
pub(super) fn name_of(number: u16, benches: u16) -> String {
    if number == benches { "Rover".to_owned() } else { format!("Bench {number}") }
}

/// Up to four benches do everything. More divide the work so that every kind has two benches or more, and the
/// last, which roves, takes apparatus and whatever is quickly done.
pub(super) fn works(number: u16, benches: u16) -> Vec<Work> {
    use Work::{
        Apparatus, Blade, BladeWire, Cloth, CordContinuity, CordEnds, Mask, Point, SabreContacts, SocketGuard,
    };
    if benches < 5 {
        return Work::ALL.to_vec();
    }
    if number == benches {
        return vec![Point, SocketGuard, CordEnds, CordContinuity, SabreContacts, Apparatus];
    }
    match number % 4 {
        1 => vec![Point, BladeWire, SocketGuard, Blade, CordEnds],
        2 => vec![Point, BladeWire, SocketGuard, Blade, SabreContacts],
        3 => vec![Point, BladeWire, CordEnds, CordContinuity, Cloth, Mask, Apparatus],
        _ => vec![BladeWire, SocketGuard, CordEnds, CordContinuity, SabreContacts, Cloth, Mask],
    }
}

/// Open all day but for half an hour at lunch, in five sittings one after the other.
pub(super) fn open(number: u16, hours: u16, day: Window) -> Vec<Window> {
    if hours < LUNCH_FROM_HOURS {
        return vec![day];
    }
    let first_sitting = i64::from(hours) * 60 * 35 / 100 / 30 * 30;
    let sitting = i64::from((number - 1) % SITTINGS);
    let from = day.from.plus_min(first_sitting + 30 * sitting);
    vec![Window { from: day.from, to: from }, Window { from: from + LUNCH, to: day.to }]
}

/// Foil, épée and sabre, each on its part of the hall, with pools in the morning and a direct elimination after;
/// and sabre teams late in the day, on the strips of foil and sabre.
fn competitions(options: &DayOptions) -> Vec<Competition> {
    let [foil, epee, sabre] = parts(options.strips);
    let mut both = [&foil[..], &sabre[..]].concat();
    both.sort_unstable();
    both.dedup();
    let waves = if options.hours >= 8 { 2 } else { 1 };
    let single = |name: &str, weapon, at_min, strips: &[StripId], pools: Pools, bout_min| {
        let entries = (strips.len() as u16 * waves * u16::from(pools.size)).min(392);
        Competition {
            name: name.to_owned(),
            weapon,
            starts: OPENING.plus_min(at_min),
            entries,
            strips: strips.to_vec(),
            pools: Some(pools),
            tableau: Some(Tableau { size: places(entries), bout_min }),
            teams: None,
        }
    };
    let teams = Competition {
        name: "Sabre teams".to_owned(),
        weapon: Weapon::Sabre,
        starts: OPENING.plus_min(i64::from(options.hours) * 46),
        entries: 8 * waves,
        strips: both,
        pools: None,
        tableau: None,
        teams: Some(Teams { relay_min: 4 }),
    };
    vec![
        single("Foil", Weapon::Foil, 30, &foil, Pools { size: 7, bout_min: 5 }, 15),
        single("Épée", Weapon::Epee, 45, &epee, Pools { size: 6, bout_min: 6 }, 18),
        single("Sabre", Weapon::Sabre, 60, &sabre, Pools { size: 6, bout_min: 4 }, 9),
        teams,
    ]
}

/// Three eighths of the strips for foil, three for épée, the rest for sabre; all of them for each when there are
/// fewer than three.
fn parts(strips: u16) -> [Vec<StripId>; 3] {
    let range = |from: u16, to: u16| (from..=to).map(StripId).collect::<Vec<_>>();
    if strips < 3 {
        return [range(1, strips), range(1, strips), range(1, strips)];
    }
    let foil = (strips * 3 / 8).max(1);
    let epee = foil + (strips * 3 / 8).max(1);
    [range(1, foil), range(foil + 1, epee), range(epee + 1, strips)]
}

/// The largest table that is full, 4 to 256.
fn places(entries: u16) -> u16 {
    let above = entries.next_power_of_two();
    (if above == entries { above } else { above / 2 }).clamp(4, 256)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use remise_server::tournament::local::{local, parse_local};

    use super::*;

    #[test]
    fn it_opens_at_eight_on_the_clock_in_the_hall() {
        let tournament = invented(&DayOptions::default()).unwrap();
        let zone = local(&tournament.venue);
        assert_eq!(parse_local("2026-05-02T08:00", &zone), Ok(OPENING));
        assert_eq!(parse_local("2026-05-02T18:00", &zone), Ok(tournament.venue.days[0].to));
    }

    #[test]
    fn every_kind_of_work_has_two_benches_and_one_bench_roves() {
        for benches in 2..=60 {
            let tournament = invented(&DayOptions { benches, ..DayOptions::default() }).unwrap();
            let all = &tournament.venue.benches;
            for work in Work::ALL {
                assert!(all.iter().filter(|bench| bench.can(work)).count() >= 2, "{benches}: {work:?}");
            }
            assert!(all.iter().all(|bench| bench.works.is_sorted()));
            let roving: Vec<_> = all.iter().filter(|bench| bench.roving).collect();
            assert_eq!(roving.len(), 1);
            assert!(roving[0].can(Work::Apparatus));
            assert_eq!(tournament.armourers.len(), all.len());
        }
    }

    #[test]
    fn benches_go_to_lunch_one_after_the_other() {
        let tournament = invented(&DayOptions::default()).unwrap();
        let lunches: Vec<Stamp> = tournament.venue.benches.iter().map(|bench| bench.open[0].to).collect();
        let noon: Vec<Stamp> = (0..5).map(|sitting| OPENING.plus_min(210 + 30 * sitting)).collect();
        assert_eq!(lunches, noon);
    }

    #[test]
    fn strips_are_one_to_four_minutes_away_and_every_competition_has_some() {
        for strips in 1..=200 {
            let tournament = invented(&DayOptions { strips, ..DayOptions::default() }).unwrap();
            let venue = &tournament.venue;
            assert!(venue.strips.iter().all(|strip| (1..=4).contains(&strip.walk_min)));
            for competition in &venue.competitions {
                assert!(!competition.strips.is_empty(), "{strips}: {}", competition.name);
                assert!(competition.strips.iter().all(|id| venue.strip(*id).is_some()));
                assert!(competition.strips.is_sorted_by(|a, b| a < b), "{strips}: {}", competition.name);
                let full = competition.tableau.is_none_or(|tableau| tableau.size <= competition.entries);
                assert!(full, "{strips}: {}", competition.name);
            }
        }
    }
}
