//! Closed sets, places and times of the core as the wire writes them.

use remise_core::armoury::{CallState, HoldReason, Lasting, Need, NoticeKind, Place, Showed, Spot, State};
use remise_core::rules::Answer;
use remise_core::time::Stamp;
use remise_proto::v1::{self, PlaceKind};

use crate::stations::Role;

macro_rules! wire_word {
    ($(#[$doc:meta])* $fn:ident: $core:ty => $wire:ident { $($word:ident),* $(,)? }) => {
        $(#[$doc])*
        pub fn $fn(word: $core) -> i32 {
            type Core = $core;
            match word { $(Core::$word => v1::$wire::$word as i32,)* }
        }
    };
}

wire_word! {
    /// Where a job stands.
    state: State => State { OnItsWay, Waiting, OnBench, Curing, Ready, Returned, Withdrawn, CalledOff, Gone }
}
wire_word! {
    /// What still works.
    need: Need => Need { StripStopped, NoneLeft, OneLeft, TwoOrMore, Out }
}
wire_word! {
    /// Whether a repair lasts.
    lasting: Lasting => Lasting { Lasting, StopGap }
}
wire_word! {
    /// What a check showed.
    showed: Showed => Showed { Present, Absent, Unsure }
}
wire_word! {
    /// Why work stands still.
    hold_reason: HoldReason => HoldReason { PartMissing, OwnerMustAgree, HeadSaysSo, Confiscated }
}
wire_word! {
    /// What a notice tells.
    notice_kind: NoticeKind => NoticeKind { Ready, Withdrawn, CalledOff, Gone, Promise }
}
wire_word! {
    /// Where a call-out stands.
    call_state: CallState => CallState { Called, AtStrip }
}
wire_word! {
    /// What a station is for.
    role: Role => Role { Strip, Counter, Bench, Head, Observer }
}

/// Where something comes from or goes back to.
pub fn spot(spot: Spot) -> v1::Spot {
    let at = match spot {
        Spot::Strip(strip) => v1::spot::At::Strip(u32::from(strip.0)),
        Spot::Counter => v1::spot::At::Counter(v1::spot::Counter {}),
    };
    v1::Spot { at: Some(at) }
}

/// Where an item is.
pub fn place(place: Place) -> v1::Place {
    let of = |kind: PlaceKind| v1::Place { kind: kind as i32, strip: 0, bench: 0 };
    match place {
        Place::Strip(strip) => v1::Place { strip: u32::from(strip.0), ..of(PlaceKind::Strip) },
        Place::Counter => of(PlaceKind::Counter),
        Place::Bench(bench) => v1::Place { bench: u32::from(bench.0), ..of(PlaceKind::Bench) },
        Place::CuringShelf => of(PlaceKind::CuringShelf),
        Place::ReadyShelf => of(PlaceKind::ReadyShelf),
        Place::LockedAway => of(PlaceKind::LockedAway),
        Place::Gone => of(PlaceKind::Gone),
        Place::HandedBack => of(PlaceKind::HandedBack),
    }
}

/// What was read in a check.
pub fn answer(answer: Answer) -> v1::Answer {
    let is = match answer {
        Answer::Passed => v1::answer::Is::Passed(true),
        Answer::Failed => v1::answer::Is::Passed(false),
        Answer::Reading(value) => v1::answer::Is::Reading(value),
    };
    v1::Answer { is: Some(is) }
}

/// A time that may be missing: 0 then.
pub fn us(at: Option<Stamp>) -> i64 {
    at.map_or(0, |at| at.0)
}
