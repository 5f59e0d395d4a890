//! One wrong step after another, each in a day that is clean without it. Held against the words of the design.

#![allow(clippy::unwrap_used)]

use serde_json::json;

use crate::day::{Day, clean_day, min};

/// A day with one job that waits.
fn waiting() -> (Day, u64) {
    let mut day = Day::open();
    let job = day.hand_in(1, "10001", "one_left", None);
    assert!(day.judged().is_clean());
    (day, job)
}

fn on_bench() -> (Day, u64) {
    let (mut day, job) = waiting();
    day.take(2, job, 1);
    (day, job)
}

#[track_caller]
fn assert_fault(day: &Day, expected: &str, lost: u64) {
    let judged = day.judged();
    assert!(judged.faults.iter().any(|fault| fault.what.contains(expected)), "{judged}");
    assert_eq!(judged.lost, lost, "{judged}");
}

#[test]
fn one_tag_on_two_live_jobs() {
    let (mut day, job) = waiting();
    day.hand_in(2, "10001", "one_left", None);
    assert_fault(&day, "tag 10001 is tied to two live jobs, 2 and 3", 0);
    let (mut day, _) = waiting();
    let other = day.hand_in_at_strip(2);
    day.add(3, "bench 1", "scanned_in", json!({"job": other, "tag": "10001"}));
    assert_fault(&day, "tag 10001 is tied to two live jobs", 0);
    let (mut day, _) = (waiting().0, job);
    day.mend(5, job);
    day.hand_back(6, job);
    day.hand_in(7, "10001", "one_left", None);
    assert!(day.judged().is_clean(), "a tag is free again after the hand-back");
}

#[test]
fn a_tag_that_comes_free_without_a_hand_back() {
    let (mut day, job) = waiting();
    let fields = json!({"job": job, "tag": "10002"});
    day.add(2, "bench 1", "scanned_in", fields);
    assert_fault(&day, "tag 10001 of job 2 came free", 1);
}

#[test]
fn ready_without_a_proof() {
    let (mut day, job) = on_bench();
    day.step(3, job, "repaired");
    let unproved = day.clone();
    day.ready(4, job);
    assert_fault(&day, "made ready without a proof", 0);
    let mut day = unproved.clone();
    day.prove(4, job, false);
    day.ready(5, job);
    assert_fault(&day, "made ready without a proof", 0);
    for void in ["repaired", "kind_corrected"] {
        let mut day = unproved.clone();
        day.prove(4, job, true);
        day.step(5, job, void);
        day.ready(6, job);
        assert_fault(&day, "made ready without a proof", 0);
    }
    let mut day = unproved;
    day.add(4, "head", "made_ready", json!({"job": job, "anyway": 7, "hands_on": 1}));
    assert!(day.judged().is_clean(), "the head may let it go, with a reason");
}

#[test]
fn an_exchange_voids_proofs_and_moves_what_is_in_hand() {
    let (mut day, one) = on_bench();
    let other = day.hand_in(2, "10002", "one_left", None);
    day.prove(3, one, true);
    day.add(4, "head", "tags_exchanged", json!({"a": one, "b": other}));
    let exchanged = day.clone();
    day.ready(5, other);
    assert_fault(&day, "made ready without a proof", 0);
    let mut day = exchanged.clone();
    day.step(5, one, "found");
    assert_fault(&day, "job 2 was examined while waiting", 1);
    let mut day = exchanged;
    day.take(5, one, 1);
    let judged = day.judged();
    assert_eq!((judged.double_held, judged.lost), (1, 0), "{judged}");
}

#[test]
fn a_corrected_bench_moves_the_job() {
    let (mut day, job) = on_bench();
    day.add(3, "head", "bench_corrected", json!({"job": job, "bench": 2, "note": null}));
    let other = day.hand_in(4, "10002", "one_left", None);
    day.take(5, other, 1);
    assert!(day.judged().is_clean(), "{}", day.judged());
    day.add(6, "head", "bench_corrected", json!({"job": job, "bench": 1, "note": null}));
    assert_eq!(day.judged().double_held, 1);
}

