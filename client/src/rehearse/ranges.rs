//! A number, or a range of them with both ends, as an option's value: `4` or `2..8`.

use std::str::FromStr;

/// Fewest and most benches of a range: every kind of work needs two.
const BENCHES: (u16, u16) = (2, 60);
/// Most days that are played for each number of benches.
const SEEDS_MOST: u64 = 1_000;

/// How many benches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Benches {
    /// So many.
    One(u16),
    /// Each number from the first to the last.
    Range(u16, u16),
}

impl Benches {
    /// The one number.
    pub fn one(self) -> Option<u16> {
        if let Self::One(number) = self { Some(number) } else { None }
    }

    /// Every number of the range.
    pub fn range(self) -> Option<Vec<u16>> {
        if let Self::Range(first, last) = self { Some((first..=last).collect()) } else { None }
    }
}

impl FromStr for Benches {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let Some((first, last)) = text.split_once("..") else {
            return text
                .parse()
                .map(Self::One)
                .map_err(|_| "a number, or a range as in 2..8, is wanted".into());
        };
        let (least, most) = BENCHES;
        let ends = first.parse().ok().zip(last.parse().ok());
        ends.filter(|(first, last)| least <= *first && first <= last && *last <= most)
            .map(|(first, last)| Self::Range(first, last))
            .ok_or_else(|| format!("a range FIRST..LAST from {least} to {most} is wanted, as in 2..8"))
    }
}

/// Which seeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Seeds {
    /// So many, from a first one.
    Count(u64),
    /// From the first to the last.
    Range(u64, u64),
}

impl Seeds {
    /// Every seed; a count begins at `first`.
    pub fn from(self, first: u64) -> Vec<u64> {
        match self {
            Self::Count(count) => (0..count).map(|place| first.wrapping_add(place)).collect(),
            Self::Range(first, last) => (first..=last).collect(),
        }
    }
}

impl FromStr for Seeds {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let told = || format!("1 to {SEEDS_MOST} seeds are wanted: a count, or a range as in 1..40");
        let number = |text: &str| text.parse::<u64>().map_err(|_| told());
        let Some((first, last)) = text.split_once("..") else {
            let count = number(text)?;
            return if (1..=SEEDS_MOST).contains(&count) { Ok(Self::Count(count)) } else { Err(told()) };
        };
        let (first, last) = (number(first)?, number(last)?);
        let few = last.checked_sub(first).is_some_and(|steps| steps < SEEDS_MOST);
        if few { Ok(Self::Range(first, last)) } else { Err(told()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_belong_to_a_range() {
        assert_eq!("4".parse(), Ok(Benches::One(4)));
        assert_eq!("2..4".parse::<Benches>().map(Benches::range), Ok(Some(vec![2, 3, 4])));
        assert_eq!("7".parse(), Ok(Seeds::Count(7)));
        assert_eq!("3..5".parse::<Seeds>().map(|seeds| seeds.from(1)), Ok(vec![3, 4, 5]));
        assert_eq!(Seeds::Count(2).from(9), [9, 10]);
    }

    #[test]
    fn what_is_no_range_is_refused() {
        for text in ["", "x", "1..4", "4..2", "2..61", "2..", "..4", "2...4", "2..=4", "70000"] {
            assert!(text.parse::<Benches>().is_err(), "{text}");
        }
        for text in ["", "0", "1001", "5..4", "0..1000", "-1", "1..x", "99999999999999999999"] {
            assert!(text.parse::<Seeds>().is_err(), "{text}");
        }
    }
}
