//! Streams: a task that sends, and the stream that a client reads. A stream ends with a status that says why.

use std::pin::Pin;
use std::time::Duration;

use futures_util::{FutureExt as _, Stream, StreamExt as _};
use tokio::sync::{mpsc, oneshot};
use tokio_stream::wrappers::ReceiverStream;
use tonic::Status;

/// Changes are gathered for this long: one message each would take half a core for 300 watchers.
pub(super) const WINDOW: Duration = Duration::from_millis(50);
/// A watcher that takes nothing for this long is cut off.
pub(super) const PATIENCE: Duration = Duration::from_secs(30);
/// Messages that may wait for a watcher.
const WAITING: usize = 4;

/// What a client reads.
pub(super) type Feed<T> = Pin<Box<dyn Stream<Item = Result<T, Status>> + Send>>;

/// Where a task sends to.
pub(super) struct Outlet<T>(mpsc::Sender<T>);

/// Why a task stops sending.
pub(super) enum End {
    /// The client has gone.
    Gone,
    /// The client is told.
    Told(Status),
}

impl<T> Outlet<T> {
    /// Sends one message; waits for a slow client, but not for ever.
    pub async fn send(&self, message: T, slow: impl FnOnce() -> Status) -> Result<(), End> {
        match tokio::time::timeout(PATIENCE, self.0.send(message)).await {
            Ok(Ok(())) => Ok(()),
            Ok(Err(_)) => Err(End::Gone),
            Err(_) => Err(End::Told(slow())),
        }
    }

    /// Returns when the client has gone.
    pub async fn gone(&self) {
        self.0.closed().await;
    }
}

/// Starts a task that sends, and gives the stream.
pub(super) fn start<T, F>(task: impl FnOnce(Outlet<T>) -> F) -> Feed<T>
where
    T: Send + 'static,
    F: Future<Output = End> + Send + 'static,
{
    let (send, messages) = mpsc::channel(WAITING);
    let (told, end) = oneshot::channel();
    let running = task(Outlet(send));
    tokio::spawn(async move {
        if let End::Told(status) = running.await {
            // A client that has gone needs no telling.
            let _ = told.send(status);
        }
    });
    let last = end.into_stream().filter_map(|status| std::future::ready(status.ok().map(Err)));
    Box::pin(ReceiverStream::new(messages).map(Ok).chain(last))
}
