//! Refusals and failures as gRPC statuses. Each has a sentence for people as its message and google.rpc details
//! for programs: `ErrorInfo` with a stable reason, and in its metadata the hint of what to do next.

use std::collections::HashMap;
use std::time::Duration;

use remise_core::armoury::Refusal;
use remise_core::plan::whatif::Stopped;
use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt as _};

use super::decode::WireProblem;
use crate::desk::DeskError;
use crate::stations::{OutOfScope, Role};

/// Domain of every reason.
pub const DOMAIN: &str = "remise";

/// Refusals by rule that are not simply "it does not fit how things stand". By reason.
const CODES: &[(&str, Code)] = &[
    ("UNKNOWN_STRIP", Code::NotFound),
    ("UNKNOWN_BENCH", Code::NotFound),
    ("UNKNOWN_JOB", Code::NotFound),
    ("UNKNOWN_TAG", Code::NotFound),
    ("MISTYPED_TAG", Code::NotFound),
    ("UNKNOWN_ITEM", Code::NotFound),
    ("UNKNOWN_NOTICE", Code::NotFound),
    ("UNKNOWN_CALL", Code::NotFound),
    ("UNKNOWN_FENCER", Code::NotFound),
    ("UNKNOWN_OWED", Code::NotFound),
    ("NO_SUCH_RECORD", Code::NotFound),
    ("TAG_IN_USE", Code::AlreadyExists),
    ("ALREADY_HERE", Code::AlreadyExists),
    ("ALREADY_CALLED", Code::AlreadyExists),
    ("COMPLAINT_DOES_NOT_FIT", Code::InvalidArgument),
    ("NO_ITEMS", Code::InvalidArgument),
    ("TOO_MANY_ITEMS", Code::InvalidArgument),
    ("TAG_TWICE", Code::InvalidArgument),
    ("NEED_DOES_NOT_FIT", Code::InvalidArgument),
    ("BOUT_UNCLEAR", Code::InvalidArgument),
    ("TIME_OUT_OF_RANGE", Code::InvalidArgument),
    ("TIME_IS_PAST", Code::InvalidArgument),
    ("AWAY_TOO_LONG", Code::InvalidArgument),
    ("HAPPENED_OUT_OF_RANGE", Code::InvalidArgument),
    ("BAD_TEXT", Code::InvalidArgument),
    ("REASON_NEEDED", Code::InvalidArgument),
    ("UNKNOWN_CHECK", Code::InvalidArgument),
    ("BAD_READING", Code::InvalidArgument),
    ("UNKNOWN_FAULT", Code::InvalidArgument),
    ("UNKNOWN_SIGHT", Code::InvalidArgument),
    ("NOT_APPARATUS", Code::InvalidArgument),
    ("SAME_TWICE", Code::InvalidArgument),
    ("NOT_IN_ROOM", Code::InvalidArgument),
];

fn details(reason: &str, hint: &str, more: &[(&str, String)]) -> ErrorDetails {
    let mut metadata: HashMap<String, String> =
        more.iter().map(|(key, value)| ((*key).to_owned(), value.clone())).collect();
    if !hint.is_empty() {
        metadata.insert("hint".to_owned(), hint.to_owned());
    }
    ErrorDetails::with_error_info(reason, DOMAIN, metadata)
}

/// A status with reason, sentence and hint.
pub fn status(code: Code, reason: &str, message: impl Into<String>, hint: &str) -> Status {
    Status::with_error_details(code, message, details(reason, hint, &[]))
}

/// A request that cannot be read.
pub fn unreadable(problem: &WireProblem) -> Status {
    let mut details = details("BAD_FIELD", "Correct the request; nothing was changed.", &[]);
    details.add_bad_request_violation(&problem.field, &problem.why);
    Status::with_error_details(Code::InvalidArgument, problem.to_string(), details)
}

/// A request above the limit on its length, in bytes.
pub fn too_long(most: usize) -> Status {
    let message = format!("the request is longer than {} KiB; nothing was changed", most >> 10);
    status(Code::OutOfRange, "REQUEST_TOO_LONG", message, "Shorten the texts, or send fewer items at a time.")
}

/// A refusal by rule.
pub fn refused(reason: &str, message: &str, hint: &str) -> Status {
    status(code_of(reason), reason, message, hint)
}

fn code_of(reason: &str) -> Code {
    CODES.iter().find(|(known, _)| *known == reason).map_or(Code::FailedPrecondition, |(_, code)| *code)
}

/// What the desk answers when it does not accept.
pub fn of_desk(error: DeskError) -> Status {
    match error {
        DeskError::Refused(refusal) => refused(&refusal.reason, &refusal.message, &refusal.hint),
        DeskError::DifferentContent { field } => different_content(&field),
        DeskError::Overloaded { retry_after } => overloaded(retry_after),
        DeskError::Expired => expired(),
        DeskError::Unavailable(why) => unavailable(&why),
        DeskError::SteppedDown { .. } => stepped_down(),
    }
}

/// A refusal of the core that did not pass through the desk.
pub fn of_refusal(refusal: &Refusal) -> Status {
    refused(refusal.reason(), &refusal.to_string(), refusal.hint())
}

/// One of several moves would be refused.
pub fn move_refused(stopped: &Stopped) -> Status {
    let (number, refusal) = (stopped.index + 1, &stopped.refusal);
    let message = format!("move {number} would be refused: {refusal}; nothing was planned");
    let details = details(refusal.reason(), refusal.hint(), &[("move", number.to_string())]);
    Status::with_error_details(code_of(refusal.reason()), message, details)
}

