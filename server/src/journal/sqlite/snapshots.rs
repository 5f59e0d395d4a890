//! Snapshots in the journal's file. They are bound to the hash of their event and pruned to the newest few.

use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};

use super::append::read_head;
use crate::journal::chain::{GENESIS, Hash};
use crate::journal::error::JournalError;
use crate::journal::snapshot::{KEPT, Snapshot, checksum};

/// Keeps a snapshot and drops the oldest beyond [`KEPT`].
pub(super) fn save(connection: &mut Connection, seq: u64, bytes: &[u8]) -> Result<(), JournalError> {
    let failed = || JournalError::store::<rusqlite::Error>("keep a snapshot");
    let tx = connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed())?;
    let head = read_head(&tx).map_err(failed())?;
    if seq > head.seq {
        return Err(JournalError::SnapshotAhead { seq, head: head.seq });
    }
    write(tx, seq, bytes).map_err(failed())
}

fn write(tx: Transaction<'_>, seq: u64, bytes: &[u8]) -> rusqlite::Result<()> {
    let hash = hash_of(&tx, seq as i64)?.ok_or(rusqlite::Error::QueryReturnedNoRows)?;
    tx.execute(
        "INSERT OR REPLACE INTO snapshot (seq, bytes, checksum) VALUES (?1, ?2, ?3)",
        params![seq as i64, bytes, checksum(seq, &hash, bytes)],
    )?;
    tx.execute(
        "DELETE FROM snapshot WHERE seq NOT IN (SELECT seq FROM snapshot ORDER BY seq DESC LIMIT ?1)",
        [KEPT as i64],
    )?;
    tx.commit()
}

/// The newest snapshot that is whole and belongs to this history.
pub(super) fn load(connection: &Connection) -> rusqlite::Result<Option<Snapshot>> {
    let mut select = connection.prepare("SELECT seq, bytes, checksum FROM snapshot ORDER BY seq DESC")?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let (seq, bytes, sum): (i64, Vec<u8>, Vec<u8>) = (row.get(0)?, row.get(1)?, row.get(2)?);
        let Ok(number) = u64::try_from(seq) else { continue };
        let Some(hash) = hash_of(connection, seq)? else { continue };
        if sum == checksum(number, &hash, &bytes) {
            return Ok(Some(Snapshot { seq: number, bytes }));
        }
    }
    Ok(None)
}

fn hash_of(connection: &Connection, seq: i64) -> rusqlite::Result<Option<Hash>> {
    if seq == 0 {
        return Ok(Some(GENESIS));
    }
    connection.query_row("SELECT hash FROM event WHERE seq = ?1", [seq], |row| row.get(0)).optional()
}
