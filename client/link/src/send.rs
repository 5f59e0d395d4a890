//! One way in for every command.

use remise_core::armoury::Command;
use remise_core::ids::{JobId, Seq};
use remise_core::time::Stamp;
use serde::Serialize;

use crate::connect::Link;
use crate::encode::Request;
use crate::error::LinkError;
use crate::history::{Asked, Ended, Outcome};
use crate::ids::{RequestId, live_id};
use crate::{decode, encode};

/// A command on its way. Keep it before it is sent: sent again, it does nothing twice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sent {
    /// The client's number for it.
    pub request_id: RequestId,
    /// When it happened; `None` for now.
    pub happened_at: Option<Stamp>,
    /// What is asked.
    pub command: Command,
}

/// The server's answer to a command: it is on disk.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Accepted {
    /// First event that it led to; 0 when nothing needed to be recorded.
    pub first_seq: Seq,
    /// Last event.
    pub last_seq: Seq,
    /// Jobs that it opened, in the order of the request's items.
    pub jobs: Vec<JobId>,
    /// When it was recorded, by the journal's clock.
    #[serde(rename = "recorded_at_us")]
    pub recorded_at: Stamp,
    /// Sentences worth showing.
    pub advice: Vec<String>,
}

impl Link {
    /// Sends a command, again with the same id when the first try fails in a way that allows it.
    ///
    /// # Errors
    /// [`LinkError::NotSendable`] for what no client asks; otherwise what the server or the connection said last.
    pub async fn send(&self, sent: &Sent) -> Result<Accepted, LinkError> {
        let request = encode::request(sent, self.epoch())?;
        let clock = &self.options().clock;
        let asked = Asked {
            request_id: sent.request_id,
            command: request.name(),
            happened_at: sent.happened_at,
            sent: clock.now(),
        };
        if let Some(recorder) = &self.options().recorder {
            recorder.asked(&asked);
        }
        let tried = self.tried(|| self.call(request.clone())).await;
        let result = tried.result.and_then(|reply| Ok(decode::accepted(&reply)?));
        if let Some(recorder) = &self.options().recorder {
            let answered = clock.now();
            let Asked { request_id, command, sent, .. } = asked;
            let outcome = Outcome::of(&result);
            recorder.ended(&Ended { request_id, command, sent, answered, tries: tried.tries, outcome });
        }
        result
    }

    /// Sends a command that happens now, under a new id. For those who do not keep what they send.
    ///
    /// # Errors
    /// As [`Link::send`].
    pub async fn send_now(&self, command: Command) -> Result<Accepted, LinkError> {
        let request_id = live_id(self.options().clock.now());
        self.send(&Sent { request_id, happened_at: None, command }).await
    }

    async fn call(
        &self,
        request: Request,
    ) -> Result<tonic::Response<remise_proto::v1::Accepted>, tonic::Status> {
        request.call(self).await
    }
}
