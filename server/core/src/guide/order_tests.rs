//! Orders of looks, held against brute force over all orders.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::reference_table::fields;

const TABLE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/planning/search-order.csv"));
const ORDERS: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/planning/search-order.json"));

fn numbers(text: &str) -> Vec<f64> {
    text.split(' ').map(|number| number.parse().unwrap()).collect()
}

/// `one fault` rows: the optimum of all orders. Equal ratios make other orders as good, so minutes are compared.
#[test]
fn falling_ratio_is_best_without_precedence() {
    let mut seen = 0;
    for line in TABLE.lines().skip(1).filter(|line| line.starts_with("one fault")) {
        let row = fields(line);
        let (p, c) = (numbers(&row[2]), numbers(&row[3]));
        let optimum: f64 = row[6].parse().unwrap();
        let ratio = ratio_order(&p, &c);
        assert!((expected_minutes(&p, &c, &ratio) - optimum).abs() < 1e-8, "{line}");
        let exact = exact_order(&p, &c, &[]).unwrap();
        assert!((expected_minutes(&p, &c, &exact) - optimum).abs() < 1e-8, "{line}");
        let listed: Vec<usize> = (0..p.len()).collect();
        assert!((expected_minutes(&p, &c, &listed) - row[8].parse::<f64>().unwrap()).abs() < 1e-8);
        seen += 1;
    }
    assert_eq!(seen, 10);
}

type Case = (Vec<f64>, Vec<f64>, Vec<(usize, usize)>, f64);

fn cases() -> Vec<Case> {
    let all: serde_json::Value = serde_json::from_str(ORDERS).unwrap();
    let floats = |value: &serde_json::Value| -> Vec<f64> {
        value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
    };
    let one = |case: &serde_json::Value| {
        let pair = |pair: &serde_json::Value| {
            (pair[0].as_u64().unwrap() as usize, pair[1].as_u64().unwrap() as usize)
        };
        let before = case["before"].as_array().unwrap().iter().map(pair).collect();
        (
            floats(&case["probability"]),
            floats(&case["minutes"]),
            before,
            case["expected_minutes"].as_f64().unwrap(),
        )
    };
    all["orders"].as_array().unwrap().iter().map(one).collect()
}

#[test]
fn orders_with_precedence_of_the_reference() {
    let cases = cases();
    assert_eq!(cases.iter().filter(|(_, _, before, _)| !before.is_empty()).count(), 7);
    for (p, c, before, optimum) in cases {
        let order = exact_order(&p, &c, &before).unwrap();
        assert!((expected_minutes(&p, &c, &order) - optimum).abs() < 1e-9, "{p:?}");
        for (first, then) in &before {
            let at = |look: &usize| order.iter().position(|it| it == look).unwrap();
            assert!(at(first) < at(then), "{order:?} {before:?}");
        }
    }
}

/// Blocks joined under what comes before them reach the optimum wherever each look comes after one other at most.
#[test]
fn joined_blocks_are_as_good_as_the_exact_order() {
    let mut rng = 0x9e37_79b9_7f4a_7c15_u64;
    let mut next = |below: usize| {
        rng = rng.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (rng >> 33) as usize % below
    };
    for _ in 0..200 {
        let n = 3 + next(6);
        let p: Vec<f64> = (0..n).map(|_| (1 + next(9)) as f64).collect();
        let sum: f64 = p.iter().sum();
        let p: Vec<f64> = p.iter().map(|p| p / sum).collect();
        let c: Vec<f64> = (0..n).map(|_| 0.5 * (1 + next(8)) as f64).collect();
        let after: Vec<Option<usize>> =
            (0..n).map(|look| if look > 0 && next(2) == 0 { Some(next(look)) } else { None }).collect();
        let before: Vec<(usize, usize)> =
            after.iter().enumerate().filter_map(|(look, first)| first.map(|first| (first, look))).collect();
        let mut below: Vec<Vec<Block>> = vec![Vec::new(); n + 1];
        for look in (0..n).rev() {
            let mut own = std::mem::take(&mut below[look]);
            join(Block::one(p[look], c[look], Some(look)), &mut own);
            below[after[look].unwrap_or(n)].append(&mut own);
        }
        sort(&mut below[n]);
        let (ours, left) = expected(&below[n], 1.0);
        let order = exact_order(&p, &c, &before).unwrap();
        let optimum = expected_minutes(&p, &c, &order);
        assert!(
            (ours - optimum).abs() < 1e-9 && left.abs() < 1e-9,
            "{ours} {optimum} {p:?} {c:?} {before:?}"
        );
    }
}

#[test]
fn what_cannot_be_ordered_is_told() {
    assert_eq!(exact_order(&[0.5, 0.5], &[1.0, 1.0], &[(0, 1), (1, 0)]), None);
    assert_eq!(exact_order(&[0.5], &[1.0], &[(0, 3)]), None);
    assert_eq!(exact_order(&[0.1; 17], &[1.0; 17], &[]), None);
    assert_eq!(exact_order(&[], &[], &[]), Some(Vec::new()));
}
