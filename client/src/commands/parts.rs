//! What many actions share on the command line: which job, when wanted, and how values are read.

use clap::Args;
use remise_core::armoury::{JobRef, Place, Spot, Wanted};
use remise_core::bouts::BoutPlace;
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, JobId, StripId};
use remise_core::tag::Tag;
use remise_core::text;
use remise_core::time::Stamp;

use super::setting::Setting;
use crate::failure::Failure;
use crate::local::Sense;

/// Which job: one of the two.
#[derive(Clone, Debug, PartialEq, Eq, Args)]
#[group(required = true, multiple = false)]
pub struct Which {
    /// The tag that is tied to the item
    #[arg(long, value_name = "DIGITS", value_parser = tag)]
    pub tag: Option<Tag>,
    /// The job's number
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub job: Option<u64>,
}

impl Which {
    /// As the core names it.
    pub fn job_ref(&self) -> Result<JobRef, Failure> {
        match (self.tag, self.job) {
            (Some(tag), _) => Ok(JobRef::Tag(tag)),
            (None, Some(job)) => Ok(JobRef::Job(JobId(job))),
            (None, None) => Err(Failure::usage("no job is named", "Give --tag DIGITS or --job NUMBER.")),
        }
    }
}

/// Heading over the options of [`WantedArgs`].
const BY_WHEN: &str = "By when";

/// By when it is wanted: a time, or the fencer's place in a pool, a table or a team match. All left out: nobody
/// said.
#[derive(Clone, Debug, Default, PartialEq, Eq, Args)]
pub struct WantedArgs {
    /// Back by then: 14:20, or +25 for minutes from now
    #[arg(long, help_heading = BY_WHEN, value_name = "TIME", conflicts_with_all = ["pool", "table", "relay"])]
    pub wanted: Option<String>,

    /// By the next bout in a pool of so many fencers
    #[arg(long, help_heading = BY_WHEN, value_name = "SIZE", requires_all = ["place", "bout", "bout_min"], conflicts_with_all = ["table", "relay"])]
    pub pool: Option<u8>,
    /// The fencer's number on the pool sheet
    #[arg(long, help_heading = BY_WHEN, value_name = "NUMBER", requires = "pool")]
    pub place: Option<u8>,
    /// Name of the order of bouts, where it is not the usual one
    #[arg(long, help_heading = BY_WHEN, value_name = "NAME", requires = "pool")]
    pub order: Option<String>,

    /// By the next bout in a table of so many lines
    #[arg(long, help_heading = BY_WHEN, value_name = "LINES", requires_all = ["line", "bout", "bout_min"], conflicts_with = "relay")]
    pub table: Option<u16>,
    /// The fencer's line, from 1 at the top
    #[arg(long, help_heading = BY_WHEN, value_name = "NUMBER", requires = "table")]
    pub line: Option<u16>,
    /// How many lines are taken, where the table is not full
    #[arg(long, help_heading = BY_WHEN, value_name = "NUMBER", requires = "table")]
    pub entrants: Option<u16>,
    /// Strips on which the round is fenced
    #[arg(long, help_heading = BY_WHEN, value_name = "NUMBER", requires = "table", default_value_t = 1)]
    pub strips: u8,
    /// When the fencer's last bout ended
    #[arg(long, help_heading = BY_WHEN, value_name = "TIME", requires = "table")]
    pub last_ended: Option<String>,

    /// By the next relay; the relay that is being fenced now, 1 to 9
    #[arg(long, help_heading = BY_WHEN, value_name = "NUMBER", requires_all = ["fencer_no", "bout_min"])]
    pub relay: Option<u16>,
    /// The fencer's number on the score sheet, 1 to 6
    #[arg(long, help_heading = BY_WHEN, value_name = "NUMBER", requires = "relay")]
    pub fencer_no: Option<u8>,

    /// The bout that is being fenced now, from 1
    #[arg(long, help_heading = BY_WHEN, value_name = "NUMBER")]
    pub bout: Option<u16>,
    /// Minutes from call to call of a bout or relay
    #[arg(long, help_heading = BY_WHEN, value_name = "MINUTES")]
    pub bout_min: Option<u16>,
}

impl WantedArgs {
    /// As the core takes it.
    pub fn read(&self, setting: &Setting) -> Result<Wanted, Failure> {
        let minutes = self.bout_min.unwrap_or_default();
        let running_bout = self.bout.unwrap_or_default();
        if let Some(time) = &self.wanted {
            return Ok(Wanted::At(setting.time("--wanted", time, Sense::Ahead)?));
        }
        if let (Some(size), Some(place)) = (self.pool, self.place) {
            let variant = self.order.clone();
            return Ok(Wanted::Bout(BoutPlace::Pool {
                size,
                variant,
                place,
                running_bout,
                bout_min: minutes,
            }));
        }
        if let (Some(table), Some(slot)) = (self.table, self.line) {
            let ended =
                self.last_ended.as_ref().map(|time| setting.time("--last-ended", time, Sense::Behind));
            return Ok(Wanted::Bout(BoutPlace::Tableau {
                table,
                entrants: self.entrants,
                slot,
                running_bout,
                parallel_strips: self.strips,
                bout_min: minutes,
                last_bout_ended: ended.transpose()?,
            }));
        }
        if let (Some(running_relay), Some(fencer_no)) = (self.relay, self.fencer_no) {
            return Ok(Wanted::Bout(BoutPlace::Relay { running_relay, fencer_no, relay_min: minutes }));
        }
        Ok(Wanted::Open)
    }
}

