//! Whether the journal holds what clients were told: every accepted command with its events, under its own
//! station and for the jobs that the answer named.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::history::{ClientEntry, Outcome};
use crate::ledger::Ledger;
use crate::lines::hex;
use crate::row::Row;

/// An accepted command.
#[derive(Clone, Copy, Debug)]
struct Answer<'a> {
    entry: &'a ClientEntry,
    first: u64,
    last: u64,
    jobs: &'a [u64],
}

impl Answer<'_> {
    fn name(&self) -> String {
        let id = hex::text(&self.entry.request_id);
        format!(
            "{} of {} (request {id}, answered as {}–{})",
            self.entry.command, self.entry.client, self.first, self.last
        )
    }
}

/// An answer of whose events the first has come.
#[derive(Debug)]
struct Open<'a> {
    answer: Answer<'a>,
    /// How many of its events came.
    seen: u64,
    /// Jobs that they were about.
    touched: BTreeSet<u64>,
}

/// Goes through the accepted answers in step with the rows.
#[derive(Debug)]
pub(crate) struct Answers<'a> {
    ahead: VecDeque<Answer<'a>>,
    open: Vec<Open<'a>>,
}

impl<'a> Answers<'a> {
    pub fn new(history: &'a [ClientEntry], ledger: &mut Ledger) -> Self {
        let mut ahead: Vec<_> = accepted(history, ledger).into_iter().flat_map(said_once(ledger)).collect();
        ahead.sort_by_key(|answer| (answer.first, answer.last));
        Self { ahead: ahead.into(), open: Vec::new() }
    }

    /// Takes the next row in, with the jobs that its event is about.
    pub fn row(&mut self, row: &Row, jobs: &[u64], ledger: &mut Ledger) {
        while let Some(answer) = self.ahead.pop_front_if(|answer| answer.first <= row.seq) {
            self.begin(answer, ledger);
        }
        for open in &mut self.open {
            let answer = open.answer;
            if !(answer.first..=answer.last).contains(&row.seq) {
                continue;
            }
            open.seen += 1;
            open.touched.extend(jobs.iter().copied().chain(row.job));
            if row.station != answer.entry.client {
                ledger.lost_answer(answer.entry.request_id);
                ledger.fault(
                    row.seq,
                    format!("belongs to {}, yet stands there from {}", answer.name(), row.station),
                );
            }
        }
        self.open.retain(|open| {
            let done = open.answer.last <= row.seq;
            if done {
                close(open, ledger);
            }
            !done
        });
    }

    /// No row comes any more; `head` is the last number seen.
    pub fn end(mut self, head: u64, ledger: &mut Ledger) {
        let ahead = self.ahead.drain(..).map(|answer| Open { answer, seen: 0, touched: BTreeSet::new() });
        for open in self.open.into_iter().chain(ahead) {
            ledger.absent(open.answer.first.max(head.saturating_add(1)), open.answer.last);
            close(&open, ledger);
        }
    }

    fn begin(&mut self, answer: Answer<'a>, ledger: &mut Ledger) {
        if let Some(other) = self.open.iter().find(|open| open.answer.last >= answer.first) {
            ledger.lost_answer(answer.entry.request_id);
            let text = format!("was the answer both to {} and to {}", other.answer.name(), answer.name());
            ledger.fault(answer.first, text);
        }
        self.open.push(Open { answer, seen: 0, touched: BTreeSet::new() });
    }
}

fn close(open: &Open<'_>, ledger: &mut Ledger) {
    let answer = open.answer;
    if open.seen <= answer.last - answer.first {
        let text = format!("the journal lacks events of {}", answer.name());
        return ledger.fault(answer.first, text);
    }
    for job in answer.jobs.iter().filter(|job| !open.touched.contains(job)) {
        ledger.lost_answer(answer.entry.request_id);
        ledger.fault(
            answer.first,
            format!("{} named job {job}, of which its events say nothing", answer.name()),
        );
    }
}

/// The accepted answers that name events.
fn accepted<'a>(history: &'a [ClientEntry], ledger: &mut Ledger) -> Vec<Answer<'a>> {
    let mut answers = Vec::new();
    for entry in history {
        let Outcome::Accepted { first_seq: first, last_seq: last, jobs } = &entry.outcome else { continue };
        let answer = Answer { entry, first: *first, last: *last, jobs };
        // Nothing had to be recorded: both 0, or an empty stretch after the head.
        let empty = *last == 0 && *first == 0 || last.checked_add(1) == Some(*first);
        if (empty && !jobs.is_empty()) || (!empty && (*first == 0 || first > last)) {
            ledger.lost_answer(entry.request_id);
            ledger.fault(0, format!("{} names no events", answer.name()));
        } else if !empty {
            answers.push(answer);
        }
    }
    answers
}

/// Lets each request through once, and again only when it was answered otherwise the second time.
fn said_once<'a>(ledger: &mut Ledger) -> impl FnMut(Answer<'a>) -> Option<Answer<'a>> {
    let mut said: BTreeMap<[u8; 16], Answer<'a>> = BTreeMap::new();
    move |answer| {
        let Some(before) = said.insert(answer.entry.request_id, answer) else { return Some(answer) };
        if (before.first, before.last, before.jobs) == (answer.first, answer.last, answer.jobs) {
            return None;
        }
        let text = format!("one request was answered in two ways: {}; {}", before.name(), answer.name());
        ledger.fault(answer.first, text);
        Some(answer)
    }
}
