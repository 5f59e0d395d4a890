//! Promises: when an item will be ready, with honest quantiles.
//!
//! [`quote`] draws each plan through many times ([`draws`]): *raw likely* is the median of the draws, *raw safe* their
//! 90 % point. Both are corrected by what became of earlier promises ([`conformal`], [`coverage`]), so that in the long run
//! half of the likely and nine in ten of the safe times are kept whatever the model gets wrong. [`worth_saying`] picks
//! what a strip must hear (`quotes`).

mod causes;
pub mod conformal;
pub mod coverage;
pub mod draws;
mod field;
mod quotes;
mod soonest;
mod start;

pub(crate) use causes::{AFTER_GLUE, rest as rest_min};
pub use coverage::{Correction, Coverage, Kept, Raw};
pub use quotes::{MUCH_SOONER, WORTH_SAYING, quote, worth_saying};
