//! The hash chain, computed anew from the rows.
//!
//! ```text
//! hash(0) = 32 zero bytes
//! hash(n) = SHA-256( hash(n-1) || seq u64 || at_us i64 || happened_at_us i64 || job u64, 0 for none
//!                 || length of station u32 || station || length of body u32 || body )
//! ```
//! All numbers big-endian, lengths in bytes. The layout is the one that the server's journal documents.

use sha2::{Digest, Sha256};

use crate::lines::hex;
use crate::row::Row;

/// The hash before the first row.
pub const GENESIS: [u8; 32] = [0; 32];

/// The hash of a row that follows a row with the hash `before`.
pub fn next_hash(before: &[u8; 32], row: &Row) -> [u8; 32] {
    let mut sha = Sha256::new();
    sha.update(before);
    sha.update(row.seq.to_be_bytes());
    sha.update(row.at_us.to_be_bytes());
    sha.update(row.happened_at_us.to_be_bytes());
    sha.update(row.job.unwrap_or(0).to_be_bytes());
    for text in [&row.station, &row.body] {
        // A text too long for its length field cannot have been hashed by any writer; it then differs anyway.
        sha.update(u32::try_from(text.len()).unwrap_or(u32::MAX).to_be_bytes());
        sha.update(text.as_bytes());
    }
    sha.finalize().into()
}

/// The hash of the last of these rows; [`GENESIS`] for none. Two journals with one hash hold the same rows.
pub fn journal_sha256<'a>(rows: impl IntoIterator<Item = &'a Row>) -> [u8; 32] {
    rows.into_iter().fold(GENESIS, |before, row| next_hash(&before, row))
}

/// Follows the chain along the rows.
#[derive(Debug)]
pub(crate) struct ChainWatch {
    /// Stored hash of the newest row, or the computed one where none is stored.
    head: [u8; 32],
    rows: u64,
    hashed: u64,
}

impl Default for ChainWatch {
    fn default() -> Self {
        Self { head: GENESIS, rows: 0, hashed: 0 }
    }
}

impl ChainWatch {
    /// Takes the next row in; says what is wrong with its link.
    pub(crate) fn row(&mut self, row: &Row) -> Option<String> {
        let own = next_hash(&self.head, row);
        self.rows += 1;
        self.hashed += u64::from(row.hash.is_some());
        self.head = row.hash.unwrap_or(own);
        if self.hashed > 0 && row.hash.is_none() {
            return Some("the row carries no hash although rows before it do".into());
        }
        (self.head != own).then(|| {
            let (stored, own) = (hex::text(&self.head[..6]), hex::text(&own[..6]));
            format!("the stored hash {stored}… is not that of the row and what stands before it ({own}…)")
        })
    }

    /// How many rows had a hash to check, and the newest hash.
    pub(crate) fn end(&self) -> (u64, [u8; 32]) {
        (self.hashed, self.head)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(seq: u64) -> Row {
        let body = r#"{"kind":"bench_back","v":1,"bench":2}"#.to_owned();
        Row { seq, at_us: 258, happened_at_us: -1, job: None, station: "b2".into(), body, hash: None }
    }

    /// Held against the documented layout, spelt out by hand, and SHA-256 of FIPS 180-4 by its crate.
    #[test]
    fn the_layout_is_the_documented_one() {
        let row = Row { job: Some(5), body: "{}".into(), ..row(1) };
        let mut bytes = vec![0_u8; 32];
        bytes.extend([0, 0, 0, 0, 0, 0, 0, 1]);
        bytes.extend([0, 0, 0, 0, 0, 0, 1, 2]);
        bytes.extend([255; 8]);
        bytes.extend([0, 0, 0, 0, 0, 0, 0, 5]);
        bytes.extend([0, 0, 0, 2, b'b', b'2', 0, 0, 0, 2, b'{', b'}']);
        assert_eq!(next_hash(&GENESIS, &row)[..], Sha256::digest(&bytes)[..]);
    }

    #[test]
    fn every_field_is_covered() {
        let first = row(1);
        let others = [
            Row { seq: 2, ..row(1) },
            Row { at_us: 259, ..row(1) },
            Row { happened_at_us: 0, ..row(1) },
            Row { job: Some(1), ..row(1) },
            Row { station: "b3".into(), ..row(1) },
            Row { body: "{}".into(), ..row(1) },
        ];
        for other in &others {
            assert_ne!(journal_sha256([&first]), journal_sha256([other]), "{other:?}");
        }
        assert_eq!(journal_sha256([]), GENESIS);
    }

    #[test]
    fn one_spoilt_row_is_named_once_and_a_lost_hash_too() {
        let mut rows = vec![row(1), row(2), row(3)];
        let mut before = GENESIS;
        for row in &mut rows {
            before = next_hash(&before, row);
            row.hash = Some(before);
        }
        let breaks = |rows: &[Row]| {
            let mut watch = ChainWatch::default();
            rows.iter().filter(|row| watch.row(row).is_some()).map(|row| row.seq).collect::<Vec<_>>()
        };
        assert!(breaks(&rows).is_empty());
        rows[1].body = rows[1].body.replace('2', "3");
        assert_eq!(breaks(&rows), [2]);
        rows[1] = row(2);
        assert_eq!(breaks(&rows), [2]);
    }
}
