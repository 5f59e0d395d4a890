//! One suite that every store passes. It is held against the contract in the [module documentation](super)
//! and in the traits; a store brings a [`Ground`] and calls [`journal_suite!`].

#![allow(clippy::unwrap_used)]

use super::*;

/// A place where a store keeps one journal, and ways to meddle with it behind the journal's back.
pub(super) trait Ground {
    /// Opens what is there.
    fn open(&self) -> Box<dyn Journal>;
    /// Replaces the stored body of an event, leaving its hash.
    fn meddle_with_body(&self, seq: u64, body: &str);
    /// Blanks a stored text.
    fn forget_text(&self, id: u64);
    /// Changes a byte of a stored snapshot, leaving its checksum.
    fn spoil_snapshot(&self, seq: u64);
}

/// Runs every check of the suite as a test of its own, each on new ground.
macro_rules! journal_suite {
    ($new:expr) => {
        $crate::journal::suite::journal_suite!($new;
            rows_read_back, batch_is_indivisible, another_head_is_refused, numbers_must_follow,
            older_epochs_are_fenced, answers_are_found, answers_stand_alone, texts_lie_apart,
            forgetting_a_text_keeps_the_chain, chain_bites, reopening_keeps_the_head, reader_sees_only_committed,
            fold_goes_on_from_anywhere, fold_stops_at_an_error, snapshots_come_back, spoilt_snapshots_are_passed_over,
            snapshot_ahead_is_refused, backup_is_a_journal);
    };
    ($new:expr; $($check:ident),+) => {
        $(
            #[test]
            fn $check() {
                $crate::journal::suite::$check(&$new);
            }
        )+
    };
}
pub(super) use journal_suite;

