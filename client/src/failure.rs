//! Why a command failed: what happened, what is unharmed, what to do next, and the exit code.

use remise_link::{LinkError, RequestId};
use serde::Serialize;

use crate::exit;

/// A failed command.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Failure {
    /// Exit code.
    pub exit: u8,
    /// Stable reason for programs.
    pub reason: String,
    /// In a sentence.
    pub message: String,
    /// What is unharmed.
    pub unharmed: &'static str,
    /// What to do next; may be empty.
    pub hint: String,
    /// The id under which it was sent, to send it again safely.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub request_id: Option<RequestId>,
}

impl Failure {
    /// A value in the command line is wrong.
    pub fn usage(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self {
            exit: exit::USAGE,
            reason: "USAGE".into(),
            message: message.into(),
            unharmed: "Nothing was sent.",
            hint: hint.into(),
            request_id: None,
        }
    }

    /// This program cannot do it.
    pub fn broken(message: impl Into<String>) -> Self {
        Self { exit: exit::BROKEN, reason: "BROKEN".into(), ..Self::usage(message, "") }
    }

    /// A screen that was open ended by it.
    pub fn ended(message: impl Into<String>) -> Self {
        let unharmed = "What the server has recorded stays; what was typed and not sent is lost.";
        Self { unharmed, hint: "Open it again.".into(), ..Self::broken(message) }
    }

    /// Somebody, or the system, told the program to end.
    pub fn signalled(signal: i32) -> Self {
        let message = format!("told to end by signal {signal}");
        let exit = exit::by_signal(signal);
        Self { exit, reason: "SIGNAL".into(), hint: String::new(), ..Self::ended(message) }
    }

    /// A question failed: whatever became of it, it changed nothing.
    pub fn asking(error: LinkError) -> Self {
        let unsure = error.is_unsure();
        let mut failure = Self::from(error);
        if unsure {
            failure.unharmed = "Nothing was changed.";
        }
        if failure.exit == exit::AWAY {
            "Check the server and the network, then try again.".clone_into(&mut failure.hint);
        }
        failure
    }

    /// The same, sent under that id.
    #[must_use]
    pub fn sent_as(mut self, id: RequestId) -> Self {
        self.request_id = Some(id);
        self
    }

    /// For people: what happened, what is unharmed, what to do.
    pub fn sentences(&self) -> String {
        let mut text = format!("remise: {}\n{}", self.message, self.unharmed);
        if !self.hint.is_empty() {
            text = format!("{text} {}", self.hint);
        }
        if let Some(id) = self.request_id.filter(|_| self.exit == exit::AWAY) {
            text = format!("{text}\nTo send the same once more: --request-id {id}");
        }
        text
    }
}

impl From<LinkError> for Failure {
    fn from(error: LinkError) -> Self {
        let exit = match error {
            LinkError::Refused { .. } | LinkError::DifferentContent { .. } => exit::REFUSED,
            LinkError::BadRequest { .. } | LinkError::BadAddress { .. } | LinkError::NotSendable { .. } => {
                exit::USAGE
            }
            LinkError::Overloaded { .. } | LinkError::Away { .. } | LinkError::Expired { .. } => exit::AWAY,
            LinkError::NotAllowed { .. } => exit::NOT_ALLOWED,
            LinkError::TooOld { .. } | LinkError::Broken { .. } | LinkError::Garbled { .. } => exit::BROKEN,
        };
        Self {
            exit,
            reason: error.reason().to_owned(),
            message: error.to_string(),
            unharmed: error.unharmed(),
            hint: error.hint().to_owned(),
            request_id: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_error_has_the_exit_code_that_scripts_rely_on() {
        let text = String::new;
        let table = [
            (LinkError::Refused { reason: "ON_HOLD".into(), message: text(), hint: text() }, 1),
            (LinkError::DifferentContent { field: text() }, 1),
            (LinkError::BadRequest { field: text(), why: text() }, 2),
            (LinkError::BadAddress { why: text() }, 2),
            (LinkError::Away { why: text(), told: false, retry_after: None }, 3),
            (LinkError::Overloaded { message: text(), retry_after: None }, 3),
            (LinkError::Expired { why: text() }, 3),
            (LinkError::NotAllowed { message: text(), hint: text() }, 4),
            (LinkError::TooOld { message: text(), hint: text() }, 5),
            (LinkError::Garbled { field: text(), why: text() }, 5),
            (LinkError::Broken { message: text() }, 5),
        ];
        for (error, exit) in table {
            assert_eq!(Failure::from(error.clone()).exit, exit, "{error:?}");
        }
    }

    #[test]
    fn a_question_changes_nothing() {
        let away = LinkError::Away { why: "gone".into(), told: false, retry_after: None };
        let failure = Failure::asking(away);
        assert_eq!((failure.exit, failure.unharmed), (exit::AWAY, "Nothing was changed."));
        assert!(!failure.hint.contains("request id"), "nothing was sent that could be repeated");
    }

    #[test]
    fn somebody_who_got_no_answer_is_told_how_to_repeat_it() {
        let id = remise_link::live_id(remise_core::time::Stamp(1_790_000_000_000_000));
        let failure = Failure::from(LinkError::Expired { why: "late".into() }).sent_as(id);
        assert!(failure.sentences().contains(&format!("--request-id {id}")));
        assert!(failure.sentences().contains("may or may not have been recorded"));
    }
}
