//! Part of Remise.

pub mod instances;
pub mod made_lanes;
pub mod single_machine;