pub(super) fn event(seq: u64) -> EventRow {
    EventRow {
        seq,
        at_us: 1_000 * seq as i64,
        happened_at_us: 1_000 * seq as i64 - 7,
        job: (!seq.is_multiple_of(3)).then_some(seq.div_ceil(3)),
        station: format!("bench {}", seq % 4),
        kind: "tested".into(),
        v: 1,
        body: format!(r#"{{"kind":"tested","v":1,"n":{seq},"said":"é ✓"}}"#),
    }
}

pub(super) fn events(seqs: std::ops::RangeInclusive<u64>) -> Batch {
    Batch { events: seqs.map(event).collect(), ..Batch::default() }
}

pub(super) fn text(id: u64) -> TextRow {
    let class = if id.is_multiple_of(2) { TextClass::Note } else { TextClass::Person };
    TextRow { id, class, text: format!("text {id}") }
}

pub(super) fn answer(n: u8) -> AnswerRow {
    AnswerRow {
        request_id: [n; 16],
        at_us: i64::from(n),
        station: "strip 7".into(),
        fields: r#"{"tag":"0123456789abcdef"}"#.into(),
        answer: format!(r#"{{"job":{n}}}"#),
    }
}

pub(super) fn write(journal: &mut dyn Journal, batch: &Batch) -> Head {
    let head = journal.head().unwrap();
    match journal.append(head.epoch, head.seq, batch) {
        Append::Written(head) => head,
        other => panic!("not written: {other:?}"),
    }
}

fn refused(outcome: &Append) -> &NotWritten {
    match outcome {
        Append::NotWritten(why) => why,
        other => panic!("not refused: {other:?}"),
    }
}

fn all(reader: &mut dyn JournalReader) -> Vec<EventRow> {
    reader.events(0, usize::MAX).unwrap()
}

pub(super) fn rows_read_back(ground: &dyn Ground) {
    let mut journal = ground.open();
    assert_eq!(journal.head().unwrap(), Head::default());
    let batch =
        Batch { events: (1..=5).map(event).collect(), texts: vec![text(1)], answers: vec![answer(9)] };
    let head = write(journal.as_mut(), &batch);
    let hash = batch.events.iter().fold(GENESIS, |hash, row| next_hash(&hash, row));
    assert_eq!(head, Head { seq: 5, hash, epoch: 0, at_us: 5_000, text_id: 1 });
    assert_eq!(journal.head().unwrap(), head);
    write(journal.as_mut(), &events(6..=7));
    let mut reader = journal.reader().unwrap();
    assert_eq!(all(reader.as_mut()), (1..=7).map(event).collect::<Vec<_>>());
    assert_eq!(reader.events(2, 3).unwrap(), (3..=5).map(event).collect::<Vec<_>>());
    assert_eq!(reader.events(7, 3).unwrap(), []);
    assert_eq!(reader.events(u64::MAX, 3).unwrap(), []);
    assert_eq!(reader.job_events(1).unwrap(), [event(1), event(2)]);
    assert_eq!(reader.job_events(99).unwrap(), []);
    assert_eq!(reader.head().unwrap().seq, 7);
    // An exchange of tags belongs to both of its jobs.
    let body = r#"{"kind":"tags_exchanged","v":1,"a":1,"b":88}"#.to_owned();
    let exchange = EventRow { kind: "tags_exchanged".to_owned(), job: Some(1), body, ..event(8) };
    write(journal.as_mut(), &Batch { events: vec![exchange.clone()], ..Batch::default() });
    assert_eq!(reader.job_events(88).unwrap(), std::slice::from_ref(&exchange));
    assert_eq!(reader.job_events(1).unwrap().last(), Some(&exchange));
}

pub(super) fn batch_is_indivisible(ground: &dyn Ground) {
    let mut journal = ground.open();
    let first = Batch { events: vec![event(1)], texts: vec![text(1)], answers: vec![answer(1)] };
    let head = write(journal.as_mut(), &first);
    // Its last row repeats an answer, so the rows before it must not stay either.
    let second = Batch { events: vec![event(2)], texts: vec![text(2)], answers: vec![answer(2), answer(1)] };
    let outcome = journal.append(0, 1, &second);
    assert!(matches!(refused(&outcome), NotWritten::BadBatch(_)), "{outcome:?}");
    let twice = Batch { answers: vec![answer(3), answer(3)], ..Batch::default() };
    assert!(matches!(refused(&journal.append(0, 1, &twice)), NotWritten::BadBatch(_)));
    assert_eq!(journal.head().unwrap(), head);
    assert_eq!(journal.answer(&[2; 16]).unwrap(), None);
    let mut reader = journal.reader().unwrap();
    assert_eq!(all(reader.as_mut()), [event(1)]);
    assert_eq!(reader.texts(0, 9).unwrap(), [text(1)]);
    write(journal.as_mut(), &Batch { answers: vec![answer(2)], ..second });
    assert_eq!(journal.answer(&[2; 16]).unwrap(), Some(answer(2)));
}

pub(super) fn another_head_is_refused(ground: &dyn Ground) {
    let mut journal = ground.open();
    write(journal.as_mut(), &events(1..=2));
    for expected in [1, 3] {
        let outcome = journal.append(0, expected, &events(expected + 1..=expected + 1));
        assert_eq!(*refused(&outcome), NotWritten::HeadMoved { expected, head: 2 });
    }
    assert_eq!(journal.head().unwrap().seq, 2);
}

pub(super) fn numbers_must_follow(ground: &dyn Ground) {
    let mut journal = ground.open();
    let fresh = Batch { texts: vec![text(3)], ..events(1..=1) };
    write(journal.as_mut(), &fresh);
    let bad = [
        events(3..=3),
        Batch { events: vec![event(2), event(2)], ..Batch::default() },
        Batch { events: vec![EventRow { job: Some(0), ..event(2) }], ..Batch::default() },
        Batch { events: vec![EventRow { job: Some(u64::MAX), ..event(2) }], ..Batch::default() },
        Batch { texts: vec![text(3)], ..Batch::default() },
        Batch { texts: vec![text(5), text(4)], ..Batch::default() },
        Batch { texts: vec![text(u64::MAX)], ..Batch::default() },
        Batch {
            events: vec![EventRow { body: " ".repeat(batch::LONGEST_FIELD + 1), ..event(2) }],
            ..Batch::default()
        },
    ];
    for batch in &bad {
        assert!(matches!(refused(&journal.append(0, 1, batch)), NotWritten::BadBatch(_)));
    }
    assert_eq!(journal.head().unwrap().seq, 1);
    assert_eq!(journal.reader().unwrap().texts(0, 9).unwrap(), [text(3)]);
}

pub(super) fn older_epochs_are_fenced(ground: &dyn Ground) {
    let mut journal = ground.open();
    assert_eq!(journal.raise_epoch().unwrap(), 1);
    assert_eq!(journal.raise_epoch().unwrap(), 2);
    assert_eq!(journal.head().unwrap().epoch, 2);
    for epoch in [0, 1, 3] {
        let outcome = journal.append(epoch, 0, &events(1..=1));
        assert!(matches!(outcome, Append::Fenced { epoch: 2 }), "{outcome:?}");
    }
    assert_eq!(journal.head().unwrap().seq, 0);
    assert!(matches!(journal.append(2, 0, &events(1..=1)), Append::Written(_)));
    drop(journal);
    assert_eq!(ground.open().head().unwrap().epoch, 2, "the epoch is kept");
}

pub(super) fn answers_are_found(ground: &dyn Ground) {
    let mut journal = ground.open();
    assert_eq!(journal.answer(&[1; 16]).unwrap(), None);
    let rows: Vec<_> = [5, 1, 200].map(answer).into();
    write(journal.as_mut(), &Batch { answers: rows, ..events(1..=1) });
    for n in [1, 5, 200] {
        assert_eq!(journal.answer(&[n; 16]).unwrap(), Some(answer(n)));
    }
    assert_eq!(journal.answer(&[2; 16]).unwrap(), None);
    let mut reader = journal.reader().unwrap();
    assert_eq!(reader.answers(None, 2).unwrap(), [answer(1), answer(5)]);
    assert_eq!(reader.answers(Some(&[5; 16]), 9).unwrap(), [answer(200)]);
    assert_eq!(reader.answers(Some(&[255; 16]), 9).unwrap(), []);
}

pub(super) fn answers_stand_alone(ground: &dyn Ground) {
    let mut journal = ground.open();
    let before = write(journal.as_mut(), &events(1..=1));
    let after = write(journal.as_mut(), &Batch { answers: vec![answer(1)], ..Batch::default() });
    assert_eq!(before, after);
    assert_eq!(journal.answer(&[1; 16]).unwrap(), Some(answer(1)));
}

pub(super) fn texts_lie_apart(ground: &dyn Ground) {
    let mut journal = ground.open();
    let plain = write(journal.as_mut(), &events(1..=1));
    let texts = vec![text(1), text(2), text(7)];
    assert_eq!(write(journal.as_mut(), &Batch { texts, ..Batch::default() }).hash, plain.hash);
    let mut reader = journal.reader().unwrap();
    assert_eq!(reader.texts(0, 2).unwrap(), [text(1), text(2)]);
    assert_eq!(reader.texts(2, 2).unwrap(), [text(7)]);
    assert_eq!(journal.head().unwrap().text_id, 7);
}

pub(super) fn forgetting_a_text_keeps_the_chain(ground: &dyn Ground) {
    let mut journal = ground.open();
    let head = write(journal.as_mut(), &Batch { texts: vec![text(1)], ..events(1..=3) });
    drop(journal);
    ground.forget_text(1);
    let mut reader = ground.open().reader().unwrap();
    assert_eq!(reader.texts(0, 9).unwrap(), [TextRow { text: String::new(), ..text(1) }]);
    assert_eq!(reader.verify_chain().unwrap(), ChainReport { events: 3, hash: head.hash, broken: None });
}

pub(super) fn chain_bites(ground: &dyn Ground) {
    let mut journal = ground.open();
    assert_eq!(
        journal.reader().unwrap().verify_chain().unwrap(),
        ChainReport { events: 0, hash: GENESIS, broken: None }
    );
    let head = write(journal.as_mut(), &events(1..=9));
    let whole = journal.reader().unwrap().verify_chain().unwrap();
    assert_eq!(whole, ChainReport { events: 9, hash: head.hash, broken: None });
    drop(journal);
    ground.meddle_with_body(6, &event(6).body.replace("tested", "tasted"));
    ground.meddle_with_body(4, &event(5).body);
    let found = ground.open().reader().unwrap().verify_chain().unwrap();
    assert_eq!(found.broken, Some(Break { seq: 4, fault: Fault::Bytes }));
    assert_eq!(found.events, 3);
}

pub(super) fn reopening_keeps_the_head(ground: &dyn Ground) {
    let mut journal = ground.open();
    let head = write(journal.as_mut(), &Batch { texts: vec![text(4)], ..events(1..=3) });
    assert_eq!(journal.reopen().unwrap(), head);
    drop(journal);
    let mut journal = ground.open();
    assert_eq!(journal.head().unwrap(), head);
    journal.checkpoint().unwrap();
    assert_eq!(write(journal.as_mut(), &events(4..=4)).seq, 4);
    journal.checkpoint().unwrap();
    assert_eq!(journal.head().unwrap().seq, 4);
    assert_eq!(journal.reader().unwrap().verify_chain().unwrap().events, 4);
}

pub(super) fn reader_sees_only_committed(ground: &dyn Ground) {
    let mut journal = ground.open();
    let mut reader = journal.reader().unwrap();
    assert_eq!(reader.head().unwrap().seq, 0);
    write(journal.as_mut(), &events(1..=2));
    assert_eq!(reader.head().unwrap().seq, 2);
    let bad = Batch { answers: vec![answer(1), answer(1)], ..events(3..=3) };
    refused(&journal.append(0, 2, &bad));
    assert_eq!(reader.head().unwrap().seq, 2);
    let elsewhere = std::thread::spawn(move || all(reader.as_mut()).len());
    assert_eq!(elsewhere.join().unwrap(), 2);
}

pub(super) fn fold_goes_on_from_anywhere(ground: &dyn Ground) {
    // More than a chunk of either store, so that the seam between chunks is passed.
    const MANY: u64 = 9_000;
    let mut journal = ground.open();
    write(journal.as_mut(), &events(1..=MANY));
    let mut reader = journal.reader().unwrap();
    for after in [0, 1, 4_095, 4_096, MANY, MANY + 5] {
        let (seqs, last) = fold::<_, JournalError>(reader.as_mut(), after, Vec::new(), |seqs, row| {
            assert_eq!(*row, event(row.seq));
            seqs.push(row.seq);
            Ok(())
        })
        .unwrap();
        assert_eq!(seqs, (after + 1..=MANY).collect::<Vec<_>>());
        assert_eq!(last, after.max(MANY));
    }
}

pub(super) fn fold_stops_at_an_error(ground: &dyn Ground) {
    let mut journal = ground.open();
    write(journal.as_mut(), &events(1..=9));
    let mut visited = 0;
    let folded = fold(journal.reader().unwrap().as_mut(), 0, (), |(), row| {
        visited = row.seq;
        if row.seq == 4 { Err(JournalError::Damaged { what: "test".into() }) } else { Ok(()) }
    });
    assert!(matches!(folded, Err(JournalError::Damaged { .. })));
    assert_eq!(visited, 4);
}

pub(super) fn snapshots_come_back(ground: &dyn Ground) {
    let mut journal = ground.open();
    assert_eq!(journal.load_snapshot().unwrap(), None);
    journal.save_snapshot(0, b"empty").unwrap();
    assert_eq!(journal.load_snapshot().unwrap(), Some(Snapshot { seq: 0, bytes: b"empty".into() }));
    write(journal.as_mut(), &events(1..=5));
    for seq in [2, 5] {
        journal.save_snapshot(seq, &[seq as u8; 9]).unwrap();
    }
    journal.save_snapshot(5, b"five again").unwrap();
    drop(journal);
    let newest = ground.open().load_snapshot().unwrap();
    assert_eq!(newest, Some(Snapshot { seq: 5, bytes: b"five again".into() }));
}

pub(super) fn spoilt_snapshots_are_passed_over(ground: &dyn Ground) {
    let mut journal = ground.open();
    write(journal.as_mut(), &events(1..=5));
    for seq in [1, 3, 5] {
        journal.save_snapshot(seq, &[seq as u8; 9]).unwrap();
    }
    drop(journal);
    ground.spoil_snapshot(5);
    let older = ground.open().load_snapshot().unwrap();
    assert_eq!(older, Some(Snapshot { seq: 3, bytes: vec![3; 9] }));
    ground.spoil_snapshot(3);
    assert_eq!(ground.open().load_snapshot().unwrap(), None, "only two are kept");
}

pub(super) fn snapshot_ahead_is_refused(ground: &dyn Ground) {
    let mut journal = ground.open();
    write(journal.as_mut(), &events(1..=5));
    for seq in [6, u64::MAX] {
        let refused = journal.save_snapshot(seq, b"ahead");
        assert!(matches!(refused, Err(JournalError::SnapshotAhead { head: 5, .. })), "{refused:?}");
    }
    assert_eq!(journal.load_snapshot().unwrap(), None);
}

pub(super) fn backup_is_a_journal(ground: &dyn Ground) {
    let mut journal = ground.open();
    journal.raise_epoch().unwrap();
    let batch = Batch { texts: vec![text(1)], answers: vec![answer(1)], ..events(1..=9) };
    let head = write(journal.as_mut(), &batch);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(JOURNAL_FILE);
    assert_eq!(journal.backup_to(&path).unwrap(), head);
    let again = journal.backup_to(&path);
    assert!(matches!(again, Err(JournalError::Exists { .. })), "{again:?}");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing provisional stays");
    write(journal.as_mut(), &events(10..=10));
    let mut copy = SqliteReader::open(&path).unwrap();
    assert_eq!(all(&mut copy), batch.events);
    assert_eq!(copy.verify_chain().unwrap(), ChainReport { events: 9, hash: head.hash, broken: None });
    let mut opened = SqliteJournal::open(folder.path()).unwrap();
    assert_eq!(opened.head().unwrap(), head);
    assert_eq!(opened.answer(&[1; 16]).unwrap(), Some(answer(1)));
    assert_eq!(write(&mut opened, &events(10..=10)).seq, 10);
}
