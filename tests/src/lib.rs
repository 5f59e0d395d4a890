//! What whole journeys, simulated faults and benchmarks share.

pub mod bench;
pub mod calm;
pub mod days;
pub mod guided;
pub mod hall;
pub mod instances;
pub mod made_lanes;
pub mod queues;
pub mod single_machine;
pub mod stop_gaps;
