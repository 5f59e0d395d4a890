//! The result of a check, and the lines of a proof.

use super::{CLOSING, Reading, Status};

/// What an answer to a check means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// Whether the check is passed.
    pub pass: bool,
    /// Whether the limit is from memory: the result is a hint until someone has looked the value up.
    pub to_be_confirmed: bool,
    /// What was checked.
    pub title: String,
    /// The value read, when one was.
    pub reading: Option<Reading>,
    /// The limit, as it is said.
    pub limit: String,
    /// Rule number, when the source gives one.
    pub rule: Option<String>,
    /// Title of the edition.
    pub edition: String,
    /// How well the limit is known.
    pub status: Status,
}

impl Verdict {
    /// Whether the item must not go back as proved: a failed check whose limit is not to be confirmed first.
    pub fn refuses(&self) -> bool {
        !self.pass && !self.to_be_confirmed
    }

    /// One line: what was read, the result, and what it rests on.
    pub fn sentence(&self) -> String {
        let result = match (self.pass, self.to_be_confirmed) {
            (true, false) => "pass",
            (false, false) => "fail",
            (true, true) => "pass, to be confirmed",
            (false, true) => "fail, to be confirmed",
        };
        let subject = self.reading.map_or_else(|| self.title.clone(), |reading| reading.to_string());
        let mut grounds = vec![self.limit.clone()];
        if self.status != Status::Practice {
            grounds.push(self.rule.clone().unwrap_or_else(|| "no rule number".to_owned()));
            grounds.push(self.edition.clone());
        }
        grounds.push(self.status.to_string());
        format!("{subject}: {result} ({})", grounds.join(", "))
    }
}

/// The lines of a proof: one per verdict, and last that the competition's own weapon control decides.
pub fn proof_lines(verdicts: &[Verdict]) -> Vec<String> {
    let line = |verdict: &Verdict| match verdict.reading {
        Some(_) => format!("{}: {}", verdict.title, verdict.sentence()),
        None => verdict.sentence(),
    };
    verdicts.iter().map(line).chain([CLOSING.to_owned()]).collect()
}
