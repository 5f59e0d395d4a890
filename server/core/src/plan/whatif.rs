//! What would happen if: the head's moves on a private copy of the armoury, planned and compared with how it is planned
//! without them. Nothing is journalled, and the armoury that is asked about stays as it is.
//!
//! Both plans are made at the same moment, by planners that know the same plan before and have the same budget, so that
//! a difference between them comes from the moves.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::{Plan, Planner, Slot, Unplaced};
use crate::armoury::{Armoury, Command, Recorded, Refusal, decide};
use crate::ids::{BenchId, JobId, Seq};
use crate::promise;
use crate::time::{Span, Stamp, US_PER_MIN};

/// A time that moves by less than this does not count as moved.
pub const WORTH_TELLING: Span = Span::minutes(1);

/// What the moves would change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhatIf {
    /// The journal number that the moves were tried from.
    pub head: Seq,
    /// The moment for which both plans are made.
    pub at: Stamp,
    /// The jobs that would be worked on elsewhere, at another time or not at all; the worst first.
    pub moved: Vec<Moved>,
    /// How the room is planned without the moves.
    pub before: Sums,
    /// How it would be planned with them.
    pub after: Sums,
    /// What would be said with the moves besides, in their order.
    pub advice: Vec<String>,
}

/// One job before and after.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moved {
    /// The job.
    pub job: JobId,
    /// How it is planned without the moves.
    pub before: Fate,
    /// How it would be planned with them.
    pub after: Fate,
}

/// How a plan has one job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// A bench works on it.
    Placed {
        /// The bench.
        bench: BenchId,
        /// When the bench takes it up.
        start: Stamp,
        /// When it is likely to be ready.
        likely: Stamp,
        /// When it is safely ready, where there is an honest figure.
        safe: Option<Stamp>,
        /// How late it will likely be back, walking included; zero when it is in time or nobody set a time.
        late: Span,
    },
    /// No bench can take it, for that reason.
    Nowhere(Unplaced),
    /// It needs no bench: it is over, missing or evidence.
    NoWork,
}

/// A whole plan in four figures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sums {
    /// Jobs that will likely be back late.
    pub late: u32,
    /// Minutes of likely lateness, each counted as often as its job's need weighs
    /// ([`Need::weight`](crate::armoury::Need::weight)), rounded up.
    pub weighted_late_min: i64,
    /// Jobs that no bench can take any more: nobody does that work, or is open for long enough.
    pub nowhere: u32,
    /// Jobs that are held.
    pub held: u32,
}

/// A move that would be refused; nothing was planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stopped {
    /// Its place among the moves, from 0.
    pub index: usize,
    /// Why, after the moves before it.
    pub refusal: Refusal,
}

/// What the moves would change, carried out now and one after the other.
///
/// `planner_of` is called twice; it gives planners that are alike and go on from the same plan.
///
/// # Errors
/// [`Stopped`] when one of the moves would be refused.
pub fn what_if(
    room: &Armoury,
    now: Stamp,
    moves: &[Command],
    mut planner_of: impl FnMut() -> Box<dyn Planner>,
) -> Result<WhatIf, Stopped> {
    let mut advice = Vec::new();
    let mut other = room.clone();
    for (index, command) in moves.iter().enumerate() {
        let said = carry_out(&mut other, now, command).map_err(|refusal| Stopped { index, refusal })?;
        advice.extend(said);
    }
    let mut promised = |room: &Armoury| {
        let mut plan = planner_of().plan(room, now);
        promise::quote(room, &mut plan, now);
        plan
    };
    let (mine, theirs) = (promised(room), promised(&other));
    let (before, after) = (Picture::new(room, &mine), Picture::new(&other, &theirs));
    let moved = moved(&before, &after);
    Ok(WhatIf { head: room.head, at: now, moved, before: before.sums(), after: after.sums(), advice })
}

/// Decides one move and applies what comes of it, as the desk does, but for this copy alone; gives the advice.
fn carry_out(room: &mut Armoury, now: Stamp, command: &Command) -> Result<Vec<String>, Refusal> {
    let decision = decide(room, command, now, now)?;
    for text in &decision.texts {
        room.learn_text(text);
    }
    for event in decision.events {
        let seq = Seq(room.head.0 + 1);
        room.apply(&Recorded { seq, at: now, happened_at: now, event });
    }
    Ok(decision.advice)
}

/// One armoury with its plan, job by job.
struct Picture<'a> {
    room: &'a Armoury,
    fates: BTreeMap<JobId, Fate>,
}

impl<'a> Picture<'a> {
    fn new(room: &'a Armoury, plan: &Plan) -> Self {
        let nowhere = plan.unplaced.iter().map(|(job, why)| (*job, Fate::Nowhere(*why)));
        let placed = plan.by_job();
        let placed = placed.into_iter().map(|(job, (bench, slot))| (job, placed_at(room, bench, slot)));
        Self { room, fates: nowhere.chain(placed).collect() }
    }

