//! The armoury's tests: a small invented world, a clock in minutes, and what must hold after every command.
//!
//! What the tests expect is what the issue and the design say of the life of a job; figures are the team's own
//! unless a check says otherwise.
#![allow(clippy::unwrap_used)]

mod bench;
mod callout;
mod commands;
mod correct;
mod evening;
mod events;
mod handback;
mod head;
mod intake;
mod laws;
mod need;
mod owed;
mod proof;
mod record;
mod refusals;
pub(crate) mod sound;
mod states;
mod teach;
pub(crate) mod world;

pub(crate) use world::World;
