//! Lists: what a search found, and what tonight is still here.

use std::collections::BTreeSet;

use remise_core::armoury::{Job, State};
use remise_core::tag::{Tag, did_you_mean};
use remise_core::text::folded;
use remise_proto::v1;

use super::board;
use super::lens::Lens;
use crate::stations::{Station, sees_job};

/// Open jobs that fit a text: a tag, a number, or part of a name or note. An empty text fits every job.
pub fn found(lens: &Lens<'_>, station: &Station, text: &str, limit: usize) -> v1::FoundJobs {
    let sought = folded(text);
    let tag = Tag::parse(text).ok();
    let number = text.trim().parse::<u64>().ok();
    let fits = |job: &Job| {
        number == Some(job.id.0)
            || (tag.is_some() && job.course.tag == tag)
            || texts(lens, job).any(|text| folded(text).contains(&sought))
    };
    let mut jobs = Vec::new();
    let mut more = false;
    for job in lens.room.jobs.values().filter(|job| sees_job(station, job) && fits(job)) {
        if jobs.len() == limit {
            more = true;
            break;
        }
        jobs.push(lens.job(job));
    }
    let live =
        || lens.room.jobs.values().filter(|job| sees_job(station, job)).filter_map(|job| job.course.tag);
    let near = if jobs.is_empty() { did_you_mean(text, live()) } else { None };
    v1::FoundJobs {
        covers_up_to: lens.room.head.0,
        at_us: lens.now.0,
        jobs,
        more,
        near_tags: near.map(Tag::digits).into_iter().collect(),
    }
}

/// What a search looks at; the empty text at the end lets an empty search find every job.
fn texts<'l>(lens: &'l Lens<'_>, job: &Job) -> impl Iterator<Item = &'l str> {
    let ids = [job.fencer, job.owner, job.bringer, job.note];
    ids.into_iter().flatten().map(|id| lens.room.text(id)).chain(std::iter::once(""))
}

/// The list of tonight that a job belongs to.
fn group(job: &Job) -> Option<Group> {
    Some(match job.state() {
        _ if job.is_confiscated() => Group::Confiscated,
        State::OnItsWay => Group::OnItsWay,
        State::Waiting | State::OnBench | State::Curing => Group::Unfinished,
        State::Ready | State::Withdrawn | State::CalledOff => Group::Uncollected,
        State::Gone => Group::Missing,
        State::Returned => return None,
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Group {
    OnItsWay,
    Unfinished,
    Uncollected,
    Missing,
    Confiscated,
}

/// What is still here, uncollected, missing, confiscated or owed tonight.
pub fn night_report(lens: &Lens<'_>) -> v1::NightReport {
    let of = |wanted: Group| {
        let jobs = lens.room.jobs.values().filter(|job| group(job) == Some(wanted));
        jobs.map(|job| lens.job(job)).collect()
    };
    let problems: BTreeSet<String> = lens.room.count_problems().iter().map(ToString::to_string).collect();
    v1::NightReport {
        covers_up_to: lens.room.head.0,
        at_us: lens.now.0,
        on_their_way: of(Group::OnItsWay),
        unfinished: of(Group::Unfinished),
        uncollected: of(Group::Uncollected),
        missing: of(Group::Missing),
        confiscated: of(Group::Confiscated),
        owed: lens.room.owing().flat_map(|item| lens.owed_on(item)).collect(),
        count_problems: problems.into_iter().collect(),
        complaints: board::count("complaint", lens.room.jobs.values().map(|job| job.complaint.code())),
    }
}
