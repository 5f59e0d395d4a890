//! The simulated disk: what is on it, how it fails, and how a crash leaves it.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::MemoryStore;
use crate::journal::batch;
use crate::journal::chain::{GENESIS, Hash, next_hash};
use crate::journal::error::{Append, JournalError, NotWritten};
use crate::journal::rows::{AnswerRow, Batch, EventRow, Head, RequestId, TextRow};
use crate::journal::snapshot::{KEPT, Snapshot, checksum};

/// How often the disk fails, each in permille of the batches that it would otherwise write.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    /// The batch is refused.
    pub not_written: u16,
    /// The outcome stays unknown, and the batch is there once the journal is reopened.
    pub unknown_written: u16,
    /// The outcome stays unknown, and the batch is lost.
    pub unknown_lost: u16,
    /// The batch takes long. The delay is counted, not slept.
    pub delayed: u16,
    /// The longest delay, in microseconds.
    pub longest_delay_us: u32,
}

/// What the disk has done so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Batches acknowledged.
    pub written: u64,
    /// Batches refused by a fault or because the disk was full.
    pub not_written: u64,
    /// Batches whose outcome stayed unknown.
    pub unknown: u64,
    /// All delays together, in microseconds.
    pub delay_us: u64,
    /// Crashes.
    pub crashes: u64,
}

/// A handle to a simulated disk; clones are the same disk.
#[derive(Clone, Debug)]
pub struct MemoryDisk(Arc<Mutex<Platter>>);

/// The disk's content while it is locked.
pub(super) type Held<'a> = MutexGuard<'a, Platter>;

/// An event as it lies on the disk.
#[derive(Clone, Debug)]
pub(super) struct Stored {
    pub(super) row: EventRow,
    pub(super) hash: Hash,
}

#[derive(Debug)]
pub(super) struct Platter {
    pub(super) cycle: u64,
    pub(super) epoch: u64,
    pub(super) events: Vec<Stored>,
    pub(super) texts: BTreeMap<u64, TextRow>,
    pub(super) answers: BTreeMap<RequestId, AnswerRow>,
    pub(super) snapshots: BTreeMap<u64, (Vec<u8>, Hash)>,
    /// A batch whose outcome was not told: there once the journal is reopened, gone with a crash.
    in_doubt: Option<Batch>,
    full: bool,
    faults: Faults,
    counts: Counts,
    random: ChaCha8Rng,
}

impl MemoryDisk {
    /// A new, empty disk whose failures follow from `seed`.
    pub fn new(seed: u64, faults: Faults) -> Self {
        Self(Arc::new(Mutex::new(Platter {
            cycle: 0,
            epoch: 0,
            events: Vec::new(),
            texts: BTreeMap::new(),
            answers: BTreeMap::new(),
            snapshots: BTreeMap::new(),
            in_doubt: None,
            full: false,
            faults,
            counts: Counts::default(),
            random: ChaCha8Rng::seed_from_u64(seed),
        })))
    }

    /// Opens the journal on this disk, which settles a batch in doubt.
    pub fn open(&self) -> MemoryStore {
        let mut held = self.hold();
        if let Some(batch) = held.in_doubt.take() {
            held.put(&batch);
        }
        let cycle = held.cycle;
        drop(held);
        MemoryStore::on(self.clone(), cycle)
    }

    /// Cuts the power: what was never acknowledged is lost, and every writer must be reopened.
    pub fn crash(&self) {
        let mut held = self.hold();
        held.cycle += 1;
        held.counts.crashes += 1;
        held.in_doubt = None;
    }

    /// Changes how often the disk fails from now on.
    pub fn set_faults(&self, faults: Faults) {
        self.hold().faults = faults;
    }

    /// Fills the disk, or makes room on it.
    pub fn set_full(&self, full: bool) {
        self.hold().full = full;
    }

    /// What the disk has done so far.
    pub fn counts(&self) -> Counts {
        self.hold().counts
    }

    pub(super) fn hold(&self) -> Held<'_> {
        // A panic elsewhere leaves the platter whole: nothing here panics half way through a change.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What a disk does with a batch.
enum Fate {
    Write,
    Refuse,
    DoubtAndKeep,
    DoubtAndLose,
}

impl Platter {
    pub(super) fn head(&self) -> Head {
        let newest = self.events.last();
        Head {
            seq: self.events.len() as u64,
            hash: newest.map_or(GENESIS, |stored| stored.hash),
            epoch: self.epoch,
            at_us: newest.map_or(0, |stored| stored.row.at_us),
            text_id: self.texts.last_key_value().map_or(0, |(id, _)| *id),
        }
    }

