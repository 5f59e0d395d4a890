//! Properties that hold for random batches: both stores keep the same rows under the same hashes, and no byte
//! of a body can be changed unnoticed.

#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::*;

prop_compose! {
    fn some_event()(
        at_us: i64, happened_at_us: i64, job in proptest::option::of(1..=i64::MAX as u64),
        station in ".{0,12}", kind in "[a-z ]{1,12}", v: u16, said in ".{0,40}"
    ) -> EventRow {
        let body = serde_json::json!({"kind": kind, "v": v, "said": said}).to_string();
        EventRow { seq: 0, at_us, happened_at_us, job, station, kind, v, body }
    }
}

prop_compose! {
    fn some_batch()(
        events in proptest::collection::vec(some_event(), 0..6),
        texts in proptest::collection::vec((any::<bool>(), ".{0,20}"), 0..4),
        answers in proptest::collection::vec((any::<i64>(), ".{0,12}", ".{0,30}"), 0..4)
    ) -> Batch {
        let texts = texts.into_iter().map(|(person, text)| {
            let class = if person { TextClass::Person } else { TextClass::Note };
            TextRow { id: 0, class, text }
        });
        let answers = answers.into_iter().map(|(at_us, station, answer)| {
            AnswerRow { request_id: [0; 16], at_us, station, fields: "{}".into(), answer }
        });
        Batch { events, texts: texts.collect(), answers: answers.collect() }
    }
}

/// Numbers the rows on from one batch to the next, as a desk does.
fn number(batches: &mut [Batch]) {
    let (mut seq, mut text, mut request) = (0_u64, 0_u64, 0_u128);
    for batch in batches {
        batch.events.iter_mut().for_each(|row| {
            seq += 1;
            row.seq = seq;
        });
        batch.texts.iter_mut().for_each(|row| {
            text += 1;
            row.id = text;
        });
        batch.answers.iter_mut().for_each(|row| {
            request += 1;
            row.request_id = request.to_be_bytes();
        });
    }
}

/// Everything that a reader can see.
fn content(journal: &mut dyn Journal) -> (Head, Batch, ChainReport) {
    let mut reader = journal.reader().unwrap();
    let rows = Batch {
        events: reader.events(0, usize::MAX).unwrap(),
        texts: reader.texts(0, usize::MAX).unwrap(),
        answers: reader.answers(None, usize::MAX).unwrap(),
    };
    (journal.head().unwrap(), rows, reader.verify_chain().unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn both_stores_keep_the_same(mut batches in proptest::collection::vec(some_batch(), 1..6)) {
        number(&mut batches);
        let folder = tempfile::tempdir().unwrap();
        let mut sqlite = SqliteJournal::open(folder.path()).unwrap();
        let mut memory = MemoryStore::new(1, Faults::default());
        let mut rows = Batch::default();
        for batch in &batches {
            prop_assert_eq!(suite::write(&mut sqlite, batch), suite::write(&mut memory, batch));
            rows.events.extend(batch.events.iter().cloned());
            rows.texts.extend(batch.texts.iter().cloned());
            rows.answers.extend(batch.answers.iter().cloned());
        }
        let kept = content(&mut sqlite);
        prop_assert_eq!(&kept, &content(&mut memory));
        prop_assert_eq!(&kept.1, &rows);
        prop_assert_eq!(kept.2, ChainReport { events: kept.0.seq, hash: kept.0.hash, broken: None });
        drop(sqlite);
        prop_assert_eq!(SqliteJournal::open(folder.path()).unwrap().head().unwrap(), kept.0);
    }

    #[test]
    fn no_byte_of_a_body_changes_unnoticed(
        rows in proptest::collection::vec(some_event(), 1..8), which: prop::sample::Index,
        byte: prop::sample::Index, bits in 1..=127_u8
    ) {
        let mut batches = [Batch { events: rows, ..Batch::default() }];
        number(&mut batches);
        let rows = &batches[0].events;
        let mut check = chain::ChainCheck::default();
        let mut hash = GENESIS;
        let meddled = which.index(rows.len());
        for (index, row) in rows.iter().enumerate() {
            hash = next_hash(&hash, row);
            let mut row = row.clone();
            if index == meddled {
                let mut bytes = row.body.into_bytes();
                let at = byte.index(bytes.len());
                bytes[at] ^= bits;
                // What is no text any more could not even be stored as one.
                let Ok(body) = String::from_utf8(bytes) else { return Ok(()) };
                row.body = body;
            }
            let whole = check.take(&row, &hash).is_continue();
            prop_assert_eq!(whole, index < meddled);
            if !whole {
                break;
            }
        }
        let found = check.report().broken.map(|found| found.seq);
        prop_assert_eq!(found, Some(meddled as u64 + 1));
    }
}
