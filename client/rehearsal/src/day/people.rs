//! Invented people. Names are put together from syllables that no naming list was used for, so that whoever sees
//! a rehearsal sees at once that nobody real is meant.

use super::stream::{Subject, below, stream};

const GIVEN_FIRST: [&str; 14] = [
    "Zib", "Quor", "Plim", "Drob", "Wex", "Thra", "Yolm", "Krem", "Snav", "Blid", "Ompr", "Vriq", "Jund",
    "Fepp",
];
const GIVEN_LAST: [&str; 9] = ["ulo", "eth", "abi", "ondi", "iffa", "ux", "ary", "elp", "inka"];
const FAMILY_FIRST: [&str; 16] = [
    "Fenk", "Glomb", "Trax", "Hurp", "Jasp", "Murd", "Skrel", "Brunz", "Zwonk", "Pirl", "Dawx", "Nemp",
    "Quell", "Vosk", "Yarb", "Throl",
];
const FAMILY_LAST: [&str; 11] =
    ["aroo", "ibbet", "ovar", "ulken", "andry", "estro", "imple", "orquin", "épin", "ödder", "ewax"];

const NAMES: usize = GIVEN_FIRST.len() * GIVEN_LAST.len() * FAMILY_FIRST.len() * FAMILY_LAST.len();
/// Coprime to [`NAMES`], so that stepping by it meets every name once before any comes again.
const STEP: usize = 5_003;
/// How many names are kept for fencers; officials follow after them.
const FENCERS: usize = 16_000;

/// Names of `count` fencers of the competition with that number, none twice. Competitions share no names as
/// long as each has at most 400 fencers and there are at most 40.
pub fn fencers(seed: u64, competition: usize, count: usize) -> Vec<String> {
    (0..count).map(|index| name(seed, competition * 400 + index)).collect()
}

/// Names of `count` strip officials, none twice and none a fencer's.
pub fn officials(seed: u64, count: usize) -> Vec<String> {
    (0..count).map(|index| name(seed, FENCERS + index)).collect()
}

/// Given names of `count` armourers, none twice among the first 126.
pub(super) fn armourers(seed: u64, count: usize) -> Vec<String> {
    let all = GIVEN_FIRST.len() * GIVEN_LAST.len();
    let offset = below(&mut stream(seed, Subject::People, u32::MAX), all);
    (0..count).map(|index| given((offset + index * 47) % all)).collect()
}

fn name(seed: u64, index: usize) -> String {
    let offset = below(&mut stream(seed, Subject::People, u32::MAX - 1), NAMES);
    let number = (offset + index * STEP) % NAMES;
    let (given_part, family_part) =
        (number % (GIVEN_FIRST.len() * GIVEN_LAST.len()), number / (GIVEN_FIRST.len() * GIVEN_LAST.len()));
    let first = FAMILY_FIRST[family_part % FAMILY_FIRST.len()];
    let last = FAMILY_LAST[family_part / FAMILY_FIRST.len()];
    format!("{} {first}{last}", given(given_part))
}

fn given(number: usize) -> String {
    format!("{}{}", GIVEN_FIRST[number % GIVEN_FIRST.len()], GIVEN_LAST[number / GIVEN_FIRST.len()])
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn nobody_has_the_name_of_another() {
        let mut names: Vec<String> = (0..40).flat_map(|number| fencers(3, number, 400)).collect();
        names.extend(officials(3, 400));
        let distinct: BTreeSet<&String> = names.iter().collect();
        assert_eq!(distinct.len(), names.len());
        let armourers = armourers(3, 60);
        assert_eq!(armourers.iter().collect::<BTreeSet<_>>().len(), 60);
    }

    #[test]
    fn names_are_accepted_by_the_core() {
        for name in fencers(9, 0, 400) {
            assert_eq!(remise_core::text::name(&name).as_deref(), Ok(name.as_str()));
        }
    }
}
