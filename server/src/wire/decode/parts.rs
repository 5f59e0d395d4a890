//! The parts that requests share: texts, codes, numbers, times, places.

use remise_core::armoury::{HoldReason, JobRef, Lasting, Need, OwedEnd, Place, Showed, Spot, Wanted};
use remise_core::bouts::BoutPlace;
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, JobId, StripId};
use remise_core::rules::Answer;
use remise_core::tag::Tag;
use remise_core::text;
use remise_core::time::Stamp;
use remise_proto::v1::{self, PlaceKind};

use super::WireProblem;

type Read<T> = Result<T, WireProblem>;

/// Longest code, in bytes.
const CODE_MAX: usize = 64;
/// 2000-01-01T00:00:00Z. Earlier times are mistakes of a clock or of a unit.
const EARLIEST_US: i64 = 946_684_800_000_000;
/// 2200-01-01T00:00:00Z. Later times are mistakes of a unit.
const LATEST_US: i64 = 7_258_118_400_000_000;

const MISSING: &str = "it is missing";

/// A name that is needed.
pub fn name(field: &str, raw: &str) -> Read<String> {
    text::name(raw).map_err(|why| WireProblem::text(field, why))
}

/// A name that may be left out.
pub fn opt_name(field: &str, raw: &str) -> Read<Option<String>> {
    if raw.is_empty() { Ok(None) } else { name(field, raw).map(Some) }
}

/// A note that is needed.
pub fn note(field: &str, raw: &str) -> Read<String> {
    text::note(raw).map_err(|why| WireProblem::text(field, why))
}

/// A note that may be left out.
pub fn opt_note(field: &str, raw: &str) -> Read<Option<String>> {
    if raw.is_empty() { Ok(None) } else { note(field, raw).map(Some) }
}

/// What is searched for; empty means everything.
pub fn search_text(field: &str, raw: &str) -> Read<String> {
    if raw.trim().is_empty() && raw.len() <= text::NAME_MAX { Ok(String::new()) } else { name(field, raw) }
}

/// A stable code: lower case, digits, `_`, `-`, `.`, `/`.
pub fn code(field: &str, raw: &str) -> Read<String> {
    if raw.is_empty() {
        return Err(WireProblem::new(field, MISSING));
    }
    if raw.len() > CODE_MAX {
        return Err(WireProblem::new(field, format!("it is longer than {CODE_MAX} characters")));
    }
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "_-./".contains(c);
    if !raw.chars().all(plain) {
        return Err(WireProblem::new(field, "a code has only lower-case letters, digits and `_-./`"));
    }
    Ok(raw.to_owned())
}

/// A code that may be left out.
pub fn opt_code(field: &str, raw: &str) -> Read<Option<String>> {
    if raw.is_empty() { Ok(None) } else { code(field, raw).map(Some) }
}

/// A code of a closed set.
fn word<T>(field: &str, raw: &str, what: &str, from_code: impl Fn(&str) -> Option<T>) -> Read<T> {
    let code = code(field, raw)?;
    from_code(&code).ok_or_else(|| WireProblem::new(field, format!("there is no {what} `{code}`")))
}

/// Kind of item.
pub fn item_kind(field: &str, raw: &str) -> Read<ItemKind> {
    word(field, raw, "kind of item", ItemKind::from_code)
}

/// Complaint.
pub fn complaint(field: &str, raw: &str) -> Read<Complaint> {
    word(field, raw, "complaint", Complaint::from_code)
}

/// Kind of work.
pub fn work(field: &str, raw: &str) -> Read<Work> {
    word(field, raw, "kind of work", Work::from_code)
}

/// A point of time that is needed.
pub fn stamp(field: &str, us: i64) -> Read<Stamp> {
    if us == 0 {
        return Err(WireProblem::new(field, MISSING));
    }
    if !(EARLIEST_US..LATEST_US).contains(&us) {
        return Err(WireProblem::new(
            field,
            "it lies outside the years 2000 to 2199; times are microseconds since 1970-01-01T00:00:00Z",
        ));
    }
    Ok(Stamp(us))
}

/// A point of time that may be left out.
pub fn opt_stamp(field: &str, us: i64) -> Read<Option<Stamp>> {
    if us == 0 { Ok(None) } else { stamp(field, us).map(Some) }
}

/// A number out of the journal, from 1.
pub fn seq(field: &str, raw: u64) -> Read<u64> {
    // SQLite and most languages have no unsigned 64-bit integers; no journal gets there.
    if raw == 0 {
        return Err(WireProblem::new(field, MISSING));
    }
    if i64::try_from(raw).is_err() {
        return Err(WireProblem::new(field, "there is no such number"));
    }
    Ok(raw)
}

/// A number out of the journal that may be left out.
pub fn opt_seq(field: &str, raw: u64) -> Read<Option<u64>> {
    if raw == 0 { Ok(None) } else { seq(field, raw).map(Some) }
}

