//! From core events and texts to journal rows and back.

use std::sync::Arc;

use remise_core::armoury::record::{self, UnreadableEvent};
use remise_core::armoury::{Event, NewText, Recorded, TextClass};
use remise_core::ids::{Seq, TextId};
use remise_core::time::Stamp;

use crate::journal;

/// The row of an event.
pub fn row_of(recorded: &Recorded, station: &Arc<str>) -> journal::EventRow {
    journal::EventRow {
        seq: recorded.seq.0,
        at_us: recorded.at.0,
        happened_at_us: recorded.happened_at.0,
        job: recorded.event.job(recorded.seq).map(|job| job.0),
        station: String::from(&**station),
        kind: recorded.event.kind().to_owned(),
        v: recorded.event.version(),
        body: record::to_json(&recorded.event),
    }
}

/// The event of a row.
///
/// # Errors
/// A kind or a version that this server does not know, or a text that does not fit its kind.
pub fn event_of(row: &journal::EventRow) -> Result<Recorded, UnreadableEvent> {
    let event: Event = record::from_json(&row.kind, row.v, &row.body)?;
    Ok(Recorded { seq: Seq(row.seq), at: Stamp(row.at_us), happened_at: Stamp(row.happened_at_us), event })
}

pub(super) fn text_row_of(text: &NewText) -> journal::TextRow {
    let class = match text.class {
        TextClass::Person => journal::TextClass::Person,
        TextClass::Note => journal::TextClass::Note,
    };
    journal::TextRow { id: text.id.0, class, text: text.text.clone() }
}

/// The text of a row.
pub fn text_of(row: &journal::TextRow) -> NewText {
    let class = match row.class {
        journal::TextClass::Person => TextClass::Person,
        journal::TextClass::Note => TextClass::Note,
    };
    NewText { id: TextId(row.id), class, text: row.text.clone() }
}
