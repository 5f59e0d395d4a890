//! An event as the journal keeps it: JSON text that names its kind and version, beside its number and its two
//! times. Reading old versions goes through pure upcasters here; an upgrade never rewrites an event.

use thiserror::Error;

use super::event::Event;
use crate::ids::{JobId, Seq};
use crate::time::Stamp;

/// An event with its place in the journal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// Its number.
    pub seq: Seq,
    /// When it was recorded. Never goes back.
    pub at: Stamp,
    /// When it happened; earlier than `at` when it was entered late.
    pub happened_at: Stamp,
    /// What happened.
    pub event: Event,
}

/// Why a stored event could not be read.
#[derive(Debug, Error)]
pub enum UnreadableEvent {
    /// A kind that this version does not know.
    #[error("event kind `{0}` is unknown here: the journal was written by a newer version")]
    UnknownKind(String),
    /// A version of a kind that this version does not know.
    #[error("event kind `{kind}` has version {v}, newer than the {known} known here")]
    NewerVersion {
        /// The kind.
        kind: String,
        /// The version found.
        v: u16,
        /// The newest version known.
        known: u16,
    },
    /// The text does not fit its kind.
    #[error("event of kind `{kind}` cannot be read: {source}")]
    Malformed {
        /// The kind.
        kind: String,
        /// What the JSON reader said.
        source: serde_json::Error,
    },
}

/// The JSON text of an event: `{"kind":"taken","v":1,"job":5,"bench":2}`.
pub fn to_json(event: &Event) -> String {
    let mut json = Vec::with_capacity(384);
    json.extend(b"{\"kind\":\"");
    json.extend(event.kind().as_bytes());
    json.extend(b"\",\"v\":");
    json.extend(event.version().to_string().as_bytes());
    let body = json.len();
    event.write_body(&mut json).expect("event structs hold only what JSON can express");
    // The body's own fields follow: its opening brace becomes a comma, or goes when it has none.
    if json[body..] == *b"{}" {
        json.remove(body);
    } else {
        json[body] = b',';
    }
    String::from_utf8(json).expect("JSON is UTF-8")
}

/// Reads an event back, whatever version wrote it.
pub fn from_json(kind: &str, v: u16, json: &str) -> Result<Event, UnreadableEvent> {
    let Some(&(_, known)) = Event::KINDS.iter().find(|(name, _)| *name == kind) else {
        return Err(UnreadableEvent::UnknownKind(kind.to_owned()));
    };
    if v > known {
        return Err(UnreadableEvent::NewerVersion { kind: kind.to_owned(), v, known });
    }
    match Event::from_body(kind, json) {
        Some(Ok(event)) => Ok(event),
        Some(Err(source)) => Err(UnreadableEvent::Malformed { kind: kind.to_owned(), source }),
        None => Err(UnreadableEvent::UnknownKind(kind.to_owned())),
    }
}

impl Event {
    /// The job that it is about; for a hand-in, the job that it opens.
    pub fn job(&self, seq: Seq) -> Option<JobId> {
        match self {
            Self::HandedIn(_) => Some(JobId(seq.0)),
            Self::ScannedIn(e) => Some(e.job),
            Self::Claimed(e) => Some(e.job),
            Self::Taken(e) => Some(e.job),
            Self::PutBack(e) => Some(e.job),
            Self::PassedOn(e) => Some(e.job),
            Self::TakenOver(e) => Some(e.job),
            Self::Interrupted(e) => Some(e.job),
            Self::Resumed(e) => Some(e.job),
            Self::Found(e) => Some(e.job),
            Self::Saw(e) => Some(e.job),
            Self::Repaired(e) => Some(e.job),
            Self::CuringBegan(e) => Some(e.job),
            Self::FoundDry(e) => Some(e.job),
            Self::NoFault(e) => Some(e.job),
            Self::FaultElsewhere(e) => Some(e.job),
            Self::Proved(e) => Some(e.job),
            Self::MadeReady(e) => Some(e.job),
            Self::Withdrawn(e) => Some(e.job),
            Self::NoticeSent(e) => Some(e.job),
            Self::NoticeConfirmed(e) => Some(e.job),
            Self::NoticeRaised(e) => Some(e.job),
            _ => self.job_of_moves(),
        }
    }

    fn job_of_moves(&self) -> Option<JobId> {
        match self {
            Self::HandedBack(e) => Some(e.job),
            Self::BackToChanged(e) => Some(e.job),
            Self::WantedByChanged(e) => Some(e.job),
            Self::NeedSet(e) => Some(e.job),
            Self::CalledOff(e) => Some(e.job),
            Self::WentMissing(e) => Some(e.job),
            Self::FoundAgain(e) => Some(e.job),
            Self::CollectedUnseen(e) => Some(e.job),
            Self::Held(e) => Some(e.job),
            Self::Released(e) => Some(e.job),
            Self::Pinned(e) => Some(e.job),
            Self::KindCorrected(e) => Some(e.job),
            Self::ItemCorrected(e) => Some(e.job),
            Self::SpotsCorrected(e) => Some(e.job),
            Self::BenchCorrected(e) => Some(e.job),
            Self::FindingStruck(e) => Some(e.job),
            Self::RepairStruck(e) => Some(e.job),
            Self::EndStruck(e) => Some(e.job),
            Self::HandBackStruck(e) => Some(e.job),
            Self::TagsExchanged(e) => Some(e.a),
            Self::PromiseSaid(e) => Some(e.job),
            _ => None,
        }
    }
}
