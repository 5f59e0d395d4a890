//! The terminal clients of the armoury: screens for strip, bench and head, the same actions as commands for
//! scripts, and played days.

pub mod args;
mod commands;
pub mod exit;
mod failure;
pub mod local;
mod named;
#[cfg(feature = "rehearsal")]
mod rehearse;
#[cfg(not(feature = "rehearsal"))]
#[path = "unrehearsed.rs"]
mod rehearse;
pub mod screens;

pub use commands::run;
pub use failure::Failure;
pub use named::Named;
