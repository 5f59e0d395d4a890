//! The parts that answers share.

use remise_core::armoury::{HoldReason, Lasting, Need, NoticeKind, Place, Showed, Spot, State};
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, StripId};
use remise_core::rules::Answer;
use remise_core::tag::Tag;
use remise_core::time::{Stamp, Window};
use remise_proto::v1;
use remise_proto::v1::PlaceKind;

use super::{BadField, Read};
use crate::error::shown;

const MISSING: &str = "it is missing";

/// A point of time that is needed.
pub(super) fn stamp(field: &str, us: i64) -> Read<Stamp> {
    opt_stamp(us).ok_or_else(|| BadField::new(field, MISSING))
}

/// A point of time that may be left out.
pub(super) fn opt_stamp(us: i64) -> Option<Stamp> {
    (us != 0).then_some(Stamp(us))
}

/// A number out of the journal, from 1.
pub(super) fn number(field: &str, raw: u64) -> Read<u64> {
    opt_number(raw).ok_or_else(|| BadField::new(field, MISSING))
}

/// A number out of the journal that may be left out.
pub(super) fn opt_number(raw: u64) -> Option<u64> {
    (raw != 0).then_some(raw)
}

fn small(field: &str, raw: u32) -> Read<u16> {
    match u16::try_from(raw) {
        Ok(0) => Err(BadField::new(field, MISSING)),
        Ok(number) => Ok(number),
        Err(_) => Err(BadField::new(field, "it is more than 65535")),
    }
}

/// A strip's number.
pub(super) fn strip(field: &str, raw: u32) -> Read<StripId> {
    small(field, raw).map(StripId)
}

/// A strip's number that may be left out.
pub(super) fn opt_strip(field: &str, raw: u32) -> Read<Option<StripId>> {
    if raw == 0 { Ok(None) } else { strip(field, raw).map(Some) }
}

/// A bench's number.
pub(super) fn bench(field: &str, raw: u32) -> Read<BenchId> {
    small(field, raw).map(BenchId)
}

/// A bench's number that may be left out.
pub(super) fn opt_bench(field: &str, raw: u32) -> Read<Option<BenchId>> {
    if raw == 0 { Ok(None) } else { bench(field, raw).map(Some) }
}

/// A text that is needed, safe to show.
pub(super) fn text(field: &str, raw: &str) -> Read<String> {
    opt_text(raw).ok_or_else(|| BadField::new(field, MISSING))
}

/// A text that may be left out, safe to show.
pub(super) fn opt_text(raw: &str) -> Option<String> {
    let text = shown(raw);
    (!text.is_empty()).then_some(text)
}

/// A message that is needed.
pub(super) fn needed<T>(field: &str, raw: Option<T>) -> Read<T> {
    raw.ok_or_else(|| BadField::new(field, MISSING))
}

fn word<T>(field: &str, raw: &str, from_code: impl Fn(&str) -> Option<T>) -> Read<T> {
    from_code(raw).ok_or_else(|| {
        BadField::new(field, format!("this client does not know `{}`; it may be too old", shown(raw)))
    })
}

/// Kind of item.
pub(super) fn item_kind(field: &str, raw: &str) -> Read<ItemKind> {
    word(field, raw, ItemKind::from_code)
}

/// Complaint.
pub(super) fn complaint(field: &str, raw: &str) -> Read<Complaint> {
    word(field, raw, Complaint::from_code)
}

/// Kind of work.
pub(super) fn work(field: &str, raw: &str) -> Read<Work> {
    word(field, raw, Work::from_code)
}

/// A tag that may be left out.
pub(super) fn opt_tag(field: &str, raw: &str) -> Read<Option<Tag>> {
    if raw.is_empty() {
        return Ok(None);
    }
    Tag::parse(raw).map(Some).map_err(|why| BadField::new(field, why.to_string()))
}

