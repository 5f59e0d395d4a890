//! Rehearsal: a tournament day, invented or recorded, for the armoury to go through before the real one.

pub mod day;
