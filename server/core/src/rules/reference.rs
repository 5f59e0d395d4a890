//! Holds every sourced check against its row in tests/reference/standards.md: operator, numbers, unit, rule,
//! status and source. The tables are read here on their own, without the code under test.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use super::{Asks, Bound, Check, Status, editions};

const REFERENCE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/standards.md"));

/// One table row; columns that a section does not have are empty.
#[derive(Default)]
struct Row {
    limit: String,
    unit: String,
    rule: String,
    status: String,
    source: String,
}

/// Every row of the lettered sections, by section, first and second column.
fn rows() -> BTreeMap<(char, String, String), Row> {
    let mut rows = BTreeMap::new();
    let mut section = None;
    for line in REFERENCE.lines() {
        if let Some(title) = line.strip_prefix("## ") {
            section = title.chars().next().filter(|_| title.chars().nth(1) == Some('.'));
        }
        let (Some(letter), Some(body)) = (section, line.strip_prefix('|')) else { continue };
        let cells: Vec<String> = body.trim_end_matches('|').split('|').map(|c| c.trim().to_owned()).collect();
        let cell = |at: usize| cells.get(at).cloned().unwrap_or_default();
        let mut row = Row { limit: cell(2), unit: cell(3), rule: cell(4), status: cell(5), source: cell(6) };
        if letter == 'B' {
            // "All rows status B, source MAT26", and no rule numbers.
            (row.rule, row.status, row.source) = ("-".to_owned(), "B".to_owned(), "MAT26".to_owned());
        }
        let twice = rows.insert((letter, cell(0), cell(1)), row).is_some();
        assert!(!twice || letter == 'B' || cell(0).starts_with("---") || cell(0) == "item", "{line}");
    }
    rows
}

fn row_of(check: &Check) -> Option<Row> {
    let key = check.row.as_ref()?;
    let found = rows().remove(&(key.section, key.item.clone(), key.quantity.clone()));
    Some(found.unwrap_or_else(|| panic!("{}: no such row in the reference: {key:?}", check.code)))
}

fn sourced() -> Vec<(&'static Check, Row)> {
    let checks = editions().iter().flat_map(|edition| &edition.checks);
    checks.filter_map(|check| row_of(check).map(|row| (check, row))).collect()
}

/// Plain decimal numbers in a text, in order.
fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .map(|word| word.trim_matches('.'))
        .filter(|word| !word.is_empty())
        .map(|word| word.parse().unwrap())
        .collect()
}

/// Smallest units in one published unit: milliohm, tenth of a gram, hundredth of a millimetre, millivolt.
fn smallest(unit: &str) -> f64 {
    match unit {
        "ohm" | "cm" | "V" => 1_000.0,
        "g" => 10.0,
        "kg" => 10_000.0,
        "mm" => 100.0,
        "m" => 100_000.0,
        other => panic!("unit {other}"),
    }
}

/// The bound that the limit cell words.
fn published(row: &Row) -> Bound {
    let numbers = numbers(&row.limit);
    let whole = |value: f64| (value * smallest(&row.unit)).round() as i64;
    let first = whole(numbers[0]);
    let starts = |words: &str| row.limit.starts_with(words);
    if starts("less than ") {
        Bound::LessThan(first)
    } else if starts("at most ") {
        Bound::AtMost(first)
    } else if starts("more than ") {
        Bound::MoreThan(first)
    } else if starts("at least ") {
        Bound::AtLeast(first)
    } else if row.limit.contains(" % either way") {
        let part = numbers[0] * numbers[1] / 100.0;
        Bound::Between(whole(numbers[0] - part), whole(numbers[0] + part))
    } else if row.limit.contains(" either way") {
        Bound::Between(whole(numbers[0] - numbers[1]), whole(numbers[0] + numbers[1]))
    } else {
        assert_eq!(row.limit.split_whitespace().nth(1), Some("to"), "{}", row.limit);
        Bound::Between(first, whole(numbers[1]))
    }
}

