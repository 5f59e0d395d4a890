//! The figures, each held against a sum done by hand from the definitions in [`crate::Judgement`].

use serde_json::json;

use crate::day::{Day, min};

fn near(figure: Option<f64>, expected: f64) -> bool {
    figure.is_some_and(|figure| (figure - expected).abs() < 1e-9)
}

#[test]
fn nothing_to_share_gives_no_share() {
    let judged = Day::open().judged();
    assert_eq!((judged.on_time_share, judged.weighted_lateness_min), (None, None));
    assert_eq!((judged.promise_likely_share, judged.promise_safe_share), (None, None));
    let mut day = Day::open();
    day.hand_in(1, "10001", "one_left", None);
    assert_eq!(day.judged().on_time_share, None, "nothing is wanted by a time");
    assert_eq!(day.judged().promise_safe_share, None, "nobody promised a safe time");
}

#[test]
fn the_walk_counts_to_the_minute() {
    let mut day = Day::open();
    let job = day.hand_in(1, "10001", "one_left", Some(30));
    let mut late = day.clone();
    day.mend(28, job);
    assert!(near(day.judged().on_time_share, 1.0));
    assert!(near(day.judged().weighted_lateness_min, 0.0));
    late.mend(29, job);
    assert!(near(late.judged().on_time_share, 0.0));
    assert!(near(late.judged().weighted_lateness_min, 1.0));
    late.add(30, "head", "back_to_changed", json!({"job": job, "to": "counter"}));
    assert!(near(late.judged().on_time_share, 1.0), "to the counter nobody walks");
    late.add(30, "head", "back_to_changed", json!({"job": job, "to": {"strip": 3}}));
    assert!(near(late.judged().weighted_lateness_min, 4.0));
}

#[test]
fn the_last_wanted_by_counts_and_what_happened_not_what_was_recorded() {
    let mut day = Day::open();
    let job = day.hand_in(1, "10001", "one_left", Some(10));
    day.add(2, "strip 1", "wanted_by_changed", json!({"job": job, "wanted_by": min(30)}));
    day.mend(50, job);
    assert!(near(day.judged().on_time_share, 0.0));
    day.late(28);
    assert!(near(day.judged().on_time_share, 1.0));
    day.add(51, "strip 1", "wanted_by_changed", json!({"job": job, "wanted_by": null}));
    assert_eq!(day.judged().on_time_share, None);
}

#[test]
fn withdrawn_and_called_off_count_by_when_it_was_said() {
    for (minute, share) in [(28, 1.0), (29, 0.0)] {
        let mut day = Day::open();
        let off = day.hand_in(1, "10001", "one_left", Some(30));
        let cracked = day.hand_in(1, "10002", "one_left", Some(30));
        for job in [off, cracked] {
            day.promise(1, job, 28, Some(29));
        }
        day.take(2, cracked, 1);
        day.step(minute, off, "called_off");
        day.step(minute, cracked, "withdrawn");
        let judged = day.judged();
        assert!(near(judged.on_time_share, share) && near(judged.promise_likely_share, share), "{minute}");
        assert!(near(judged.promise_safe_share, 1.0));
    }
}

#[test]
fn lateness_is_weighted_by_the_need_said_at_hand_in() {
    let mut day = Day::open();
    let needs = ["strip_stopped", "none_left", "one_left", "two_or_more", "out"];
    for (at, need) in needs.into_iter().enumerate() {
        let job = day.hand_in(1, &format!("1000{at}"), need, Some(10));
        if at != 4 {
            day.mend(18 + at as i64, job);
        }
        day.step(30, job, "need_set");
    }
    // Late 10, 11, 12, 13 minutes with the walk; the last is never ready and counts to the end, 590 minutes.
    let by_hand = f64::from(10 * 10 + 8 * 11 + 4 * 12 + 2 * 13 + 590) / f64::from(10 + 8 + 4 + 2 + 1);
    let judged = day.judged();
    assert!(near(judged.weighted_lateness_min, by_hand), "{:?} {by_hand}", judged.weighted_lateness_min);
    assert!(near(judged.on_time_share, 0.0));
}

#[test]
fn the_first_promise_counts_and_must_come_within_a_minute() {
    let mut day = Day::open();
    let kept = day.hand_in(1, "10001", "one_left", None);
    let broken = day.hand_in(1, "10002", "one_left", None);
    let tardy = day.hand_in(1, "10003", "one_left", None);
    let silent = day.hand_in(1, "10004", "one_left", None);
    day.promise(2, kept, 20, None);
    day.promise(2, broken, 19, Some(25));
    day.promise(3, tardy, 90, Some(90));
    day.promise(4, broken, 90, Some(90));
    for job in [kept, broken, tardy, silent] {
        day.mend(20, job);
    }
    let judged = day.judged();
    assert!(judged.is_clean(), "{judged}");
    assert!(near(judged.promise_likely_share, 1.0 / 4.0), "only the first, exactly on its minute");
    // The first has no safe time and is left out; of the other three one kept it.
    assert!(near(judged.promise_safe_share, 1.0 / 3.0), "{:?}", judged.promise_safe_share);
}

#[test]
fn what_an_exchange_sends_back_to_work_is_not_ready() {
    let mut day = Day::open();
    let one = day.hand_in(1, "10001", "one_left", Some(30));
    let other = day.hand_in(1, "10002", "one_left", None);
    day.mend(10, one);
    day.add(11, "head", "tags_exchanged", json!({"a": one, "b": other}));
    assert!(near(day.judged().on_time_share, 0.0));
    day.mend(12, one);
    assert!(near(day.judged().on_time_share, 1.0));
}

#[test]
fn a_unit_from_a_call_out_counts_too() {
    let mut day = Day::open();
    let call = day.add(1, "strip 3", "called_out", json!({"strip": 3, "bench": 1, "arrival": min(6)}));
    let unit = json!({"item": 3, "back_to": "counter", "need": "two_or_more", "wanted_by": null, "tag": null,
        "in_room": false, "call": call});
    day.add(9, "strip 3", "handed_in", unit);
    assert!(near(day.judged().promise_likely_share, 0.0));
}
