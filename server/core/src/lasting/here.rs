//! Lasting or stop-gap for a job in the room: what is known of it here, and what is owed after a stop-gap.

use crate::armoury::{Armoury, Item, Job, Lasting, Need, Owed, Showed};
use crate::gear::Work;
use crate::plan::due;
use crate::time::{Stamp, US_PER_MIN};
use crate::times::Spread;

use super::{Circumstances, Estimates, Returns, SPARED_AFTER_H, Way, Weighed, weigh_by};

/// A wider spread of ln(minutes) than this says that little is known, not that the mean is huge; as the lanes hold it.
const WIDEST: f64 = 0.8;
/// Minutes in an hour.
const MIN_PER_H: f64 = 60.0;

/// Both ways of mending a fault, weighed by what is known here; `None` where there is no choice.
///
/// Bench minutes are those learned at the job's bench, the time left runs until it is due, and the fencer is taken to
/// need it for [`SPARED_AFTER_H`] or until the day ends, fencing for the estimates' share of that time.
pub fn weigh_here(room: &Armoury, job: &Job, fault: &str, now: Stamp) -> Option<Weighed<'static>> {
    let takes = |way: &Way| {
        let learned = room.learned.predict(way.work, job.kind.weapon(), job.course.bench, way.spread());
        Spread { likely_min: learned.median_min(), sigma_ln: learned.scale_ln.min(WIDEST) }
    };
    weigh_by(Estimates::built_in(), fault, &circumstances(room, job, fault, now), takes)
}

/// What must be said when a fault is found on a job: that a stop-gap of it failed on this item before, and what each
/// way costs now. Nothing when none has.
pub fn advice(room: &Armoury, job: &Job, fault: &str, now: Stamp) -> Vec<String> {
    let seen = room.items.get(&job.item).map(|item| returns(room, item, job, fault)).unwrap_or_default();
    let Some(weighed) = weigh_here(room, job, fault, now).filter(|_| seen.failures > 0) else {
        return Vec::new();
    };
    let times = if seen.failures == 1 { "once".to_owned() } else { format!("{} times", seen.failures) };
    let before = format!(
        "A stop-gap of this fault failed on this item before: {times} in {:.1} h of fencing.",
        seen.hours
    );
    std::iter::once(before).chain(weighed.lines()).collect()
}

fn circumstances(room: &Armoury, job: &Job, fault: &str, now: Stamp) -> Circumstances {
    let (need, due) = (room.need(job), due(room, job));
    let item = room.items.get(&job.item);
    let to_fence_h = to_fence_h(room, job, now.or_later(due)).min(SPARED_AFTER_H);
    Circumstances {
        need,
        left_min: (due.0 - now.0) as f64 / US_PER_MIN as f64,
        to_fence_h: if need == Need::Out { 0.0 } else { to_fence_h },
        stop_gaps: item.map(|item| returns(room, item, job, fault)).unwrap_or_default(),
    }
}

/// Hours of fencing from then on until that day ends; on the next day when none runs then.
fn to_fence_h(room: &Armoury, job: &Job, from: Stamp) -> f64 {
    let days = room.venue.iter().flat_map(|venue| &venue.days);
    let day = days.into_iter().find(|day| from < day.to);
    day.map_or(0.0, |day| fenced_h(room, job, from.or_later(day.from), day.to))
}

/// Hours of fencing between two moments: the tournament's hours, and of them the estimates' share. Apparatus on a strip
/// is in use all the time.
fn fenced_h(room: &Armoury, job: &Job, from: Stamp, to: Stamp) -> f64 {
    let share = if job.kind.is_apparatus() { 1.0 } else { Estimates::built_in().fencing_share };
    let days = room.venue.iter().flat_map(|venue| &venue.days);
    let min: f64 = days.map(|day| day.to.min(to).since(day.from.or_later(from)).as_min()).sum();
    share * min / MIN_PER_H
}

