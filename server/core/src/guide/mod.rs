//! The guide: from a complaint and what was found to what is probably wrong, and to the check that should come next.
//!
//! One fault is taken to be there. A hypothesis is a fault in one of the ways in which the circuit knows it
//! ([`crate::circuit`]); what lamp, meter and box show of each is computed from the circuit, how often eyes and hands
//! go wrong are estimates. Findings are taken to be independent of each other given the fault, so that
//!
//! ```text
//! P(hypothesis | findings) ∝ share · P(complaint | fault) · history · P(way | fault, complaint) · Π P(finding | hypothesis)
//! ```
//!
//! exactly. The posterior is a function of the [`Case`]: findings come in any order, and one is taken back by leaving it
//! out. Checks are of two sorts: a *stir* (press, turn, bend, with lamp or meter on) tells of many causes a little, and a
//! *look* settles one. The next check is the one with the fewest expected minutes until the cause is found (see
//! `guide/ahead.rs`), or the next of the fixed walk; the armourer may do any other.

mod advice;
mod ahead;
mod bayes;
mod estimates;
mod finding;
mod job;
mod likelihood;
mod model;
mod order;
mod reading;
mod walk;

pub use advice::{Check, Manner, Next, Ranked};
pub use bayes::posterior;
pub use estimates::{Cause, Estimates, EstimatesProblem, Held, Line, OfKind, Opening, Rates, Stir, parse};
pub use finding::{Finding, FindingProblem, Found, Looked};
pub use job::case_of;
pub use model::{Case, Guide};
pub use order::{EXACT_MOST, exact_order, expected_minutes, ratio_order};
