//! Tests of the screens as a whole: keys and news in, tasks and pictures out.

mod keys;
mod property;
mod scene;
mod snapshot;
mod updates;
mod views;
