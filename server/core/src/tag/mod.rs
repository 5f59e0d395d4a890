//! Tags: the preprinted digits that are tied to an item for one stay. Four digits and a check digit by
//! ISO/IEC 7064 MOD 11,10: digits only, so that a number pad is enough.
//!
//! The check digit catches every single wrong digit and 35 199 of the 35 999 swaps of two unlike
//! neighbours (97.8 %; a test counts them). What it cannot catch, the list of tags in use usually does.

pub mod iso7064;
mod slip;

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use thiserror::Error;

pub use slip::did_you_mean;

use iso7064::System;

/// Digits on a tag, the check digit included.
pub const TAG_DIGITS: usize = 5;
/// Highest number without its check digit; the lowest is 1.
pub const BODY_LAST: u16 = 9999;

/// Longest text that is read as a tag, in bytes.
const TYPED_MAX: usize = 64;

/// A tag whose digits agree. Holds the number without the check digit, 1 to 9999.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag(u16);

/// Why a text is no tag. Nothing was looked up or changed by reading it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum TagProblem {
    /// Nothing was given.
    #[error("no tag was given: type the five digits printed on it")]
    Empty,
    /// A character that is neither digit, space nor hyphen.
    #[error("{0:?} is not a digit: a tag has five digits and nothing else")]
    NotADigit(char),
    /// Not five digits; how many there were.
    #[error("a tag has five digits, and this has {0}")]
    Digits(usize),
    /// Too long to be a tag at all.
    #[error("this is far too long for a tag, which has five digits")]
    TooLong,
    /// The check digit does not agree.
    #[error("these digits do not agree with each other: one is wrong or two are swapped; read the tag again")]
    Check,
    /// The number is 0 or above 9999; no such tag is printed.
    #[error("no such tag is printed: they run from 0001 to 9999 before the check digit")]
    Outside,
}

impl Tag {
    /// The tag with this number, 1 to 9999.
    pub fn issue(body: u16) -> Result<Self, TagProblem> {
        if (1..=BODY_LAST).contains(&body) { Ok(Self(body)) } else { Err(TagProblem::Outside) }
    }

    /// Reads what was typed or scanned; spaces and hyphens anywhere, and what a scanner puts at the end, are
    /// skipped.
    pub fn parse(typed: &str) -> Result<Self, TagProblem> {
        let digits = typed_digits(typed)?;
        match digits.len() {
            0 => return Err(TagProblem::Empty),
            TAG_DIGITS => {}
            other => return Err(TagProblem::Digits(other)),
        }
        if !System::Mod11_10.agrees(&digits) {
            return Err(TagProblem::Check);
        }
        let body = digits[..TAG_DIGITS - 1].parse().map_err(|_| TagProblem::Outside)?;
        Self::issue(body)
    }

    /// The number without its check digit, 1 to 9999.
    pub fn body(self) -> u16 {
        self.0
    }

    /// The five digits as printed.
    pub fn digits(self) -> String {
        let body = format!("{:04}", self.0);
        // Four digits always have a check digit; were it otherwise, the tag would not be read back.
        let check = System::Mod11_10.check(&body).unwrap_or_default();
        body + &check
    }
}

/// The digits of a text, without spaces and hyphens.
fn typed_digits(typed: &str) -> Result<String, TagProblem> {
    if typed.len() > TYPED_MAX {
        return Err(TagProblem::TooLong);
    }
    let skipped = |c: &char| c.is_whitespace() || matches!(c, '-' | '\u{2010}' | '\u{2011}' | '\u{2013}');
    let digits = typed.chars().filter(|c| !skipped(c));
    digits.map(|c| if c.is_ascii_digit() { Ok(c) } else { Err(TagProblem::NotADigit(c)) }).collect()
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.digits())
    }
}

impl Serialize for Tag {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.digits())
    }
}

impl<'de> Deserialize<'de> for Tag {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests;
