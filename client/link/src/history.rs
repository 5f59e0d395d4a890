//! What a client asked and what it was answered, for those who judge a journal afterwards. Nothing is recorded
//! unless a [`Recorder`] is handed over with [`crate::Options`].

use std::io::Write;
use std::sync::{Mutex, PoisonError};

use remise_core::ids::{JobId, Seq};
use remise_core::time::Stamp;
use serde::Serialize;

use crate::error::LinkError;
use crate::ids::RequestId;
use crate::send::Accepted;

/// A request as it is about to be sent for the first time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Asked {
    /// Its id.
    pub request_id: RequestId,
    /// Name of the command, as in `do` of its JSON.
    pub command: &'static str,
    /// When it happened; `None` for now.
    #[serde(rename = "happened_at_us")]
    pub happened_at: Option<Stamp>,
    /// When it was sent, by the client's clock.
    #[serde(rename = "sent_us")]
    pub sent: Stamp,
}

/// How a request ended, after the last try.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Ended {
    /// Its id.
    pub request_id: RequestId,
    /// Name of the command.
    pub command: &'static str,
    /// When it was first sent, by the client's clock.
    #[serde(rename = "sent_us")]
    pub sent: Stamp,
    /// When the last answer came, or the client gave up.
    #[serde(rename = "answered_us")]
    pub answered: Stamp,
    /// How often it was tried.
    pub tries: u32,
    /// What came of it.
    #[serde(flatten)]
    pub outcome: Outcome,
}

/// What came of a request.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "outcome", rename_all = "snake_case")]
pub enum Outcome {
    /// It is on disk.
    Accepted {
        /// First event that it led to; 0 when nothing needed to be recorded.
        first_seq: Seq,
        /// Last event.
        last_seq: Seq,
        /// Jobs that it opened.
        jobs: Vec<JobId>,
    },
    /// It changed nothing, for that reason.
    Refused {
        /// Stable reason.
        reason: String,
    },
    /// Nobody knows yet whether it was recorded.
    Unsure {
        /// Stable reason.
        reason: String,
    },
}

impl Outcome {
    /// The outcome of a send.
    pub fn of(result: &Result<Accepted, LinkError>) -> Self {
        match result {
            Ok(accepted) => Self::Accepted {
                first_seq: accepted.first_seq,
                last_seq: accepted.last_seq,
                jobs: accepted.jobs.clone(),
            },
            Err(error) if error.is_unsure() => Self::Unsure { reason: error.reason().to_owned() },
            Err(error) => Self::Refused { reason: error.reason().to_owned() },
        }
    }
}

/// Is told of every send.
pub trait Recorder: Send + Sync + 'static {
    /// It is about to be sent for the first time.
    fn asked(&self, asked: &Asked);
    /// It was answered, or given up.
    fn ended(&self, ended: &Ended);
}

/// Keeps a history in memory.
#[derive(Debug, Default)]
pub struct History(Mutex<Vec<Ended>>);

impl History {
    /// What ended so far, in the order in which it ended.
    pub fn ended(&self) -> Vec<Ended> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

impl Recorder for History {
    fn asked(&self, _asked: &Asked) {}

    fn ended(&self, ended: &Ended) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push(ended.clone());
    }
}

/// Writes a history as lines of JSON: `{"asked":{…}}` before a request is sent, `{"ended":{…}}` after it.
#[derive(Debug)]
pub struct JsonLines<W>(Mutex<W>);

impl<W: Write + Send + 'static> JsonLines<W> {
    /// Writes there.
    pub fn new(to: W) -> Self {
        Self(Mutex::new(to))
    }

    /// The writer, when the history is closed.
    pub fn into_inner(self) -> W {
        self.0.into_inner().unwrap_or_else(PoisonError::into_inner)
    }

    fn line(&self, what: &str, body: &impl Serialize) {
        let line = serde_json::to_string(&std::collections::BTreeMap::from([(what, body)]));
        let mut to = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let written =
            line.map_err(Into::into).and_then(|line| writeln!(to, "{line}").and_then(|()| to.flush()));
        if let Err(error) = written {
            tracing::warn!(%error, "the history could not be written");
        }
    }
}

impl<W: Write + Send + 'static> Recorder for JsonLines<W> {
    fn asked(&self, asked: &Asked) {
        self.line("asked", asked);
    }

    fn ended(&self, ended: &Ended) {
        self.line("ended", ended);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_line_has_everything_that_a_checker_needs() {
        let request_id = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f".parse().unwrap();
        let lines = JsonLines::new(Vec::new());
        let outcome = Outcome::Accepted { first_seq: Seq(4), last_seq: Seq(5), jobs: vec![JobId(4)] };
        lines.asked(&Asked { request_id, command: "take", happened_at: None, sent: Stamp(1) });
        lines.ended(&Ended {
            request_id,
            command: "take",
            sent: Stamp(1),
            answered: Stamp(3),
            tries: 2,
            outcome,
        });
        let text = String::from_utf8(lines.into_inner()).unwrap();
        assert_eq!(
            text,
            concat!(
                r#"{"asked":{"request_id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","command":"take","#,
                r#""happened_at_us":null,"sent_us":1}}"#,
                "\n",
                r#"{"ended":{"request_id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","command":"take","sent_us":1,"#,
                r#""answered_us":3,"tries":2,"outcome":"accepted","first_seq":4,"last_seq":5,"jobs":[4]}}"#,
                "\n"
            )
        );
    }

    #[test]
    fn an_unknown_end_is_not_a_refusal() {
        let unsure = Outcome::of(&Err(LinkError::Expired { why: "x".into() }));
        assert_eq!(unsure, Outcome::Unsure { reason: "EXPIRED".into() });
        let refused =
            LinkError::Refused { reason: "ON_HOLD".into(), message: "m".into(), hint: String::new() };
        assert_eq!(Outcome::of(&Err(refused)), Outcome::Refused { reason: "ON_HOLD".into() });
    }
}
