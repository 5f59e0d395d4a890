//! The rows of a journal, as they are stored.

use super::chain::Hash;

/// A request's number: the 16 bytes of a UUID that the client made before it sent.
pub type RequestId = [u8; 16];

/// One event.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EventRow {
    /// Its number: 1 for the first, without gaps.
    pub seq: u64,
    /// When it was recorded, in microseconds since 1970-01-01T00:00:00Z.
    pub at_us: i64,
    /// When it happened, on the same scale; earlier than `at_us` for a late entry.
    pub happened_at_us: i64,
    /// The job that it belongs to, if any. Never 0.
    pub job: Option<u64>,
    /// The station that sent the command.
    pub station: String,
    /// What kind of event it is; the same as in the body.
    pub kind: String,
    /// Version of the body's form; the same as in the body.
    pub v: u16,
    /// The event as JSON text, with its kind and version and without any name of a person.
    pub body: String,
}

/// What a text is about, for those who must forget people.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TextClass {
    /// A person's name.
    Person,
    /// Free text that someone typed.
    Note,
}

impl TextClass {
    /// The word that stands in the store.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Person => "person",
            Self::Note => "note",
        }
    }

    /// The class of a stored word.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "person" => Some(Self::Person),
            "note" => Some(Self::Note),
            _ => None,
        }
    }
}

/// A name or a free text that events refer to by its number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextRow {
    /// Its number, greater than that of every text before; the first is at least 1.
    pub id: u64,
    /// What it is about.
    pub class: TextClass,
    /// The text.
    pub text: String,
}

/// The answer to a request, kept for as long as the journal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AnswerRow {
    /// The request.
    pub request_id: RequestId,
    /// When it was answered, in microseconds since 1970-01-01T00:00:00Z.
    pub at_us: i64,
    /// The station that asked.
    pub station: String,
    /// Digests of the request's fields, as [`FieldDigests::to_text`](super::FieldDigests::to_text) writes them.
    pub fields: String,
    /// The answer as JSON text.
    pub answer: String,
}

/// What one transaction writes, all or nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Batch {
    /// Events, numbered on from the head without gaps.
    pub events: Vec<EventRow>,
    /// Texts that those events refer to.
    pub texts: Vec<TextRow>,
    /// Answers to the requests that caused them, and to requests that were refused.
    pub answers: Vec<AnswerRow>,
}

/// Where a journal stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Head {
    /// Number of the newest event; 0 in an empty journal.
    pub seq: u64,
    /// Hash of the newest event; [`GENESIS`](super::GENESIS) in an empty journal.
    pub hash: Hash,
    /// The epoch: 0 until someone first takes over.
    pub epoch: u64,
    /// When the newest event was recorded, in microseconds since 1970; 0 in an empty journal.
    pub at_us: i64,
    /// Number of the newest text; 0 when there is none.
    pub text_id: u64,
}