    fn fate(&self, job: JobId) -> Fate {
        self.fates.get(&job).copied().unwrap_or(Fate::NoWork)
    }

    fn weight(&self, job: JobId) -> i64 {
        self.room.job(job).map_or(0, |job| i64::from(self.room.need(job).weight()))
    }

    /// Weighted lateness of a job, in microseconds.
    fn lateness(&self, job: JobId) -> i64 {
        match self.fate(job) {
            Fate::Placed { late, .. } => late.0.saturating_mul(self.weight(job)),
            _ => 0,
        }
    }

    fn sums(&self) -> Sums {
        let mut sums = Sums::default();
        let mut late = Span::ZERO;
        for (job, fate) in &self.fates {
            match fate {
                Fate::Placed { late, .. } => sums.late += u32::from(*late > Span::ZERO),
                Fate::Nowhere(Unplaced::Held) => sums.held += 1,
                Fate::Nowhere(_) => sums.nowhere += 1,
                Fate::NoWork => {}
            }
            late = late + Span(self.lateness(*job));
        }
        sums.weighted_late_min = late.0.div_euclid(US_PER_MIN) + i64::from(late.0.rem_euclid(US_PER_MIN) > 0);
        sums
    }
}

fn placed_at(room: &Armoury, bench: BenchId, slot: Slot) -> Fate {
    let late = room.job(slot.job).and_then(|job| room.lateness(job, slot.likely)).unwrap_or_default();
    Fate::Placed { bench, start: slot.start, likely: slot.likely, safe: slot.safe, late }
}

/// The jobs that moved, the worst first: those that no bench could take any more, then by weighted lateness gained,
/// then by minutes lost.
fn moved(before: &Picture<'_>, after: &Picture<'_>) -> Vec<Moved> {
    let jobs: BTreeSet<JobId> = before.fates.keys().chain(after.fates.keys()).copied().collect();
    let both = jobs.into_iter().map(|job| Moved { job, before: before.fate(job), after: after.fate(job) });
    let mut moved: Vec<_> = both.filter(|one| differs(one.before, one.after)).collect();
    moved.sort_by_key(|one| {
        let lost = is_lost(one.after) && !is_lost(one.before);
        let late = after.lateness(one.job).saturating_sub(before.lateness(one.job));
        (Reverse(lost), Reverse(late), Reverse(later(one.before, one.after)), one.job)
    });
    moved
}

fn is_lost(fate: Fate) -> bool {
    matches!(fate, Fate::Nowhere(Unplaced::NoBench | Unplaced::NoTime))
}

/// How much later it is likely to be ready, in microseconds; 0 where one of the two has no time.
fn later(before: Fate, after: Fate) -> i64 {
    match (before, after) {
        (Fate::Placed { likely: was, .. }, Fate::Placed { likely: is, .. }) => is.0.saturating_sub(was.0),
        _ => 0,
    }
}

/// Whether a person would say that it moved.
fn differs(before: Fate, after: Fate) -> bool {
    match (before, after) {
        (
            Fate::Placed { bench: was_at, likely: was, safe: was_safe, late: was_late, .. },
            Fate::Placed { bench, likely, safe, late, .. },
        ) => {
            let apart = |one: i64, other: i64| one.saturating_sub(other).abs() >= WORTH_TELLING.0;
            let safe_moved = match (was_safe, safe) {
                (Some(was), Some(is)) => apart(was.0, is.0),
                (was, is) => was != is,
            };
            was_at != bench || apart(was.0, likely.0) || safe_moved || apart(was_late.0, late.0)
        }
        (before, after) => before != after,
    }
}

#[cfg(test)]
mod tests {
    //! By hand, in a small invented armoury; no outside source.
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::armoury::tests::World;
    use crate::armoury::tests::world::*;
    use crate::armoury::{HandIn, HandInItem, HoldReason, Need, Wanted};
    use crate::gear::ItemKind;
    use crate::plan::LanePlanner;

    /// So many foils, none left, each wanted by that minute.
    fn foils(world: &mut World, number: usize, wanted: i64) -> Vec<JobId> {
        let hand_in = |world: &mut World| {
            let one = HandInItem { need: Need::NoneLeft, tag: Some(world.tag()), ..item(ItemKind::Foil) };
            let wanted = Wanted::At(minute(wanted));
            world.ok(Command::HandIn(HandIn { wanted, in_room: true, ..lot(vec![one]) }));
            JobId(world.head())
        };
        (0..number).map(|_| hand_in(world)).collect()
    }

    fn tried(world: &World, moves: &[Command]) -> Result<WhatIf, Stopped> {
        let plan = LanePlanner::default().plan(&world.room, world.now);
        what_if(&world.room, world.now, moves, || Box::new(LanePlanner::going_on(30_000, &world.room, &plan)))
    }