#[test]
fn every_way_off_a_bench_frees_it() {
    let ways = [
        "put_back",
        "passed_on",
        "taken_over",
        "curing_began",
        "made_ready",
        "withdrawn",
        "called_off",
        "went_missing",
        "held",
    ];
    for way in ways {
        let (mut day, job) = on_bench();
        let other = day.hand_in(2, "10002", "one_left", None);
        day.prove(3, job, true);
        day.add(4, "head", way, json!({"job": job, "bench": 2, "until": min(9), "reason": "part_missing"}));
        day.take(5, other, 1);
        assert!(day.judged().is_clean(), "{way}: {}", day.judged());
        day.step(6, job, "repaired");
        assert_fault(&day, "was repaired while", 1);
    }
}

#[test]
fn steps_that_cannot_follow() {
    let (day, job) = waiting();
    for (kind, words) in [
        ("handed_back", "handed back while waiting"),
        ("collected_unseen", "collected unseen while waiting"),
        ("put_back", "put back while waiting"),
        ("found_dry", "found dry while waiting"),
        ("scanned_in", "scanned in while waiting"),
        ("withdrawn", "withdrawn while waiting"),
        ("found_again", "found again while waiting"),
    ] {
        let mut day = day.clone();
        day.add(2, "head", kind, json!({"job": job, "tag": "10001", "place": "counter"}));
        assert_fault(&day, words, 1);
    }
}

#[test]
fn a_job_that_is_over_or_never_was() {
    let (mut day, job) = on_bench();
    day.step(3, job, "withdrawn");
    day.hand_back(4, job);
    assert!(day.judged().is_clean());
    let mut again = day.clone();
    again.hand_back(5, job);
    assert_fault(&again, "handed back after it had been handed back", 1);
    day.step(5, 77, "repaired");
    assert_fault(&day, "job 77 was repaired, yet it never was opened", 1);
}

#[test]
fn held_and_confiscated() {
    let (mut day, job) = waiting();
    day.add(2, "head", "held", json!({"job": job, "reason": "part_missing", "note": null}));
    let mut taken = day.clone();
    taken.take(3, job, 1);
    assert_fault(&taken, "taken while held", 0);
    day.add(3, "head", "released", json!({"job": job, "note": null}));
    let mut twice = day.clone();
    twice.add(4, "head", "released", json!({"job": job, "note": null}));
    assert_fault(&twice, "released, yet it was not held", 0);
    day.mend(4, job);
    day.add(5, "head", "held", json!({"job": job, "reason": "confiscated", "note": 1}));
    day.hand_back(6, job);
    assert_fault(&day, "handed back while held", 0);
}

#[test]
fn what_was_missing_is_where_it_was_or_waits_again() {
    let (mut day, job) = waiting();
    day.mend(2, job);
    day.step(3, job, "went_missing");
    day.add(4, "head", "found_again", json!({"job": job, "place": {"strip": 3}}));
    day.hand_back(5, job);
    assert!(day.judged().is_clean(), "{}", day.judged());
    let (mut day, job) = on_bench();
    day.step(3, job, "went_missing");
    day.add(4, "head", "found_again", json!({"job": job, "place": {"strip": 3}}));
    day.take(5, job, 1);
    assert_fault(&day, "taken while on its way", 1);
}

#[test]
fn time_that_goes_back_or_runs_ahead() {
    let mut day = clean_day();
    let at = day.rows[8].at_us;
    day.rows[9].at_us = at - 1;
    day.rows[9].happened_at_us = at - 1;
    assert_fault(&day, "recorded time goes back by 1 µs", 0);
    let mut day = clean_day();
    day.rows[9].happened_at_us = day.rows[9].at_us + 120_000_000;
    assert!(day.judged().is_clean(), "two minutes are allowed");
    day.rows[9].happened_at_us += 1;
    assert_fault(&day, "more than two minutes after", 0);
}

#[test]
fn a_row_filed_under_another_job() {
    let (mut day, _) = on_bench();
    day.rows[2].job = None;
    assert_fault(&day, "its row is filed under no job, its text is about job 2", 0);
}

