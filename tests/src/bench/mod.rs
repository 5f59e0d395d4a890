//! Benchmarks. Nothing here asserts an absolute time: what counts are ratios between programs that are measured in
//! turn, round by round, on the same machine, and medians over the rounds.
//!
//! The yardstick is a *bare server* ([`bare`]): the same transport, messages, channel, writer thread, tables, rows and
//! bytes as the real one, and nothing of what the real one is for.

pub mod bare;
pub mod child;
pub mod history;
pub mod load;
pub mod ours;
pub mod postgres;
pub mod report;
pub mod room;
pub mod sample;

use std::path::PathBuf;

use anyhow::{Context as _, Result, bail};

/// When this process was started as a server under test, serves until it is ended. `false` when it was not.
///
/// # Errors
/// The server's own.
pub fn serve_if_asked() -> Result<bool> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let folder = || args.get(1).map(PathBuf::from).context("a folder");
    let number = |index: usize| args.get(index).context("a number")?.parse::<usize>().context("a number");
    match args.first().map(String::as_str) {
        Some(ours::SERVE) => ours::serve(&folder()?, number(2)?, number(3)? as u16)?,
        Some(bare::SERVE) => {
            let samples = args.get(2).map(PathBuf::from).context("a file of samples")?;
            bare::serve(&folder()?, &samples, number(3)? as u64)?;
        }
        _ => return Ok(false),
    }
    bail!("the server ended by itself")
}