/// The moves could not be tried.
pub fn trial_failed() -> Status {
    status(
        Code::Internal,
        "TRIAL_FAILED",
        "the moves could not be tried: the planner failed; nothing was changed",
        "Do them without trying, or try fewer; the server's log says more.",
    )
}

/// The request's number came before, with another content.
pub fn different_content(field: &str) -> Status {
    let details = details(
        "DIFFERENT_CONTENT",
        "Make a new request_id for a new request.",
        &[("field", field.to_owned())],
    );
    let message = format!("this request_id was used before, with another `{field}`; nothing was changed");
    Status::with_error_details(Code::AlreadyExists, message, details)
}

/// Too much at once.
pub fn overloaded(retry_after: Duration) -> Status {
    let mut details = details("OVERLOADED", "Send the same request again after the time given.", &[]);
    details.set_retry_info(Some(retry_after));
    let message = "the server has more to do than it can; nothing was changed";
    Status::with_error_details(Code::ResourceExhausted, message, details)
}

/// The deadline passed before the request was looked at.
pub fn expired() -> Status {
    status(
        Code::DeadlineExceeded,
        "EXPIRED",
        "the deadline passed before the request was looked at; nothing was changed",
        "Send the same request again.",
    )
}

/// The answer did not come in time.
pub fn answer_late() -> Status {
    status(
        Code::DeadlineExceeded,
        "ANSWER_LATE",
        "the deadline passed before the answer came; the request may have been carried out",
        "Send the same request again: it is not carried out twice.",
    )
}

/// The journal cannot be written now.
pub fn unavailable(why: &str) -> Status {
    let mut details =
        details("JOURNAL_REFUSES", "Send the same request again when the journal can be written.", &[]);
    details.set_retry_info(Some(Duration::from_secs(2)));
    Status::with_error_details(Code::Unavailable, why, details)
}

/// Another server took over.
pub fn stepped_down() -> Status {
    status(
        Code::Unavailable,
        "STEPPED_DOWN",
        "another server has taken over this journal; this one changes nothing any more",
        "Connect to the other server and send the same request again.",
    )
}

/// The server is going down.
pub fn going_down() -> Status {
    status(Code::Unavailable, "GOING_DOWN", "the server is going down", "Connect again in a moment.")
}

/// No token, or one that is worth nothing.
pub fn unknown_station() -> Status {
    status(
        Code::Unauthenticated,
        "UNKNOWN_STATION",
        "this server knows no station with that token",
        "Ask the head armourer for a token: `remise-server stations add` makes one.",
    )
}

/// The metadata of a server without stations cannot be read.
pub fn bad_metadata(why: &str) -> Status {
    status(Code::Unauthenticated, "BAD_METADATA", why, "Correct the x-remise-… metadata.")
}

/// The role may not do that.
pub fn role_may_not(role: Role, rpc: &str) -> Status {
    status(
        Code::PermissionDenied,
        "ROLE_MAY_NOT",
        format!("a station of role {} may not call {rpc}", role.code()),
        "Do it at a station that may, or ask the head armourer.",
    )
}

/// The role may do that, but not for that strip, bench or job.
pub fn out_of_scope(why: OutOfScope) -> Status {
    status(Code::PermissionDenied, why.reason(), why.to_string(), "Do it at the station that it concerns.")
}

/// A watcher that does not keep up.
pub fn too_slow(resume_from: u64) -> Status {
    let details = details(
        "TOO_SLOW",
        "Watch again from the number given.",
        &[("resume_from", resume_from.to_string())],
    );
    let message = "this watcher does not keep up and was cut off; nothing is lost";
    Status::with_error_details(Code::ResourceExhausted, message, details)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_reason_that_has_a_code_of_its_own_is_a_refusal_of_the_core() {
        for (reason, _) in CODES {
            assert!(Refusal::REASONS.contains(reason), "{reason}");
        }
    }

    #[test]
    fn a_refusal_says_why_and_what_next() {
        let refusal = Refusal::NoItems;
        let status = refused(refusal.reason(), &refusal.to_string(), refusal.hint());
        assert_eq!(status.code(), Code::InvalidArgument);
        assert_eq!(status.message(), refusal.to_string());
        let info = status.get_details_error_info().unwrap();
        assert_eq!((info.reason.as_str(), info.domain.as_str()), ("NO_ITEMS", "remise"));
        assert_eq!(info.metadata["hint"], refusal.hint());
        assert_eq!(refused("ON_HOLD", "", "").code(), Code::FailedPrecondition);
        assert_eq!(refused("UNKNOWN_TAG", "", "").code(), Code::NotFound);
        assert_eq!(refused("TAG_IN_USE", "", "").code(), Code::AlreadyExists);
    }

    #[test]
    fn an_unreadable_request_names_its_field() {
        let status = unreadable(&WireProblem::new("items[2].note", "it is empty"));
        assert_eq!(status.code(), Code::InvalidArgument);
        let violations = status.get_details_bad_request().unwrap().field_violations;
        assert_eq!((violations[0].field.as_str(), violations.len()), ("items[2].note", 1));
        assert_eq!(status.get_details_error_info().unwrap().reason, "BAD_FIELD");
    }

    #[test]
    fn overload_and_slowness_say_when_and_where_to_go_on() {
        let retry = overloaded(Duration::from_millis(250)).get_details_retry_info().unwrap();
        assert_eq!(retry.retry_delay, Some(Duration::from_millis(250)));
        assert_eq!(too_slow(42).get_details_error_info().unwrap().metadata["resume_from"], "42");
        assert_eq!(different_content("note").get_details_error_info().unwrap().metadata["field"], "note");
    }
}
