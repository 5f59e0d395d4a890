//! The formulas of plain queues against every row of the tables, and against values printed elsewhere.

use remise_tests::queues::{cobham_waits, erlang_b, erlang_c, mg1_wait, mmc_empty, mmc_wait, mmc_waits_over};

use super::table::{Row, all};

const PUBLISHED: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/reference/planning/erlangc-published.csv"));

fn formula(row: &Row) -> f64 {
    let offered = row.load * f64::from(row.servers);
    match (row.model.as_str(), row.measure.as_str()) {
        ("M/M/c", "p_wait") => erlang_c(row.servers, offered),
        ("M/M/c", "mean_wait") => mmc_wait(row.servers, offered),
        ("M/M/c", "mean_queue_length") => offered * mmc_wait(row.servers, offered),
        ("M/M/c", "p_wait_over_1") => mmc_waits_over(row.servers, offered, 1.0),
        ("M/M/c", "p_wait_over_2") => mmc_waits_over(row.servers, offered, 2.0),
        ("M/G/1 log-normal", "mean_wait") => mg1_wait(row.load, row.cv.unwrap()),
        (_, "mean_wait") => cobham_waits(&row.classes())[row.class.unwrap() - 1],
        other => panic!("{other:?}"),
    }
}

/// Held against the table's formula column, which was computed by another program, and against its replications.
#[test]
fn every_row_of_the_table_has_the_formulas_value() {
    let (mut outside, rows) = (0, all());
    for row in &rows {
        let own = formula(row);
        assert!((own - row.formula).abs() <= 2e-9 * row.formula.abs(), "{row:?}: {own}");
        let (mean, half) = row.replicated;
        outside += usize::from((own - mean).abs() > half);
    }
    assert_eq!(rows.len(), 239);
    assert!(outside <= 18, "about one in twenty lies outside its 95 % interval by chance, not {outside}");
}

/// A row's measure, with the mean service that its statement names, in the row's unit.
fn published(measure: &str, statement: &str, servers: u32, offered: f64) -> f64 {
    let wait = mmc_wait(servers, offered);
    let service = match statement {
        "rate 300 per year, mean service 2 days" => 2.0 / 365.0,
        "same" if measure.ends_with("years") => 2.0 / 365.0,
        "same" if measure.ends_with("minutes") => 1.5,
        "rate 30 per hour, mean service 1.5 min" => 1.5,
        "rate 1 per minute, mean service 45 s" => 0.75,
        "rate 3, service rate 5" => 0.2,
        "rate 1/10, service rate 1/20" => 20.0,
        "same" if measure.starts_with("M/M/3") => 20.0,
        _ => 1.0,
    };
    match measure.split(", ").next().unwrap().trim_start_matches("M/M/1 ").trim_start_matches("M/M/3 ") {
        "mean queue length" => offered * wait,
        "mean number in system" => offered * (wait + 1.0),
        "mean wait" => service * wait,
        "mean time in system" => service * (wait + 1.0),
        "p0" => mmc_empty(servers, offered),
        "Erlang B" => erlang_b(servers, offered),
        "Erlang C" => erlang_c(servers, offered),
        other => panic!("{other}"),
    }
}

/// Held against values printed in a book and in the tests of other programs, each with its place in the file. Rows that
/// do not agree with the formula are kept there as a warning and left out here.
#[test]
fn erlangs_formulas_give_what_is_printed_elsewhere() {
    let mut looked = 0;
    let mut rows = csv::Reader::from_reader(PUBLISHED.as_bytes());
    for row in rows.records().map(Result::unwrap) {
        let agrees = &row[6];
        if agrees == "no" {
            continue;
        }
        let own = published(&row[0], &row[3], row[1].parse().unwrap(), row[2].parse().unwrap());
        let printed = row[4].trim_start_matches("about ");
        let digits = printed.split_once('.').map_or(0, |(_, digits)| digits.len());
        let (last, printed) = (10_f64.powi(-(digits as i32)), printed.parse::<f64>().unwrap());
        let slack = 1e-9;
        let fits = match agrees {
            "rounded" => (own - printed).abs() <= last / 2.0 + slack,
            "cut" => own - printed >= -slack && own - printed < last,
            other => panic!("{other}"),
        };
        assert!(fits, "{row:?}: {own}");
        looked += 1;
    }
    assert_eq!(looked, 21);
}
