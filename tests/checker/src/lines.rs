//! JSON text, one thing a line: how rows and histories travel between programs. Bad lines are named.

use serde::Serialize;
use serde::de::DeserializeOwned;
use thiserror::Error;

/// How many bad lines an error names before it only counts them.
const NAMED: usize = 20;

/// A text with lines that cannot be read. Nothing of it was used.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{count} of its lines cannot be read ({}); nothing was judged; mend or remove them and try again", .named.join("; "))]
pub struct BadLines {
    /// How many lines are bad.
    pub count: usize,
    /// The first of them: `line 3: …`.
    pub named: Vec<String>,
}

/// Reads one thing from each line that is not blank.
pub(crate) fn read<T: DeserializeOwned>(text: &str) -> Result<Vec<T>, BadLines> {
    let mut things = Vec::new();
    let mut bad = BadLines { count: 0, named: Vec::new() };
    for (at, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        match serde_json::from_str(line) {
            Ok(thing) => things.push(thing),
            Err(why) => {
                bad.count += 1;
                if bad.named.len() < NAMED {
                    bad.named.push(format!("line {}: {why}", at + 1));
                }
            }
        }
    }
    if bad.count == 0 { Ok(things) } else { Err(bad) }
}

/// Writes things as [`read_rows`](crate::read_rows) and [`read_history`](crate::read_history) read them: one a
/// line, each line ended.
pub fn to_lines<'a, T: Serialize + 'a>(things: impl IntoIterator<Item = &'a T>) -> String {
    let mut text = String::new();
    for thing in things {
        text.push_str(
            &serde_json::to_string(thing).expect("rows and entries hold only what JSON can express"),
        );
        text.push('\n');
    }
    text
}

/// Bytes as lower-case hexadecimal digits.
pub(crate) mod hex {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub(crate) fn text(bytes: &[u8]) -> String {
        let digit = |value: u8| char::from_digit(u32::from(value), 16).unwrap_or('?');
        bytes.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect()
    }

    /// Reads exactly `N` bytes; hyphens, as in the usual form of a UUID, are passed over.
    pub(crate) fn read<const N: usize>(text: &str) -> Result<[u8; N], String> {
        let digits: Option<Vec<u8>> = text
            .chars()
            .filter(|digit| *digit != '-')
            .map(|digit| digit.to_digit(16).map(|value| value as u8))
            .collect();
        let digits = digits.filter(|digits| digits.len() == 2 * N);
        let digits = digits.ok_or_else(|| format!("expected {} hexadecimal digits", 2 * N))?;
        let mut bytes = [0; N];
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = pair[0] << 4 | pair[1];
        }
        Ok(bytes)
    }

    pub(crate) fn serialize<S: Serializer, const N: usize>(
        bytes: &[u8; N],
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&text(bytes))
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>, const N: usize>(
        deserializer: D,
    ) -> Result<[u8; N], D::Error> {
        read(&String::deserialize(deserializer)?).map_err(D::Error::custom)
    }

    /// The same for bytes that may be absent.
    pub(crate) mod maybe {
        use serde::{Deserialize, Deserializer, Serializer, de::Error};

        #[allow(clippy::ref_option)] // serde's calling convention
        pub(crate) fn serialize<S: Serializer, const N: usize>(
            bytes: &Option<[u8; N]>,
            serializer: S,
        ) -> Result<S::Ok, S::Error> {
            match bytes {
                Some(bytes) => serializer.serialize_str(&super::text(bytes)),
                None => serializer.serialize_none(),
            }
        }

        pub(crate) fn deserialize<'de, D: Deserializer<'de>, const N: usize>(
            deserializer: D,
        ) -> Result<Option<[u8; N]>, D::Error> {
            let text = Option::<String>::deserialize(deserializer)?;
            text.map(|text| super::read(&text)).transpose().map_err(D::Error::custom)
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn bad_lines_are_named_and_blank_ones_passed_over() {
        assert_eq!(read::<u8>("1\n\n2\n").unwrap(), [1, 2]);
        let bad = read::<u8>("1\nx\n\n300\n").unwrap_err();
        assert_eq!(bad.count, 2);
        assert!(bad.named[0].starts_with("line 2: ") && bad.named[1].starts_with("line 4: "), "{bad}");
    }

    #[test]
    fn an_endless_run_of_bad_lines_is_only_counted() {
        let bad = read::<u8>(&"x\n".repeat(5_000)).unwrap_err();
        assert_eq!((bad.count, bad.named.len()), (5_000, NAMED));
    }

    #[test]
    fn hexadecimal_text_of_another_length_is_refused() {
        assert_eq!(hex::read::<2>("0a-Ff").unwrap(), [0x0a, 0xff]);
        for bad in ["", "0a", "0a0b0c", "0a0g", "é€"] {
            assert!(hex::read::<2>(bad).is_err(), "{bad}");
        }
    }
}
