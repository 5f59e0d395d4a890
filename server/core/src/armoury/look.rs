//! Looking at the armoury: what is late, what needs the head, what a count shows, what the proof still lacks.

use std::fmt;
use std::sync::Arc;

use crate::ids::{JobId, NoticeId, StripId};
use crate::rules::{self, Check};
use crate::tag::Tag;
use crate::time::{Span, Stamp};

use super::decide::required_checks;
use super::job::Job;
use super::state::Armoury;
use super::words::{Place, Spot};

/// A job that will not be back in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LateJob {
    /// The job.
    pub job: JobId,
    /// How late it will be back, walking included.
    pub by: Span,
}

/// Something that needs the head armourer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Attention {
    /// A notice was not confirmed in time.
    Notice(NoticeId, JobId),
    /// A job is held.
    Held(JobId),
    /// An item cannot be found.
    Gone(JobId),
}

/// A difference between what a count found and what is recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CountProblem {
    /// A place that should hold items was not counted since the day was opened.
    NotCounted(Place),
    /// A job's item was not at its place.
    JobWithoutItem(JobId, Tag, Place),
    /// A tag lay there that does not belong there, with where it is recorded to be.
    ItemWithoutJob(Tag, Place, Option<Place>),
}

impl Armoury {
    /// Walking minutes between a spot and the armoury.
    pub fn walk_min(&self, spot: Spot) -> i64 {
        match spot {
            Spot::Strip(strip) => self.venue.as_ref().map_or(0, |venue| venue.walk_min(strip)),
            Spot::Counter => 0,
        }
    }

    /// How late the job would be back if it were ready then; `None` when it is in time or nobody set a time.
    pub fn lateness(&self, job: &Job, ready: Stamp) -> Option<Span> {
        let back = ready.plus_min(self.walk_min(job.back_to));
        job.wanted_by.filter(|wanted| back > *wanted).map(|wanted| back.since(wanted))
    }

    /// Jobs of one strip: those that came from it and those that go back to it.
    pub fn jobs_of_strip(&self, strip: StripId) -> impl Iterator<Item = &Arc<Job>> {
        let spot = Spot::Strip(strip);
        self.jobs.values().filter(move |job| job.came_from == spot || job.back_to == spot)
    }

    /// What needs the head armourer, by number.
    pub fn attention(&self) -> Vec<Attention> {
        let mut all = Vec::new();
        for job in self.jobs.values() {
            if let Some(notice) = job.notice.filter(|notice| notice.raised && notice.confirmed.is_none()) {
                all.push(Attention::Notice(notice.id, job.id));
            }
            if job.hold.is_some() {
                all.push(Attention::Held(job.id));
            }
            if job.course.place == Place::Gone {
                all.push(Attention::Gone(job.id));
            }
        }
        all
    }

    /// The checks that a job's proof needs by the tournament's edition of the rules.
    pub fn required_checks(&self, job: &Job) -> Vec<&'static Check> {
        let edition = self.venue.as_ref().and_then(|venue| rules::edition(&venue.edition).ok());
        edition.map_or_else(Vec::new, |edition| required_checks(edition, job))
    }

    /// Jobs without items, items without jobs, and places not counted. A count holds as long as what it found is what
    /// is recorded: whatever moves afterwards shows as a difference.
    pub fn count_problems(&self) -> Vec<CountProblem> {
        let mut problems = Vec::new();
        for place in self.jobs.values().filter(|job| job.is_counted()).map(|job| job.course.place) {
            let open = CountProblem::NotCounted(place);
            if !self.counts.iter().any(|count| count.place == place) && !problems.contains(&open) {
                problems.push(open);
            }
        }
        problems.extend(self.counts.iter().flat_map(|count| self.differences(count.place, &count.tags)));
        problems
    }

    /// Where a count of one place and what is recorded of it differ.
    pub fn differences(&self, place: Place, tags: &[Tag]) -> Vec<CountProblem> {
        let here = self.jobs.values().filter(|job| job.is_counted() && job.course.place == place);
        let unseen = here.filter_map(|job| {
            let tag = job.course.tag.filter(|tag| !tags.contains(tag))?;
            Some(CountProblem::JobWithoutItem(job.id, tag, place))
        });
        let strange = tags.iter().filter_map(|tag| {
            let recorded = self.tags.get(tag).and_then(|job| self.job(*job)).map(|job| job.course.place);
            (recorded != Some(place)).then_some(CountProblem::ItemWithoutJob(*tag, place, recorded))
        });
        unseen.chain(strange).collect()
    }
}

impl fmt::Display for CountProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotCounted(place) => write!(f, "{place} was not counted"),
            Self::JobWithoutItem(job, tag, place) => {
                write!(f, "tag {tag} (job {job}) was not found at {place}")
            }
            Self::ItemWithoutJob(tag, place, Some(recorded)) => {
                write!(f, "tag {tag} lies at {place} and is recorded at {recorded}")
            }
            Self::ItemWithoutJob(tag, place, None) => {
                write!(f, "tag {tag} lies at {place} and no open job has it")
            }
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Strip(strip) => write!(f, "strip {strip}"),
            Self::Counter => f.write_str("the counter"),
            Self::Bench(bench) => write!(f, "bench {bench}"),
            Self::CuringShelf => f.write_str("the curing shelf"),
            Self::ReadyShelf => f.write_str("the ready shelf"),
            Self::LockedAway => f.write_str("the locked cupboard"),
            Self::Gone => f.write_str("nobody knows where"),
            Self::HandedBack => f.write_str("handed back"),
        }
    }
}
