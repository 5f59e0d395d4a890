//! What can go wrong between client and server, read from the status and its google.rpc details. Each error says
//! what happened, what is unharmed and what to do next.

use std::error::Error as _;
use std::time::Duration;

use thiserror::Error;
use tonic::{Code, Status};
use tonic_types::StatusExt as _;

use crate::decode::BadField;

/// Longest text of a server that is passed on, in characters.
const TEXT_MAX: usize = 600;

/// Why there is no answer, or not the one that was hoped for.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LinkError {
    /// A rule of the armoury is against it.
    #[error("{message}")]
    Refused {
        /// Stable reason, as in [`remise_core::armoury::Refusal::REASONS`].
        reason: String,
        /// In a sentence.
        message: String,
        /// What to do next.
        hint: String,
    },
    /// The request id was used before for something else.
    #[error("this request id was used before with another content: {field} differs")]
    DifferentContent {
        /// The field that differs.
        field: String,
    },
    /// The server has too much to do.
    #[error("the server has too much to do at the moment: {message}")]
    Overloaded {
        /// In a sentence.
        message: String,
        /// Not before that.
        retry_after: Option<Duration>,
    },
    /// The server cannot be reached, or cannot record at the moment.
    #[error("the server is away: {why}")]
    Away {
        /// In a sentence.
        why: String,
        /// The server said so itself. Whether it had recorded the request by then is not known all the same.
        told: bool,
        /// Not before that.
        retry_after: Option<Duration>,
    },
    /// No answer came in time.
    #[error("no answer came in time: {why}")]
    Expired {
        /// In a sentence.
        why: String,
    },
    /// This station may not do that.
    #[error("{message}")]
    NotAllowed {
        /// In a sentence.
        message: String,
        /// What to do next.
        hint: String,
    },
    /// The server could not read the request.
    #[error("the server cannot read the request: `{field}`: {why}")]
    BadRequest {
        /// The field; empty when the server named none.
        field: String,
        /// What is wrong with it.
        why: String,
    },
    /// Client and server do not fit together.
    #[error("{message}")]
    TooOld {
        /// In a sentence.
        message: String,
        /// What to do.
        hint: String,
    },
    /// A mistake of the server's or the connection's, which no second try mends.
    #[error("something is broken: {message}")]
    Broken {
        /// In a sentence.
        message: String,
    },
    /// The answer makes no sense.
    #[error("the server's answer makes no sense: `{field}`: {why}")]
    Garbled {
        /// The field.
        field: String,
        /// What is wrong with it.
        why: String,
    },
    /// No client asks for that: the server does it by itself.
    #[error("`{command}` cannot be sent: {why}")]
    NotSendable {
        /// Name of the command.
        command: &'static str,
        /// Why not.
        why: &'static str,
    },
    /// The address or token is no such thing.
    #[error("{why}")]
    BadAddress {
        /// In a sentence.
        why: String,
    },
}

impl LinkError {
    pub(crate) fn bad_address(why: impl Into<String>) -> Self {
        Self::BadAddress { why: why.into() }
    }

    /// Reads a status with its details.
    pub(crate) fn from_status(status: &Status) -> Self {
        let info = Info::of(status);
        let message = info.message.clone();
        match status.code() {
            Code::InvalidArgument => info.bad_request(status),
            Code::Unauthenticated | Code::PermissionDenied => Self::NotAllowed { message, hint: info.hint },
            Code::AlreadyExists if info.reason == "DIFFERENT_CONTENT" => {
                Self::DifferentContent { field: info.field }
            }
            Code::FailedPrecondition if info.reason.starts_with("CLIENT_TOO_") => {
                Self::TooOld { message, hint: info.hint }
            }
            Code::NotFound | Code::AlreadyExists | Code::FailedPrecondition | Code::OutOfRange => {
                info.refused()
            }
            Code::ResourceExhausted => Self::Overloaded { message, retry_after: info.retry_after },
            Code::DeadlineExceeded | Code::Cancelled => Self::Expired { why: message },
            Code::Unimplemented => Self::TooOld {
                message: "the server does not know this request".into(),
                hint: "Update the server, or use the client that came with it.".into(),
            },
            Code::Unavailable => {
                Self::Away { why: info.why(status), told: info.told, retry_after: info.retry_after }
            }
            // A connection that breaks shows as one of these, with its cause behind it and no details.
            Code::Unknown | Code::Internal | Code::Aborted if !info.told && status.source().is_some() => {
                Self::Away { why: info.why(status), told: false, retry_after: None }
            }
            _ => Self::Broken { message },
        }
    }

