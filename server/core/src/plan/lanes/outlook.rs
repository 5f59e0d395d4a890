//! The work that a job still needs, at each bench that may do it.

use std::collections::BTreeMap;

use super::super::mixture::{is_found, mixture};
use super::super::problem::Unit;
use super::residual::{self, Repair};
use crate::armoury::{Armoury, Job, State};
use crate::gear::{Complaint, Fault, ItemKind, Weapon, Work};
use crate::ids::BenchId;
use crate::promise;
use crate::time::Stamp;
use crate::times::{Pace, Spread};
use crate::venue::{Bench, Venue};

/// Seconds to examine an item before, and as many to prove it after the repair. An estimate of our own.
const AROUND_S: f64 = 60.0;
/// Seconds that no work takes less than.
const LEAST_S: Unit = 60;
/// A bench that does less than this share of what may be wrong is not asked as long as another does more.
const ENOUGH: f64 = 0.5;
/// A wider spread of ln(minutes) than this says that little is known, not that the mean is huge.
const WIDEST: f64 = 0.8;
/// Seconds lost when the item turns out to need another bench: examined twice, and handed over. An estimate of our own.
const PASS_ON_S: f64 = 600.0;

/// What an item of some kind with some complaint or findings needs, in seconds.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::plan) struct Outlook {
    /// Hands-on time all told by index of the bench, ascending, for benches that may do it.
    pub(in crate::plan) benches: Vec<(usize, f64)>,
    /// Curing between repair and proof; 0 when glue is unlikely.
    pub(in crate::plan) cure: Unit,
}

/// What is left to do of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::plan) struct Rest {
    /// Seconds of hands-on work by index of the bench: until it is ready, or until it is laid to cure.
    pub(in crate::plan) first: Vec<(usize, Unit)>,
    /// Seconds of curing after that, and of what comes after the cure by index of the bench.
    pub(in crate::plan) then: Option<(Unit, Vec<(usize, Unit)>)>,
}

impl Rest {
    /// Seconds of curing and of what comes after it, at the quickest bench.
    pub(in crate::plan) fn after(&self) -> Unit {
        let quickest = |then: &[(usize, Unit)]| then.iter().map(|(_, seconds)| *seconds).min().unwrap_or(0);
        self.then.as_ref().map_or(0, |(cure, then)| cure + quickest(then))
    }
}

/// Outlooks of one armoury; those of jobs that nobody has examined are made once for each kind and complaint.
pub(in crate::plan) struct Outlooks<'a> {
    room: &'a Armoury,
    venue: &'a Venue,
    known: BTreeMap<(ItemKind, Complaint), Outlook>,
    paces: BTreeMap<(Work, Option<Weapon>, BenchId), Pace>,
}

impl<'a> Outlooks<'a> {
    pub(in crate::plan) fn new(room: &'a Armoury, venue: &'a Venue) -> Self {
        Self { room, venue, known: BTreeMap::new(), paces: BTreeMap::new() }
    }

    /// What the job needs for its whole stay.
    pub(in crate::plan) fn of(&mut self, job: &Job) -> Outlook {
        let key = (job.kind, job.complaint);
        let known = self.known.get(&key).filter(|_| !job.is_checked());
        let mut outlook = known.cloned().unwrap_or_else(|| {
            let whole = self.whole(job);
            if !job.is_checked() {
                self.known.insert(key, whole.clone());
            }
            whole
        });
        if let Some(pinned) = job.pinned {
            self.pin(&mut outlook, pinned);
        }
        outlook
    }

    /// Hands-on minutes that a bench is expected to need for one repair of a fault: the mean of a log-normal with the
    /// centre and the scale of what was learned, the scale held to what a mean can bear.
    ///
    /// The only place from which the lanes take repair times.
    fn repair_min(&mut self, fault: &Fault, weapon: Option<Weapon>, bench: BenchId) -> f64 {
        residual::left_min(&[self.repair(fault, 1.0, weapon, bench)], 0.0).unwrap_or_default()
    }

    /// The repair of a fault at a bench, by what was learned, its scale held to what a mean can bear.
    fn repair(&mut self, fault: &Fault, weight: f64, weapon: Option<Weapon>, bench: BenchId) -> Repair {
        let learned = &self.room.learned;
        let pace = self.paces.entry((fault.work, weapon, bench));
        let pace = pace.or_insert_with(|| learned.pace(fault.work, weapon, Some(bench)));
        let minutes = pace.predict(Spread::of(fault));
        Repair { weight, centre_ln: minutes.centre_ln, scale_ln: minutes.scale_ln.min(WIDEST) }
    }

