//! From a day to a log: the hand-ins, as far as the columns say. Call-outs, exchanged tags and habits are no part
//! of it.

use jiff::Timestamp;
use jiff::tz::{AmbiguousOffset, TimeZone};
use remise_core::armoury::{Spot, Wanted};
use remise_core::gear::{ItemKind, Weapon};
use remise_core::text::folded;
use remise_core::time::{Span, Stamp};
use remise_core::venue::Venue;
use remise_server::tournament::local::{local, offset_text};

use super::problem::Column;
use crate::day::plan::{Day, HandInPlan};

/// The day's hand-ins as a log that [`super::parse`] reads. Times are whole seconds, with an offset where the
/// clock shows a time twice; minutes have two decimals at most. A place in a pool or table is written as the time
/// that follows from it.
pub fn write(day: &Day) -> String {
    let venue = &day.tournament.venue;
    let zone = local(venue);
    let mut writer = csv::Writer::from_writer(Vec::new());
    let names = Column::ALL.iter().map(|column| column.code());
    // Writing to memory cannot fail, and every record has the same length.
    let mut whole = writer.write_record(names).is_ok();
    for hand_in in &day.hand_ins {
        whole &= writer.write_record(record(venue, &zone, hand_in)).is_ok();
    }
    debug_assert!(whole, "writing to memory does not fail");
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

fn record(venue: &Venue, zone: &TimeZone, plan: &HandInPlan) -> [String; 9] {
    [
        time(plan.at, zone),
        spot(venue, plan.spot),
        plan.fencer.clone().unwrap_or_default(),
        weapon(plan.kind).to_owned(),
        plan.kind.code().to_owned(),
        plan.complaint.code().to_owned(),
        plan.need.code().to_owned(),
        wanted_by(venue, plan).map_or_else(String::new, |at| time(at, zone)),
        minutes(plan.truth.labour.hands_on()),
    ]
}

/// By when it is wanted, worked out from a place in a pool or table at the time of the hand-in.
pub(super) fn wanted_by(venue: &Venue, plan: &HandInPlan) -> Option<Stamp> {
    match &plan.wanted {
        Wanted::Open => None,
        Wanted::At(at) => Some(*at),
        Wanted::Bout(place) => place.wanted_by(plan.at, venue.margin_min).ok().flatten(),
    }
}

/// Local time, whole seconds; with its offset when the clock shows it twice.
fn time(at: Stamp, zone: &TimeZone) -> String {
    let Ok(stamp) = Timestamp::from_microsecond(at.0) else { return String::new() };
    let local = zone.to_datetime(stamp);
    let text = local.strftime("%Y-%m-%dT%H:%M:%S").to_string();
    match zone.to_ambiguous_timestamp(local).offset() {
        AmbiguousOffset::Unambiguous { .. } => text,
        _ => text + &offset_text(zone.to_offset(stamp)),
    }
}

/// A strip by its name, or by its number when its name would be read as the counter's.
fn spot(venue: &Venue, spot: Spot) -> String {
    let Spot::Strip(id) = spot else { return "counter".to_owned() };
    let counter = |name: &String| folded(name) == "counter" || folded(name) == folded(&venue.counter);
    let name = venue.strip(id).map(|strip| strip.name.clone());
    name.filter(|name| !counter(name)).unwrap_or_else(|| id.to_string())
}

/// The one weapon that a kind serves, or none.
fn weapon(kind: ItemKind) -> &'static str {
    let serves: Vec<Weapon> = Weapon::ALL.into_iter().filter(|weapon| kind.serves(*weapon)).collect();
    match serves[..] {
        [Weapon::Foil] => "foil",
        [Weapon::Epee] => "epee",
        [Weapon::Sabre] => "sabre",
        _ => "none",
    }
}

/// Minutes with as many decimals as they need, two at most.
fn minutes(span: Span) -> String {
    let hundredths = span.0 / (Span::minutes(1).0 / 100);
    let text = format!("{}.{:02}", hundredths / 100, hundredths % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
