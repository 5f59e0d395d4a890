//! One row of a journal, as the checker reads it.

use serde::{Deserialize, Serialize};

use crate::lines::{self, BadLines};

/// One event as it is stored. As a line of JSON: the same field names, `hash` as 64 hexadecimal digits or null,
/// `body` as a string that holds the stored text byte for byte.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Row {
    /// Its number: 1 for the first, without gaps.
    pub seq: u64,
    /// When it was recorded: microseconds since 1970-01-01T00:00:00Z.
    pub at_us: i64,
    /// When it happened, on the same scale.
    pub happened_at_us: i64,
    /// The job that it belongs to.
    #[serde(default)]
    pub job: Option<u64>,
    /// The station that caused it.
    pub station: String,
    /// The event as JSON text.
    pub body: String,
    /// The stored hash of the chain, when the row comes with one.
    #[serde(default, with = "lines::hex::maybe")]
    pub hash: Option<[u8; 32]>,
}

/// Reads a journal from lines of JSON, one row each; blank lines are passed over.
///
/// # Errors
/// [`BadLines`] names the lines that cannot be read.
pub fn read_rows(text: &str) -> Result<Vec<Row>, BadLines> {
    lines::read(text)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::to_lines;

    fn row() -> Row {
        Row {
            seq: 7,
            at_us: 20,
            happened_at_us: -10,
            job: Some(5),
            station: "bench 2".into(),
            body: "{\"kind\":\"found_dry\",\n\"v\":1,\"job\":5, \"é\":\"\\\"\"}".into(),
            hash: Some([0xa5; 32]),
        }
    }

    #[test]
    fn rows_come_back_byte_for_byte() {
        let rows = [row(), Row { hash: None, job: None, ..row() }];
        assert_eq!(read_rows(&to_lines(&rows)).unwrap(), rows);
    }

    #[test]
    fn a_short_hash_or_a_missing_field_is_named() {
        let text = to_lines(&[row()]);
        let short = text.replacen("a5", "", 1);
        let without = text.replacen("\"station\"", "\"stations\"", 1);
        let bad = read_rows(&format!("{text}{short}{without}")).unwrap_err();
        assert_eq!(bad.count, 2);
        assert!(bad.to_string().contains("line 2: expected 64 hexadecimal digits"), "{bad}");
        assert!(bad.to_string().contains("line 3: missing field `station`"), "{bad}");
    }
}
