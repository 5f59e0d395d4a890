//! Tests of the screens as a whole: keys and news in, tasks and pictures out.

mod answers;
mod chosen;
mod guided;
mod keys;
mod person;
mod property;
mod scans;
pub(crate) mod scene;
mod snapshot;
mod trials;
mod updates;
mod views;

pub use scene::{NOW, job, venue};
