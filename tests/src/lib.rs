//! What whole journeys, simulated faults and benchmarks share.

pub mod bench;
pub mod hall;
pub mod instances;
pub mod made_lanes;
pub mod single_machine;
