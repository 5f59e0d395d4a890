//! Gear: what comes in, what strips report of it, what may be done to it. Data, in one place.

mod belongs;
mod cautions;
mod complaint;
mod faults;
mod kind;
mod share;
mod words;

pub use cautions::{Basis, Caution, DEFERRING, Hazard, cautions, hazards};
pub use complaint::{Complaint, works};
pub use faults::{Fault, Lasting, Minutes, complaint_chance, fault, faults, prior};
pub use kind::{ItemKind, Plug, Weapon, Work};