/// What became of the stop-gaps of a fault on an item, as far as its stays are at hand. `job` is the stay in which the
/// fault was just found.
///
/// A stop-gap stands from the moment the item leaves; it has failed when the same fault is found again in a later stay,
/// and no longer counts once the lasting repair is done.
fn returns(room: &Armoury, item: &Item, job: &Job, fault: &str) -> Returns {
    let mut seen = Returns::default();
    let (mut stands, mut left) = (false, None);
    let stays = item.stays.iter().filter_map(|id| room.jobs.get(id).or_else(|| room.closed.get(id)));
    for stay in stays {
        if let Some(left) = left.filter(|_| stands) {
            seen.hours += fenced_h(room, stay, left, stay.handed_in);
            if stay.id == job.id || shows(stay, fault) {
                seen.failures += 1;
                stands = false;
            }
        }
        for repair in &stay.course.repairs {
            let of_fault = repair.fault.as_deref() == Some(fault);
            if of_fault && repair.lasting == Lasting::StopGap {
                stands = true;
            } else if repair.lasting == Lasting::Lasting && repair.work == lasting_work(fault, repair.work) {
                stands = false;
            }
        }
        left = stay.left;
    }
    seen
}

fn shows(stay: &Job, fault: &str) -> bool {
    stay.course.findings.iter().any(|found| found.fault == fault && found.showed == Showed::Present)
}

/// The kind of work that mends a fault so that it lasts.
fn lasting_work(fault: &str, otherwise: Work) -> Work {
    Estimates::built_in().of(fault).map_or(otherwise, |ways| ways.lasting.work)
}

/// The kind of work that is owed: that of the lasting repair, which may be another than the stop-gap's.
pub fn owed_work(owed: &Owed) -> Work {
    owed.fault.as_deref().map_or(owed.work, |fault| lasting_work(fault, owed.work))
}

