//! What an armourer answers to a check.

use serde::{Deserialize, Serialize};

use super::reading::TEXT_MAX as READING_MAX;
use super::{Asks, Check, Reading, ReadingProblem, Unit};

/// The answer to a check, as it is journalled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// It holds: by gauge, by eye, or by a go/no-go tester without a figure.
    Passed,
    /// It does not hold. Also for a meter that shows no end.
    Failed,
    /// The value read, in smallest units of the check's unit.
    Reading(i64),
}

impl Answer {
    /// Reads `pass`, `fail`, or a reading in the check's unit.
    pub fn parse(text: &str, check: &Check) -> Result<Self, ReadingProblem> {
        // The length first: a 10 MB text must not be walked.
        let word = if text.len() <= READING_MAX { text.trim() } else { "" };
        if ["pass", "passed"].iter().any(|pass| word.eq_ignore_ascii_case(pass)) {
            return Ok(Self::Passed);
        }
        if ["fail", "failed"].iter().any(|fail| word.eq_ignore_ascii_case(fail)) {
            return Ok(Self::Failed);
        }
        let unit = check.unit().ok_or(ReadingProblem::NoFigureHere)?;
        Reading::parse(text, unit).map(|reading| Self::Reading(reading.value))
    }
}

impl Check {
    /// The unit of a reading, when the check can be answered with one.
    pub fn unit(&self) -> Option<Unit> {
        match (&self.asks, self.limit) {
            (Asks::Reading(unit), _) => Some(*unit),
            (_, Some(limit)) => Some(limit.unit),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::rules::edition;

    fn parse(text: &str, code: &str) -> Result<Answer, ReadingProblem> {
        Answer::parse(text, edition("fie-2026").unwrap().check(code).unwrap())
    }

    #[test]
    fn pass_fail_and_figures_are_read() {
        assert_eq!(parse("pass", "foil_point_weight"), Ok(Answer::Passed));
        assert_eq!(parse(" FAIL ", "foil_resistance"), Ok(Answer::Failed));
        assert_eq!(parse("1,8 ohm", "foil_resistance"), Ok(Answer::Reading(1800)));
        assert_eq!(parse("1.8 ohm", "steady_bend"), Err(ReadingProblem::NoFigureHere));
        assert_eq!(parse("maybe", "foil_resistance"), Err(ReadingProblem::NotANumber(Unit::Ohm)));
        let huge = " ".repeat(10_000_000);
        assert_eq!(parse(&huge, "foil_resistance"), Err(ReadingProblem::TooLong(Unit::Ohm)));
    }

    #[test]
    fn the_journalled_form_keeps_its_shape() {
        let text = serde_json::to_string(&[Answer::Passed, Answer::Failed, Answer::Reading(1800)]).unwrap();
        assert_eq!(text, r#"["passed","failed",{"reading":1800}]"#);
    }
}
