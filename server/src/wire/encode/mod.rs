//! From the core to the wire: what callers see.

mod board;
mod course;
mod lens;
mod night;
mod sentence;
mod venue;
mod what_if;
mod words;

#[cfg(test)]
mod tests;

pub use board::{Sent, View, count, full};
pub use course::{Past, course, replay};
pub use lens::{Lens, plan};
pub use night::{found, night_report};
pub use sentence::sentence;
pub use venue::venue;
pub use what_if::what_if;
pub use words::role;
