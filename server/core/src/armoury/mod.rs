//! The armoury's state machine. [`decide`] turns a command into events or a refusal and changes nothing;
//! [`Armoury::apply`] turns an event into state and cannot fail. Everything that happened is an event, so the
//! same events always build the same armoury.

mod apply;
pub mod command;
mod decide;
pub mod event;
pub mod job;
mod look;
pub mod record;
pub mod refusal;
mod state;
pub mod words;

pub use command::{Command, Correction, HandIn, HandInItem, JobRef, NewPromise, Wanted, Whose};
pub use decide::{Decision, NOTICE_PATIENCE, decide};
pub use event::Event;
pub use job::{Item, Job, Notice, Owed, Promise, Sighting};
pub use look::{Attention, CountProblem, LateJob};
pub use record::Recorded;
pub use refusal::Refusal;
pub use state::{
    Armoury, BenchState, CLOSED_KEPT, CallOut, CallState, Count, Kit, NewText, Tally, TextClass,
};
pub use words::{HoldReason, Lasting, Need, NoticeKind, OwedEnd, Place, Showed, Spot, State};

#[cfg(test)]
pub(crate) mod tests;
