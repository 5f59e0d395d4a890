//! Shares in thousandths that sum to exactly 1000.

use std::cmp::Reverse;

struct Part<T> {
    what: T,
    /// Place in the order given.
    place: usize,
    share: u64,
    remainder: u64,
}

/// Turns weights into thousandths of their sum, by largest remainders: each gets its share rounded down, and
/// what is left goes one by one to the largest remainders (the earlier entry first when they are equal).
///
/// The result falls by share, equal shares in the order given; entries of no weight are left out, while those
/// of a weight too small for one thousandth stay, with 0. Without any weight the result is empty.
///
/// Weights are small here (a share in thousandths times 5040 at most), so `weight * 1000` is far from its bound.
pub(super) fn to_permille<T: Copy>(weights: &[(T, u64)]) -> Vec<(T, u16)> {
    let total: u64 = weights.iter().map(|(_, weight)| weight).sum();
    let mut parts: Vec<Part<T>> = weights
        .iter()
        .enumerate()
        .filter(|(_, (_, weight))| *weight > 0)
        .map(|(place, &(what, weight))| Part {
            what,
            place,
            share: weight * 1000 / total,
            remainder: weight * 1000 % total,
        })
        .collect();
    if parts.is_empty() {
        return Vec::new();
    }
    let left = 1000 - parts.iter().map(|part| part.share).sum::<u64>();
    parts.sort_by_key(|part| (Reverse(part.remainder), part.place));
    for part in parts.iter_mut().take(left as usize) {
        part.share += 1;
    }
    parts.sort_by_key(|part| (Reverse(part.share), part.place));
    parts.into_iter().map(|part| (part.what, part.share as u16)).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn thirds_give_the_odd_thousandth_to_the_first() {
        assert_eq!(to_permille(&[('a', 5), ('b', 5), ('c', 5)]), [('a', 334), ('b', 333), ('c', 333)]);
    }

    #[test]
    fn the_largest_remainder_gets_what_is_left() {
        // Exactly 142.86, 285.71 and 571.43: two are left over after rounding down.
        assert_eq!(to_permille(&[('a', 1), ('b', 2), ('c', 4)]), [('c', 571), ('b', 286), ('a', 143)]);
    }

    #[test]
    fn nothing_weighs_nothing() {
        assert_eq!(to_permille::<char>(&[]), []);
        assert_eq!(to_permille(&[('a', 0)]), []);
        assert_eq!(to_permille(&[('a', 0), ('b', 7)]), [('b', 1000)]);
    }

    proptest! {
        #[test]
        fn shares_sum_to_a_thousand_and_lie_within_one_of_exact(
            weights in proptest::collection::vec(0_u64..10_000_000, 1..60),
        ) {
            let total: u64 = weights.iter().sum();
            prop_assume!(total > 0);
            let named: Vec<_> = weights.iter().copied().enumerate().collect();
            let shares = to_permille(&named);
            prop_assert_eq!(shares.iter().map(|(_, share)| u64::from(*share)).sum::<u64>(), 1000);
            for (place, share) in shares {
                let exact = weights[place] * 1000 / total;
                prop_assert!(u64::from(share) == exact || u64::from(share) == exact + 1);
            }
        }
    }
}
