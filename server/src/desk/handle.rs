//! What the rest of the server holds of the desk: a handle to ask, and what is published.

use std::sync::Arc;
use std::time::Duration;

use remise_core::armoury::{Armoury, Command, Recorded};
use remise_core::ids::{JobId, Seq};
use remise_core::time::{Span, Stamp};
use serde::{Deserialize, Serialize};
use tokio::sync::{broadcast, mpsc, oneshot, watch};

use crate::journal::{JournalError, JournalReader, RequestId};

use super::queue::{Places, Queued};

/// One request to the desk.
#[derive(Clone, Debug)]
pub struct Request {
    /// The client's number for it, kept by the client before it sent; `None` for the server's own.
    pub request_id: Option<RequestId>,
    /// Who asks.
    pub station: Arc<str>,
    /// When it happened; `None` for now.
    pub happened_at: Option<Stamp>,
    /// What is asked.
    pub command: Command,
    /// When the caller stops waiting, on the monotonic clock. A request that is still queued then is dropped; one
    /// that was decided is committed.
    pub deadline: Option<Span>,
}

/// The answer to a request that was accepted. The same request gets the same answer for as long as the journal
/// exists.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Accepted {
    /// Its first event; one past `last` when nothing had to happen.
    pub first: Seq,
    /// Its last event.
    pub last: Seq,
    /// The jobs that it opened.
    pub jobs: Vec<JobId>,
    /// When it was recorded.
    pub at: Stamp,
    /// What the caller should know besides.
    pub advice: Vec<String>,
}

/// A refusal by rule, as it is kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StoredRefusal {
    /// Stable reason.
    pub reason: String,
    /// Sentence for people.
    pub message: String,
    /// What to do next.
    pub hint: String,
}

/// Why a request was not accepted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DeskError {
    /// Refused by rule. Kept: the same request is refused again in the same words.
    #[error("{} {}", .0.message, .0.hint)]
    Refused(StoredRefusal),
    /// The request's number was used before with another content.
    #[error(
        "this request's number was used before with another {field}; nothing was changed; send it with a new number"
    )]
    DifferentContent {
        /// The first field that differs.
        field: String,
    },
    /// The queue is full, or this station's share of it.
    #[error("the armoury has more to do than it can take in; nothing was changed; try again in a moment")]
    Overloaded {
        /// When to try again.
        retry_after: Duration,
    },
    /// The deadline passed while the request waited. Nothing was changed.
    #[error("the request waited too long and was dropped; nothing was changed; send it again")]
    Expired,
    /// The journal cannot be written. Nothing was changed.
    #[error("{0}")]
    Unavailable(String),
    /// Another server has taken over.
    #[error("another server has taken over (epoch {epoch}); nothing was changed; connect to that one")]
    SteppedDown {
        /// Its epoch.
        epoch: u64,
    },
}

/// A batch as it was committed.
#[derive(Clone, Debug)]
pub struct Committed {
    /// Its events with the stations that caused them.
    pub events: Vec<(Recorded, Arc<str>)>,
    /// Journal number up to which all is known now.
    pub head: Seq,
}

/// What readers see: the armoury after the newest commit.
#[derive(Clone, Debug, Default)]
pub struct Published {
    /// The armoury.
    pub room: Armoury,
    /// The journal's epoch.
    pub epoch: u64,
    /// Hash of the newest event.
    pub hash: [u8; 32],
    /// Why the journal cannot be written at the moment.
    pub trouble: Option<String>,
}

/// Opens a reader of the journal, on any thread.
pub type OpenReader = Arc<dyn Fn() -> Result<Box<dyn JournalReader>, JournalError> + Send + Sync>;

/// A handle to the desk. Cheap to copy.
#[derive(Clone)]
pub struct DeskHandle {
    pub(super) queue: mpsc::Sender<Queued>,
    pub(super) places: Arc<Places>,
    pub(super) published: watch::Receiver<Arc<Published>>,
    pub(super) committed: broadcast::Sender<Arc<Committed>>,
    pub(super) open_reader: OpenReader,
}

impl DeskHandle {
    /// Asks the desk and waits for the answer. An answer means that it is on disk.
    pub async fn submit(&self, request: Request) -> Result<Accepted, DeskError> {
        let place = self.places.take(&request.station)?;
        let (answer, answered) = oneshot::channel();
        let queued = Queued { request, answer: Some(answer), place };
        self.queue.try_send(queued).map_err(|refused| match refused {
            mpsc::error::TrySendError::Full(_) => Places::overloaded(),
            mpsc::error::TrySendError::Closed(_) => stopping(),
        })?;
        answered.await.unwrap_or_else(|_| Err(stopping()))
    }

    /// The armoury after the newest commit. Never waits for the desk.
    pub fn snapshot(&self) -> Arc<Published> {
        self.published.borrow().clone()
    }

    /// Tells of each new publication; those that nobody looked at are skipped.
    pub fn publications(&self) -> watch::Receiver<Arc<Published>> {
        self.published.clone()
    }

    /// Every batch that is committed from now on. Who lags behind is told so.
    pub fn subscribe(&self) -> broadcast::Receiver<Arc<Committed>> {
        self.committed.subscribe()
    }

    /// A reader of the journal of its own.
    pub fn reader(&self) -> Result<Box<dyn JournalReader>, JournalError> {
        (self.open_reader)()
    }
}

fn stopping() -> DeskError {
    DeskError::Unavailable(
        "the server is stopping; nothing was changed; try again when it is back".to_owned(),
    )
}
