//! The armoury's server. Everything that touches the world outside the pure core is a module here.

pub mod cli;
pub mod tournament;
