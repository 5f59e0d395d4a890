//! What a spectator sees of the day: the clock, the lanes, what is late.

use remise_core::armoury::State;
use remise_core::time::{Span, Stamp};
use remise_link::view::{Board, JobView};
use serde::Serialize;

use super::director::Director;

/// The day at one moment.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Scene {
    /// The time of day, as an instant.
    pub at: Stamp,
    /// The venue's time zone.
    pub zone: String,
    /// Benches with what they have in hand and what comes next.
    pub benches: Vec<BenchScene>,
    /// Jobs by state.
    pub on_its_way: usize,
    /// In the room, for a bench to take.
    pub waiting: usize,
    /// Glue sets.
    pub curing: usize,
    /// To be collected.
    pub ready: usize,
    /// Handed back so far.
    pub closed: usize,
    /// What will be late, worst first: a sentence each.
    pub late: Vec<LateScene>,
}

/// One bench at one moment.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct BenchScene {
    /// Its name.
    pub name: String,
    /// What its armourer is doing.
    pub now: String,
    /// What comes next.
    pub next: Vec<String>,
}

/// One late job.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LateScene {
    /// Tag and kind.
    pub what: String,
    /// How late it will be back.
    pub by: Span,
}

/// Late jobs shown at most.
const LATE_MOST: usize = 8;
/// Jobs of a lane shown at most.
const NEXT_MOST: usize = 4;

impl Scene {
    pub(super) fn of(director: &Director<'_>, room: &Board) -> Self {
        let in_state = |state| room.jobs.iter().filter(|job| job.state == state).count();
        let handed_in =
            director.handed.iter().filter(|thing| director.things.get(**thing).job.is_some()).count();
        Self {
            at: director.now,
            zone: director.venue.zone.clone(),
            benches: benches(room),
            on_its_way: in_state(State::OnItsWay),
            waiting: in_state(State::Waiting),
            curing: in_state(State::Curing),
            ready: in_state(State::Ready),
            closed: handed_in.saturating_sub(room.jobs.len()),
            late: late(director, room),
        }
    }
}

/// Whether somebody still has to work on it.
pub(super) fn awaits_work(job: &JobView) -> bool {
    matches!(job.state, State::OnItsWay | State::Waiting | State::OnBench | State::Curing)
}

fn short(job: &JobView) -> String {
    let tag = job.tag.map_or_else(|| "-----".to_owned(), |tag| tag.to_string());
    format!("{tag} {}", job.kind.short())
}

fn benches(room: &Board) -> Vec<BenchScene> {
    let job = |id| room.jobs.iter().find(|job| job.job == id);
    room.benches
        .iter()
        .flatten()
        .map(|bench| BenchScene {
            name: bench.name.clone(),
            now: match (bench.call, bench.in_hand.and_then(job)) {
                (Some(_), _) => "at a strip".to_owned(),
                (None, Some(job)) if bench.interrupted => format!("{} (interrupted)", short(job)),
                (None, Some(job)) => short(job),
                (None, None) if !bench.open => "closed".to_owned(),
                (None, None) => "free".to_owned(),
            },
            next: room
                .lane(bench.bench)
                .iter()
                .flat_map(|lane| &lane.slots)
                .filter(|slot| Some(slot.job) != bench.in_hand)
                .filter_map(|slot| job(slot.job).map(short))
                .take(NEXT_MOST)
                .collect(),
        })
        .collect()
}

fn late(director: &Director<'_>, room: &Board) -> Vec<LateScene> {
    let mut late: Vec<_> = room
        .jobs
        .iter()
        .filter(|job| awaits_work(job))
        .filter_map(|job| {
            let walk = match job.back_to {
                remise_core::armoury::Spot::Strip(strip) => director.venue.walk_min(strip),
                remise_core::armoury::Spot::Counter => 0,
            };
            let back = job.planned?.likely.plus_min(walk);
            let by = back.since(job.wanted_by?);
            (by > Span::ZERO).then(|| LateScene { what: short(job), by })
        })
        .collect();
    late.sort_by(|a, b| b.by.cmp(&a.by).then_with(|| a.what.cmp(&b.what)));
    late.truncate(LATE_MOST);
    late
}