    /// Stable reason for programs.
    pub fn reason(&self) -> &str {
        match self {
            Self::Refused { reason, .. } => reason,
            Self::DifferentContent { .. } => "DIFFERENT_CONTENT",
            Self::Overloaded { .. } => "OVERLOADED",
            Self::Away { .. } => "AWAY",
            Self::Expired { .. } => "EXPIRED",
            Self::NotAllowed { .. } => "NOT_ALLOWED",
            Self::BadRequest { .. } => "BAD_REQUEST",
            Self::TooOld { .. } => "TOO_OLD",
            Self::Broken { .. } => "BROKEN",
            Self::Garbled { .. } => "GARBLED",
            Self::NotSendable { .. } => "NOT_SENDABLE",
            Self::BadAddress { .. } => "BAD_ADDRESS",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> &str {
        match self {
            Self::Refused { hint, .. } | Self::NotAllowed { hint, .. } | Self::TooOld { hint, .. } => hint,
            Self::DifferentContent { .. } => "Leave the id out, or send exactly what was sent with it.",
            Self::Overloaded { .. } => "Wait a moment and try again.",
            Self::Away { .. } => {
                "Check the server and the network, then send it again with the same request id."
            }
            Self::Expired { .. } => "Send it again with the same request id.",
            Self::BadRequest { .. } => "Correct it and try again.",
            Self::Broken { .. } | Self::Garbled { .. } => {
                "Look at the server's log; check that both are up to date."
            }
            Self::NotSendable { .. } => "Nothing needs to be done.",
            Self::BadAddress { .. } => "Correct the address or the token and try again.",
        }
    }

    /// What is unharmed.
    pub fn unharmed(&self) -> &'static str {
        match self {
            Self::DifferentContent { .. } => "What was sent first stands; this changed nothing.",
            _ if self.is_unsure() => "It may or may not have been recorded; nothing is done twice.",
            _ => "Nothing was changed.",
        }
    }

    /// Whether the request may have been recorded all the same.
    pub fn is_unsure(&self) -> bool {
        matches!(self, Self::Away { .. } | Self::Expired { .. } | Self::Broken { .. } | Self::Garbled { .. })
    }

    /// Whether sending it again, with the same id, makes sense.
    pub fn may_retry(&self) -> bool {
        matches!(self, Self::Away { .. } | Self::Overloaded { .. } | Self::Expired { .. })
    }

    /// The pause that the server asked for.
    pub fn retry_after(&self) -> Option<Duration> {
        match self {
            Self::Overloaded { retry_after, .. } | Self::Away { retry_after, .. } => *retry_after,
            _ => None,
        }
    }
}

impl From<BadField> for LinkError {
    fn from(bad: BadField) -> Self {
        Self::Garbled { field: bad.field, why: bad.why }
    }
}

/// What a status says beside its code.
#[derive(Default)]
struct Info {
    message: String,
    reason: String,
    hint: String,
    field: String,
    told: bool,
    retry_after: Option<Duration>,
}

impl Info {
    fn of(status: &Status) -> Self {
        let mut info = Self { message: shown(status.message()), ..Self::default() };
        if let Some(given) = status.get_details_error_info() {
            info.told = true;
            info.reason = shown(&given.reason);
            info.hint = given.metadata.get("hint").map(|hint| shown(hint)).unwrap_or_default();
            info.field = given.metadata.get("field").map(|field| shown(field)).unwrap_or_default();
        }
        info.retry_after = status.get_details_retry_info().and_then(|retry| retry.retry_delay);
        info
    }

    fn refused(self) -> LinkError {
        LinkError::Refused { reason: self.reason, message: self.message, hint: self.hint }
    }

    fn bad_request(self, status: &Status) -> LinkError {
        let violation =
            status.get_details_bad_request().and_then(|bad| bad.field_violations.into_iter().next());
        match violation {
            Some(bad) => LinkError::BadRequest { field: shown(&bad.field), why: shown(&bad.description) },
            None if self.told => self.refused(),
            None => LinkError::BadRequest { field: String::new(), why: self.message },
        }
    }

    /// The deepest cause says most: `Connection refused` rather than `transport error`.
    fn why(&self, status: &Status) -> String {
        if self.told {
            return self.message.clone();
        }
        let mut cause = status.source();
        let mut deepest = self.message.clone();
        while let Some(error) = cause {
            deepest = shown(&error.to_string());
            cause = error.source();
        }
        deepest
    }
}

/// A text of the server's as a terminal can bear it.
pub(crate) fn shown(raw: &str) -> String {
    let safe = |c: char| if remise_core::text::note(c.encode_utf8(&mut [0; 4])).is_ok() { c } else { ' ' };
    raw.chars().take(TEXT_MAX).map(safe).collect::<String>().trim().to_owned()
}

#[cfg(test)]
#[path = "error_tests.rs"]
mod tests;