    /// Seconds at that bench that are left of the whole stay after `done_s`: the repair takes longer than it has been worked
    /// on, see `lanes/residual.rs`.
    fn left_s(&mut self, job: &Job, faults: &[(&Fault, f64)], index: usize, all_s: f64, done_s: f64) -> f64 {
        let worked_min = (done_s - AROUND_S) / 60.0;
        if worked_min <= 0.0 {
            return all_s - done_s;
        }
        let (weapon, bench) = (job.kind.weapon(), self.venue.benches[index].id);
        let each = faults.iter().map(|(fault, weight)| self.repair(fault, *weight, weapon, bench));
        let mut repairs: Vec<Repair> = each.collect();
        if is_found(job) {
            repairs = Repair::all(&repairs).into_iter().collect();
        }
        let left = residual::left_min(&repairs, worked_min);
        left.map_or(all_s - done_s, |minutes| 60.0 * minutes + AROUND_S)
    }

    fn whole(&mut self, job: &Job) -> Outlook {
        let faults = mixture(job);
        let total: f64 = faults.iter().map(|(_, share)| share).sum();
        let share_of = |bench: &Bench| {
            let done = faults.iter().filter(|(fault, _)| bench.can(fault.work));
            done.map(|(_, share)| share).sum::<f64>() / total.max(1e-9)
        };
        let shares: Vec<f64> = self.venue.benches.iter().map(share_of).collect();
        let best = shares.iter().copied().fold(0.0, f64::max);
        let mut benches = Vec::new();
        for (index, share) in shares.into_iter().enumerate() {
            if share <= 0.0 || share + 1e-9 < ENOUGH.min(best) {
                continue;
            }
            let (weapon, bench) = (job.kind.weapon(), self.venue.benches[index].id);
            let repair: f64 = faults.iter().map(|(fault, p)| p * self.repair_min(fault, weapon, bench)).sum();
            benches.push((index, repair * 60.0 + 2.0 * AROUND_S + (1.0 - share).max(0.0) * PASS_ON_S));
        }
        Outlook { benches, cure: cure(&faults, is_found(job)) }
    }

    /// A job that is kept for a bench goes there, whatever that bench is said to do.
    fn pin(&self, outlook: &mut Outlook, pinned: BenchId) {
        let Some(index) = self.venue.benches.iter().position(|bench| bench.id == pinned) else {
            outlook.benches.clear();
            return;
        };
        let own = outlook.benches.iter().find(|(bench, _)| *bench == index);
        let any = outlook.benches.iter().map(|(_, seconds)| *seconds).reduce(f64::max);
        let seconds = own.map_or(any.unwrap_or(10.0 * AROUND_S), |(_, seconds)| *seconds);
        outlook.benches = vec![(index, seconds)];
    }

    /// What is left to do of the job at `now`.
    pub(in crate::plan) fn rest(&mut self, job: &Job, now: Stamp) -> Rest {
        let whole = self.of(job);
        let each = |of: &dyn Fn(usize, f64) -> f64| -> Vec<(usize, Unit)> {
            let benches = whole.benches.iter();
            benches.map(|(bench, all)| (*bench, (of(*bench, *all).round() as Unit).max(LEAST_S))).collect()
        };
        if job.state() == State::Curing || !job.course.repairs.is_empty() {
            return Rest { first: each(&|_, _| 60.0 * promise::rest_min(job)), then: None };
        }
        let done = job.course.clock.total(now).as_min() * 60.0;
        let faults = if done > AROUND_S { mixture(job) } else { Vec::new() };
        let of_bench = |(index, all): &(usize, f64)| (*index, self.left_s(job, &faults, *index, *all, done));
        let left: BTreeMap<usize, f64> = whole.benches.iter().map(of_bench).collect();
        let at = |bench: usize| left.get(&bench).copied().unwrap_or_default();
        if whole.cure == 0 {
            return Rest { first: each(&|bench, _| at(bench)), then: None };
        }
        let tail = |all: f64| AROUND_S + (all - 2.0 * AROUND_S) * promise::AFTER_GLUE;
        let first = each(&|bench, all| at(bench) - tail(all));
        Rest { first, then: Some((whole.cure, each(&|_, all| tail(all)))) }
    }
}

/// Seconds of curing: the longest of what was found; else the mean over what cures, when that is likelier than not.
fn cure(faults: &[(&Fault, f64)], found: bool) -> Unit {
    let curing = faults.iter().filter_map(|(fault, share)| Some((f64::from(fault.curing_min?), *share)));
    if found {
        return (curing.map(|(minutes, _)| minutes).fold(0.0, f64::max) * 60.0) as Unit;
    }
    let (sum, shares) =
        curing.fold((0.0, 0.0), |(sum, all), (minutes, share)| (sum + share * minutes, all + share));
    if shares > 0.5 { (sum / shares * 60.0).round() as Unit } else { 0 }
}
