//! Which times are said: every slot of a plan gets its likely and its safe time, and what is worth saying is said.
//!
//! A promise is the time at which the item will be ready. It is said once for each job, as soon as a plan exists,
//! and again only when it matters: when the safe time moves out by [`WORTH_SAYING`] or more, comes nearer by
//! [`MUCH_SOONER`] or more, or crosses wanted-by in either direction. Times said are rounded up to whole minutes, and the outcome is held against what was said.

use std::collections::BTreeMap;

use super::draws::{DRAWS, draw};
use super::{Correction, Raw};
use crate::armoury::{Armoury, Job, Need, NewPromise};
use crate::ids::JobId;
use crate::plan::Plan;
use crate::time::{Span, Stamp, US_PER_MIN};

/// A time that moves out by less than this is not said again. The team's choice.
pub const WORTH_SAYING: Span = Span::minutes(3);
/// A time that comes nearer by this is said again: somebody plans their day by the old one, which may have been said
/// when a bench was thought to be away until tomorrow. The team's choice.
pub const MUCH_SOONER: Span = Span::minutes(30);
/// The raw safe time is at least this much later than the raw likely one, so that scores mean something.
const LEAST_WIDTH: Span = Span::minutes(1);
/// Draws that end later than this did not end: nothing honest can be said.
const TOO_LATE: Span = Span::minutes(60 * 24 * 365);

/// Gives every slot of the plan its likely and its safe time, in place of what the planner expected.
pub fn quote(room: &Armoury, plan: &mut Plan, now: Stamp) {
    let mut drawn = draw(room, plan, now, DRAWS);
    let corrections: BTreeMap<Need, Correction> =
        Need::ALL.iter().map(|need| (*need, room.kept.correction(*need))).collect();
    plan.raw.clear();
    let mut taken_up = BTreeMap::new();
    for (index, id) in drawn.jobs().to_vec().into_iter().enumerate() {
        let (safe, likely) = (drawn.at(index, 0.9), drawn.at(index, 0.5));
        taken_up.extend(drawn.taken_up(index).map(|at| (id, at)));
        if safe <= now + TOO_LATE {
            plan.raw.insert(id, Raw { likely, safe: safe.or_later(likely + LEAST_WIDTH) });
        }
    }
    for slot in plan.lanes.values_mut().flatten() {
        let Some(raw) = plan.raw.get(&slot.job) else { continue };
        let correction = room.job(slot.job).and_then(|job| corrections.get(&job.declared));
        let Some(correction) = correction else { continue };
        slot.likely = raw.at(correction.likely).or_later(now);
        slot.safe = Some(raw.at(correction.safe).or_later(slot.likely));
        // What corrects the one may pass the other.
        slot.taken_up = taken_up.get(&slot.job).copied().unwrap_or(slot.start).min(slot.likely);
    }
}

/// The promises that a plan makes worth saying, by job.
pub fn worth_saying(room: &Armoury, plan: &Plan) -> Vec<NewPromise> {
    let mut new: Vec<_> = plan
        .lanes
        .values()
        .flatten()
        .filter_map(|slot| {
            let job = room.job(slot.job).filter(|job| job.awaits_work())?;
            let promise = NewPromise {
                job: job.id,
                likely: whole_min(slot.likely),
                safe: slot.safe.map(whole_min),
                raw: raw(plan, job.id),
            };
            is_worth_saying(room, job, &promise).then_some(promise)
        })
        .collect();
    new.sort_by_key(|promise| promise.job);
    new
}

fn raw(plan: &Plan, job: JobId) -> Option<Raw> {
    plan.raw.get(&job).copied()
}

fn is_worth_saying(room: &Armoury, job: &Job, new: &NewPromise) -> bool {
    let Some(old) = job.promise else { return true };
    // What the strip plans with: the safe time where there is one.
    let (was, is) = (old.safe.unwrap_or(old.likely), new.safe.unwrap_or(new.likely));
    is >= was + WORTH_SAYING
        || was >= is + MUCH_SOONER
        || room.lateness(job, was).is_some() != room.lateness(job, is).is_some()
}

