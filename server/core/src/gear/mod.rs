//! Gear: what comes in, what strips report of it, what may be done to it. Data, in one place.

mod kind;

pub use kind::{ItemKind, Plug, Weapon, Work};
