//! A long invented history, made through the core's own decisions: items come in, are examined, mended, proven, made
//! ready and handed back, some five hundred of them at any time, sixteen events or so each.

use std::collections::VecDeque;
use std::path::Path;

use anyhow::{Result, anyhow, bail};
use remise_core::armoury::{
    Armoury, Command, Event, JobRef, Lasting, NewPromise, NewText, Recorded, Showed, TextClass, decide,
    record,
};
use remise_core::gear;
use remise_core::ids::{BenchId, ItemId, JobId, Seq};
use remise_core::rules::{self, Answer};
use remise_core::time::Stamp;
use remise_server::journal::{self, Append, Batch, EventRow, Journal, SqliteJournal, TextRow};

use super::room;

/// Jobs that lie open at any time.
pub const OPEN: usize = 500;
/// Fencers who take part.
const FENCERS: usize = 2_000;
/// Benches that work.
const BENCHES: u16 = 16;
/// Rows in one transaction.
const ROWS: usize = 5_000;
/// 2026-11-07T07:00:00Z, in an invented tournament.
const START: Stamp = Stamp(1_794_034_800_000_000);

/// A history in the making.
pub struct History {
    /// The armoury so far.
    pub room: Armoury,
    now: Stamp,
    rows: Batch,
    journal: Option<(SqliteJournal, u64)>,
    written: u64,
    waiting: VecDeque<JobId>,
    handed_in: usize,
    mended: usize,
}

impl History {
    /// A tournament that has just opened; with a folder, everything is journalled there.
    ///
    /// # Errors
    /// The folder cannot be written.
    pub fn new(folder: Option<&Path>) -> Result<Self> {
        let journal = match folder {
            None => None,
            Some(folder) => {
                let mut journal = SqliteJournal::open(folder)?;
                let epoch = journal.raise_epoch()?;
                Some((journal, epoch))
            }
        };
        let mut history = Self {
            room: Armoury::new(),
            now: START,
            rows: Batch::default(),
            journal,
            written: 0,
            waiting: VecDeque::new(),
            handed_in: 0,
            mended: 0,
        };
        let venue = room::venue(START, BENCHES);
        history.run(&Command::SetVenue { venue, armourers: Vec::new() })?;
        Ok(history)
    }

    /// Goes on until there are that many events; the last rows are written.
    ///
    /// # Errors
    /// The core refused something, or the journal cannot be written.
    pub fn go_on(&mut self, events: u64) -> Result<()> {
        while self.room.head.0 < events {
            self.hand_in()?;
            if self.waiting.len() > OPEN {
                self.mend()?;
            }
        }
        self.write()
    }

    /// Hands the next item in.
    ///
    /// # Errors
    /// The core refused it, or the journal cannot be written.
    pub fn hand_in(&mut self) -> Result<JobId> {
        let index = self.handed_in;
        self.handed_in += 1;
        let Command::HandIn(mut hand_in) = room::hand_in(index, self.now) else { bail!("no hand-in") };
        hand_in.whose = remise_core::armoury::Whose::Fencer(room::fencer(index * 7 % FENCERS));
        // Every other item has been here before.
        if index % 2 == 1
            && let Some(item) = self.known(hand_in.items[0].kind)
        {
            hand_in.items[0].item = Some(item);
        }
        let job = JobId(self.room.head.0 + 1);
        self.run(&Command::HandIn(hand_in))?;
        let likely = self.now.plus_min(20);
        self.run(&Command::SayPromises {
            promises: vec![NewPromise { job, likely, safe: None, raw: None }],
        })?;
        self.waiting.push_back(job);
        Ok(job)
    }

    /// An item of that kind that is not here now.
    fn known(&self, kind: gear::ItemKind) -> Option<ItemId> {
        let newest = self.room.items.values().rev().skip(2 * OPEN).take(60);
        let mut here = newest.filter(|item| item.kind == kind && !item.withdrawn);
        here.find(|item| item.stays.iter().all(|stay| self.room.job(*stay).is_none())).map(|item| item.id)
    }