/// A time ahead: `--until`.
pub fn until(setting: &Setting, typed: &str) -> Result<Stamp, Failure> {
    setting.time("--until", typed, Sense::Ahead)
}

/// Tag.
pub fn tag(typed: &str) -> Result<Tag, String> {
    Tag::parse(typed).map_err(|why| why.to_string())
}

/// Name of a person, team or place.
pub fn name(typed: &str) -> Result<String, String> {
    text::name(typed).map_err(|why| why.to_string())
}

/// Note or reason.
pub fn note(typed: &str) -> Result<String, String> {
    text::note(typed).map_err(|why| why.to_string())
}

/// Kind of item, by its code or as people call it.
pub fn kind(typed: &str) -> Result<ItemKind, String> {
    ItemKind::from_words(None, typed)
}

/// The code as it is written on the wire: `white-on-off` is `white_on_off`.
fn code(typed: &str) -> String {
    typed
        .trim()
        .chars()
        .take(64)
        .map(|c| if c == '-' || c == ' ' { '_' } else { c.to_ascii_lowercase() })
        .collect()
}

/// Complaint.
pub fn complaint(typed: &str) -> Result<Complaint, String> {
    Complaint::from_code(&code(typed))
        .ok_or_else(|| "there is no such complaint; `remise gear list KIND` lists them".to_owned())
}

/// Kind of work.
pub fn work(typed: &str) -> Result<Work, String> {
    Work::from_code(&code(typed)).ok_or_else(|| {
        let known: Vec<&str> = Work::ALL.iter().map(|work| work.code()).collect();
        format!("there is no such kind of work; known: {}", known.join(", "))
    })
}

/// A strip's number or `counter`.
pub fn spot(typed: &str) -> Result<Spot, String> {
    match code(typed).as_str() {
        "counter" => Ok(Spot::Counter),
        other => number(other.trim_start_matches("strip_"))
            .map(|id| Spot::Strip(StripId(id)))
            .ok_or_else(|| "a strip's number, or `counter`".to_owned()),
    }
}

/// A place: `counter`, `bench-2`, `curing-shelf`, `ready-shelf`, `locked-away`, `strip-3`.
pub fn place(typed: &str) -> Result<Place, String> {
    let typed = code(typed);
    if let Some(id) = typed.strip_prefix("bench_").and_then(number) {
        return Ok(Place::Bench(BenchId(id)));
    }
    if let Some(id) = typed.strip_prefix("strip_").and_then(number) {
        return Ok(Place::Strip(StripId(id)));
    }
    match typed.as_str() {
        "counter" => Ok(Place::Counter),
        "curing_shelf" => Ok(Place::CuringShelf),
        "ready_shelf" => Ok(Place::ReadyShelf),
        "locked_away" => Ok(Place::LockedAway),
        "handed_back" => Ok(Place::HandedBack),
        _ => {
            Err("a place is counter, bench-2, curing-shelf, ready-shelf, locked-away, strip-3 or handed-back"
                .into())
        }
    }
}

fn number(text: &str) -> Option<u16> {
    text.parse().ok().filter(|number| *number > 0)
}

/// A word of a closed set, with hyphens or underscores.
macro_rules! word_parser {
    ($(#[$doc:meta])* $fn:ident: $word:ty) => {
        $(#[$doc])*
        pub fn $fn(typed: &str) -> Result<$word, String> {
            <$word>::from_code(&code(typed)).ok_or_else(|| {
                let known: Vec<&str> = <$word>::ALL.iter().map(|word| word.code()).collect();
                format!("known: {}", known.join(", "))
            })
        }
    };
}

word_parser! {
    /// What the fencer still has working.
    need: remise_core::armoury::Need
}
word_parser! {
    /// What a check showed.
    showed: remise_core::armoury::Showed
}
word_parser! {
    /// Why work stands still.
    hold_reason: remise_core::armoury::HoldReason
}
word_parser! {
    /// How an owed repair ended.
    owed_end: remise_core::armoury::OwedEnd
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use remise_core::armoury::Need;

    use super::*;

    #[test]
    fn values_are_read_forgivingly_and_nonsense_is_refused() {
        assert_eq!(need("none-left"), Ok(Need::NoneLeft));
        assert_eq!(need("NONE_LEFT"), Ok(Need::NoneLeft));
        assert_eq!(complaint("white-on-off"), Ok(Complaint::WhiteOnOff));
        assert_eq!(kind("body cord, bayonet"), Ok(ItemKind::BodyCordBayonet));
        assert_eq!(work("blade_wire"), Ok(Work::BladeWire));
        let huge = "x".repeat(1_000_000);
        for typed in ["", "maybe", huge.as_str()] {
            assert!(need(typed).is_err() && complaint(typed).is_err() && work(typed).is_err());
            assert!(
                spot(typed).is_err() && place(typed).is_err() && tag(typed).is_err() && kind(typed).is_err()
            );
        }
    }

    #[test]
    fn places_and_spots() {
        assert_eq!(spot("3"), Ok(Spot::Strip(StripId(3))));
        assert_eq!(spot("strip-3"), Ok(Spot::Strip(StripId(3))));
        assert_eq!(spot("counter"), Ok(Spot::Counter));
        assert!(spot("0").is_err());
        assert_eq!(place("bench-2"), Ok(Place::Bench(BenchId(2))));
        assert_eq!(place("ready-shelf"), Ok(Place::ReadyShelf));
        assert!(place("bench-0").is_err());
    }
}
