//! The tournament.

use remise_core::gear::Weapon;
use remise_proto::v1;

use super::parts::{bench, list, opt_text, stamp, strip, text, windows, work};
use super::{BadField, Read};
use crate::error::shown;
use crate::view::{BenchInfo, CompetitionInfo, StripInfo, VenueView};

/// The tournament.
pub(crate) fn venue(raw: &v1::VenueView) -> Read<VenueView> {
    Ok(VenueView {
        name: shown(&raw.name),
        zone: shown(&raw.zone),
        counter: shown(&raw.counter),
        days: windows("days", &raw.days)?,
        strips: list("strips", &raw.strips, strip_info)?,
        benches: list("benches", &raw.benches, bench_info)?,
        competitions: list("competitions", &raw.competitions, competition)?,
        edition: shown(&raw.edition),
        margin_min: raw.margin_min,
    })
}

fn strip_info(raw: &v1::StripInfo) -> Read<StripInfo> {
    Ok(StripInfo { strip: strip("strip", raw.strip)?, name: shown(&raw.name), walk_min: raw.walk_min })
}

fn bench_info(raw: &v1::BenchInfo) -> Read<BenchInfo> {
    Ok(BenchInfo {
        bench: bench("bench", raw.bench)?,
        name: shown(&raw.name),
        armourer: opt_text(&raw.armourer),
        works: list("works", &raw.works, |code| work("code", code))?,
        open: windows("open", &raw.open)?,
        roving: raw.roving,
    })
}

fn competition(raw: &v1::CompetitionInfo) -> Read<CompetitionInfo> {
    let known = |size: u32, minutes: u32| (size != 0).then_some((size, minutes));
    Ok(CompetitionInfo {
        name: text("name", &raw.name)?,
        weapon: weapon(&raw.weapon)?,
        starts: stamp("starts_us", raw.starts_us)?,
        entries: raw.entries,
        strips: list("strips", &raw.strips, |id| strip("number", *id))?,
        pools: known(raw.pool_size, raw.pool_bout_min),
        tableau: known(raw.tableau_size, raw.tableau_bout_min),
        relay_min: (raw.relay_min != 0).then_some(raw.relay_min),
    })
}

fn weapon(raw: &str) -> Read<Weapon> {
    match raw {
        "foil" => Ok(Weapon::Foil),
        "epee" => Ok(Weapon::Epee),
        "sabre" => Ok(Weapon::Sabre),
        _ => Err(BadField::new("weapon", "it is none of foil, epee, sabre")),
    }
}