    fn of(what: &WhatIf, job: JobId) -> Moved {
        *what.moved.iter().find(|one| one.job == job).unwrap()
    }

    #[test]
    fn closing_a_bench_moves_its_jobs_and_changes_nothing() {
        let mut world = World::new();
        let cords: Vec<_> = (0..4).map(|_| world.waiting(ItemKind::BodyCordTwoPin)).collect();
        let untouched = world.clone();
        let what = tried(&world, &[Command::CloseBench { bench: CORDS }]).unwrap();
        assert!(world.room == untouched.room, "the armoury is as it was");
        assert_eq!((what.head, what.at), (world.room.head, world.now));
        assert!(!what.moved.is_empty());
        for moved in &what.moved {
            assert!(cords.contains(&moved.job));
            assert!(matches!(moved.after, Fate::Placed { bench: ROVING, .. }), "{moved:?}");
        }
        let here = |fate| matches!(fate, Fate::Placed { bench: CORDS, .. });
        assert!(what.moved.iter().any(|moved| here(moved.before)));
        // The same moves for real lead where the trial said.
        world.ok(Command::CloseBench { bench: CORDS });
        let plan = LanePlanner::default().plan(&world.room, world.now);
        assert_eq!(plan.lanes.keys().copied().collect::<Vec<_>>(), [ROVING]);
    }

    #[test]
    fn closing_it_later_moves_only_what_it_cannot_finish_before() {
        let mut world = World::new();
        let jobs = foils(&mut world, 6, 240);
        let what = tried(&world, &[Command::CloseBenchAt { bench: WEAPONS, at: minute(25) }]).unwrap();
        let lost = what.after.nowhere as usize;
        assert!(0 < lost && lost < jobs.len(), "{what:?}");
        assert_eq!(what.before.nowhere, 0);
        let last = Fate::Nowhere(Unplaced::NoTime);
        assert!(what.moved[..lost].iter().all(|moved| moved.after == last), "the worst first: {what:?}");
    }

    #[test]
    fn hurrying_one_delays_another() {
        let mut world = World::new();
        let jobs = foils(&mut world, 4, 200);
        let hurried = *jobs
            .iter()
            .max_by_key(|job| {
                LanePlanner::default().plan(&world.room, world.now).slot(**job).unwrap().1.start
            })
            .unwrap();
        let hurry = Command::WantBy { job: on(hurried), wanted: Wanted::At(minute(18)) };
        let what = tried(&world, &[hurry]).unwrap();
        assert!(later(of(&what, hurried).before, of(&what, hurried).after) < 0, "{what:?}");
        let worst = what.moved[0];
        assert!(worst.job != hurried && later(worst.before, worst.after) > 0, "{what:?}");
    }

    #[test]
    fn holding_one_takes_it_out_and_brings_the_others_forward() {
        let mut world = World::new();
        let jobs = foils(&mut world, 3, 20);
        let first = |plan: &Plan| plan.lanes[&WEAPONS][0].job;
        let held = first(&LanePlanner::default().plan(&world.room, world.now));
        let what = tried(&world, &[hold(held, HoldReason::PartMissing)]).unwrap();
        assert_eq!((what.before.held, what.after.held), (0, 1));
        assert_eq!(of(&what, held).after, Fate::Nowhere(Unplaced::Held));
        assert!(what.after.late <= what.before.late);
        assert!(what.after.weighted_late_min < what.before.weighted_late_min, "{what:?}");
        let others = jobs.iter().filter(|job| **job != held);
        assert!(others.copied().any(|job| later(of(&what, job).before, of(&what, job).after) < 0));
    }

    #[test]
    fn no_move_moves_nothing_and_the_same_is_said_twice() {
        let mut world = World::new();
        foils(&mut world, 5, 30);
        let what = tried(&world, &[]).unwrap();
        assert_eq!((what.moved.as_slice(), what.before), (&[][..], what.after));
        let close = [Command::CloseBenchAt { bench: WEAPONS, at: minute(40) }];
        assert_eq!(tried(&world, &close), tried(&world, &close));
    }

    #[test]
    fn a_refused_move_is_told_by_its_place() {
        let mut world = World::new();
        let foil = world.waiting(ItemKind::Foil);
        let close = Command::CloseBench { bench: CORDS };
        // The second is refused because of the first.
        let stopped = tried(&world, &[close.clone(), pin(foil, Some(CORDS))]).unwrap_err();
        assert_eq!(stopped, Stopped { index: 1, refusal: Refusal::BenchIsClosed { bench: CORDS } });
        assert_eq!(tried(&world, &[pin(foil, Some(CORDS)), close]).unwrap().advice.len(), 1);
    }
}
