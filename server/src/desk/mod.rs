//! The desk: the one owner of the armoury. It and the journal's writer share one thread.
//!
//! Requests wait in a bounded queue. The desk takes all that waits, decides each on a private working state that
//! holds the batch's earlier events, writes one batch, then publishes the state and answers the callers. If the
//! write fails, the working state is dropped and nobody was told anything but that.

mod batch;
mod handle;
mod load;
mod queue;
mod rows;
mod thread;

#[cfg(test)]
mod tests;

pub use handle::{Accepted, Committed, DeskError, DeskHandle, OpenReader, Published, Request, StoredRefusal};
pub use load::{LoadError, load};
pub use rows::{event_of, row_of, text_of};
pub use thread::{BATCH_MOST, DeskSettings, SNAPSHOT_EVERY, open};
