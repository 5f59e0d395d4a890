//! What whole journeys, simulated faults and benchmarks share.
