//! One job with all that is known of it, open or closed.

use std::sync::Arc;

use remise_core::armoury::{Armoury, Event, Job, Place, Recorded, Sighting, State};
use remise_core::ids::JobId;
use remise_core::rules::{Check, Status, Unit};
use remise_proto::v1;

use super::lens::Lens;
use super::sentence::sentence;
use super::words;
use crate::planner::OWN_STATION;

/// An event of a job as the journal has it.
#[derive(Clone, Debug)]
pub struct Past {
    /// The event.
    pub recorded: Recorded,
    /// The station that asked for it.
    pub station: String,
}

impl Past {
    /// Whether it is about that job.
    pub fn is_of(&self, id: JobId) -> bool {
        match &self.recorded.event {
            Event::TagsExchanged(e) => e.a == id || e.b == id,
            event => event.job(self.recorded.seq) == Some(id),
        }
    }
}

/// A closed job as it was in the end, folded from its own events and those of the jobs that it exchanged tags with.
pub fn replay(room: &Armoury, id: JobId, past: &[Past]) -> Option<Arc<Job>> {
    let mut alone = Armoury::new();
    alone.venue.clone_from(&room.venue);
    let mut last = None;
    for one in past {
        alone.apply(&one.recorded);
        if let Some(job) = alone.job(id) {
            last = Some(Arc::clone(job));
        }
    }
    let mut job = last?;
    if alone.job(id).is_none() {
        let end = Arc::make_mut(&mut job);
        let left =
            |one: &&Past| matches!(one.recorded.event, Event::HandedBack(_) | Event::CollectedUnseen(_));
        let last = past.iter().filter(|one| one.is_of(id)).rfind(left);
        let seen = last.is_some_and(|one| matches!(one.recorded.event, Event::HandedBack(_)));
        (end.course.state, end.course.place) =
            if seen { (State::Returned, Place::HandedBack) } else { (State::Gone, Place::Gone) };
    }
    Some(job)
}

fn sighting(saw: &Sighting) -> v1::SightingView {
    v1::SightingView { finding: saw.id.0, seen: saw.seen.clone() }
}

/// All that is known of a job.
pub fn course(lens: &Lens<'_>, job: &Job, past: &[Past]) -> v1::Course {
    let text = |id| lens.room.text(id).to_owned();
    let item = lens.room.items.get(&job.item);
    v1::Course {
        covers_up_to: lens.room.head.0,
        at_us: lens.now.0,
        job: Some(lens.job(job)),
        findings: job
            .course
            .findings
            .iter()
            .map(|finding| v1::FindingView {
                finding: finding.id.0,
                fault: finding.fault.clone(),
                showed: words::showed(finding.showed),
                note: finding.note.map(text).unwrap_or_default(),
            })
            .collect(),
        sightings: job.course.sightings.iter().map(sighting).collect(),
        repairs: job
            .course
            .repairs
            .iter()
            .map(|repair| v1::RepairView {
                repair: repair.id.0,
                work: repair.work.code().to_owned(),
                fault: repair.fault.clone().unwrap_or_default(),
                lasting: words::lasting(repair.lasting),
                hands_on_us: repair.hands_on.0,
            })
            .collect(),
        proof: lens.room.required_checks(job).into_iter().map(|known| check(job, known)).collect(),
        history: past.iter().map(|one| line(lens.room, one)).collect(),
        owed: item.map(|item| lens.owed_on(item)).unwrap_or_default(),
        elsewhere: job.course.elsewhere.map(text).unwrap_or_default(),
        anyway: job.course.anyway.map(text).unwrap_or_default(),
    }
}

fn check(job: &Job, check: &Check) -> v1::CheckView {
    let entry = job.proved(&check.code);
    let unit = check.unit();
    v1::CheckView {
        check: check.code.clone(),
        title: check.title.clone(),
        rule: check.rule.clone().unwrap_or_default(),
        unit: unit.map_or("", |unit| unit.name()).to_owned(),
        answered: entry.is_some(),
        answer: entry.map(|entry| words::answer(entry.answer)),
        pass: entry.is_some_and(|entry| entry.pass),
        parts_per_unit: unit.map_or(0, Unit::smallest),
        limit: check.limit_text(),
        edition: check.edition.clone(),
        status: match check.status {
            Status::M => "from memory, to be confirmed".to_owned(),
            status => status.to_string(),
        },
        caution: check.caution.clone().unwrap_or_default(),
    }
}

fn line(room: &Armoury, past: &Past) -> v1::HistoryLine {
    let recorded = &past.recorded;
    v1::HistoryLine {
        seq: recorded.seq.0,
        recorded_at_us: recorded.at.0,
        happened_at_us: recorded.happened_at.0,
        late: recorded.happened_at < recorded.at,
        station: if past.station == OWN_STATION { String::new() } else { past.station.clone() },
        sentence: sentence(room, &recorded.event),
    }
}