/// What is owed, in a few words: what lasts, and for which fault.
pub fn owed_words(owed: &Owed) -> String {
    let ways = owed.fault.as_deref().and_then(|fault| Estimates::built_in().of(fault));
    let title = owed.fault.as_deref().and_then(crate::gear::fault).map(|fault| fault.title);
    match (ways, title) {
        (Some(ways), Some(title)) => format!("{} ({title})", ways.lasting.what),
        (None, Some(title)) => format!("{} ({title})", owed.work.title()),
        _ => owed.work.title().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::armoury::tests::World;
    use crate::armoury::tests::world::*;
    use crate::armoury::{Command, Correction, State};
    use crate::gear::ItemKind;
    use crate::ids::{ItemId, JobId};

    const BARREL: &str = "foil_barrel_loose";

    /// The item comes in at that minute and a bench takes it.
    fn comes(world: &mut World, minutes: i64, number: Option<ItemId>) -> JobId {
        world.at(minutes);
        let named = match number {
            Some(number) => known(ItemKind::Foil, number),
            None => item(ItemKind::Foil),
        };
        world.ok(Command::HandIn(lot(vec![named])));
        let job = JobId(world.head());
        let tag = world.tag();
        world.ok(scan_in(job, Some(tag)));
        world.ok(take(job, WEAPONS));
        job
    }

    /// It is mended so and goes back at that minute.
    fn goes(world: &mut World, minutes: i64, job: JobId, work: Work, lasting: Lasting) {
        world.at(minutes);
        let fault = if work == Work::Point { BARREL } else { "foil_wire_broken" };
        world.ok(mend(job, work, fault, lasting));
        world.ok(ready_anyway(job));
        world.ok(hand_back(job));
    }

    fn seen(world: &World, job: JobId) -> (u32, f64) {
        let returns = returns(&world.room, world.item_of(job), world.job(job), BARREL);
        (returns.failures, returns.hours)
    }

    /// By hand: with the fencer from minute 20 to 140 and, found again, from 150 to 540 to the next day's 1500. The
    /// days run from 0 to 600 and from 1440 on; a quarter of those hours is fenced.
    #[test]
    fn a_stop_gap_that_is_found_again_has_failed_after_the_hours_that_were_fenced() {
        let mut world = World::new();
        let first = comes(&mut world, 10, None);
        let number = world.job(first).item;
        assert_eq!(seen(&world, first), (0, 0.0), "nothing was seen yet");
        goes(&mut world, 20, first, Work::Point, Lasting::StopGap);
        let second = comes(&mut world, 140, Some(number));
        assert_eq!(seen(&world, second), (1, 0.5));
        world.ok(find(second, BARREL, Showed::Present));
        goes(&mut world, 540, second, Work::Point, Lasting::StopGap);
        let third = comes(&mut world, 1500, Some(number));
        assert_eq!(seen(&world, third), (2, 1.0));
    }

    #[test]
    fn a_stay_for_something_else_lets_it_stand_and_what_lasts_ends_it() {
        let mut world = World::new();
        let first = comes(&mut world, 0, None);
        let number = world.job(first).item;
        goes(&mut world, 0, first, Work::Point, Lasting::StopGap);
        let second = comes(&mut world, 120, Some(number));
        world.ok(repair(second, Work::Blade, Lasting::Lasting));
        world.ok(ready_anyway(second));
        world.ok(hand_back(second));
        let third = comes(&mut world, 360, Some(number));
        assert_eq!(seen(&world, third), (1, 1.5), "two and four hours with the fencer");
        goes(&mut world, 360, third, Work::BladeWire, Lasting::Lasting);
        let fourth = comes(&mut world, 480, Some(number));
        // Nobody had found it again at the third stay: it was mended because it was owed.
        assert_eq!(seen(&world, fourth), (0, 1.5));
    }

    /// A hand-back that was noted by mistake leaves no hours behind.
    #[test]
    fn what_did_not_leave_did_not_stand() {
        let mut world = World::new();
        let first = comes(&mut world, 0, None);
        goes(&mut world, 0, first, Work::Point, Lasting::StopGap);
        assert_eq!(world.room.closed[&first].left, Some(minute(0)));
        world.at(60);
        world.ok(correct(first, Correction::HandBack));
        assert_eq!((world.state(first), world.job(first).left), (State::Ready, None));
    }

    #[test]
    fn what_failed_here_speaks_for_what_lasts() {
        let mut world = World::new();
        let first = comes(&mut world, 0, None);
        let number = world.job(first).item;
        let fails = |world: &World, job: JobId| {
            weigh_here(&world.room, world.job(job), BARREL, world.now).unwrap().stop_gap.fails
        };
        let fresh = fails(&world, first);
        let mut job = first;
        for round in 0..4 {
            goes(&mut world, 20 * round, job, Work::Point, Lasting::StopGap);
            job = comes(&mut world, 20 * round + 10, Some(number));
            world.ok(find(job, BARREL, Showed::Present));
        }
        let often = fails(&world, job);
        assert!(often > fresh, "{fresh} at first, {often} after four returns");
    }

    /// The bench's own pace counts: slow hands make what lasts dearer.
    #[test]
    fn minutes_are_those_learned_at_the_bench() {
        let mut world = World::new();
        let job = comes(&mut world, 0, None);
        let ready = |world: &World| {
            let weighed = weigh_here(&world.room, world.job(job), BARREL, world.now).unwrap();
            (weighed.stop_gap.ready_min, weighed.lasting.ready_min)
        };
        let before = ready(&world);
        world.at(150).ok(mend(job, Work::BladeWire, "foil_wire_broken", Lasting::Lasting));
        let after = ready(&world);
        assert!(after.1 > before.1 + 5.0, "a rewire took 150 minutes: {before:?} {after:?}");
    }

    #[test]
    fn a_fencer_who_is_out_needs_no_stop_gap_to_hold() {
        let mut world = World::new();
        let job = comes(&mut world, 0, None);
        world.ok(fencer_out());
        let now = circumstances(&world.room, world.job(job), BARREL, world.now);
        assert_eq!((now.need, now.to_fence_h), (Need::Out, 0.0));
        world.ok(fencer_in());
        let now = circumstances(&world.room, world.job(job), BARREL, world.now);
        assert!((now.to_fence_h - SPARED_AFTER_H).abs() < 1e-9, "{now:?}");
        // Late at minute 480: the day ends two hours later, a quarter of which is fenced.
        world.at(480);
        let now = circumstances(&world.room, world.job(job), BARREL, world.now);
        assert!((now.to_fence_h - 0.5).abs() < 1e-9, "{now:?}");
        assert!(now.left_min < 0.0, "{now:?}");
    }
}