/// The letter that the status cell gives to the value, where it gives another to the rule number.
fn value_status(cell: &str) -> &str {
    let about_the_number = ["rule number", "cross-reference", "the numbers"];
    let letter = |clause: &'_ str| {
        ["A", "B", "C", "M"].into_iter().find(|l| clause.split([' ', '/']).next() == Some(l))
    };
    cell.split([';', ','])
        .map(str::trim)
        .filter(|clause| !about_the_number.iter().any(|words| clause.contains(words)))
        .find_map(letter)
        .unwrap_or(&cell[..1])
}

#[test]
fn every_limit_stands_in_the_reference_with_its_operator_and_number() {
    let limited: Vec<_> = sourced().into_iter().filter(|(check, _)| check.limit.is_some()).collect();
    for (check, row) in &limited {
        let limit = check.limit.unwrap();
        assert_eq!(limit.bound, published(row), "{}: {}", check.code, row.limit);
        assert_eq!(limit.unit.name(), row.unit, "{}", check.code);
    }
    let all = editions().iter().flat_map(|edition| &edition.checks).filter(|check| check.limit.is_some());
    assert_eq!(limited.len(), all.count(), "a number without a row");
}

#[test]
fn every_rule_status_and_source_stands_in_the_reference() {
    let sourced = sourced();
    for (check, row) in &sourced {
        let named = |cell: &str, none: &str| Some(cell.to_owned()).filter(|cell| cell != none);
        assert_eq!(check.rule, named(&row.rule, "-"), "{}", check.code);
        assert_eq!(check.status.code(), value_status(&row.status), "{}: {}", check.code, row.status);
        let source = if row.source == "-" { "none" } else { &row.source };
        assert_eq!(check.source.as_deref(), Some(source), "{}", check.code);
    }
    assert!(sourced.len() > 55, "{}", sourced.len());
}

/// A gauge, demand or title of a sourced check names no number that its row does not.
#[test]
fn numbers_in_words_stand_in_the_reference_too() {
    for (check, row) in sourced() {
        let key = check.row.as_ref().unwrap();
        let probe = if check.code.ends_with("_jacket_resistance") { "500" } else { "" };
        let known = numbers(&format!("{} {} {} {probe}", row.limit, key.quantity, key.item));
        let gauge = if let Asks::Gauge(gauge) = &check.asks { gauge.as_str() } else { "" };
        let said = numbers(&format!("{} {gauge} {}", check.demand.as_deref().unwrap_or(""), check.title));
        for number in said {
            assert!(known.contains(&number), "{}: {number} not in {known:?}", check.code);
        }
    }
}

/// The probe of 500 g that the titles of the jacket checks name.
#[test]
fn the_jacket_probe_stands_in_the_reference() {
    let row = rows().remove(&(
        'E',
        "jacket test probe".to_owned(),
        "mass of the metal probe slid on the cloth".to_owned(),
    ));
    let row = row.unwrap();
    assert_eq!((row.limit.as_str(), row.unit.as_str()), ("500", "g"));
}

#[test]
fn the_reader_of_statuses_tells_value_from_rule_number() {
    assert_eq!(value_status("C for 1 ohm, B for the rule numbers"), "C");
    assert_eq!(value_status("A for the rule number (t.72), M for 1 cm; B for 2 cm in 2002"), "M");
    assert_eq!(value_status("A for the cross-reference, C for 500 g, M for the 3 g"), "C");
    assert_eq!(value_status("A for the numbers"), "A");
}

#[test]
fn practice_has_neither_number_nor_rule() {
    for check in editions().iter().flat_map(|edition| &edition.checks) {
        if check.status == Status::Practice {
            assert!(check.limit.is_none() && check.rule.is_none() && check.row.is_none(), "{}", check.code);
        }
    }
}