#[test]
fn items_and_things_by_number() {
    let (mut day, job) = waiting();
    let fields = json!({"item": job, "back_to": "counter", "need": "one_left", "wanted_by": null, "tag": "10002",
        "in_room": true, "call": null});
    let mut twice = day.clone();
    twice.add(2, "counter", "handed_in", fields.clone());
    assert_fault(&twice, "item 2 is here for two live jobs, 2 and 3", 0);
    let mut unknown = fields;
    unknown["item"] = json!(1);
    unknown["call"] = json!(1);
    let mut day_of_unknown = day.clone();
    day_of_unknown.add(2, "counter", "handed_in", unknown);
    assert_fault(&day_of_unknown, "item 1 comes back that never was here", 0);
    assert_fault(&day_of_unknown, "it speaks of call 1, which never was", 0);
    day.add(2, "strip 1", "notice_confirmed", json!({"job": job, "notice": job}));
    assert_fault(&day, "it speaks of notice 2, which never was", 0);
}

#[test]
fn a_corrected_item_comes_free() {
    let (mut day, job) = waiting();
    day.mend(2, job);
    day.hand_back(3, job);
    let second = day.hand_in(4, "10001", "one_left", None);
    day.add(5, "head", "item_corrected", json!({"job": second, "item": job, "note": null}));
    assert!(day.judged().is_clean(), "{}", day.judged());
    let third = day.hand_in(6, "10002", "one_left", None);
    day.add(7, "head", "item_corrected", json!({"job": third, "item": job, "note": null}));
    assert_fault(&day, "is here for two live jobs", 0);
}

#[test]
fn a_bench_that_interrupts_what_it_does_not_have() {
    let (mut day, job) = on_bench();
    day.add(3, "bench 2", "interrupted", json!({"job": job, "bench": 2}));
    assert_fault(&day, "bench 2 does not have job 2 in hand", 0);
}

#[test]
fn a_day_that_closes_with_another_count() {
    let (mut day, _) = waiting();
    day.add(2, "head", "day_closed", json!({"open": 0}));
    assert_fault(&day, "closed with 0 items here, yet 1 are known", 0);
}

#[test]
fn an_event_that_cannot_be_read() {
    let (mut day, job) = waiting();
    day.step(2, job, "tidied");
    assert_fault(&day, "unknown variant `tidied`", 0);
}

#[test]
fn a_hand_back_that_was_none() {
    let (mut day, job) = waiting();
    day.mend(5, job);
    let here = day.clone();
    day.hand_back(6, job);
    day.step(7, job, "hand_back_struck");
    day.hand_back(8, job);
    assert!(day.judged().is_clean(), "{}", day.judged());
    let mut never_left = here;
    never_left.step(7, job, "hand_back_struck");
    assert_fault(&never_left, "was brought back, yet it never left", 0);
    // Its tag went to another item meanwhile.
    let (mut day, job) = waiting();
    day.mend(5, job);
    day.hand_back(6, job);
    day.hand_in(7, "10001", "one_left", None);
    day.step(8, job, "hand_back_struck");
    assert_fault(&day, "tag 10001 is tied to two live jobs", 0);
}

#[test]
fn an_end_that_was_none() {
    let (mut day, job) = on_bench();
    day.step(3, job, "withdrawn");
    day.step(4, job, "end_struck");
    day.take(5, job, 1);
    assert!(day.judged().is_clean(), "{}", day.judged());
    day.step(6, job, "end_struck");
    assert_fault(&day, "was taken up again while on a bench", 1);
}

/// The head's hold lies under the referee's and counts again afterwards.
#[test]
fn a_hold_outlives_a_confiscation() {
    let (mut day, job) = waiting();
    day.add(2, "head", "held", json!({"job": job, "reason": "part_missing"}));
    day.add(3, "head", "held", json!({"job": job, "reason": "confiscated"}));
    day.step(4, job, "released");
    day.step(5, job, "released");
    day.take(6, job, 1);
    assert!(day.judged().is_clean(), "{}", day.judged());
}
