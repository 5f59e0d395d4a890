//! The day's phases on the strips, worked out from the competitions: pools in waves, the rounds of the direct
//! elimination as they thin out, team matches.
//!
//! An estimate that runs to plan: every pool of a wave takes as long as its bouts, a round as long as its bouts
//! on the strips that there are, and a quarter of an hour lies between the pools and the elimination.

use remise_core::bouts::pool_order;
use remise_core::gear::Weapon;
use remise_core::ids::StripId;
use remise_core::time::{Stamp, Window};
use remise_core::venue::{Competition, Venue};

/// Minutes between the end of the pools and the first elimination bout. Our own.
const BETWEEN_MIN: i64 = 15;
/// Minutes between two rounds of team matches. Our own.
const BETWEEN_TEAMS_MIN: i64 = 10;
/// Relays of a team match (FIE o.99, status A).
const RELAYS: i64 = 9;

/// What is fenced in a phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// A wave of pools.
    Pools {
        /// Which wave, from 1.
        wave: u16,
        /// Fencers in a full pool.
        size: u8,
        /// Minutes from call to call.
        bout_min: u16,
    },
    /// A round of direct elimination.
    Elimination {
        /// Lines of the table.
        table: u16,
        /// Minutes from call to call on one strip.
        bout_min: u16,
    },
    /// A round of team matches.
    Teams {
        /// Matches at once.
        matches: u16,
        /// Minutes from relay to relay.
        relay_min: u16,
    },
}

/// A stretch of time in which one thing is fenced by one competition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Phase {
    /// The competition, by its place in the tournament.
    pub competition: usize,
    /// Its weapon.
    pub weapon: Weapon,
    /// What is fenced.
    pub stage: Stage,
    /// When.
    pub window: Window,
    /// The strips in use.
    pub strips: Vec<StripId>,
}

/// Every phase of every competition, in the order of the competitions.
pub fn timetable(venue: &Venue) -> Vec<Phase> {
    let phases = |(number, competition)| Clock::new(number, competition).phases();
    venue.competitions.iter().enumerate().flat_map(phases).collect()
}

/// Walks through one competition.
struct Clock<'c> {
    number: usize,
    competition: &'c Competition,
    now: Stamp,
    phases: Vec<Phase>,
}

impl<'c> Clock<'c> {
    fn new(number: usize, competition: &'c Competition) -> Self {
        Self { number, competition, now: competition.starts, phases: Vec::new() }
    }

    fn phases(mut self) -> Vec<Phase> {
        if self.competition.strips.is_empty() {
            return Vec::new();
        }
        self.pools();
        self.elimination();
        self.teams();
        self.phases
    }

    fn push(&mut self, stage: Stage, minutes: i64, strips: usize) {
        let window = Window { from: self.now, to: self.now.plus_min(minutes) };
        let strips = self.competition.strips.iter().copied().take(strips.max(1)).collect();
        let weapon = self.competition.weapon;
        self.phases.push(Phase { competition: self.number, weapon, stage, window, strips });
        self.now = window.to;
    }

    fn pools(&mut self) {
        let Some(pools) = self.competition.pools else { return };
        let bouts = pool_order(pools.size, None).map_or(0, |order| order.bouts.len());
        let mut left = self.competition.entries.div_ceil(u16::from(pools.size).max(1));
        let mut wave = 0;
        while left > 0 {
            wave += 1;
            let strips = left.min(self.competition.strips.len() as u16);
            let stage = Stage::Pools { wave, size: pools.size, bout_min: pools.bout_min };
            self.push(stage, bouts as i64 * i64::from(pools.bout_min), usize::from(strips));
            left -= strips;
        }
        self.now = self.now.plus_min(BETWEEN_MIN);
    }

    fn elimination(&mut self) {
        let Some(tableau) = self.competition.tableau else { return };
        let mut table = tableau.size;
        while table >= 2 {
            let strips = self.competition.strips.len().min(usize::from(table / 2));
            let calls = i64::from((table / 2).div_ceil(strips as u16));
            let stage = Stage::Elimination { table, bout_min: tableau.bout_min };
            self.push(stage, calls * i64::from(tableau.bout_min), strips);
            table /= 2;
        }
    }

    fn teams(&mut self) {
        let Some(teams) = self.competition.teams else { return };
        let mut table = self.competition.entries.max(2).next_power_of_two();
        while table >= 2 {
            let matches = (table / 2).min(self.competition.strips.len() as u16);
            let calls = i64::from((table / 2).div_ceil(matches));
            let stage = Stage::Teams { matches, relay_min: teams.relay_min };
            self.push(stage, calls * RELAYS * i64::from(teams.relay_min), usize::from(matches));
            self.now = self.now.plus_min(BETWEEN_TEAMS_MIN);
            table /= 2;
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::{DayOptions, invented};

    /// Worked by hand: 84 foil fencers in pools of seven on six strips are two waves of 21 bouts of 5 minutes.
    /// The elimination of 64 on six strips takes 6, 3, 2, 1, 1 and 1 calls of 15 minutes.
    #[test]
    fn pools_come_in_waves_and_the_elimination_thins_out() {
        let venue = invented(&DayOptions::default()).unwrap().venue;
        let foil: Vec<Phase> = timetable(&venue).into_iter().filter(|phase| phase.competition == 0).collect();
        let minutes = |phase: &Phase| phase.window.to.since(phase.window.from).ceil_min();
        assert_eq!(foil.iter().map(minutes).collect::<Vec<_>>(), [105, 105, 90, 45, 30, 15, 15, 15]);
        assert_eq!(foil.iter().map(|phase| phase.strips.len()).collect::<Vec<_>>(), [6, 6, 6, 6, 6, 4, 2, 1]);
        assert_eq!(foil[1].window.to.plus_min(15), foil[2].window.from);
    }

    #[test]
    fn phases_of_one_competition_follow_each_other() {
        let venue = invented(&DayOptions { strips: 5, ..DayOptions::default() }).unwrap().venue;
        let phases = timetable(&venue);
        for pair in phases.windows(2).filter(|pair| pair[0].competition == pair[1].competition) {
            assert!(pair[0].window.to <= pair[1].window.from);
        }
        assert!(phases.iter().all(|phase| phase.window.from < phase.window.to));
    }
}
