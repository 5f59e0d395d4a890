//! The armoury's server. Everything that touches the world outside the pure core is a module here.

pub mod cli;
pub mod clock;
pub mod desk;
pub mod house;
pub mod journal;
pub mod planner;
pub mod start;
pub mod stations;
pub mod tournament;
pub mod wire;
