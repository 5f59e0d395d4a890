//! What whole journeys, simulated faults and benchmarks share.

pub mod bench;
pub mod days;
pub mod hall;
pub mod queues;
