//! Answers to our own types. Whatever a server sends becomes a value or an error that names its field, never a
//! panic.

mod board;
mod course;
mod job;
mod journal;
mod parts;
mod venue;
mod what_if;

use std::fmt;

pub(crate) use board::{board, found, night_list, plan};
pub(crate) use course::course;
pub(crate) use journal::{accepted, events, head, verified, welcome};
pub(crate) use venue::venue;
pub(crate) use what_if::what_if;

/// A field of an answer that makes no sense.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadField {
    /// The field, as a path: `jobs[3].state`.
    pub field: String,
    /// What is wrong with it.
    pub why: String,
}

impl BadField {
    pub(crate) fn new(field: &str, why: impl Into<String>) -> Self {
        Self { field: field.to_owned(), why: why.into() }
    }

    /// The same, seen from the message around it.
    fn within(self, outer: &str) -> Self {
        Self { field: format!("{outer}.{}", self.field), why: self.why }
    }
}

impl fmt::Display for BadField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}`: {}", self.field, self.why)
    }
}

impl std::error::Error for BadField {}

/// What comes of reading.
pub(crate) type Read<T> = Result<T, BadField>;

#[cfg(test)]
mod tests;
