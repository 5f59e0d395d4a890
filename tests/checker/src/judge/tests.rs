//! That the judgement bites: a clean day gives zero, and every way of spoiling it is seen. Held against the
//! definitions in the documentation of [`Judgement`].

#![allow(clippy::unwrap_used)]

use serde_json::json;

use super::*;
use crate::day::{Day, HOUSE, clean_day, min};
use crate::history::Outcome;
use crate::{GENESIS, journal_sha256, read_history, read_rows, to_lines};

fn faults(judged: &Judgement) -> String {
    judged.faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

fn assert_sums(judged: &Judgement) {
    let j = judged;
    assert_eq!(
        j.jobs,
        j.returned + j.withdrawn + j.called_off + j.gone + j.ready_uncollected + j.open_at_end
    );
    assert_eq!(
        j.jobs,
        j.returned + j.withdrawn_back + j.called_off_back + j.gone + j.uncollected + j.open_at_end
    );
}

#[test]
fn a_clean_day_gives_zero() {
    let day = clean_day().sealed();
    let judged = day.judged();
    assert!(judged.is_clean(), "{judged}");
    assert_sums(&judged);
    assert_eq!(judged.events, day.rows.len() as u64);
    assert_eq!(judged.hashed, judged.events);
    assert_eq!(judged.hash, hex::text(&journal_sha256(&day.rows)));
    // Mended and still here, glued and back, withdrawn and back, called off and collected, the two exchanged
    // (one back, one ready), the unit from the strip still on its way.
    assert_eq!((judged.jobs, judged.returned, judged.withdrawn, judged.called_off), (7, 2, 1, 1));
    assert_eq!((judged.gone, judged.ready_uncollected, judged.uncollected, judged.open_at_end), (0, 2, 2, 1));
}

#[test]
fn the_day_is_the_same_after_a_journey_as_text() {
    let day = clean_day().sealed();
    let (rows, history) = (to_lines(&day.rows), to_lines(&day.history));
    let again = judge(read_rows(&rows).unwrap(), &read_history(&history).unwrap(), End::at(min(600)));
    assert_eq!(again, day.judged());
}

#[test]
fn dropping_any_one_event_is_seen() {
    let day = clean_day();
    let end = End { head: Some(day.rows.len() as u64), ..End::at(min(600)) };
    for at in 0..day.rows.len() {
        let mut rows = day.rows.clone();
        let dropped = rows.remove(at);
        for (history, end) in [(&day.history[..], End::at(min(600))), (&[], end), (&day.history[..], end)] {
            let judged = judge(rows.clone(), history, end);
            assert!(judged.lost > 0 && judged.faults_in_all > 0, "{dropped:?}\n{judged}");
            assert_sums(&judged);
        }
    }
}

#[test]
fn repeating_or_swapping_any_one_event_is_seen() {
    let day = clean_day();
    for at in 0..day.rows.len() {
        let mut rows = day.rows.clone();
        rows.insert(at, rows[at].clone());
        assert!(!judge(rows, &day.history, End::at(min(600))).is_clean(), "{at} repeated");
        let mut rows = day.rows.clone();
        rows.swap(at, at.saturating_sub(1));
        let judged = judge(rows, &day.history, End::at(min(600)));
        assert!(at == 0 || !judged.is_clean(), "{at} swapped");
    }
}

#[test]
fn an_event_that_an_unhonest_journal_renumbers_away_is_missed_by_its_client() {
    let day = clean_day();
    for at in 0..day.rows.len() {
        let mut rows = day.rows.clone();
        rows.remove(at);
        rows.iter_mut().zip(1..).for_each(|(row, seq)| row.seq = seq);
        assert!(judge(rows, &day.history, End::at(min(600))).lost > 0, "{at}");
    }
}

#[test]
fn a_flipped_byte_anywhere_in_a_body_is_seen() {
    let day = clean_day().sealed();
    let whole = End { hash: day.rows.last().unwrap().hash, ..End::at(min(600)) };
    assert!(judge(day.rows.clone(), &day.history, whole).is_clean());
    for at in 0..day.rows.len() {
        let mut rows = day.rows.clone();
        let half = rows[at].body.len() / 2;
        let flipped = char::from(rows[at].body.as_bytes()[half] ^ 1);
        rows[at].body.replace_range(half..=half, &flipped.to_string());
        let judged = judge(rows, &[], End::at(min(600)));
        let seen =
            judged.faults.iter().any(|fault| fault.seq == at as u64 + 1 && fault.what.contains("hash"));
        assert!(seen, "{judged}");
    }
}

#[test]
fn an_end_that_was_noted_elsewhere_is_held_against_the_journal() {
    let day = clean_day().sealed();
    let end = End { hash: Some(GENESIS), head: None, ..End::at(min(600)) };
    assert!(faults(&judge(day.rows.clone(), &[], end)).contains("noted elsewhere"));
    let end = End { head: Some(day.rows.len() as u64 + 3), ..End::at(min(600)) };
    assert_eq!(judge(day.rows, &[], end).lost, 3);
}

#[test]
fn an_answer_that_was_never_written_is_lost() {
    let mut day = clean_day();
    let head = day.rows.len() as u64;
    day.answer(head + 1, head + 2, vec![head + 1]);
    let judged = day.judged();
    assert_eq!((judged.lost, judged.faults_in_all), (2, 1), "{judged}");
}

#[test]
fn an_answer_that_the_journal_contradicts_is_lost() {
    let mut day = Day::open();
    let job = day.hand_in(1, "10001", "one_left", None);
    let clean = day.clone();
    day.history.last_mut().unwrap().client = "strip 3".into();
    assert_eq!(day.judged().lost, 1, "another station");
    day = clean.clone();
    day.history.last_mut().unwrap().outcome =
        Outcome::Accepted { first_seq: job, last_seq: job, jobs: vec![9] };
    assert!(faults(&day.judged()).contains("named job 9"));
    day = clean.clone();
    day.answer(job, job, vec![job]);
    assert!(faults(&day.judged()).contains("was the answer both to"));
    day = clean.clone();
    day.history.push(ClientEntry {
        outcome: Outcome::Accepted { first_seq: 1, last_seq: 1, jobs: vec![] },
        ..day.history[1].clone()
    });
    assert!(faults(&day.judged()).contains("answered in two ways"));
    day = clean;
    day.answer(5, 3, vec![]);
    assert_eq!(day.judged().lost, 1, "{}", faults(&day.judged()));
}

#[test]
fn repeated_empty_refused_and_open_answers_lose_nothing() {
    let mut day = Day::open();
    let job = day.hand_in(1, "10001", "one_left", None);
    day.history.push(day.history[1].clone());
    day.answer(0, 0, vec![]);
    day.answer(job + 1, job, vec![]);
    for outcome in
        [Outcome::Refused { reason: "TAG_IN_USE".into() }, Outcome::Failed { code: "unavailable".into() }]
    {
        day.history.push(ClientEntry { outcome, request_id: [9; 16], ..day.history[1].clone() });
    }
    let judged = day.judged();
    assert!(judged.is_clean(), "{judged}");
}

#[test]
fn one_answer_may_span_many_events_of_its_station() {
    let mut day = Day::open();
    let job = day.hand_in(1, "10001", "one_left", None);
    day.hand_in(1, "10002", "one_left", None);
    day.history.truncate(1);
    day.answer(job, job + 1, vec![job, job + 1]);
    assert!(day.judged().is_clean());
    day.rows[2].station = HOUSE.into();
    assert_eq!(day.judged().lost, 1);
}

#[test]
fn two_holders_are_counted() {
    let mut day = Day::open();
    let one = day.hand_in(1, "10001", "one_left", None);
    let other = day.hand_in(1, "10002", "one_left", None);
    day.take(2, one, 1);
    day.take(3, one, 2);
    day.take(4, other, 2);
    let judged = day.judged();
    assert_eq!((judged.double_held, judged.lost), (2, 0), "{judged}");
    assert!(faults(&judged).contains("job 2 was taken while on a bench"));
}

#[test]
fn absurd_numbers_are_judged_and_not_believed() {
    let mut day = clean_day();
    day.rows.last_mut().unwrap().seq = u64::MAX;
    day.rows.last_mut().unwrap().happened_at_us = i64::MAX;
    day.rows[3].at_us = i64::MIN;
    day.answer(7, u64::MAX, vec![u64::MAX]);
    let end = End { at_us: i64::MIN, head: Some(u64::MAX), hash: None };
    let judged = judge(day.rows, &day.history, end);
    assert!(judged.lost > u64::MAX / 2 && !judged.is_clean());
    assert!(!judge([], &[], End { head: Some(1), ..End::default() }).is_clean());
    assert_eq!(judge([], &[], End::default()), Judgement { hash: "0".repeat(64), ..Judgement::default() });
}

#[test]
fn every_outcome_is_counted_once() {
    let mut day = Day::open();
    let jobs: Vec<_> = (0..9).map(|n| day.hand_in(1, &format!("2000{n}"), "one_left", None)).collect();
    let [ready, back, withdrawn, withdrawn_back, off, off_back, gone, gone_unseen, open] = jobs[..] else {
        panic!()
    };
    day.mend(5, ready);
    day.mend(6, back);
    day.add(7, "counter", "collected_unseen", json!({"job": back}));
    for (minute, job) in [(8, withdrawn), (9, withdrawn_back)] {
        day.take(minute, job, 1);
        day.step(minute, job, "withdrawn");
    }
    day.hand_back(10, withdrawn_back);
    day.step(11, off, "called_off");
    day.step(11, off_back, "called_off");
    day.hand_back(12, off_back);
    day.step(13, gone, "went_missing");
    day.step(14, gone_unseen, "went_missing");
    day.step(15, gone_unseen, "collected_unseen");
    day.step(16, open, "need_set");
    let judged = day.judged();
    assert!(judged.is_clean(), "{judged}");
    assert_sums(&judged);
    assert_eq!((judged.jobs, judged.returned, judged.ready_uncollected, judged.gone), (9, 1, 1, 2));
    assert_eq!(
        (judged.withdrawn, judged.withdrawn_back, judged.called_off, judged.called_off_back),
        (2, 1, 2, 1)
    );
    assert_eq!((judged.uncollected, judged.open_at_end), (3, 1));
}
