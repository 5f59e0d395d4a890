//! Tests of the simulated disk, held against what [`Faults`] and [`MemoryDisk`] promise.

#![allow(clippy::unwrap_used)]

use super::*;
use crate::journal::suite::{Ground, answer, events, journal_suite, text, write};

struct OnDisk(MemoryDisk);

impl OnDisk {
    fn new() -> Self {
        Self(MemoryDisk::new(1, Faults::default()))
    }
}

impl Ground for OnDisk {
    fn open(&self) -> Box<dyn Journal> {
        Box::new(self.0.open())
    }

    fn meddle_with_body(&self, seq: u64, body: &str) {
        self.0.hold().events[seq as usize - 1].row.body = body.to_owned();
    }

    fn forget_text(&self, id: u64) {
        self.0.hold().texts.get_mut(&id).unwrap().text.clear();
    }

    fn spoil_snapshot(&self, seq: u64) {
        self.0.hold().snapshots.get_mut(&seq).unwrap().0[0] ^= 1;
    }
}

journal_suite!(OnDisk::new());

fn always(fault: fn(&mut Faults) -> &mut u16) -> Faults {
    let mut faults = Faults::default();
    *fault(&mut faults) = 1000;
    faults
}

#[test]
fn refused_batch_leaves_nothing() {
    let mut store = MemoryStore::new(1, always(|faults| &mut faults.not_written));
    assert!(matches!(store.append(0, 0, &events(1..=2)), Append::NotWritten(NotWritten::Other(_))));
    assert_eq!(store.head().unwrap().seq, 0);
    store.disk().set_faults(Faults::default());
    assert_eq!(write(&mut store, &events(1..=2)).seq, 2);
}

#[test]
fn full_disk_refuses_until_there_is_room() {
    let mut store = MemoryStore::new(1, Faults::default());
    store.disk().set_full(true);
    assert!(matches!(store.append(0, 0, &events(1..=2)), Append::NotWritten(NotWritten::DiskFull(_))));
    store.disk().set_full(false);
    assert_eq!(write(&mut store, &events(1..=2)).seq, 2);
    let counts = store.disk().counts();
    assert_eq!((counts.written, counts.not_written), (1, 1));
}

#[test]
fn unknown_batch_is_there_or_not_after_reopening() {
    for (faults, seq) in
        [(always(|faults| &mut faults.unknown_written), 2), (always(|faults| &mut faults.unknown_lost), 0)]
    {
        let mut store = MemoryStore::new(1, faults);
        let batch = Batch { texts: vec![text(1)], answers: vec![answer(1)], ..events(1..=2) };
        assert!(matches!(store.append(0, 0, &batch), Append::Unknown(_)));
        assert!(matches!(store.head(), Err(JournalError::MustReopen)));
        assert!(matches!(store.answer(&[1; 16]), Err(JournalError::MustReopen)));
        assert!(matches!(store.append(0, 0, &batch), Append::NotWritten(NotWritten::MustReopen)));
        assert_eq!(store.reopen().unwrap().seq, seq);
        assert_eq!(store.answer(&[1; 16]).unwrap().is_some(), seq == 2);
    }
}

#[test]
fn crash_loses_what_was_never_acknowledged() {
    let mut store = MemoryStore::new(1, Faults::default());
    let head = write(&mut store, &events(1..=3));
    let disk = store.disk();
    disk.set_faults(always(|faults| &mut faults.unknown_written));
    assert!(matches!(store.append(0, 3, &events(4..=5)), Append::Unknown(_)));
    disk.crash();
    disk.set_faults(Faults::default());
    assert_eq!(store.reopen().unwrap(), head);
    disk.crash();
    assert!(matches!(store.append(0, 3, &events(4..=4)), Append::NotWritten(NotWritten::MustReopen)));
    assert_eq!(disk.open().head().unwrap(), head, "what was acknowledged survives");
    assert_eq!(disk.counts().crashes, 2);
}

#[test]
fn second_writer_fences_the_first() {
    let mut first = MemoryStore::new(1, Faults::default());
    assert_eq!(first.raise_epoch().unwrap(), 1);
    write(&mut first, &events(1..=1));
    let mut second = first.disk().open();
    assert_eq!(second.raise_epoch().unwrap(), 2);
    assert!(matches!(first.append(1, 1, &events(2..=2)), Append::Fenced { epoch: 2 }));
    assert_eq!(write(&mut second, &events(2..=2)).seq, 2);
}

#[test]
fn same_seed_fails_the_same_way() {
    let faults = Faults {
        not_written: 200,
        unknown_written: 100,
        unknown_lost: 100,
        delayed: 500,
        longest_delay_us: 9_000,
    };
    let run = |seed| {
        let mut store = MemoryStore::new(seed, faults);
        let mut told = Vec::new();
        for _ in 0..300 {
            let seq = store.reopen().unwrap().seq;
            told.push(match store.append(0, seq, &events(seq + 1..=seq + 1)) {
                Append::Written(_) => 'w',
                Append::NotWritten(_) => 'n',
                Append::Fenced { .. } => 'f',
                Append::Unknown(_) => 'u',
            });
        }
        (told, store.disk().counts(), store.reopen().unwrap())
    };
    assert_eq!(run(7), run(7));
    assert_ne!(run(7).0, run(8).0);
    let counts = run(7).1;
    assert_eq!(counts.written + counts.not_written + counts.unknown, 300);
    assert!(counts.written > 0 && counts.not_written > 0 && counts.unknown > 0 && counts.delay_us > 0);
}
