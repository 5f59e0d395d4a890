//! A decision in the making: looks things up with the right refusal, gathers texts and events.

use std::sync::Arc;

use crate::ids::{BenchId, JobId, Seq, TextId};
use crate::text;
use crate::time::{Span, Stamp};
use crate::venue::{Bench, Venue};

use super::super::command::JobRef;
use super::super::event::Event;
use super::super::job::Job;
use super::super::refusal::Refusal;
use super::super::state::{Armoury, NewText, TextClass};
use super::super::words::{Spot, State};
use super::Decision;

/// Clocks of two devices may differ by this much.
const SLACK: Span = Span::minutes(2);

/// The decision in the making.
pub(super) struct Draft<'a> {
    /// The armoury before the command.
    pub room: &'a Armoury,
    /// When the thing happened.
    pub when: Stamp,
    decision: Decision,
}

impl<'a> Draft<'a> {
    pub fn new(room: &'a Armoury, when: Stamp) -> Self {
        Self { room, when, decision: Decision::default() }
    }

    pub fn finish(self) -> Decision {
        self.decision
    }

    /// Number of the next event.
    pub fn next(&self) -> Seq {
        Seq(self.room.head.0 + 1 + self.decision.events.len() as u64)
    }

    pub fn push(&mut self, e: impl Into<Event>) {
        self.decision.events.push(super::event(e));
    }

    pub fn advise(&mut self, advice: String) {
        self.decision.advice.push(advice);
    }

