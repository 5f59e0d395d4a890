//! What one client asked for and was answered, as the client itself wrote it down.

use serde::{Deserialize, Serialize};

use crate::lines::{self, BadLines};

/// One command that a client sent, with how it ended for the client.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClientEntry {
    /// The client, by the name of its station as the journal writes it.
    pub client: String,
    /// The request's number; as text 32 hexadecimal digits, hyphens allowed.
    #[serde(with = "lines::hex")]
    pub request_id: [u8; 16],
    /// The RPC's name.
    pub command: String,
    /// When it was first sent, by the client's clock: microseconds since 1970-01-01T00:00:00Z.
    pub sent_us: i64,
    /// When the answer came, by the client's clock.
    #[serde(default)]
    pub answered_us: Option<i64>,
    /// How it ended.
    pub outcome: Outcome,
}

/// How a command ended for the client that sent it. As JSON `{"accepted":{"first_seq":4,…}}`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It was done: the journal must hold it.
    Accepted {
        /// Number of its first event; 0 together with `last_seq` 0 when it needed none.
        first_seq: u64,
        /// Number of its last event.
        last_seq: u64,
        /// The jobs that the answer named.
        jobs: Vec<u64>,
    },
    /// It was refused by a rule: it did not happen.
    Refused {
        /// The stable reason.
        reason: String,
    },
    /// No answer, or one that leaves it open: it may or may not have happened.
    Failed {
        /// The status code: `unavailable`, `deadline_exceeded` …
        code: String,
    },
}

/// Reads a history from lines of JSON, one entry each; blank lines are passed over.
///
/// # Errors
/// [`BadLines`] names the lines that cannot be read.
pub fn read_history(text: &str) -> Result<Vec<ClientEntry>, BadLines> {
    lines::read(text)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::to_lines;

    #[test]
    fn entries_come_back_as_written() {
        let entry = |outcome| ClientEntry {
            client: "strip 3".into(),
            request_id: [7; 16],
            command: "HandIn".into(),
            sent_us: 5,
            answered_us: Some(6),
            outcome,
        };
        let entries = [
            entry(Outcome::Accepted { first_seq: 4, last_seq: 5, jobs: vec![4] }),
            entry(Outcome::Refused { reason: "tag_in_use".into() }),
            ClientEntry { answered_us: None, ..entry(Outcome::Failed { code: "unavailable".into() }) },
        ];
        assert_eq!(read_history(&to_lines(&entries)).unwrap(), entries);
    }

    #[test]
    fn a_request_number_may_have_hyphens() {
        let line = r#"{"client":"bench 1","request_id":"01890a5d-ac96-774b-bcce-b302099a8057","command":"Take","sent_us":1,"outcome":{"failed":{"code":"unavailable"}}}"#;
        assert_eq!(read_history(line).unwrap()[0].request_id[..3], [0x01, 0x89, 0x0a]);
    }
}