    pub(super) fn append(&mut self, epoch: u64, expected: u64, batch: &Batch) -> Append {
        if self.epoch != epoch {
            return Append::Fenced { epoch: self.epoch };
        }
        if let Err(why) = self.check(expected, batch) {
            return Append::NotWritten(why);
        }
        match self.fate() {
            Fate::Write => {
                self.counts.written += 1;
                self.put(batch);
                Append::Written(self.head())
            }
            Fate::Refuse => {
                self.counts.not_written += 1;
                let said = "simulated".to_owned();
                let why = if self.full { NotWritten::DiskFull(said) } else { NotWritten::Other(said) };
                Append::NotWritten(why)
            }
            fate @ (Fate::DoubtAndKeep | Fate::DoubtAndLose) => {
                self.counts.unknown += 1;
                // Until somebody reopens, nobody can append: other writers of this disk are cut off, too.
                self.cycle += 1;
                self.in_doubt = matches!(fate, Fate::DoubtAndKeep).then(|| batch.clone());
                Append::Unknown("the simulated disk did not say whether it wrote the batch".to_owned())
            }
        }
    }

    fn check(&self, expected: u64, batch: &Batch) -> Result<(), NotWritten> {
        let head = self.head();
        if head.seq != expected {
            return Err(NotWritten::HeadMoved { expected, head: head.seq });
        }
        batch::check(&head, batch)?;
        let mut seen = std::collections::BTreeSet::new();
        let repeated = batch
            .answers
            .iter()
            .any(|row| self.answers.contains_key(&row.request_id) || !seen.insert(row.request_id));
        if repeated {
            return Err(NotWritten::BadBatch("a request is answered twice".to_owned()));
        }
        Ok(())
    }

    /// Draws twice for every batch, so that other faults leave the order of the draws as it is.
    fn fate(&mut self) -> Fate {
        let (fault, delay) = (self.random.next_u32() % 1000, self.random.next_u64());
        if delay % 1000 < u64::from(self.faults.delayed) {
            self.counts.delay_us += (delay / 1000) % (u64::from(self.faults.longest_delay_us) + 1);
        }
        let refuse = u32::from(self.faults.not_written);
        let keep = refuse + u32::from(self.faults.unknown_written);
        let lose = keep + u32::from(self.faults.unknown_lost);
        match fault {
            _ if self.full => Fate::Refuse,
            fault if fault < refuse => Fate::Refuse,
            fault if fault < keep => Fate::DoubtAndKeep,
            fault if fault < lose => Fate::DoubtAndLose,
            _ => Fate::Write,
        }
    }

    fn put(&mut self, batch: &Batch) {
        let mut hash = self.head().hash;
        for row in &batch.events {
            hash = next_hash(&hash, row);
            self.events.push(Stored { row: row.clone(), hash });
        }
        self.texts.extend(batch.texts.iter().map(|row| (row.id, row.clone())));
        self.answers.extend(batch.answers.iter().map(|row| (row.request_id, row.clone())));
    }

    pub(super) fn save_snapshot(&mut self, seq: u64, bytes: &[u8]) -> Result<(), JournalError> {
        let head = self.head().seq;
        let hash = self.hash_of(seq).ok_or(JournalError::SnapshotAhead { seq, head })?;
        self.snapshots.insert(seq, (bytes.to_vec(), checksum(seq, &hash, bytes)));
        while self.snapshots.len() > KEPT {
            self.snapshots.pop_first();
        }
        Ok(())
    }

    pub(super) fn load_snapshot(&self) -> Option<Snapshot> {
        self.snapshots.iter().rev().find_map(|(seq, (bytes, sum))| {
            let hash = self.hash_of(*seq)?;
            (*sum == checksum(*seq, &hash, bytes)).then(|| Snapshot { seq: *seq, bytes: bytes.clone() })
        })
    }

    fn hash_of(&self, seq: u64) -> Option<Hash> {
        match seq.checked_sub(1) {
            None => Some(GENESIS),
            Some(index) => self.events.get(usize::try_from(index).ok()?).map(|stored| stored.hash),
        }
    }
}
