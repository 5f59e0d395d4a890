//! Check characters by ISO/IEC 7064. The standard itself was not at hand; the five systems here agree with
//! check characters printed elsewhere (`tests/reference/planning/codes-published.csv`).
//!
//! Tags use MOD 11,10. The others stand here so that the arithmetic is held against more than one system.

use thiserror::Error;

/// Longest body that is looked at, in bytes.
pub const BODY_MAX: usize = 64;

/// A system of the standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum System {
    /// Pure, digits, one check character of 0 to 9 or X.
    Mod11_2,
    /// Pure, digits and capital letters, one check character of 0 to 9, A to Z or `*`.
    Mod37_2,
    /// Pure, digits and capital letters (A as 10 up to Z as 35, two digits each), two check digits.
    Mod97_10,
    /// Hybrid, digits, one check digit.
    Mod11_10,
    /// Hybrid, digits and capital letters, one check character of 0 to 9 or A to Z.
    Mod37_36,
}

/// Why a body has no check character.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum BodyProblem {
    /// Nothing to check.
    #[error("there is nothing before the check character")]
    Empty,
    /// Longer than [`BODY_MAX`].
    #[error("it is longer than {BODY_MAX} characters")]
    TooLong,
    /// A character that the system does not know.
    #[error("{0:?} has no place in it")]
    Stranger(char),
}

impl System {
    /// How many check characters it has.
    pub fn width(self) -> usize {
        if self == Self::Mod97_10 { 2 } else { 1 }
    }

    /// The check characters for a body.
    pub fn check(self, body: &str) -> Result<String, BodyProblem> {
        if body.is_empty() {
            return Err(BodyProblem::Empty);
        }
        if body.len() > BODY_MAX {
            return Err(BodyProblem::TooLong);
        }
        let values = body.chars().map(|c| self.value(c)).collect::<Result<Vec<_>, _>>()?;
        Ok(match self {
            Self::Mod11_2 => sign(pure(&values, 11), 10, 'X'),
            Self::Mod37_2 => sign(pure(&values, 37), 36, '*'),
            Self::Mod97_10 => format!("{:02}", two_digits(&values)),
            Self::Mod11_10 => sign(hybrid(&values, 10), 10, 'X'),
            Self::Mod37_36 => sign(hybrid(&values, 36), 36, '*'),
        })
    }

    /// Whether a code, check characters and all, agrees with itself.
    pub fn agrees(self, code: &str) -> bool {
        let Some(at) = code.len().checked_sub(self.width()) else { return false };
        let Some((body, check)) = code.split_at_checked(at) else { return false };
        self.check(body).is_ok_and(|right| right == check)
    }

    fn value(self, c: char) -> Result<u32, BodyProblem> {
        let radix = match self {
            Self::Mod11_2 | Self::Mod11_10 => 10,
            Self::Mod37_2 | Self::Mod97_10 | Self::Mod37_36 => 36,
        };
        // Capital letters only: `to_digit` would take small ones too.
        if c.is_ascii_lowercase() { None } else { c.to_digit(radix) }.ok_or(BodyProblem::Stranger(c))
    }
}

/// Pure system of radix 2: the weighted sum of all, check character included, leaves 1 modulo `modulus`.
fn pure(values: &[u32], modulus: u32) -> u32 {
    let sum = values.iter().fold(0, |sum, value| (sum + value) * 2 % modulus);
    (modulus + 1 - sum) % modulus
}

/// Hybrid system of modulus `n` and `n + 1`: the last step leaves 1 modulo `n`.
fn hybrid(values: &[u32], n: u32) -> u32 {
    let last = values.iter().fold(n, |product, value| {
        let sum = match (product + value) % n {
            0 => n,
            sum => sum,
        };
        sum * 2 % (n + 1)
    });
    (n + 1 - last) % n
}

/// MOD 97-10: the whole, read as one decimal number with its two check digits, leaves 1.
fn two_digits(values: &[u32]) -> u32 {
    let number = values.iter().fold(0, |number, value| {
        let places = if *value < 10 { 10 } else { 100 };
        (number * places + value) % 97
    });
    98 - number * 100 % 97
}

/// The character for a value; `extra` for the value just beyond the radix.
fn sign(value: u32, radix: u32, extra: char) -> String {
    char::from_digit(value, radix).map_or(extra, |c| c.to_ascii_uppercase()).to_string()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use proptest::prelude::*;

    use super::*;

    const PUBLISHED: &str = include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/reference/planning/codes-published.csv"
    ));
    const COMPUTED: &str = include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/reference/planning/codes-computed.csv"
    ));

    const ALL: [System; 5] =
        [System::Mod11_2, System::Mod37_2, System::Mod97_10, System::Mod11_10, System::Mod37_36];

    fn system(name: &str) -> System {
        match name {
            "mod_11_2" => System::Mod11_2,
            "mod_37_2" => System::Mod37_2,
            "mod_97_10" => System::Mod97_10,
            "mod_11_10" => System::Mod11_10,
            "mod_37_36" => System::Mod37_36,
            other => panic!("unknown system {other}"),
        }
    }

    /// System, body, check characters, and the rest of the line.
    fn rows(csv: &'static str) -> Vec<(System, &'static str, &'static str, &'static str)> {
        let split = |line: &'static str| {
            let mut fields = line.splitn(4, ',');
            let mut next = || fields.next().unwrap();
            (system(next()), next(), next(), next())
        };
        csv.lines().skip(1).map(split).collect()
    }

    /// Held against check characters printed elsewhere; each row names its place.
    #[test]
    fn every_published_check_agrees() {
        let rows = rows(PUBLISHED);
        for (system, body, check, source) in &rows {
            assert_eq!(system.check(body).as_deref(), Ok(*check), "{body}: {source}");
            assert!(system.agrees(&format!("{body}{check}")), "{body}");
        }
        assert!(ALL.iter().all(|system| rows.iter().any(|row| row.0 == *system)), "a system is not held");
    }

    /// Held against python-stdnum's values; the spoilt code differs in one character.
    #[test]
    fn every_computed_check_agrees_and_every_spoilt_code_is_refused() {
        for (system, body, check, spoilt) in rows(COMPUTED) {
            assert_eq!(system.check(body).as_deref(), Ok(check), "{body}");
            assert!(system.agrees(&format!("{body}{check}")), "{body}");
            assert!(!system.agrees(spoilt), "{spoilt}");
        }
    }

    #[test]
    fn strangers_and_the_empty_are_refused() {
        assert_eq!(System::Mod11_10.check(""), Err(BodyProblem::Empty));
        assert_eq!(System::Mod11_10.check("12A"), Err(BodyProblem::Stranger('A')));
        assert_eq!(System::Mod37_36.check("12a"), Err(BodyProblem::Stranger('a')));
        assert_eq!(System::Mod97_10.check(&"1".repeat(1_000_000)), Err(BodyProblem::TooLong));
        assert!(!System::Mod97_10.agrees("1") && !System::Mod11_2.agrees("079é"));
    }

    proptest! {
        #[test]
        fn any_text_gets_an_answer(code in "\\PC*") {
            for system in ALL {
                // A text that agrees has a body whose check is its end.
                if system.agrees(&code) {
                    let (body, check) = code.split_at(code.len() - system.width());
                    prop_assert_eq!(system.check(body).unwrap(), check);
                }
            }
        }
    }
}
