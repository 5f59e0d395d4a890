//! The tournament.

use remise_core::armoury::Armoury;
use remise_core::gear::Weapon;
use remise_core::time::Window;
use remise_core::venue::{Bench, Competition, Strip, Venue};
use remise_proto::v1;

/// The tournament; armourers' names only where they may be seen.
pub fn venue(room: &Armoury, venue: &Venue, names: bool) -> v1::VenueView {
    v1::VenueView {
        name: venue.name.clone(),
        zone: venue.zone.clone(),
        counter: venue.counter.clone(),
        days: venue.days.iter().copied().map(window).collect(),
        strips: venue.strips.iter().map(strip).collect(),
        benches: venue.benches.iter().map(|one| bench(room, one, names)).collect(),
        competitions: venue.competitions.iter().map(competition).collect(),
        edition: venue.edition.clone(),
        margin_min: u32::from(venue.margin_min),
    }
}

fn window(window: Window) -> v1::Day {
    v1::Day { from_us: window.from.0, to_us: window.to.0 }
}

fn strip(strip: &Strip) -> v1::StripInfo {
    v1::StripInfo {
        strip: u32::from(strip.id.0),
        name: strip.name.clone(),
        walk_min: u32::from(strip.walk_min),
    }
}

fn bench(room: &Armoury, bench: &Bench, names: bool) -> v1::BenchInfo {
    let armourer = bench.armourer.filter(|_| names).map_or("", |id| room.text(id));
    v1::BenchInfo {
        bench: u32::from(bench.id.0),
        name: bench.name.clone(),
        armourer: armourer.to_owned(),
        works: bench.works.iter().map(|work| work.code().to_owned()).collect(),
        open: bench.open.iter().copied().map(window).collect(),
        roving: bench.roving,
    }
}

fn competition(competition: &Competition) -> v1::CompetitionInfo {
    let weapon = match competition.weapon {
        Weapon::Foil => "foil",
        Weapon::Epee => "epee",
        Weapon::Sabre => "sabre",
    };
    v1::CompetitionInfo {
        name: competition.name.clone(),
        weapon: weapon.to_owned(),
        starts_us: competition.starts.0,
        entries: u32::from(competition.entries),
        strips: competition.strips.iter().map(|strip| u32::from(strip.0)).collect(),
        pool_size: competition.pools.map_or(0, |pools| u32::from(pools.size)),
        pool_bout_min: competition.pools.map_or(0, |pools| u32::from(pools.bout_min)),
        tableau_size: competition.tableau.map_or(0, |tableau| u32::from(tableau.size)),
        tableau_bout_min: competition.tableau.map_or(0, |tableau| u32::from(tableau.bout_min)),
        relay_min: competition.teams.map_or(0, |teams| u32::from(teams.relay_min)),
    }
}
