//! Playing a day through a real server over a real connection.

mod agenda;
mod answers;
mod bench;
mod cast;
mod director;
mod evening;
mod policy;
mod scene;
mod stage;
mod strip;
mod thing;

use std::io;

use remise_link::LinkError;
use remise_server::journal::JournalError;
use remise_server::start::StartError;
use thiserror::Error;

pub use policy::Policy;
pub use scene::{BenchScene, LateScene, Scene};
pub use stage::{Played, Settings, play, play_with};

/// Why a day could not be played to its end.
#[derive(Debug, Error)]
pub enum PlayError {
    /// The server did not start.
    #[error("the server of the rehearsal did not start: {0}")]
    Start(#[from] StartError),
    /// Its journal could not be made.
    #[error("the journal of the rehearsal could not be made: {0}")]
    Journal(#[from] JournalError),
    /// No folder or no port was to be had.
    #[error("the rehearsal could not be set up: {0}")]
    SetUp(#[from] io::Error),
    /// The connection failed.
    #[error("{0} {hint}", hint = .0.hint())]
    Link(#[from] LinkError),
    /// A part of the rehearsal ended unexpectedly.
    #[error("a part of the rehearsal ended unexpectedly: {0}")]
    Broken(String),
}
