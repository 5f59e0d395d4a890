//! One batch in the making: requests decided one after another on a working copy of the armoury.

use std::collections::BTreeMap;
use std::sync::Arc;

use remise_core::armoury::{Armoury, Decision, Event, Recorded, Refusal, decide};
use remise_core::ids::{JobId, Seq};
use remise_core::time::Stamp;
use serde::{Deserialize, Serialize};
use tokio::sync::oneshot;

use crate::journal::{self, AnswerRow, FieldDigests, RequestId};

use super::handle::{Accepted, Committed, DeskError, Request, StoredRefusal};
use super::rows::{row_of, text_row_of};

/// The answer to a request as the journal keeps it.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Answer {
    Accepted(Accepted),
    Refused(StoredRefusal),
}

impl From<Answer> for Result<Accepted, DeskError> {
    fn from(answer: Answer) -> Self {
        match answer {
            Answer::Accepted(accepted) => Ok(accepted),
            Answer::Refused(refusal) => Err(DeskError::Refused(refusal)),
        }
    }
}

type Reply = Option<oneshot::Sender<Result<Accepted, DeskError>>>;

/// A batch in the making.
pub(super) struct Draft {
    /// The armoury with the batch's events so far.
    pub room: Armoury,
    /// What the journal will get.
    pub rows: journal::Batch,
    events: Vec<(Recorded, Arc<str>)>,
    /// What these requests were answered before this batch, or why nobody can tell.
    known: Result<BTreeMap<RequestId, AnswerRow>, String>,
    /// Which of the batch's answers is whose.
    answered: BTreeMap<RequestId, usize>,
    replies: Vec<(Reply, Result<Accepted, DeskError>)>,
}

impl Draft {
    pub fn new(room: Armoury, known: Result<BTreeMap<RequestId, AnswerRow>, String>) -> Self {
        Self {
            room,
            known,
            rows: journal::Batch::default(),
            events: Vec::new(),
            answered: BTreeMap::new(),
            replies: Vec::new(),
        }
    }

    /// Decides one request and keeps its answer until the batch is written.
    pub fn take(&mut self, request: &Request, reply: Reply, now: Stamp) {
        let answer = match request.request_id {
            None => self.decide(request, now).into(),
            Some(id) => self.take_once(request, id, now),
        };
        self.replies.push((reply, answer));
    }

    /// A reply that needs no journal.
    pub fn reply(&mut self, reply: Reply, answer: DeskError) {
        self.replies.push((reply, Err(answer)));
    }

    fn take_once(&mut self, request: &Request, id: RequestId, now: Stamp) -> Result<Accepted, DeskError> {
        let digests = digests(request, &id);
        match self.earlier(&id) {
            Err(error) => return Err(DeskError::Unavailable(error)),
            Ok(Some((before, answer))) => {
                return match before.differs(&digests) {
                    None => answer.into(),
                    Some(field) => Err(DeskError::DifferentContent { field }),
                };
            }
            Ok(None) => {}
        }
        let answer = self.decide(request, now);
        self.answered.insert(id, self.rows.answers.len());
        self.rows.answers.push(AnswerRow {
            request_id: id,
            at_us: now.0,
            station: String::from(&*request.station),
            fields: digests.to_text(),
            answer: serde_json::to_string(&answer).expect("answers hold only what JSON can express"),
        });
        answer.into()
    }

    fn earlier(&self, id: &RequestId) -> Result<Option<(FieldDigests, Answer)>, String> {
        let row = match self.answered.get(id) {
            Some(index) => self.rows.answers.get(*index),
            None => self.known.as_ref().map_err(Clone::clone)?.get(id),
        };
        let Some(row) = row else { return Ok(None) };
        let digests = FieldDigests::parse(&row.fields).map_err(|error| error.to_string())?;
        let answer = serde_json::from_str(&row.answer).map_err(|error| error.to_string())?;
        Ok(Some((digests, answer)))
    }

    fn decide(&mut self, request: &Request, now: Stamp) -> Answer {
        let when = request.happened_at.unwrap_or(now);
        match decide(&self.room, &request.command, now, when) {
            Ok(decision) => Answer::Accepted(self.accept(decision, &request.station, now, when.min(now))),
            Err(refusal) => Answer::Refused(stored(&refusal, &self.room)),
        }
    }

    fn accept(&mut self, decision: Decision, station: &Arc<str>, now: Stamp, when: Stamp) -> Accepted {
        for text in &decision.texts {
            self.room.learn_text(text);
            self.rows.texts.push(text_row_of(text));
        }
        let first = Seq(self.room.head.0 + 1);
        let mut jobs = Vec::new();
        for event in decision.events {
            let seq = Seq(self.room.head.0 + 1);
            if matches!(event, Event::HandedIn(_)) {
                jobs.push(JobId(seq.0));
            }
            let recorded = Recorded { seq, at: now, happened_at: when, event };
            self.room.apply(&recorded);
            self.rows.events.push(row_of(&recorded, station));
            self.events.push((recorded, station.clone()));
        }
        Accepted { first, last: self.room.head, jobs, at: now, advice: decision.advice }
    }

    /// Whether anything has to be written.
    pub fn is_empty(&self) -> bool {
        self.rows.events.is_empty() && self.rows.texts.is_empty() && self.rows.answers.is_empty()
    }

    /// What watchers get, when something happened.
    pub fn committed(&mut self) -> Option<Committed> {
        let events = std::mem::take(&mut self.events);
        (!events.is_empty()).then_some(Committed { events, head: self.room.head })
    }

    /// The batch is on disk (or needed no disk): answers everybody.
    pub fn answer(self) {
        for (reply, answer) in self.replies {
            send(reply, answer);
        }
    }

    /// The batch is not on disk: tells everybody so, also those whom a rule would have refused.
    pub fn fail(self, error: &DeskError) {
        for (reply, _) in self.replies {
            send(reply, Err(error.clone()));
        }
    }
}

fn send(reply: Reply, answer: Result<Accepted, DeskError>) {
    if let Some(reply) = reply {
        // A caller that no longer waits asks again with the same number and gets this answer then.
        let _ = reply.send(answer);
    }
}

fn stored(refusal: &Refusal, room: &Armoury) -> StoredRefusal {
    StoredRefusal {
        reason: refusal.reason().to_owned(),
        message: refusal.told(room),
        hint: refusal.hint().to_owned(),
    }
}

/// Digests of what the client sent: the command's fields and when it happened.
fn digests(request: &Request, id: &RequestId) -> FieldDigests {
    let digests = FieldDigests::of(&request.command, id);
    match request.happened_at {
        Some(when) => digests.and("happened_at", &when, id),
        None => digests,
    }
}
