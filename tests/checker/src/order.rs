//! Numbers without gaps, recorded time that never goes back, nothing that happened in the future.

use crate::ledger::Ledger;
use crate::row::Row;

/// How far ahead of the journal's clock a device's may run: two minutes.
const AHEAD_US: i64 = 2 * 60 * 1_000_000;

/// Follows numbers and times along the rows.
#[derive(Debug, Default)]
pub(crate) struct Order {
    head: u64,
    at_us: Option<i64>,
}

impl Order {
    /// The last number taken in; 0 before the first.
    pub fn head(&self) -> u64 {
        self.head
    }

    /// Takes the next row in. `false` when it repeats a number or comes too late to be judged in its place.
    pub fn row(&mut self, row: &Row, ledger: &mut Ledger) -> bool {
        if row.seq <= self.head {
            let text = format!("the number is repeated or out of order: it comes after event {}", self.head);
            ledger.fault(row.seq, text);
            return false;
        }
        let expected = self.head.saturating_add(1);
        if row.seq > expected {
            ledger.absent(expected, row.seq - 1);
            ledger.fault(row.seq, format!("events {expected}–{} are missing before it", row.seq - 1));
        }
        self.head = row.seq;
        if let Some(before) = self.at_us.filter(|before| row.at_us < *before) {
            let back = before.saturating_sub(row.at_us);
            ledger.fault(row.seq, format!("recorded time goes back by {back} µs"));
        }
        self.at_us = self.at_us.max(Some(row.at_us));
        if row.happened_at_us > row.at_us.saturating_add(AHEAD_US) {
            ledger.fault(row.seq, "it happened more than two minutes after it was recorded");
        }
        true
    }
}