fn small(field: &str, raw: u32) -> Read<u16> {
    if raw == 0 {
        return Err(WireProblem::new(field, MISSING));
    }
    u16::try_from(raw).map_err(|_| WireProblem::new(field, "it is more than 65535"))
}

/// A strip's number.
pub fn strip(field: &str, raw: u32) -> Read<StripId> {
    small(field, raw).map(StripId)
}

/// A bench's number.
pub fn bench(field: &str, raw: u32) -> Read<BenchId> {
    small(field, raw).map(BenchId)
}

/// A bench's number that may be left out.
pub fn opt_bench(field: &str, raw: u32) -> Read<Option<BenchId>> {
    if raw == 0 { Ok(None) } else { bench(field, raw).map(Some) }
}

/// A bench's number that a bench's own station may leave out.
pub fn own_bench(field: &str, raw: u32, own: Option<BenchId>) -> Read<BenchId> {
    match own {
        Some(own) if raw == 0 => Ok(own),
        _ => bench(field, raw),
    }
}

/// A tag's digits.
pub fn tag(field: &str, raw: &str) -> Read<Tag> {
    if raw.is_empty() {
        return Err(WireProblem::new(field, MISSING));
    }
    if raw.len() > CODE_MAX {
        return Err(WireProblem::new(field, "it is too long for a tag"));
    }
    Tag::parse(raw).map_err(|why| WireProblem::new(field, why.to_string()))
}

/// A tag's digits, which may be left out.
pub fn opt_tag(field: &str, raw: &str) -> Read<Option<Tag>> {
    if raw.is_empty() { Ok(None) } else { tag(field, raw).map(Some) }
}

/// A job, by number or tag.
pub fn job_ref(field: &str, raw: Option<v1::JobRef>) -> Read<JobRef> {
    match raw.and_then(|job| job.by) {
        None => Err(WireProblem::new(field, "it is missing: name the job or its tag")),
        Some(v1::job_ref::By::Job(number)) => {
            seq(&format!("{field}.job"), number).map(|number| JobRef::Job(JobId(number)))
        }
        Some(v1::job_ref::By::Tag(digits)) => tag(&format!("{field}.tag"), &digits).map(JobRef::Tag),
    }
}

/// Where something comes from or goes back to.
pub fn spot(field: &str, raw: Option<v1::Spot>) -> Read<Spot> {
    match raw.and_then(|spot| spot.at) {
        None => Err(WireProblem::new(field, "it is missing: name a strip or the counter")),
        Some(v1::spot::At::Strip(number)) => strip(&format!("{field}.strip"), number).map(Spot::Strip),
        Some(v1::spot::At::Counter(_)) => Ok(Spot::Counter),
    }
}

/// Where an item is.
pub fn place(field: &str, raw: Option<v1::Place>) -> Read<Place> {
    let raw = raw.ok_or_else(|| WireProblem::new(field, MISSING))?;
    let kind_field = format!("{field}.kind");
    let kind = closed(&kind_field, raw.kind, &PlaceKind::Unspecified)?;
    let (strip_field, bench_field) = (format!("{field}.strip"), format!("{field}.bench"));
    if raw.strip != 0 && kind != PlaceKind::Strip {
        return Err(WireProblem::new(strip_field, "it does not belong to this kind of place"));
    }
    if raw.bench != 0 && kind != PlaceKind::Bench {
        return Err(WireProblem::new(bench_field, "it does not belong to this kind of place"));
    }
    Ok(match kind {
        PlaceKind::Unspecified => return Err(WireProblem::new(kind_field, MISSING)),
        PlaceKind::Strip => Place::Strip(strip(&strip_field, raw.strip)?),
        PlaceKind::Counter => Place::Counter,
        PlaceKind::Bench => Place::Bench(bench(&bench_field, raw.bench)?),
        PlaceKind::CuringShelf => Place::CuringShelf,
        PlaceKind::ReadyShelf => Place::ReadyShelf,
        PlaceKind::LockedAway => Place::LockedAway,
        PlaceKind::Gone => Place::Gone,
        PlaceKind::HandedBack => Place::HandedBack,
    })
}

/// When an item must be back; left out means that nobody said.
pub fn wanted(field: &str, raw: Option<v1::Wanted>) -> Read<Wanted> {
    use v1::wanted::By;
    let Some(by) = raw.and_then(|wanted| wanted.by) else { return Ok(Wanted::Open) };
    Ok(match by {
        By::AtUs(us) => Wanted::At(stamp(&format!("{field}.at_us"), us)?),
        By::Pool(pool) => Wanted::Bout(pool_place(&format!("{field}.pool"), &pool)?),
        By::Tableau(tableau) => Wanted::Bout(tableau_place(&format!("{field}.tableau"), &tableau)?),
        By::Relay(relay) => Wanted::Bout(relay_place(&format!("{field}.relay"), &relay)?),
    })
}

