//! Tests of the answer on figures made up by hand.
#![allow(clippy::unwrap_used)]

use super::*;

/// A table of made-up days: for each number of benches, the share back in time of each day.
pub(in super::super) fn made_up(rows: &[(usize, &[f64])]) -> Table {
    let figures = |seed: u64, share: f64| Figures {
        seed,
        jobs: 100,
        returned: 100,
        withdrawn: 0,
        called_off: 0,
        gone: 0,
        open_at_end: 0,
        uncollected: 0,
        lost: 0,
        double_held: 0,
        on_time_share: Some(share),
        weighted_lateness_min: Some(10.0 * (1.0 - share)),
        mean_wait_min: Some(20.0 * (1.0 - share)),
        promise_likely_share: None,
        promise_safe_share: None,
        commands: 0,
        commands_per_s: 0.0,
        plan_ms_p99: None,
        events: 0,
        journal_sha256: None,
        wall_s: 0.0,
    };
    let outcomes = rows.iter().flat_map(|(benches, shares)| {
        (1..).zip(*shares).map(move |(seed, share)| Outcome {
            benches: *benches,
            seed,
            load: 4.0 / *benches as f64,
            faults: Vec::new(),
            figures: figures(seed, *share),
        })
    });
    let days = rows.first().map_or(0, |(_, shares)| shares.len() as u64);
    Table::of((1..=days).collect(), &outcomes.collect::<Vec<_>>(), "Made <up> & tried".to_owned())
}

/// Worked by hand: from 3 to 4 benches 1 point is gained in the mean, differences 0 and 2 points; t for one degree of
/// freedom, 12.706, times the standard error of 1 point.
#[test]
fn the_first_number_beyond_which_little_is_gained_is_enough() {
    let table = made_up(&[(2, &[0.6, 0.64]), (3, &[0.9, 0.88]), (4, &[0.9, 0.9])]);
    assert_eq!(table.enough, Some(3));
    assert_eq!(
        table.answer,
        "With 3 benches 89.0 % are back in time, and an item waits 2.2 min for a bench in the mean; \
         4 add little (+1.0 ± 12.7 points)."
    );
    assert!(table.is_sound());
}

#[test]
fn when_the_last_still_helped_more_are_worth_a_try() {
    let table = made_up(&[(2, &[0.4]), (3, &[0.6])]);
    assert_eq!(table.enough, None);
    assert!(table.answer.ends_with("so more than 3 may be worth a try."), "{}", table.answer);
}

#[test]
fn one_number_of_benches_is_only_told() {
    let table = made_up(&[(5, &[0.9, 0.8])]);
    assert_eq!(table.enough, None);
    assert!(table.answer.starts_with("With 5 benches 85.0 % are back in time"), "{}", table.answer);
    assert!(!table.answer.contains("little"));
}

#[test]
fn a_day_on_which_nothing_is_wanted_says_nothing() {
    let mut table = made_up(&[(2, &[0.5]), (3, &[0.5])]);
    for row in &mut table.rows {
        row.on_time_share = None;
    }
    assert_eq!(enough(&table.rows), None);
    assert!(answer(&table.rows, None).contains("do not say"));
}

#[test]
fn the_table_is_one_object_and_its_columns_line_up() {
    let table = made_up(&[(2, &[0.6, 0.64]), (3, &[0.9, 0.88])]);
    let json = serde_json::to_value(&table).unwrap();
    assert_eq!(json["rows"][1]["benches"], 3);
    assert!((json["rows"][0]["on_time_share"]["mean"].as_f64().unwrap() - 0.62).abs() < 1e-9);
    assert!(json["rows"][0].get("on_time").is_none() && json.get("faults").is_none());
    let text = table.to_string();
    let widths: Vec<usize> = text.lines().skip(2).take(3).map(|line| line.chars().count()).collect();
    assert!(widths.windows(2).all(|pair| pair[0] == pair[1]), "{text}");
}
