//! What whole journeys, simulated faults and benchmarks share.

pub mod hall;