/// A number that has to fit the type that the core keeps it in; ranges that depend on each other are the core's.
fn fits<T: TryFrom<u32>>(field: &str, part: &str, raw: u32) -> Read<T> {
    T::try_from(raw).map_err(|_| WireProblem::new(format!("{field}.{part}"), "it is too large"))
}

fn pool_place(field: &str, pool: &v1::PoolPlace) -> Read<BoutPlace> {
    Ok(BoutPlace::Pool {
        size: fits(field, "size", pool.size)?,
        variant: opt_code(&format!("{field}.variant"), &pool.variant)?,
        place: fits(field, "place", pool.place)?,
        running_bout: fits(field, "running_bout", pool.running_bout)?,
        bout_min: fits(field, "bout_min", pool.bout_min)?,
    })
}

fn tableau_place(field: &str, tableau: &v1::TableauPlace) -> Read<BoutPlace> {
    let entrants =
        if tableau.entrants == 0 { None } else { Some(fits(field, "entrants", tableau.entrants)?) };
    Ok(BoutPlace::Tableau {
        table: fits(field, "table", tableau.table)?,
        entrants,
        slot: fits(field, "slot", tableau.slot)?,
        running_bout: fits(field, "running_bout", tableau.running_bout)?,
        parallel_strips: fits(field, "parallel_strips", tableau.parallel_strips)?,
        bout_min: fits(field, "bout_min", tableau.bout_min)?,
        last_bout_ended: opt_stamp(&format!("{field}.last_bout_ended_us"), tableau.last_bout_ended_us)?,
    })
}

fn relay_place(field: &str, relay: &v1::RelayPlace) -> Read<BoutPlace> {
    Ok(BoutPlace::Relay {
        running_relay: fits(field, "running_relay", relay.running_relay)?,
        fencer_no: fits(field, "fencer_no", relay.fencer_no)?,
        relay_min: fits(field, "relay_min", relay.relay_min)?,
    })
}

/// What was read in a check.
pub fn answer(field: &str, raw: Option<v1::Answer>) -> Read<Answer> {
    match raw.and_then(|answer| answer.is) {
        None => Err(WireProblem::new(field, "it is missing: passed, failed or a reading")),
        Some(v1::answer::Is::Passed(true)) => Ok(Answer::Passed),
        Some(v1::answer::Is::Passed(false)) => Ok(Answer::Failed),
        Some(v1::answer::Is::Reading(value)) => Ok(Answer::Reading(value)),
    }
}

/// A value of an open enum: known to this server, and not the unspecified one.
fn closed<T: TryFrom<i32> + PartialEq>(field: &str, raw: i32, unspecified: &T) -> Read<T> {
    match T::try_from(raw) {
        Err(_) => Err(WireProblem::new(field, format!("this server does not know the value {raw}"))),
        Ok(value) if value == *unspecified => Err(WireProblem::new(field, MISSING)),
        Ok(value) => Ok(value),
    }
}

macro_rules! closed_set {
    ($(#[$doc:meta])* $fn:ident: $wire:ident => $core:ident { $($word:ident),* $(,)? }) => {
        $(#[$doc])*
        pub fn $fn(field: &str, raw: i32) -> Read<$core> {
            match closed(field, raw, &v1::$wire::Unspecified)? {
                v1::$wire::Unspecified => Err(WireProblem::new(field, MISSING)),
                $(v1::$wire::$word => Ok($core::$word),)*
            }
        }
    };
}

closed_set! {
    /// What still works.
    need: Need => Need { StripStopped, NoneLeft, OneLeft, TwoOrMore, Out }
}
closed_set! {
    /// What a check showed.
    showed: Showed => Showed { Present, Absent, Unsure }
}
closed_set! {
    /// Whether a repair lasts.
    lasting: Lasting => Lasting { Lasting, StopGap }
}
closed_set! {
    /// Why work stands still.
    hold_reason: HoldReason => HoldReason { PartMissing, OwnerMustAgree, HeadSaysSo, Confiscated }
}
closed_set! {
    /// How an owed repair ended.
    owed_end: OwedEnd => OwedEnd { Done, DoneElsewhere, Declined }
}

/// A bound for repeated fields.
pub fn at_most<T>(field: &str, list: &[T], most: usize) -> Read<()> {
    if list.len() > most {
        return Err(WireProblem::new(
            field,
            format!("it has {} entries; at most {most} are taken", list.len()),
        ));
    }
    Ok(())
}

/// How many are wanted: the usual number for 0, never more than `most`.
pub fn count_limit(raw: u32, usual: usize, most: usize) -> usize {
    if raw == 0 { usual } else { usize::try_from(raw).unwrap_or(most).min(most) }
}
