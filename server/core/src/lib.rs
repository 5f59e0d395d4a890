//! The armoury of a fencing tournament as pure functions.
//!
//! Commands go in, events come out ([`armoury::decide`]); events build the state ([`armoury::Armoury::apply`]).
//! Time and randomness are passed in. Nothing here reads a clock, a file, a socket or the environment, and
//! nothing iterates in a random order, so the same journal always builds the same armoury.

pub mod armoury;
pub mod bouts;
pub mod circuit;
mod estimate_lines;
pub mod gear;
pub mod guide;
pub mod ids;
pub mod lasting;
pub mod plan;
pub mod promise;
#[cfg(test)]
mod reference_table;
pub mod rules;
pub mod tag;
pub mod text;
pub mod time;
pub mod times;
pub mod venue;
