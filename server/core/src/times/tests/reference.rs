//! Held against `tests/reference/planning/nig*.csv`: computed with scipy, printed to 12 digits.

use super::super::Nig;

const CASES: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/planning/nig.csv"));
const STEPS: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/planning/nig-sequential.csv"));
const DATA: &str = include_str!(concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../tests/reference/planning/nig-sequential-data.csv"
));
const QUANTILES: [f64; 5] = [0.1, 0.5, 0.8, 0.9, 0.95];

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

fn minutes(text: &str) -> Vec<f64> {
    text.split_whitespace().map(|minutes| number(minutes).ln()).collect()
}

fn all_at_once(prior: Nig, ln: &[f64]) -> Nig {
    let n = ln.len() as f64;
    let mean = ln.iter().sum::<f64>() / n.max(1.0);
    prior.update(n, mean, ln.iter().map(|x| (x - mean).powi(2)).sum())
}

fn near(got: f64, want: f64, relative: f64, what: &str) {
    assert!((got - want).abs() <= relative * want.abs().max(1e-3), "{what}: {got} instead of {want}");
}

/// The belief and its five quantiles against the columns `m,k,a,b,minutes_q…`.
fn hold(belief: Nig, columns: &[&str], relative: f64, row: &str) {
    for (got, want) in [belief.m, belief.k, belief.a, belief.b].into_iter().zip(columns) {
        near(got, number(want), relative, row);
    }
    for (p, want) in QUANTILES.iter().zip(&columns[4..]) {
        near(belief.predictive().quantile_min(*p), number(want), relative, row);
    }
}

#[test]
fn beliefs_and_quantiles_agree_with_every_row() {
    let mut rows = 0;
    for row in CASES.lines().skip(1) {
        let columns: Vec<_> = row.split(',').collect();
        let [m, k, a, b] = [1, 2, 3, 4].map(|at| number(columns[at]));
        let data = minutes(columns[5]);
        hold(all_at_once(Nig { m, k, a, b }, &data), &columns[6..], 1e-9, row);
        // One at a time gives the same.
        let single = data.iter().fold(Nig { m, k, a, b }, |belief, x| belief.update(1.0, *x, 0.0));
        hold(single, &columns[6..], 1e-9, row);
        rows += 1;
    }
    assert_eq!(rows, 12);
}

#[test]
fn step_by_step_agrees_with_every_row() {
    let data: Vec<Vec<f64>> =
        DATA.lines().skip(1).map(|row| minutes(row.split_once(',').unwrap().1)).collect();
    let mut rows = 0;
    let mut start = Nig { m: 0.0, k: 1.0, a: 1.0, b: 1.0 };
    for row in STEPS.lines().skip(1) {
        let columns: Vec<_> = row.split(',').collect();
        let (case, seen): (usize, usize) = (columns[0].parse().unwrap(), columns[1].parse().unwrap());
        if seen == 0 {
            let [m, k, a, b] = [3, 4, 5, 6].map(|at| number(columns[at]));
            start = Nig { m, k, a, b };
        }
        hold(all_at_once(start, &data[case][..seen]), &columns[3..], 1e-9, row);
        rows += 1;
    }
    assert_eq!(rows, 42);
}
