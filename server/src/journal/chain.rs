//! The hash chain over the event rows; its exact form stands in the [module documentation](super).

use std::fmt;
use std::ops::ControlFlow;

use serde::Deserialize;
use sha2::{Digest, Sha256};

use super::rows::EventRow;

/// A row's hash: SHA-256 over the row before and this one.
pub type Hash = [u8; 32];

/// The hash before the first event.
pub const GENESIS: Hash = [0; 32];

/// The hash of an event that follows one with the hash `before`.
pub fn next_hash(before: &Hash, row: &EventRow) -> Hash {
    let mut fixed = [0_u8; 64];
    fixed[..32].copy_from_slice(before);
    fixed[32..40].copy_from_slice(&row.seq.to_be_bytes());
    fixed[40..48].copy_from_slice(&row.at_us.to_be_bytes());
    fixed[48..56].copy_from_slice(&row.happened_at_us.to_be_bytes());
    fixed[56..].copy_from_slice(&row.job.unwrap_or(0).to_be_bytes());
    let mut sha = Sha256::new();
    sha.update(fixed);
    for field in [&row.station, &row.body] {
        sha.update((field.len() as u32).to_be_bytes());
        sha.update(field);
    }
    sha.finalize().into()
}

/// What checking a chain found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChainReport {
    /// How many events were found in order, before the first broken one.
    pub events: u64,
    /// Hash of the last of them. Note it elsewhere to be able to tell later that the newest were not cut off.
    pub hash: Hash,
    /// The first broken event, if any.
    pub broken: Option<Break>,
}

/// Where a chain breaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Break {
    /// Number of the first event that is not as it was written.
    pub seq: u64,
    /// In what way.
    pub fault: Fault,
}

/// In what way an event is not as it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// It is not there, though a later one is.
    Missing,
    /// Its bytes do not give its hash.
    Bytes,
    /// Its column `kind` is not its body's.
    Kind,
    /// Its column `v` is not its body's.
    Version,
}

impl fmt::Display for Break {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let seq = self.seq;
        match self.fault {
            Fault::Missing => write!(f, "event {seq} is missing"),
            Fault::Bytes => write!(f, "event {seq} is not as it was written: its bytes do not give its hash"),
            Fault::Kind => write!(f, "event {seq} is not as it was written: column kind is not the body's"),
            Fault::Version => write!(f, "event {seq} is not as it was written: column v is not the body's"),
        }
    }
}

/// What a body says of itself.
#[derive(Deserialize)]
struct Label {
    kind: Option<String>,
    v: Option<u64>,
}

/// Checks rows as they come in, ascending by number.
#[derive(Default)]
pub(super) struct ChainCheck {
    seq: u64,
    hash: Hash,
    broken: Option<Break>,
}

impl ChainCheck {
    /// Takes the next stored row; breaks where the chain does.
    pub(super) fn take(&mut self, row: &EventRow, stored: &Hash) -> ControlFlow<()> {
        let seq = self.seq + 1;
        let hash = next_hash(&self.hash, row);
        let fault = if row.seq != seq {
            Some(Fault::Missing)
        } else if hash != *stored {
            Some(Fault::Bytes)
        } else {
            label_fault(row)
        };
        if let Some(fault) = fault {
            self.broken = Some(Break { seq, fault });
            return ControlFlow::Break(());
        }
        (self.seq, self.hash) = (seq, hash);
        ControlFlow::Continue(())
    }

    /// What was found.
    pub(super) fn report(self) -> ChainReport {
        ChainReport { events: self.seq, hash: self.hash, broken: self.broken }
    }
}

/// Compares the unhashed columns with the body, where the body names them.
fn label_fault(row: &EventRow) -> Option<Fault> {
    let label: Label = serde_json::from_str(&row.body).ok()?;
    if label.kind.is_some_and(|kind| kind != row.kind) {
        return Some(Fault::Kind);
    }
    label.v.is_some_and(|v| v != u64::from(row.v)).then_some(Fault::Version)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn row(seq: u64) -> EventRow {
        EventRow {
            seq,
            at_us: 1,
            happened_at_us: -1,
            job: None,
            station: "counter".into(),
            kind: "noted".into(),
            v: 1,
            body: r#"{"kind":"noted","v":1}"#.into(),
        }
    }

    fn hex(hash: &Hash) -> String {
        use std::fmt::Write;
        hash.iter().fold(String::new(), |mut text, byte| {
            write!(text, "{byte:02x}").unwrap();
            text
        })
    }

    /// Held against the form in the module documentation, laid out by hand and hashed by another program
    /// (Python's hashlib), so that a change of the form cannot pass unnoticed.
    #[test]
    fn hash_has_the_documented_form() {
        let first = next_hash(&GENESIS, &row(1));
        assert_eq!(hex(&first), "ea9b5104be50e545ca63ab194e14c3410726a6cff4a6da8f099035979a2d0409");
        let second = next_hash(&first, &EventRow { job: Some(1), ..row(2) });
        assert_eq!(hex(&second), "3556e5d71cb135e9700e5c59f4a11030363f5e20d7ac6e08754f82837cc99b09");
    }

    /// Held against our own description: every hashed field matters, and fields cannot flow into each other.
    #[test]
    fn every_hashed_field_matters() {
        let base = next_hash(&GENESIS, &row(1));
        let others = [
            EventRow { seq: 2, ..row(1) },
            EventRow { at_us: 2, ..row(1) },
            EventRow { happened_at_us: 1, ..row(1) },
            EventRow { job: Some(1), ..row(1) },
            EventRow { station: "counte".into(), body: format!("r{}", row(1).body), ..row(1) },
            EventRow { body: r#"{"kind":"noted","v":2}"#.into(), ..row(1) },
        ];
        for other in others {
            assert_ne!(next_hash(&GENESIS, &other), base, "{other:?}");
        }
        assert_ne!(next_hash(&base, &row(1)), base);
    }

    #[test]
    fn first_break_is_named() {
        let first = next_hash(&GENESIS, &row(1));
        let third = next_hash(&first, &row(3));
        let mut check = ChainCheck::default();
        assert!(check.take(&row(1), &first).is_continue());
        assert!(check.take(&row(3), &third).is_break());
        let report = check.report();
        assert_eq!(report.broken, Some(Break { seq: 2, fault: Fault::Missing }));
        assert_eq!((report.events, report.hash), (1, first));
    }

    #[test]
    fn columns_are_compared_with_the_body() {
        let first = next_hash(&GENESIS, &row(1));
        for (other, fault) in [
            (EventRow { kind: "called off".into(), ..row(1) }, Fault::Kind),
            (EventRow { v: 2, ..row(1) }, Fault::Version),
        ] {
            let mut check = ChainCheck::default();
            assert!(check.take(&other, &first).is_break());
            assert_eq!(check.report().broken, Some(Break { seq: 1, fault }));
        }
    }
}
