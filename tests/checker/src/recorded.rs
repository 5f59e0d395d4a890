//! Reads what a client's connection itself recorded: lines `{"asked":{…}}` before a request is first sent and
//! `{"ended":{…}}` after its last try. Such lines do not name the client; whoever kept them knows.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::history::{ClientEntry, Outcome};
use crate::lines::{self, BadLines};

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Line {
    Asked(Asked),
    Ended(Ended),
}

#[derive(Deserialize)]
struct Asked {
    #[serde(with = "lines::hex")]
    request_id: [u8; 16],
    command: String,
    sent_us: i64,
}

#[derive(Deserialize)]
struct Ended {
    #[serde(with = "lines::hex")]
    request_id: [u8; 16],
    command: String,
    sent_us: i64,
    answered_us: i64,
    #[serde(flatten)]
    outcome: End,
}

#[derive(Deserialize)]
#[serde(tag = "outcome", rename_all = "snake_case")]
enum End {
    Accepted { first_seq: u64, last_seq: u64, jobs: Vec<u64> },
    Refused { reason: String },
    Unsure { reason: String },
}

/// Reads one client's recorded lines. A request that was asked and never ended counts as failed with the code
/// `no_answer`: it may or may not have happened.
///
/// # Errors
/// [`BadLines`] names the lines that cannot be read.
pub fn read_recorded(client: &str, text: &str) -> Result<Vec<ClientEntry>, BadLines> {
    let mut entries = Vec::new();
    let mut open = BTreeMap::new();
    for line in lines::read(text)? {
        match line {
            Line::Asked(asked) => drop(open.insert(asked.request_id, asked)),
            Line::Ended(ended) => {
                open.remove(&ended.request_id);
                entries.push(entry_of(client, ended));
            }
        }
    }
    entries.extend(open.into_values().map(|asked| ClientEntry {
        client: client.to_owned(),
        request_id: asked.request_id,
        command: asked.command,
        sent_us: asked.sent_us,
        answered_us: None,
        outcome: Outcome::Failed { code: "no_answer".into() },
    }));
    Ok(entries)
}

fn entry_of(client: &str, ended: Ended) -> ClientEntry {
    ClientEntry {
        client: client.to_owned(),
        request_id: ended.request_id,
        command: ended.command,
        sent_us: ended.sent_us,
        answered_us: Some(ended.answered_us),
        outcome: match ended.outcome {
            End::Accepted { first_seq, last_seq, jobs } => Outcome::Accepted { first_seq, last_seq, jobs },
            End::Refused { reason } => Outcome::Refused { reason },
            End::Unsure { reason } => Outcome::Failed { code: reason },
        },
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn asked_and_ended_become_one_entry_and_an_open_question_is_kept() {
        let text = concat!(
            r#"{"asked":{"request_id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","command":"take","happened_at_us":null,"sent_us":1}}"#,
            "\n",
            r#"{"asked":{"request_id":"00000000-0000-7000-8000-000000000001","command":"ready","happened_at_us":5,"sent_us":2}}"#,
            "\n",
            r#"{"ended":{"request_id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","command":"take","sent_us":1,"answered_us":3,"tries":2,"outcome":"accepted","first_seq":4,"last_seq":5,"jobs":[4]}}"#,
        );
        let entries = read_recorded("bench 2", text).unwrap();
        assert_eq!(entries.len(), 2);
        assert_eq!(entries[0].outcome, Outcome::Accepted { first_seq: 4, last_seq: 5, jobs: vec![4] });
        assert_eq!((entries[0].client.as_str(), entries[0].answered_us), ("bench 2", Some(3)));
        assert_eq!(entries[1].command, "ready");
        assert_eq!(entries[1].outcome, Outcome::Failed { code: "no_answer".into() });
    }

    #[test]
    fn an_unsure_end_is_not_a_refusal() {
        let line = r#"{"ended":{"request_id":"00000000000070008000000000000001","command":"take","sent_us":1,"answered_us":3,"tries":2,"outcome":"unsure","reason":"EXPIRED"}}"#;
        let entries = read_recorded("bench 2", line).unwrap();
        assert_eq!(entries[0].outcome, Outcome::Failed { code: "EXPIRED".into() });
    }
}
