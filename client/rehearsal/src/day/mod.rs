//! A day to rehearse: the tournament, who hands in what and when, what is truly wrong with it, how long the
//! repair takes, and what people do with it afterwards.
//!
//! A day is either invented from a seed ([`invented_day`], or [`day_in`] for a tournament that exists) or read
//! from a recorded hand-in log ([`csv::parse`]). Both are pure functions of what they are given: the same seed
//! and options always make the same day. Everything invented here (how often a thing is handed in, by whom, how
//! quickly people walk and confirm) is **a number of our own for the rehearsal and nothing else**; causes and
//! repair minutes are drawn from the fault table of the core, which says of itself that it is an estimate.

mod arrivals;
mod benches;
mod callouts;
mod causes;
pub mod csv;
mod invent;
mod load;
mod options;
mod people;
mod phases;
mod plan;
mod shares;
mod slow;
mod stream;
mod venue;
mod wanted;

pub use benches::with_benches;
pub use invent::{day_in, invented_day};
pub use load::{AROUND_A_JOB, Busiest, busiest_two_hours, busiest_two_hours_load};
pub use options::{DayOptions, OptionProblem};
pub use people::{fencers, officials};
pub use phases::{Phase, Stage, timetable};
pub use plan::{
    CallOutPlan, Collection, Day, HandInPlan, Labour, Outcome, Quirks, SwappedUnit, TagSwap, TrueState,
};
pub use slow::{FASTEST, SLOWEST, slowed};
pub use stream::{Subject, stream};
pub use venue::invented;

#[cfg(test)]
mod tests;
