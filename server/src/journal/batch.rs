//! What every store asks of a batch before it writes it.

use super::error::NotWritten;
use super::rows::{Batch, Head};

/// Longest field of a row in bytes: far above anything honest, and far below what the length prefix of the
/// hash could hold.
pub(super) const LONGEST_FIELD: usize = 16 * 1024 * 1024;

/// Checks that a batch continues the journal at `head`: event numbers without gaps, text numbers ascending,
/// no job 0, no field beyond [`LONGEST_FIELD`].
pub(super) fn check(head: &Head, batch: &Batch) -> Result<(), NotWritten> {
    let bad = |what: String| Err(NotWritten::BadBatch(what));
    for (row, seq) in batch.events.iter().zip(head.seq.saturating_add(1)..) {
        if row.seq != seq || i64::try_from(seq).is_err() {
            return bad(format!("an event is numbered {} where {seq} is next", row.seq));
        }
        if row.job.is_some_and(|job| job == 0 || i64::try_from(job).is_err()) {
            return bad(format!("event {seq} has a job number out of range"));
        }
        if row.station.len().max(row.kind.len()).max(row.body.len()) > LONGEST_FIELD {
            return bad(format!("event {seq} has a field longer than {LONGEST_FIELD} bytes"));
        }
    }
    check_texts(head, batch)?;
    for row in &batch.answers {
        if row.station.len().max(row.fields.len()).max(row.answer.len()) > LONGEST_FIELD {
            return bad(format!("an answer has a field longer than {LONGEST_FIELD} bytes"));
        }
    }
    Ok(())
}

fn check_texts(head: &Head, batch: &Batch) -> Result<(), NotWritten> {
    let mut last = head.text_id;
    for row in &batch.texts {
        if row.id <= last || i64::try_from(row.id).is_err() {
            return Err(NotWritten::BadBatch(format!("a text is numbered {} after {last}", row.id)));
        }
        if row.text.len() > LONGEST_FIELD {
            return Err(NotWritten::BadBatch(format!(
                "text {} is longer than {LONGEST_FIELD} bytes",
                row.id
            )));
        }
        last = row.id;
    }
    Ok(())
}
