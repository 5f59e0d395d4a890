//! The work that a job still needs, at each bench that may do it.

use std::collections::BTreeMap;

use super::super::mixture::{is_found, mixture};
use super::super::problem::Unit;
use crate::armoury::{Armoury, Job, State};
use crate::gear::{Complaint, Fault, ItemKind};
use crate::ids::BenchId;
use crate::time::Stamp;
use crate::venue::Venue;

/// Seconds to examine an item before, and as many to prove it after the repair. An estimate of our own.
const AROUND_S: f64 = 60.0;
/// Seconds that no work takes less than.
const LEAST_S: Unit = 60;
/// A bench that does less than this share of what may be wrong is not asked as long as another does more.
const ENOUGH: f64 = 0.5;
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
    /// Seconds of curing after that, and of the proof after the cure.
    pub(in crate::plan) then: Option<(Unit, Unit)>,
}

/// Hands-on minutes that a bench is expected to need for one repair of a fault: the mean of the log-normal
/// distribution whose median was learned and whose spread is the fault table's.
///
/// The only place from which the lanes take repair times.
fn repair_min(room: &Armoury, fault: &Fault, _bench: BenchId) -> f64 {
    let sigma = fault.minutes_lognormal().1;
    room.learned.median_min(fault.work, f64::from(fault.minutes.likely)) * (sigma * sigma / 2.0).exp()
}

/// Outlooks of one armoury; those of jobs that nobody has examined are made once for each kind and complaint.
pub(in crate::plan) struct Outlooks<'a> {
    room: &'a Armoury,
    venue: &'a Venue,
    known: BTreeMap<(ItemKind, Complaint), Outlook>,
}

impl<'a> Outlooks<'a> {
    pub(in crate::plan) fn new(room: &'a Armoury, venue: &'a Venue) -> Self {
        Self { room, venue, known: BTreeMap::new() }
    }

    /// What the job needs for its whole stay.
    pub(in crate::plan) fn of(&mut self, job: &Job) -> Outlook {
        let mut outlook = if job.course.findings.is_empty() {
            let (room, venue) = (self.room, self.venue);
            self.known.entry((job.kind, job.complaint)).or_insert_with(|| whole(room, venue, job)).clone()
        } else {
            whole(self.room, self.venue, job)
        };
        if let Some(pinned) = job.pinned {
            self.pin(&mut outlook, pinned);
        }
        outlook
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
        let proof = AROUND_S as Unit;
        if job.state() == State::Curing || !job.course.repairs.is_empty() {
            let first = whole.benches.iter().map(|(bench, _)| (*bench, proof)).collect();
            return Rest { first, then: None };
        }
        let done = job.course.clock.total(now).as_min() * 60.0;
        let tail = if whole.cure > 0 { AROUND_S } else { 0.0 };
        let left = |seconds: f64| ((seconds - tail - done).round() as Unit).max(LEAST_S);
        let first = whole.benches.iter().map(|(bench, seconds)| (*bench, left(*seconds))).collect();
        Rest { first, then: (whole.cure > 0).then_some((whole.cure, proof)) }
    }
}

fn whole(room: &Armoury, venue: &Venue, job: &Job) -> Outlook {
    let faults = mixture(job);
    let total: f64 = faults.iter().map(|(_, share)| share).sum();
    let share_of = |bench: &crate::venue::Bench| {
        let done = faults.iter().filter(|(fault, _)| bench.can(fault.work));
        done.map(|(_, share)| share).sum::<f64>() / total.max(1e-9)
    };
    let shares: Vec<f64> = venue.benches.iter().map(share_of).collect();
    let best = shares.iter().copied().fold(0.0, f64::max);
    let seconds = |index: usize, share: f64| {
        let bench = venue.benches[index].id;
        let repair: f64 = faults.iter().map(|(fault, p)| p * repair_min(room, fault, bench)).sum();
        repair * 60.0 + 2.0 * AROUND_S + (1.0 - share).max(0.0) * PASS_ON_S
    };
    let able = shares
        .iter()
        .enumerate()
        .filter(|(_, share)| **share > 0.0 && (**share + 1e-9 >= ENOUGH || **share + 1e-9 >= best));
    let benches = able.map(|(index, share)| (index, seconds(index, *share))).collect();
    Outlook { benches, cure: cure(&faults, is_found(job)) }
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