    pub fn venue(&self) -> Result<&'a Arc<Venue>, Refusal> {
        self.room.venue.as_ref().ok_or(Refusal::NoTournament)
    }

    pub fn bench(&self, bench: BenchId) -> Result<&'a Bench, Refusal> {
        self.venue()?.bench(bench).ok_or(Refusal::UnknownBench { bench })
    }

    /// A bench that a job may be kept for: not one that the head has closed.
    pub fn bench_to_keep_for(&self, bench: BenchId) -> Result<&'a Bench, Refusal> {
        let found = self.bench(bench)?;
        if self.room.bench(bench).is_kept_closed(self.when) {
            return Err(Refusal::BenchIsClosed { bench });
        }
        Ok(found)
    }

    /// Refuses while the bench's armourer is on a call-out.
    pub fn not_on_call(&self, bench: BenchId) -> Result<(), Refusal> {
        match self.room.bench(bench).call {
            Some(call) => Err(Refusal::BenchOnCall { bench, call }),
            None => Ok(()),
        }
    }

    /// The job in hand at a bench.
    pub fn in_hand(&self, bench: BenchId) -> Result<&'a Arc<Job>, Refusal> {
        self.bench(bench)?;
        let job = self.room.bench(bench).job.ok_or(Refusal::BenchIdle { bench })?;
        self.live(job)
    }

    pub fn spot(&self, spot: Spot) -> Result<(), Refusal> {
        match spot {
            Spot::Strip(strip) if self.venue()?.strip(strip).is_none() => {
                Err(Refusal::UnknownStrip { strip })
            }
            _ => Ok(()),
        }
    }

    /// The job that is meant.
    pub fn job(&self, job: JobRef) -> Result<&'a Arc<Job>, Refusal> {
        let id = match job {
            JobRef::Job(id) => id,
            JobRef::Tag(tag) => match self.room.tags.get(&tag) {
                Some(id) => *id,
                None => return Err(self.unknown_tag(tag)),
            },
        };
        self.live(id)
    }

    /// The live job of that number, when the command did not happen before its hand-in.
    fn live(&self, id: JobId) -> Result<&'a Arc<Job>, Refusal> {
        let job = self.room.job(id).ok_or(Refusal::UnknownJob { job: id })?;
        if self.when + SLACK < job.handed_in {
            return Err(Refusal::HappenedBeforeHandIn { job: id });
        }
        Ok(job)
    }

    /// The job that left and is meant: by its number, or the newest that left under that tag.
    pub fn closed_job(&self, job: JobRef) -> Result<&'a Arc<Job>, Refusal> {
        let closed = &self.room.closed;
        let found = match job {
            JobRef::Job(id) => closed.get(&id),
            JobRef::Tag(tag) => closed.values().rev().find(|job| job.course.tag == Some(tag)),
        };
        // A job that is still here has not left; one that left long ago is not kept at hand.
        found.ok_or_else(|| match self.job(job) {
            Ok(_) => Refusal::NothingChanges,
            Err(why) => why,
        })
    }

    fn unknown_tag(&self, tag: crate::tag::Tag) -> Refusal {
        match crate::tag::did_you_mean(&tag.digits(), self.room.tags.keys().copied()) {
            Some(near) => Refusal::MistypedTag { tag, near },
            None => Refusal::UnknownTag { tag },
        }
    }

    /// The job, when it is in one of these states.
    pub fn job_in(&self, job: JobRef, states: &[State], step: &'static str) -> Result<&'a Arc<Job>, Refusal> {
        let job = self.job(job)?;
        if states.contains(&job.state()) {
            Ok(job)
        } else {
            Err(Refusal::WrongState { job: job.id, state: job.state(), step })
        }
    }

    /// The job on a bench that may be worked on.
    pub fn working(&self, job: JobRef, step: &'static str) -> Result<&'a Arc<Job>, Refusal> {
        let job = self.job_in(job, &[State::OnBench], step)?;
        Self::not_confiscated(job)?;
        Ok(job)
    }

    pub fn not_confiscated(job: &Job) -> Result<(), Refusal> {
        if job.is_confiscated() { Err(Refusal::IsConfiscated { job: job.id }) } else { Ok(()) }
    }

    /// The row of a person's name, new when nobody of that name is known.
    pub fn person(&mut self, field: &'static str, raw: &str) -> Result<TextId, Refusal> {
        let name = text::name(raw).map_err(|why| Refusal::BadText { field, why: why.to_string() })?;
        if let Some(known) = self.room.person(&name) {
            return Ok(known);
        }
        let folded = text::folded(&name);
        let drafted = self
            .decision
            .texts
            .iter()
            .find(|row| row.class == TextClass::Person && text::folded(&row.text) == folded);
        Ok(match drafted {
            Some(row) => row.id,
            None => self.row(TextClass::Person, name),
        })
    }

    pub fn maybe_person(
        &mut self,
        field: &'static str,
        raw: Option<&str>,
    ) -> Result<Option<TextId>, Refusal> {
        raw.map(|raw| self.person(field, raw)).transpose()
    }

    /// A new row for a note.
    pub fn note(&mut self, field: &'static str, raw: &str) -> Result<TextId, Refusal> {
        let note = text::note(raw).map_err(|why| Refusal::BadText { field, why: why.to_string() })?;
        Ok(self.row(TextClass::Note, note))
    }

    pub fn maybe_note(&mut self, field: &'static str, raw: Option<&str>) -> Result<Option<TextId>, Refusal> {
        raw.map(|raw| self.note(field, raw)).transpose()
    }

    /// A reason, which may not be empty.
    pub fn reason(&mut self, raw: &str) -> Result<TextId, Refusal> {
        if raw.trim().is_empty() {
            return Err(Refusal::ReasonNeeded);
        }
        self.note("reason", raw)
    }

    fn row(&mut self, class: TextClass, text: String) -> TextId {
        let id = TextId(self.room.last_text.0 + 1 + self.decision.texts.len() as u64);
        self.decision.texts.push(NewText { id, class, text });
        id
    }

    /// Refuses a time far outside the tournament.
    pub fn in_range(&self, what: &'static str, at: Stamp) -> Result<Stamp, Refusal> {
        let slack = Span::minutes(24 * 60);
        let days = &self.venue()?.days;
        let inside = match (days.first(), days.last()) {
            (Some(first), Some(last)) => first.from - slack <= at && at <= last.to + slack,
            _ => true,
        };
        if inside { Ok(at) } else { Err(Refusal::TimeOutOfRange { what }) }
    }

    /// A live job of this item, other than `except`.
    pub fn stay_of(&self, item: crate::ids::ItemId, except: Option<JobId>) -> Option<&'a Arc<Job>> {
        // The newest first: an item that comes often has a long past.
        let stays = self.room.items.get(&item)?.stays.iter().rev();
        stays.filter(|stay| Some(**stay) != except).find_map(|stay| self.room.job(*stay))
    }
}
