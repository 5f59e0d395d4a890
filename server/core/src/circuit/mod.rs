//! Weapon, body cord, clothing, reel, cable and box as a small network of resistors. Faults change the network;
//! what the instruments show follows from it.
//!
//! Two instruments are never mixed up. The **scoring apparatus** ([`Instrument::Apparatus`]) shows nothing for a
//! foil at rest, whose loop is closed, and white when the loop opens. The **test lamp** ([`Instrument::TestLamp`])
//! hangs in the loop: a foil at rest lights it, and pressing the point puts it out. The ohmmeter reads what the
//! lamp only tells lit from dark.
//!
//! An action that stirs a fault makes the circuit go back and forth between two states, each longer than the times
//! that the apparatus needs; a lamp that differs between them flickers.

mod action;
mod apparatus;
mod drawing;
mod fault;
mod faults;
mod lamps;
mod layout;
mod network;
mod ohmmeter;
mod parts;
mod probe;
mod published;
mod seen;
mod setup;
mod shown;
mod states;
mod table;
mod test_lamp;
mod tried;
mod wiring;

pub use action::Action;
pub use apparatus::{
    Counts, registering_us, registers, sabre_break_shows, second_hit_registers, whip_over_registers,
};
pub use drawing::svg;
pub use fault::{Change, FaultMode, SOUND, Way, fault_mode, fault_modes, fault_modes_of};
pub use lamps::{Lamp, Lamps, Lights};
pub use network::{Flow, Network, Source};
pub use ohmmeter::{OPEN_ABOVE_OHM, OhmClass, Reading};
pub use parts::{Line, Ohms, Part, Side, Spot};
pub use probe::{Probe, probes};
pub use published::{FIGURES, Figure};
pub(crate) use seen::lamps_fit;
pub use seen::{Causes, Colour, Seen, SeenProblem, Sight, causes_that_show, nearest};
#[cfg(test)]
use setup::End;
pub(crate) use shown::{Shown, shown};
pub use table::{
    Instrument, Measured, Row, Shows, apparatus_shows, shows, sound, sound_shows, stirred_and_calm, symptoms,
    symptoms_of, usual_weapon,
};
pub use tried::{bench_actions, strip_actions};
