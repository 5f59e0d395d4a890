//! The clients' connection to the armoury's server: addresses, versions, request ids, retries, watches, and the
//! wire turned into our own types. No terminal, no files.
//!
//! [`Link::connect`] opens it, [`Link::send`] asks for any [`remise_core::armoury::Command`], the reads and
//! watches bring back the types of [`view`]. Wire types stay inside this crate.

mod address;
mod clock;
mod connect;
mod decode;
mod encode;
mod error;
#[cfg(test)]
mod fake_tests;
mod history;
mod ids;
mod reads;
mod retry;
mod send;
pub mod view;
mod watch;

pub use address::{Address, DEFAULT_PORT, OpenStation, Role, Token};
pub use clock::{Clock, SystemClock};
pub use connect::{CLIENT_WIRE, Link, Options};
pub use decode::BadField;
pub use encode::{Request, command_name};
pub use error::LinkError;
pub use history::{Asked, Ended, History, JsonLines, Outcome, Recorder};
pub use ids::{BadRequestId, RequestId, live_id, request_id};
pub use retry::{Failed, Retry};
pub use send::{Accepted, Sent};
pub use watch::{Watch, WatchEvent};
