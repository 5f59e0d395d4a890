//! What a stay teaches about repair times, and how a correction undoes it.
//!
//! A repair teaches its hands-on time. A bench that lets go of work unfinished teaches that it takes longer than that;
//! once the work is finished after all, its whole time takes that lesson's place, at the bench that finished it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::gear::{self, Fault, Work};
use crate::ids::{BenchId, JobId};
use crate::time::{Span, Stamp, Window};
use crate::times::{Observation, SHORTEST, usual};

use super::super::job::{Job, Repair, Taught};
use super::super::state::Armoury;
use super::super::words::{Showed, State};

impl Armoury {
    /// Call before the repair is taken into the job.
    pub(super) fn teach_repair(&mut self, id: JobId, repair: &Repair, when: Stamp) {
        self.unteach_unfinished(id);
        let Some(job) = self.jobs.get(&id).filter(|job| !job.course.mixed).cloned() else { return };
        if repair.hands_on < SHORTEST {
            // Recorded in one go with the repair before: whose minutes were they? Paper entered after a power cut may
            // give no minutes at all.
            let before = job.course.repairs.last().map(|before| before.id);
            self.unteach_where(id, |taught| before.is_some() && taught.repair == before);
            return;
        }
        let hands_on = Span(repair.hands_on.0 - self.breaks(&job, when).0);
        let seen = Seen { work: repair.work, fault: repair.fault.as_deref(), hands_on, censored: false };
        if let Some(seen) = seen.at(&job) {
            self.teach(id, Taught { repair: Some(repair.id), seen });
        }
    }

    /// A bench lets go of the job. Call before the clock is stopped.
    pub(super) fn teach_unfinished(&mut self, id: JobId, when: Stamp) {
        let in_hand = |job: &&Arc<Job>| job.state() == State::OnBench && !job.course.mixed;
        let Some(job) = self.jobs.get(&id).filter(in_hand).cloned() else { return };
        self.unteach_unfinished(id);
        let worked = job.course.clock.since_last(when);
        if worked < SHORTEST {
            return;
        }
        let Some((work, fault)) = work_in_hand(&job) else { return };
        let hands_on = Span(worked.0 - self.breaks(&job, when).0);
        let seen = Seen { work, fault: fault.as_deref(), hands_on, censored: true };
        if let Some(seen) = seen.at(&job) {
            self.teach(id, Taught { repair: None, seen });
        }
    }

    fn teach(&mut self, id: JobId, taught: Taught) {
        self.learned.learn(&taught.seen);
        if let Some(job) = self.jobs.get_mut(&id) {
            Arc::make_mut(job).course.taught.push(taught);
        }
    }

    /// Undoes everything that the job taught.
    pub(super) fn unteach(&mut self, id: JobId) {
        self.unteach_where(id, |_| true);
    }

    /// Undoes what unfinished work taught.
    pub(super) fn unteach_unfinished(&mut self, id: JobId) {
        self.unteach_where(id, |taught| taught.repair.is_none());
    }

    fn unteach_where(&mut self, id: JobId, undo: impl Fn(&Taught) -> bool) {
        let Some(job) = self.jobs.get_mut(&id).filter(|job| job.course.taught.iter().any(&undo)) else {
            return;
        };
        let learned = &mut self.learned;
        Arc::make_mut(job).course.taught.retain(|taught| {
            let undone = undo(taught);
            if undone {
                learned.unlearn(&taught.seen);
            }
            !undone
        });
    }

    /// Breaks within the hands-on time since the last repair: nobody said that work stood still, but by its hours the
    /// bench was not attended.
    fn breaks(&self, job: &Job, when: Stamp) -> Span {
        let clock = &job.course.clock;
        let stretches = clock.stretches.iter().copied().chain(clock.running(when));
        stretches.fold(Span::ZERO, |sum, (bench, stretch)| sum + self.breaks_in(bench, stretch))
    }

    /// Breaks that lie wholly inside a stretch. A repair recorded in a break shows that somebody worked on into it,
    /// and a bench opened by the head's word is attended.
    fn breaks_in(&self, bench: BenchId, stretch: Window) -> Span {
        let Some(place) = self.venue.as_ref().and_then(|venue| venue.bench(bench)) else { return Span::ZERO };
        if self.bench(bench).forced == Some(true) {
            return Span::ZERO;
        }
        let gaps = place.open.iter().zip(place.open.iter().skip(1)).map(|(one, next)| (one.to, next.from));
        let inside = gaps.filter(|(from, to)| stretch.from <= *from && *to <= stretch.to);
        inside.fold(Span::ZERO, |sum, (from, to)| sum + to.since(from))
    }
}

/// What was seen, before it is known of what.
struct Seen<'f> {
    work: Work,
    fault: Option<&'f str>,
    hands_on: Span,
    censored: bool,
}

impl Seen<'_> {
    /// The observation, when there is time enough in it to be one.
    fn at(&self, job: &Job) -> Option<Observation> {
        let bench = job.course.bench.filter(|_| self.hands_on >= SHORTEST)?;
        Some(Observation {
            work: self.work,
            weapon: job.kind.weapon(),
            bench,
            hands_on: self.hands_on,
            usual: usual(job.kind, self.work, self.fault),
            censored: self.censored,
        })
    }
}

/// What a bench had in hand when it let go: what was found and not yet mended, or else the likeliest kind of work left.
/// None when the work was done and only the proof was missing.
fn work_in_hand(job: &Job) -> Option<(Work, Option<String>)> {
    let showed = |fault: &Fault, what| {
        job.course.findings.iter().any(|found| found.fault == fault.id && found.showed == what)
    };
    let done = job.works();
    let mut found = gear::faults(job.kind).filter(|fault| showed(fault, Showed::Present));
    if let Some(fault) = found.find(|fault| !done.contains(&fault.work)) {
        return Some((fault.work, Some(fault.id.to_owned())));
    }
    if !done.is_empty() || job.course.no_fault {
        return None;
    }
    let mut shares: BTreeMap<Work, u32> = BTreeMap::new();
    for (fault, permille) in gear::prior(job.kind, job.complaint) {
        if !showed(fault, Showed::Absent) {
            *shares.entry(fault.work).or_default() += u32::from(permille);
        }
    }
    let likeliest = shares.into_iter().max_by_key(|(work, share)| (*share, std::cmp::Reverse(*work)));
    likeliest.map(|(work, _)| (work, None))
}