/// Where something comes from or goes back to.
pub(super) fn spot(field: &str, raw: Option<v1::Spot>) -> Read<Spot> {
    match raw.and_then(|spot| spot.at) {
        None => Err(BadField::new(field, MISSING)),
        Some(v1::spot::At::Strip(id)) => Ok(Spot::Strip(strip(field, id)?)),
        Some(v1::spot::At::Counter(_)) => Ok(Spot::Counter),
    }
}

/// Where an item is.
pub(super) fn place(field: &str, raw: Option<v1::Place>) -> Read<Place> {
    let raw = needed(field, raw)?;
    Ok(match PlaceKind::try_from(raw.kind) {
        Err(_) => return Err(unknown(field, raw.kind)),
        Ok(PlaceKind::Unspecified) => return Err(BadField::new(field, MISSING)),
        Ok(PlaceKind::Strip) => Place::Strip(strip(field, raw.strip)?),
        Ok(PlaceKind::Counter) => Place::Counter,
        Ok(PlaceKind::Bench) => Place::Bench(bench(field, raw.bench)?),
        Ok(PlaceKind::CuringShelf) => Place::CuringShelf,
        Ok(PlaceKind::ReadyShelf) => Place::ReadyShelf,
        Ok(PlaceKind::LockedAway) => Place::LockedAway,
        Ok(PlaceKind::Gone) => Place::Gone,
        Ok(PlaceKind::HandedBack) => Place::HandedBack,
    })
}

/// What was answered to a check.
pub(super) fn answer(raw: Option<v1::Answer>) -> Option<Answer> {
    Some(match raw?.is? {
        v1::answer::Is::Passed(true) => Answer::Passed,
        v1::answer::Is::Passed(false) => Answer::Failed,
        v1::answer::Is::Reading(value) => Answer::Reading(value),
    })
}

/// Stretches of time.
pub(super) fn windows(field: &str, raw: &[v1::Day]) -> Read<Vec<Window>> {
    list(field, raw, |day| {
        Ok(Window { from: stamp("from_us", day.from_us)?, to: stamp("to_us", day.to_us)? })
    })
}

/// Every entry of a list; an error says which.
pub(super) fn list<W, T>(field: &str, raw: &[W], read: impl Fn(&W) -> Read<T>) -> Read<Vec<T>> {
    let entry =
        |(index, entry): (usize, &W)| read(entry).map_err(|bad| bad.within(&format!("{field}[{index}]")));
    raw.iter().enumerate().map(entry).collect()
}

fn unknown(field: &str, raw: i32) -> BadField {
    BadField::new(field, format!("this client does not know the value {raw}; it may be too old"))
}

macro_rules! closed_set {
    ($(#[$doc:meta])* $fn:ident: $core:ident { $($word:ident),* $(,)? }) => {
        $(#[$doc])*
        pub(super) fn $fn(field: &str, raw: i32) -> Read<$core> {
            match v1::$core::try_from(raw) {
                Err(_) => Err(unknown(field, raw)),
                Ok(v1::$core::Unspecified) => Err(BadField::new(field, MISSING)),
                $(Ok(v1::$core::$word) => Ok($core::$word),)*
            }
        }
    };
}

closed_set! {
    /// What still works.
    need: Need { StripStopped, NoneLeft, OneLeft, TwoOrMore, Out }
}
closed_set! {
    /// Where a job stands.
    state: State { OnItsWay, Waiting, OnBench, Curing, Ready, Returned, Withdrawn, CalledOff, Gone }
}
closed_set! {
    /// What a check showed.
    showed: Showed { Present, Absent, Unsure }
}
closed_set! {
    /// Whether a repair lasts.
    lasting: Lasting { Lasting, StopGap }
}
closed_set! {
    /// Why work stands still.
    hold_reason: HoldReason { PartMissing, OwnerMustAgree, HeadSaysSo, Confiscated }
}
closed_set! {
    /// What a notice tells.
    notice_kind: NoticeKind { Ready, Withdrawn, CalledOff, Gone, Promise }
}
