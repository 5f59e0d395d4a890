//! The screens: what a strip, the counter, a bench and the head armourer see and do in a terminal.
//!
//! [`state`] says what a screen knows, [`update()`] how a message changes it and what has to be carried out, and
//! [`view()`] draws it; neither of the two knows a terminal, a connection or a clock. [`run()`] joins them to all
//! three.

mod act;
mod advice;
mod bench;
mod board;
mod burst;
mod choice;
mod chrome;
mod clock;
mod draw;
mod faults;
mod field;
mod form;
mod head;
mod help;
mod home;
mod keys;
mod layer;
mod offer;
mod open;
mod options;
mod paint;
mod pointer;
mod proof;
mod read;
mod run;
mod scan;
mod send;
pub(crate) mod signals;
pub mod state;
mod strip;
mod submit;
mod tasks;
pub mod terminal;
#[cfg(test)]
pub(crate) mod tests;
mod text;
mod theme;
mod trial;
mod update;
mod verb;
mod wanted;

pub use chrome::view;
pub use run::{Screen, run};
pub use theme::Theme;
pub use update::update;
