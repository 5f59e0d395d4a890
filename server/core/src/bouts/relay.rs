//! The order of a team match: nine relays between two teams of three, fencers 1 to 3 against 4 to 6.
//!
//! Source: FIE Rules for Competitions, Book 2, Organisation Rules, o.99.3, read in a text copy (status A).

/// The nine relays in their order.
pub const RELAYS: [(u8, u8); 9] = [(3, 6), (1, 5), (2, 4), (1, 6), (3, 4), (2, 5), (1, 4), (2, 6), (3, 5)];

/// The number (from 1) of the first relay after `running` in which the fencer stands.
pub fn next_relay(running: u16, fencer: u8) -> Option<u16> {
    (1..)
        .zip(RELAYS)
        .find(|&(number, (a, b))| number > running && (a == fencer || b == fencer))
        .map(|(n, _)| n)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// FIE o.99.2: the three of one team fence the three of the other.
    #[test]
    fn each_fencer_meets_each_of_the_other_team_once() {
        let met: BTreeSet<(u8, u8)> = RELAYS.into_iter().collect();
        let all: BTreeSet<(u8, u8)> = (1..=3).flat_map(|a| (4..=6).map(move |b| (a, b))).collect();
        assert_eq!(met, all);
    }

    /// Worked by hand on the printed order: fencer 3 stands in relays 1, 5 and 9.
    #[test]
    fn the_next_relay_is_after_the_running_one() {
        assert_eq!(next_relay(0, 3), Some(1));
        assert_eq!(next_relay(1, 3), Some(5));
        assert_eq!(next_relay(5, 3), Some(9));
        assert_eq!(next_relay(9, 3), None);
        assert_eq!(next_relay(7, 4), None);
    }
}
