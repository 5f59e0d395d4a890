//! Medians and the table that a benchmark prints.

use std::fmt::Write as _;

/// The median; the mean of the middle two where their number is even. 0 for none.
pub fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    match sorted.len() {
        0 => 0.0,
        odd if odd % 2 == 1 => sorted[middle],
        _ => f64::midpoint(sorted[middle - 1], sorted[middle]),
    }
}

/// Median over the rounds of the ratio within each round: noise that lasts longer than a round falls out of it.
pub fn median_ratio(ours: &[f64], theirs: &[f64]) -> f64 {
    let ratios: Vec<_> = ours.iter().zip(theirs).map(|(ours, theirs)| ours / theirs).collect();
    median(&ratios)
}

/// What a ratio should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// At most this.
    AtMost(f64),
    /// At least this.
    AtLeast(f64),
    /// Nobody set one.
    None,
}

impl Aim {
    /// Whether it is met.
    pub fn met(self, value: f64) -> bool {
        match self {
            Self::AtMost(most) => value <= most,
            Self::AtLeast(least) => value >= least,
            Self::None => true,
        }
    }
}

/// One line of the table.
#[derive(Clone, Debug)]
pub struct Line {
    /// What was measured, with its unit.
    pub what: String,
    /// Ours.
    pub ours: f64,
    /// What it is held against.
    pub other: f64,
    /// Ratio of the two.
    pub ratio: f64,
    /// What the ratio should be.
    pub aim: Aim,
    /// Whether a run with `--gate` fails on it.
    pub gate: bool,
}

impl Line {
    /// A line from the rounds of both sides.
    pub fn of(what: impl Into<String>, ours: &[f64], other: &[f64], aim: Aim) -> Self {
        let ratio = median_ratio(ours, other);
        Self { what: what.into(), ours: median(ours), other: median(other), ratio, aim, gate: false }
    }

    /// The same, and `--gate` looks at it.
    #[must_use]
    pub fn gated(self) -> Self {
        Self { gate: true, ..self }
    }
}

/// Writes the table.
pub fn table(other: &str, lines: &[Line]) -> String {
    let mut out = String::new();
    // Writing to a String cannot fail.
    let _ = writeln!(out, "{:<46} {:>11} {other:>11} {:>7}  aim", "median", "ours", "ratio");
    for line in lines {
        let aim = match line.aim {
            Aim::AtMost(most) => format!("<= {most}"),
            Aim::AtLeast(least) => format!(">= {least}"),
            Aim::None => String::new(),
        };
        let verdict = match line.aim {
            Aim::None => "",
            aim if aim.met(line.ratio) => "met",
            _ => "MISSED",
        };
        let _ = writeln!(
            out,
            "{:<46} {:>11} {:>11} {:>7.2}  {aim:<7} {verdict}",
            line.what,
            figure(line.ours),
            figure(line.other),
            line.ratio
        );
    }
    out
}

fn figure(value: f64) -> String {
    if value.abs() >= 100.0 { format!("{value:.0}") } else { format!("{value:.2}") }
}

/// Whether a line that `--gate` looks at misses its aim.
pub fn gate_fails(lines: &[Line]) -> bool {
    lines.iter().any(|line| line.gate && !line.aim.met(line.ratio))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians_are_taken_of_ratios_within_a_round() {
        // The machine was slow in the second round: both took longer, the ratio did not change.
        let line = Line::of("x", &[2.0, 20.0, 2.2], &[1.0, 10.0, 1.0], Aim::AtMost(2.1)).gated();
        assert!((line.ratio - 2.0).abs() < 1e-9);
        assert!((line.ours - 2.2).abs() < 1e-9);
        assert!(!gate_fails(&[line]));
        assert!((median(&[4.0, 1.0]) - 2.5).abs() < 1e-9);
    }

    #[test]
    fn a_missed_aim_is_said_and_fails_only_a_gated_line() {
        let line = Line::of("x", &[3.0], &[1.0], Aim::AtMost(1.6));
        assert!(table("bare", std::slice::from_ref(&line)).contains("MISSED"));
        assert!(!gate_fails(std::slice::from_ref(&line)));
        assert!(gate_fails(&[line.gated()]));
    }
}
