//! From a journal to the armoury: the newest snapshot, the names, then the events since.

use std::sync::Arc;

use remise_core::armoury::record::UnreadableEvent;
use remise_core::armoury::{Armoury, Recorded};
use remise_core::ids::Seq;
use thiserror::Error;

use crate::journal::{self, Journal, JournalError, JournalReader};

use super::rows::{event_of, text_of};

/// Texts read at once.
const TEXTS_AT_ONCE: usize = 10_000;

/// Why the armoury could not be built from its journal.
#[derive(Debug, Error)]
pub enum LoadError {
    /// The journal could not be read.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// An event could not be understood.
    #[error(
        "event {seq} of the journal cannot be read: {source}. The journal is unharmed; use the version that wrote it."
    )]
    Event {
        /// Its number.
        seq: u64,
        /// What is wrong with it.
        source: UnreadableEvent,
    },
}

/// Builds the armoury as the journal says it is.
pub fn load(journal: &mut dyn Journal) -> Result<Armoury, LoadError> {
    let mut reader = journal.reader()?;
    let mut room = from_snapshot(journal)?.unwrap_or_default();
    load_texts(reader.as_mut(), &mut room, 0)?;
    let after = room.head.0;
    let (room, _) = journal::fold(reader.as_mut(), after, room, |room: &mut Armoury, row| {
        let recorded = event_of(row).map_err(|source| LoadError::Event { seq: row.seq, source })?;
        room.apply(&recorded);
        Ok::<(), LoadError>(())
    })?;
    Ok(room)
}

/// Takes into `room` what the journal holds beyond it, and returns those events.
pub(super) fn catch_up(
    reader: &mut dyn JournalReader,
    room: &mut Armoury,
) -> Result<Vec<(Recorded, Arc<str>)>, LoadError> {
    load_texts(reader, room, room.last_text.0)?;
    let after = room.head.0;
    let start = Vec::new();
    let (missed, _) = journal::fold(reader, after, start, |missed: &mut Vec<_>, row| {
        let recorded = event_of(row).map_err(|source| LoadError::Event { seq: row.seq, source })?;
        room.apply(&recorded);
        missed.push((recorded, Arc::from(row.station.as_str())));
        Ok::<(), LoadError>(())
    })?;
    Ok(missed)
}

/// The newest snapshot that this version can read; an older or newer form is passed over, it only costs time.
fn from_snapshot(journal: &mut dyn Journal) -> Result<Option<Armoury>, JournalError> {
    let Some(snapshot) = journal.load_snapshot()? else { return Ok(None) };
    match serde_json::from_slice::<Armoury>(&snapshot.bytes) {
        Ok(room) if room.head == Seq(snapshot.seq) => Ok(Some(room)),
        Ok(_) | Err(_) => {
            tracing::warn!(seq = snapshot.seq, "snapshot not usable; reading the whole journal instead");
            Ok(None)
        }
    }
}

fn load_texts(
    reader: &mut dyn JournalReader,
    room: &mut Armoury,
    mut after: u64,
) -> Result<(), JournalError> {
    loop {
        let rows = reader.texts(after, TEXTS_AT_ONCE)?;
        let Some(last) = rows.last() else { return Ok(()) };
        after = last.id;
        for row in &rows {
            room.learn_text(&text_of(row));
        }
    }
}
