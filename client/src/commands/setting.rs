//! What an action needs to know beside its own words: who this station is, the venue's clock, the rules edition.

use remise_core::armoury::Spot;
use remise_core::ids::{BenchId, StripId};
use remise_core::rules::{Edition, edition};
use remise_core::time::Stamp;
use remise_link::view::Welcome;

use crate::failure::Failure;
use crate::local::{Sense, VenueClock};

/// Where an action is asked.
#[derive(Clone, Debug)]
pub struct Setting {
    /// The strip that is meant when an action names none.
    pub strip: Option<StripId>,
    /// The bench that is meant when an action names none.
    pub bench: Option<BenchId>,
    /// At the counter: what is handed in is in the room.
    pub at_counter: bool,
    /// The venue's clock.
    pub clock: VenueClock,
    /// Code of the rules edition; empty while nobody needed it.
    pub edition: String,
}

impl Setting {
    /// From what was typed and what the server said of this station.
    pub fn new(welcome: &Welcome, strip: Option<u16>, bench: Option<u16>, at_counter: bool) -> Self {
        Self {
            strip: strip.map(StripId).or(welcome.strip),
            bench: bench.map(BenchId).or(welcome.bench),
            at_counter,
            clock: VenueClock::new(&welcome.zone, welcome.now),
            edition: String::new(),
        }
    }

    /// The strip; it is needed.
    pub fn strip(&self) -> Result<StripId, Failure> {
        self.strip.ok_or_else(|| Failure::usage("no strip is named", "Give --strip NUMBER."))
    }

    /// The bench; it is needed.
    pub fn bench(&self) -> Result<BenchId, Failure> {
        self.bench.ok_or_else(|| Failure::usage("no bench is named", "Give --bench NUMBER."))
    }

    /// This strip, or the counter.
    pub fn spot(&self) -> Result<Spot, Failure> {
        if self.at_counter { Ok(Spot::Counter) } else { self.strip().map(Spot::Strip) }
    }

    /// A time on the venue's clock.
    pub fn time(&self, option: &str, typed: &str, sense: Sense) -> Result<Stamp, Failure> {
        self.clock
            .read(typed, sense)
            .map_err(|why| Failure::usage(format!("{option}: {why}"), "Correct it and try again."))
    }

    /// The rules edition that proofs are judged by.
    pub fn edition(&self) -> Result<&'static Edition, Failure> {
        edition(&self.edition).map_err(|problem| {
            Failure::broken(format!("this client does not know the server's rules edition: {problem}"))
        })
    }
}
