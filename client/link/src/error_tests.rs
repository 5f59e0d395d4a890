//! Statuses as a server makes them, read back.

use std::collections::HashMap;

use tonic_types::ErrorDetails;

use super::*;

fn status(code: Code, reason: &str, metadata: &[(&str, &str)]) -> Status {
    let metadata: HashMap<String, String> =
        metadata.iter().map(|(k, v)| ((*k).into(), (*v).into())).collect();
    Status::with_error_details(code, "a sentence", ErrorDetails::with_error_info(reason, "remise", metadata))
}

#[test]
fn a_refusal_keeps_reason_sentence_and_hint() {
    let hint = [("hint", "Release it first.")];
    for code in [Code::FailedPrecondition, Code::NotFound, Code::AlreadyExists] {
        let error = LinkError::from_status(&status(code, "ON_HOLD", &hint));
        assert_eq!(
            error,
            LinkError::Refused {
                reason: "ON_HOLD".into(),
                message: "a sentence".into(),
                hint: "Release it first.".into()
            }
        );
        assert!(!error.may_retry() && !error.is_unsure());
        assert_eq!((error.reason(), error.unharmed()), ("ON_HOLD", "Nothing was changed."));
    }
}

#[test]
fn another_content_names_the_field() {
    let error =
        LinkError::from_status(&status(Code::AlreadyExists, "DIFFERENT_CONTENT", &[("field", "job.tag")]));
    assert_eq!(error, LinkError::DifferentContent { field: "job.tag".into() });
    assert!(error.unharmed().contains("sent first stands"));
}

#[test]
fn a_client_that_does_not_fit_is_told_what_to_do() {
    for reason in ["CLIENT_TOO_OLD", "CLIENT_TOO_NEW"] {
        let error =
            LinkError::from_status(&status(Code::FailedPrecondition, reason, &[("hint", "Update it.")]));
        assert_eq!(error, LinkError::TooOld { message: "a sentence".into(), hint: "Update it.".into() });
    }
    let unknown_rpc = LinkError::from_status(&Status::unimplemented("x"));
    assert!(unknown_rpc.hint().contains("Update the server"));
}

#[test]
fn an_overloaded_server_says_when_to_come_back() {
    let mut details = ErrorDetails::with_error_info("QUEUE_FULL", "remise", HashMap::<String, String>::new());
    details.set_retry_info(Some(Duration::from_millis(750)));
    let error = LinkError::from_status(&Status::with_error_details(Code::ResourceExhausted, "busy", details));
    assert_eq!(error.retry_after(), Some(Duration::from_millis(750)));
    assert!(error.may_retry() && !error.is_unsure());
}

#[test]
fn away_is_always_unsure() {
    let broken = LinkError::from_status(&Status::unavailable("tcp connect error"));
    assert!(broken.may_retry() && broken.is_unsure());
    assert!(broken.unharmed().contains("may or may not"));
    let told = LinkError::from_status(&status(Code::Unavailable, "DISK_FULL", &[]));
    assert_eq!(told, LinkError::Away { why: "a sentence".into(), told: true, retry_after: None });
    assert!(told.may_retry() && told.is_unsure());
}

#[test]
fn a_late_answer_may_be_asked_for_again() {
    for code in [Code::DeadlineExceeded, Code::Cancelled] {
        let error = LinkError::from_status(&Status::new(code, "Timeout expired"));
        assert!(matches!(error, LinkError::Expired { .. }) && error.may_retry() && error.is_unsure());
    }
}

#[test]
fn a_broken_connection_is_away_and_a_broken_server_is_not() {
    let lost = std::io::Error::new(std::io::ErrorKind::ConnectionReset, "connection reset");
    let error = LinkError::from_status(&Status::from_error(Box::new(lost)));
    assert_eq!(error, LinkError::Away { why: "connection reset".into(), told: false, retry_after: None });
    let error = LinkError::from_status(&Status::internal("index out of range"));
    assert!(matches!(error, LinkError::Broken { .. }) && error.is_unsure() && !error.may_retry());
}

#[test]
fn an_unreadable_request_names_its_field() {
    let details = ErrorDetails::with_bad_request_violation("items[2].note", "it is too long");
    let error = LinkError::from_status(&Status::with_error_details(Code::InvalidArgument, "m", details));
    assert_eq!(error, LinkError::BadRequest { field: "items[2].note".into(), why: "it is too long".into() });
    let ruled = LinkError::from_status(&status(Code::InvalidArgument, "UNKNOWN_FAULT", &[]));
    assert_eq!(ruled.reason(), "UNKNOWN_FAULT");
}

#[test]
fn who_may_not_is_told_so() {
    for code in [Code::Unauthenticated, Code::PermissionDenied] {
        assert_eq!(LinkError::from_status(&status(code, "NOT_YOUR_STRIP", &[])).reason(), "NOT_ALLOWED");
    }
}

#[test]
fn a_hostile_text_cannot_paint_the_terminal() {
    let error = LinkError::from_status(&Status::not_found(format!("\u{1b}[2J{}", "x".repeat(100_000))));
    let text = error.to_string();
    assert!(!text.contains('\u{1b}') && text.chars().count() <= TEXT_MAX);
}