    fn mend(&mut self) -> Result<()> {
        let Some(id) = self.waiting.pop_front() else { return Ok(()) };
        self.mended += 1;
        let job = JobRef::Job(id);
        let bench = BenchId(1 + (self.mended % usize::from(BENCHES)) as u16);
        self.run(&Command::Take { job, bench })?;
        let at_work = self.room.job(id).ok_or_else(|| anyhow!("job {id} is gone"))?.clone();
        let suspects = gear::prior(at_work.kind, at_work.complaint);
        let (fault, _) =
            suspects.first().ok_or_else(|| anyhow!("nothing can be wrong with {}", at_work.kind.code()))?;
        if let Some((other, _)) = suspects.get(1) {
            self.run(&Command::Find { job, fault: other.id.to_owned(), showed: Showed::Absent, note: None })?;
        }
        let found = Some("seen under the lamp".to_owned()).filter(|_| self.mended.is_multiple_of(4));
        self.run(&Command::Find { job, fault: fault.id.to_owned(), showed: Showed::Present, note: found })?;
        let repair = Some(fault.id.to_owned());
        self.run(&Command::Repair {
            job,
            work: fault.work,
            fault: repair,
            lasting: Lasting::Lasting,
            owed: None,
        })?;
        let edition = rules::edition("fie-2026").map_err(|why| anyhow!("{why}"))?;
        for check in edition.proof_for(at_work.kind, &[fault.work], false) {
            self.run(&Command::Prove { job, check: check.code.clone(), answer: Answer::Passed })?;
        }
        self.run(&Command::Ready { job })?;
        if let Some(notice) = self.room.job(id).and_then(|job| job.notice) {
            self.run(&Command::ConfirmNotice { notice: notice.id })?;
        }
        let to = at_work.fencer.map(|fencer| self.room.text(fencer).to_owned()).unwrap_or_default();
        self.run(&Command::HandBack { job, to })
    }

    fn run(&mut self, command: &Command) -> Result<()> {
        self.now = Stamp(self.now.0 + 1_000_000);
        let decision = decide(&self.room, command, self.now, self.now).map_err(|why| anyhow!("{why}"))?;
        for text in &decision.texts {
            self.room.learn_text(text);
            self.rows.texts.push(text_row(text));
        }
        for event in decision.events {
            let seq = Seq(self.room.head.0 + 1);
            let recorded = Recorded { seq, at: self.now, happened_at: self.now, event };
            self.room.apply(&recorded);
            if self.journal.is_some() {
                self.rows.events.push(event_row(&recorded));
            }
        }
        if self.rows.events.len() >= ROWS { self.write() } else { Ok(()) }
    }

    fn write(&mut self) -> Result<()> {
        let rows = std::mem::take(&mut self.rows);
        let Some((journal, epoch)) = &mut self.journal else { return Ok(()) };
        if rows.events.is_empty() {
            return Ok(());
        }
        match journal.append(*epoch, self.written, &rows) {
            Append::Written(head) => self.written = head.seq,
            other => bail!("the journal refused the invented history: {other:?}"),
        }
        Ok(journal.checkpoint()?)
    }
}

fn event_row(recorded: &Recorded) -> EventRow {
    let event: &Event = &recorded.event;
    EventRow {
        seq: recorded.seq.0,
        at_us: recorded.at.0,
        happened_at_us: recorded.happened_at.0,
        job: event.job(recorded.seq).map(|job| job.0),
        station: "bench 3".to_owned(),
        kind: event.kind().to_owned(),
        v: event.version(),
        body: record::to_json(event),
    }
}

fn text_row(text: &NewText) -> TextRow {
    let class = match text.class {
        TextClass::Person => journal::TextClass::Person,
        TextClass::Note => journal::TextClass::Note,
    };
    TextRow { id: text.id.0, class, text: text.text.clone() }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_invented_history_is_journalled_and_reads_back_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let mut history = History::new(Some(folder.path())).unwrap();
        history.go_on(4_000).unwrap();
        assert!(history.mended > 100 && history.room.jobs.len() >= OPEN);
        let room = history.room.clone();
        drop(history);
        let mut journal = SqliteJournal::open(folder.path()).unwrap();
        assert_eq!(remise_server::desk::load(&mut journal).unwrap(), room);
    }
}
