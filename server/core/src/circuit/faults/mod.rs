//! The fault modes, item by item. What each changes in the circuit follows its row in
//! `tests/reference/faults.csv` and the lines of the circuit; resistances of dirt and tarnish are estimates of
//! ours (common practice, no source).

mod cords;
mod epee;
mod foil;
mod sabre;
mod strip;
mod worn;

use super::fault::FaultMode;
use super::parts::Ohms;

/// Every fault, in the order of the reference table.
pub(super) const ALL: &[&[FaultMode]] =
    &[foil::FAULTS, epee::FAULTS, sabre::FAULTS, cords::FAULTS, worn::FAULTS, strip::FAULTS];

/// A film of dirt, glue or oxide: near to no contact. Estimate.
const FILM: Ohms = Ohms::new(600.0, 5_000.0, 100_000.0);
/// Tarnish at a joint: still a contact, but over the limit. Estimate.
const TARNISH: Ohms = Ohms::new(1.5, 4.0, 15.0);
/// Insulation worn through, or a plain contact. Estimate.
const BARE: Ohms = Ohms::new(0.02, 0.1, 0.5);

#[cfg(test)]
mod tests;
