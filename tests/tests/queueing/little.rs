//! Little's law (J. D. C. Little 1961), L = lambda W, in the journal of a rehearsed day: from an empty room to the end,
//! the time-average of how many are there is the rate of arrivals times the mean stay. Exact by counting: the sum of
//! all stays is the area under the count, to the microsecond.

use std::collections::BTreeSet;

use remise_checker::{Row, lives};
use remise_rehearsal::day::{DayOptions, invented_day};
use remise_rehearsal::many::play_alone;
use serde_json::Value;

/// The area under a count that rises and falls as `change` says, in microseconds, and the count at the end.
fn area(rows: &[Row], end_us: i64, mut change: impl FnMut(&Row, &Value) -> i64) -> (i64, i64) {
    let (mut count, mut area, mut since) = (0, 0, rows[0].at_us);
    for row in rows {
        area += count * (row.at_us - since);
        since = row.at_us;
        count += change(row, &serde_json::from_str(&row.body).unwrap());
        assert!(count >= 0, "nobody leaves who was not there: {row:?}");
    }
    (area + count * (end_us - since), count)
}

/// Changes of how many stay in the armoury.
fn staying(_: &Row, body: &Value) -> i64 {
    match body["kind"].as_str().unwrap() {
        "handed_in" => 1,
        "handed_back" | "collected_unseen" => -1,
        _ => 0,
    }
}

/// Changes of how many lie in the room and no bench has taken up yet.
fn waiting() -> impl FnMut(&Row, &Value) -> i64 {
    let mut there: BTreeSet<u64> = BTreeSet::new();
    move |row, body| {
        let (before, job) = (there.len() as i64, row.job);
        match body["kind"].as_str().unwrap() {
            "handed_in" if body["in_room"] == true => there.extend(job),
            "scanned_in" => there.extend(job),
            "taken" => drop(job.map(|job| there.remove(&job))),
            "tags_exchanged" => {
                let [a, b] = ["a", "b"].map(|key| body[key].as_u64().unwrap());
                let held = [a, b].map(|job| there.remove(&job));
                there.extend([b, a].into_iter().zip(held).filter(|(_, was)| *was).map(|(job, _)| job));
            }
            _ => {}
        }
        there.len() as i64 - before
    }
}

#[test]
fn what_stays_and_what_waits_obey_littles_law() {
    let options = DayOptions { seed: 3, hours: 3, strips: 6, benches: 3, ..DayOptions::default() };
    let played = play_alone(&invented_day(&options).unwrap(), 3, None).unwrap();
    let end = played.end.at_us;
    assert!(played.rows.iter().all(|row| row.at_us == row.happened_at_us), "nothing is entered late");
    let lives = lives(&played.rows);
    assert!(lives.len() > 5 && lives.iter().any(|life| life.wait_min() > Some(0.0)), "a queue there was");

    let stays: i64 = lives.iter().map(|life| life.left_us.unwrap_or(end) - life.came_us).sum();
    let (staying, left) = area(&played.rows, end, staying);
    assert_eq!(staying, stays);
    assert_eq!(left as usize, lives.iter().filter(|life| life.left_us.is_none()).count());

    let waits = lives.iter().filter_map(|life| Some(life.taken_us.unwrap_or(end) - life.in_room_us?));
    assert_eq!(area(&played.rows, end, waiting()).0, waits.sum::<i64>());

    // The law in its usual words, for whoever reads it: both sides divided by the length of the day.
    let (length, count) = ((end - played.rows[0].at_us) as f64, lives.len() as f64);
    let (mean_there, rate, mean_stay) = (staying as f64 / length, count / length, stays as f64 / count);
    assert!((mean_there - rate * mean_stay).abs() < 1e-9 * mean_there);
}
