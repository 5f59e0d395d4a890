//! Bayes's rule over single faults.

/// The posterior over hypotheses that exclude each other: prior times the likelihood of each finding, made to sum to 1.
///
/// The prior may be given as weights. A likelihood of 0 rules a hypothesis out; when everything is ruled out the result
/// is empty: findings and hypotheses contradict each other.
pub fn posterior(prior: &[f64], likelihoods: &[Vec<f64>]) -> Vec<f64> {
    let mut p = prior.to_vec();
    if !normalise(&mut p) {
        return Vec::new();
    }
    for likelihood in likelihoods {
        for (p, l) in p.iter_mut().zip(likelihood) {
            *p *= l;
        }
        // After each finding, so that many findings do not underflow.
        if !normalise(&mut p) {
            return Vec::new();
        }
    }
    p
}

/// Makes weights sum to 1; false when they sum to nothing.
pub(super) fn normalise(p: &mut [f64]) -> bool {
    let sum: f64 = p.iter().sum();
    if !(sum.is_finite() && sum > 0.0) {
        return false;
    }
    for p in p.iter_mut() {
        *p /= sum;
    }
    true
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::reference_table::fields;

    const UPDATES: &str = include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/reference/planning/fault-updates.csv"
    ));
    const ORDERS: &str = include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/reference/planning/search-order.json"
    ));

    fn fraction(text: &str) -> f64 {
        match text.split_once('/') {
            Some((over, under)) => over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
            None => text.parse().unwrap(),
        }
    }

    /// `target:sensitivity:specificity:showed`.
    fn likelihood(check: &str, faults: usize) -> Vec<f64> {
        let parts: Vec<&str> = check.split(':').collect();
        let target: usize = parts[0].parse().unwrap();
        let shows = |fault| if fault == target { fraction(parts[1]) } else { 1.0 - fraction(parts[2]) };
        let chance = |fault| if parts[3] == "1" { shows(fault) } else { 1.0 - shows(fault) };
        (0..faults).map(chance).collect()
    }

    /// Held against posteriors from exact fractions.
    #[test]
    fn posteriors_of_the_reference() {
        let mut seen = 0;
        for line in UPDATES.lines().skip(1) {
            let row = fields(line);
            let prior: Vec<f64> = row[1].split(' ').map(fraction).collect();
            let checks: Vec<Vec<f64>> =
                row[2].split(' ').map(|check| likelihood(check, prior.len())).collect();
            let expected: Vec<f64> = row[3].split(' ').map(fraction).collect();
            let ours = posterior(&prior, &checks);
            assert_eq!(ours.len(), expected.len());
            for (ours, theirs) in ours.iter().zip(&expected) {
                assert!((ours - theirs).abs() < 1e-11, "case {}: {ours} {theirs}", row[0]);
            }
            seen += 1;
        }
        assert_eq!(seen, 10);
    }

    /// Held against a second set of posteriors, computed when the reference was made.
    #[test]
    fn more_posteriors_of_the_reference() {
        let all: serde_json::Value = serde_json::from_str(ORDERS).unwrap();
        let numbers = |value: &serde_json::Value| -> Vec<f64> {
            value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
        };
        for case in all["updates"].as_array().unwrap() {
            let check = |check: &serde_json::Value| -> Vec<f64> {
                let positive = check["positive"].as_bool().unwrap();
                let chances = numbers(&check["p_positive_given_fault"]);
                chances.into_iter().map(|p| if positive { p } else { 1.0 - p }).collect()
            };
            let checks: Vec<Vec<f64>> = case["checks"].as_array().unwrap().iter().map(check).collect();
            let ours = posterior(&numbers(&case["prior"]), &checks);
            for (ours, theirs) in ours.iter().zip(numbers(&case["posterior"])) {
                assert!((ours - theirs).abs() < 1e-12, "{ours} {theirs}");
            }
        }
    }

    #[test]
    fn a_contradiction_is_empty() {
        assert!(posterior(&[1.0, 1.0], &[vec![0.0, 1.0], vec![1.0, 0.0]]).is_empty());
        assert!(posterior(&[0.0], &[]).is_empty());
        assert_eq!(posterior(&[1.0, 3.0], &[]), [0.25, 0.75]);
    }
}
