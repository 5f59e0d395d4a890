//! The armoury's server: the journal and what grows on it.

pub mod journal;
