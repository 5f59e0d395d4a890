//! The parts that requests share.

use remise_core::armoury::{HoldReason, JobRef, Lasting, Need, OwedEnd, Place, Showed, Spot, Wanted};
use remise_core::bouts::BoutPlace;
use remise_core::ids::BenchId;
use remise_core::rules::Answer;
use remise_core::time::Stamp;
use remise_proto::v1;
use remise_proto::v1::PlaceKind;

/// A job, by number or tag.
pub(crate) fn job(job: JobRef) -> v1::JobRef {
    let by = match job {
        JobRef::Job(id) => v1::job_ref::By::Job(id.0),
        JobRef::Tag(tag) => v1::job_ref::By::Tag(tag.digits()),
    };
    v1::JobRef { by: Some(by) }
}

/// A text that may be left out; empty stands for none.
pub(super) fn opt(text: Option<&String>) -> String {
    text.cloned().unwrap_or_default()
}

/// A bench that may be left out; 0 stands for none.
pub(super) fn opt_bench(bench: Option<BenchId>) -> u32 {
    bench.map_or(0, |bench| bench.0.into())
}

/// Where something comes from or goes back to.
pub(crate) fn spot(spot: Spot) -> v1::Spot {
    let at = match spot {
        Spot::Strip(id) => v1::spot::At::Strip(id.0.into()),
        Spot::Counter => v1::spot::At::Counter(v1::spot::Counter {}),
    };
    v1::Spot { at: Some(at) }
}

/// Where an item is.
pub(super) fn place(place: Place) -> v1::Place {
    let of = |kind: PlaceKind| v1::Place { kind: kind.into(), strip: 0, bench: 0 };
    match place {
        Place::Strip(id) => v1::Place { strip: id.0.into(), ..of(PlaceKind::Strip) },
        Place::Bench(id) => v1::Place { bench: id.0.into(), ..of(PlaceKind::Bench) },
        Place::Counter => of(PlaceKind::Counter),
        Place::CuringShelf => of(PlaceKind::CuringShelf),
        Place::ReadyShelf => of(PlaceKind::ReadyShelf),
        Place::LockedAway => of(PlaceKind::LockedAway),
        Place::Gone => of(PlaceKind::Gone),
        Place::HandedBack => of(PlaceKind::HandedBack),
    }
}

/// When an item must be back; nothing when nobody said.
pub(super) fn wanted(wanted: &Wanted) -> Option<v1::Wanted> {
    use v1::wanted::By;
    let by = match wanted {
        Wanted::Open => return None,
        Wanted::At(Stamp(us)) => By::AtUs(*us),
        Wanted::Bout(place) => bout(place),
    };
    Some(v1::Wanted { by: Some(by) })
}

fn bout(place: &BoutPlace) -> v1::wanted::By {
    use v1::wanted::By;
    match *place {
        BoutPlace::Pool { size, ref variant, place, running_bout, bout_min } => By::Pool(v1::PoolPlace {
            size: size.into(),
            variant: opt(variant.as_ref()),
            place: place.into(),
            running_bout: running_bout.into(),
            bout_min: bout_min.into(),
        }),
        BoutPlace::Relay { running_relay, fencer_no, relay_min } => By::Relay(v1::RelayPlace {
            running_relay: running_relay.into(),
            fencer_no: fencer_no.into(),
            relay_min: relay_min.into(),
        }),
        BoutPlace::Tableau {
            table,
            entrants,
            slot,
            running_bout,
            parallel_strips,
            bout_min,
            last_bout_ended,
        } => By::Tableau(v1::TableauPlace {
            table: table.into(),
            entrants: entrants.map_or(0, Into::into),
            slot: slot.into(),
            running_bout: running_bout.into(),
            parallel_strips: parallel_strips.into(),
            bout_min: bout_min.into(),
            last_bout_ended_us: last_bout_ended.map_or(0, |at| at.0),
        }),
    }
}

/// What was read in a check.
pub(super) fn answer(answer: Answer) -> v1::Answer {
    let is = match answer {
        Answer::Passed => v1::answer::Is::Passed(true),
        Answer::Failed => v1::answer::Is::Passed(false),
        Answer::Reading(value) => v1::answer::Is::Reading(value),
    };
    v1::Answer { is: Some(is) }
}

macro_rules! closed_set {
    ($(#[$doc:meta])* $fn:ident: $core:ident { $($word:ident),* $(,)? }) => {
        $(#[$doc])*
        pub(super) fn $fn(word: $core) -> i32 {
            match word { $($core::$word => v1::$core::$word.into(),)* }
        }
    };
}

closed_set! {
    /// What still works.
    need: Need { StripStopped, NoneLeft, OneLeft, TwoOrMore, Out }
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
    /// How an owed repair ended.
    owed_end: OwedEnd { Done, DoneElsewhere, Declined }
}
