//! Rehearsal: a tournament day, invented or recorded, played through a real server before the real one comes.

pub mod day;
pub mod many;
pub mod play;
pub mod pool;
pub mod report;

pub use remise_server::tournament;
