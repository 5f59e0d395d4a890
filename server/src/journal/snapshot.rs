//! Snapshots: disposable pictures of the state, bound to the history that they were taken of.

use sha2::{Digest, Sha256};

use super::chain::Hash;

/// How many snapshots a journal keeps: the newest, and one in case that one is spoilt.
pub(super) const KEPT: usize = 2;

/// A picture of the state after an event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Snapshot {
    /// The event.
    pub seq: u64,
    /// The state, in whatever form its owner gave it.
    pub bytes: Vec<u8>,
}

/// The checksum that is stored beside a snapshot. It covers the hash of the event that it was taken after, so
/// that a snapshot of another history is passed over like a spoilt one.
pub(super) fn checksum(seq: u64, event_hash: &Hash, bytes: &[u8]) -> Hash {
    let mut sha = Sha256::new();
    sha.update(seq.to_be_bytes());
    sha.update(event_hash);
    sha.update(bytes);
    sha.finalize().into()
}
