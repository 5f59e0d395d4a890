//! What whole journeys, simulated faults and benchmarks share.

pub mod bench;
pub mod hall;