fn whole_min(at: Stamp) -> Stamp {
    Stamp((at.0 + US_PER_MIN - 1).div_euclid(US_PER_MIN) * US_PER_MIN)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::armoury::tests::World;
    use crate::armoury::tests::world::*;
    use crate::armoury::{Command, HoldReason, Wanted};
    use crate::gear::ItemKind;
    use crate::plan::{Planner, Slot, UrgencyPlanner};

    /// A plan in which the job is likely ready at that moment.
    fn plan(world: &World, job: JobId, likely: Stamp, safe: Option<Stamp>) -> Plan {
        let mut plan = Plan { at: world.now, ..Plan::default() };
        plan.lanes.insert(WEAPONS, vec![Slot { safe, ..Slot::new(job, world.now, likely) }]);
        plan
    }

    /// Says what the plan makes worth saying, if anything.
    fn say(world: &mut World, job: JobId, likely: Stamp) -> Option<Stamp> {
        let promises = worth_saying(&world.room, &plan(world, job, likely, None));
        let said = promises.first().map(|promise| promise.likely);
        world.ok(Command::SayPromises { promises });
        said
    }

    #[test]
    fn the_first_time_is_said_in_whole_minutes_rounded_up() {
        let mut world = World::new();
        let foil = world.sent(ItemKind::Foil);
        let seconds = Span::seconds(1);
        let promises =
            worth_saying(&world.room, &plan(&world, foil, minute(20) + seconds, Some(minute(25) + seconds)));
        let expected = NewPromise { job: foil, likely: minute(21), safe: Some(minute(26)), raw: None };
        assert_eq!(promises, [expected]);
        assert_eq!(world.ok(Command::SayPromises { promises }), ["promise_said"]);
        let job = world.job(foil);
        assert_eq!(job.promise.unwrap().safe, Some(minute(26)));
        // Later times are measured against the first.
        assert_eq!(say(&mut world, foil, minute(40)), Some(minute(40)));
        assert_eq!(world.job(foil).first_promise.unwrap().likely, minute(21));
    }

    #[test]
    fn a_time_is_said_again_when_it_moves_out_by_three_minutes() {
        let mut world = World::new();
        let foil = world.waiting(ItemKind::Foil);
        assert_eq!(say(&mut world, foil, minute(20)), Some(minute(20)));
        assert_eq!(say(&mut world, foil, minute(22)), None);
        assert_eq!(say(&mut world, foil, minute(23)), Some(minute(23)));
        assert_eq!(say(&mut world, foil, minute(25)), None, "measured against what was said last");
        assert_eq!(say(&mut world, foil, minute(5)), None, "sooner is no bad news");
    }

    #[test]
    fn a_time_that_comes_nearer_by_half_an_hour_is_said_again() {
        let mut world = World::new();
        let foil = world.waiting(ItemKind::Foil);
        assert_eq!(say(&mut world, foil, minute(1500)), Some(minute(1500)), "a bench is thought to be away");
        assert_eq!(say(&mut world, foil, minute(20)), Some(minute(20)), "it was a slip of the hand");
        assert_eq!(say(&mut world, foil, minute(60)), Some(minute(60)));
        assert_eq!(say(&mut world, foil, minute(31)), None);
        assert_eq!(say(&mut world, foil, minute(30)), Some(minute(30)));
    }

    /// Strip 1 is two minutes away: wanted by 30, it must be ready by 28.
    #[test]
    fn a_time_is_said_again_when_it_crosses_wanted_by() {
        let mut world = World::new();
        let foil = world.waiting(ItemKind::Foil);
        world.ok(Command::WantBy { job: on(foil), wanted: Wanted::At(minute(30)) });
        assert_eq!(say(&mut world, foil, minute(28)), Some(minute(28)));
        assert_eq!(say(&mut world, foil, minute(29)), Some(minute(29)), "late now");
        assert_eq!(say(&mut world, foil, minute(30)), None, "late as before");
        assert_eq!(say(&mut world, foil, minute(27)), Some(minute(27)), "in time again");
    }

    #[test]
    fn the_safe_time_counts_where_there_is_one() {
        let mut world = World::new();
        let foil = world.waiting(ItemKind::Foil);
        let promises = worth_saying(&world.room, &plan(&world, foil, minute(20), Some(minute(30))));
        world.ok(Command::SayPromises { promises });
        let moved =
            |likely, safe| worth_saying(&world.room, &plan(&world, foil, minute(likely), Some(minute(safe))));
        assert_eq!(moved(26, 32), []);
        assert_eq!(moved(20, 33).len(), 1);
    }

    /// Laws of a quote: both times, in order, not in the past, with what the draws gave beside them.
    #[test]
    fn every_slot_is_quoted_a_likely_and_a_later_safe_time() {
        let mut world = World::new();
        for kind in [ItemKind::Foil, ItemKind::Foil, ItemKind::Mask, ItemKind::BodyCordTwoPin] {
            world.waiting(kind);
        }
        world.sent(ItemKind::Foil);
        let mut made = UrgencyPlanner.plan(&world.room, world.now);
        quote(&world.room, &mut made, world.now);
        let slots: Vec<_> = made.lanes.values().flatten().collect();
        assert_eq!(slots.len(), 5);
        for slot in slots {
            let safe = slot.safe.unwrap();
            assert!(world.now < slot.likely && slot.likely < safe, "{slot:?}");
            assert!(world.now <= slot.taken_up && slot.taken_up < slot.likely, "{slot:?}");
            assert!(made.raw[&slot.job].likely < made.raw[&slot.job].safe);
        }
        let promises = worth_saying(&world.room, &made);
        assert!(promises.iter().all(|promise| promise.raw.is_some() && promise.safe > Some(promise.likely)));
        world.ok(Command::SayPromises { promises });
        assert_eq!(world.room.kept.coverage()[0].promised, 5);
        let mut again = UrgencyPlanner.plan(&world.room, world.now);
        quote(&world.room, &mut again, world.now);
        assert_eq!(worth_saying(&world.room, &again), [], "nothing has moved");
    }

    #[test]
    fn nothing_is_promised_of_what_is_held_or_done() {
        let mut world = World::new();
        let (ready, held) = (world.ready(), world.waiting(ItemKind::Foil));
        world.ok(hold(held, HoldReason::PartMissing));
        let made = UrgencyPlanner.plan(&world.room, world.now);
        assert_eq!(worth_saying(&world.room, &made), []);
        let old = plan(&world, ready, minute(30), None);
        assert_eq!(worth_saying(&world.room, &old), [], "an old plan still names it");
        let promises = vec![NewPromise { job: ready, likely: minute(30), safe: None, raw: None }];
        assert_eq!(world.ok(Command::SayPromises { promises }), Vec::<&str>::new());
    }

    #[test]
    fn promises_come_in_the_order_of_jobs() {
        let mut world = World::new();
        let jobs = [ItemKind::Reel, ItemKind::BodyCordTwoPin, ItemKind::Foil].map(|kind| world.waiting(kind));
        let made = UrgencyPlanner.plan(&world.room, world.now);
        let promised: Vec<_> = worth_saying(&world.room, &made).iter().map(|promise| promise.job).collect();
        assert_eq!(promised, jobs);
    }
}
