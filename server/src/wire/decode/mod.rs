//! From the wire to commands. Everything that comes in is checked here: what gets past is a command that the core
//! can read. A problem names its field, so that whoever wrote the client finds it.

pub mod bench;
pub mod head;
mod parts;
pub mod strip;

#[cfg(test)]
mod tests;

use remise_core::text::TextProblem;
use remise_core::time::Stamp;
use remise_proto::v1;
use thiserror::Error;

pub use parts::{at_most, code, count_limit, job_ref, opt_name, own_bench, search_text, spot};

/// Why a request could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("`{field}`: {why}")]
pub struct WireProblem {
    /// The field, as a path: `items[2].note`.
    pub field: String,
    /// What is wrong with it.
    pub why: String,
}

impl WireProblem {
    /// A problem with that field.
    pub fn new(field: impl Into<String>, why: impl Into<String>) -> Self {
        Self { field: field.into(), why: why.into() }
    }

    /// The same problem, of a field of that part of the request.
    #[must_use]
    pub fn within(self, part: &str) -> Self {
        Self { field: format!("{part}.{}", self.field), ..self }
    }

    fn text(field: &str, why: TextProblem) -> Self {
        Self::new(field, why.to_string())
    }
}

/// What every mutating request carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meta {
    /// The client's number for this request.
    pub request_id: [u8; 16],
    /// When it happened; `None` for now.
    pub happened_at: Option<Stamp>,
    /// Highest journal epoch that the client has seen; 0 for none.
    pub epoch: u64,
}

/// Reads the meta of a request.
pub fn meta(meta: Option<v1::Meta>) -> Result<Meta, WireProblem> {
    let meta =
        meta.ok_or_else(|| WireProblem::new("meta", "it is missing; every change needs a request_id"))?;
    let request_id: [u8; 16] = meta.request_id.as_slice().try_into().map_err(|_| {
        WireProblem::new("meta.request_id", format!("it has {} bytes, not 16", meta.request_id.len()))
    })?;
    // RFC 9562: version in the high half of byte 6, variant 0b10 in the top bits of byte 8.
    if request_id[6] >> 4 != 7 || request_id[8] >> 6 != 0b10 {
        return Err(WireProblem::new("meta.request_id", "it is not a UUID of version 7"));
    }
    let wire = meta.wire_version.as_str();
    if !(wire.is_empty() || wire == "1") {
        return Err(WireProblem::new("meta.wire_version", "this server speaks version 1 of the wire"));
    }
    let happened_at = parts::opt_stamp("meta.happened_at_us", meta.happened_at_us)?;
    Ok(Meta { request_id, happened_at, epoch: meta.epoch })
}
