//! The order of looks that each settle one cause, when the fault is one of them: fewest expected minutes until it is
//! found. Every minute spent before is counted, the last look too.
//!
//! - Looks that do not depend on each other: falling p/c, probability over minutes (Smith's rule, 1956, for the
//!   weighted sum of completion times; from memory, held against brute force by tests).
//! - Some after others, each after one at most: blocks of falling p/c, a look joined to the one that it comes after as
//!   long as that makes the block's p/c larger (Horn 1972; from memory, likewise).
//! - Anything else: exactly, by dynamic programming over sets of looks, for 16 looks at most.

/// Most looks that [`exact_order`] orders.
pub const EXACT_MOST: usize = 16;

/// Expected minutes of that order, sum over looks of p times the minutes up to and with it.
pub fn expected_minutes(probability: &[f64], minutes: &[f64], order: &[usize]) -> f64 {
    let mut spent = 0.0;
    let terms = order.iter().map(|look| {
        spent += minutes[*look];
        probability[*look] * spent
    });
    terms.sum()
}

/// Looks by falling p/c, the earlier one first where equal.
pub fn ratio_order(probability: &[f64], minutes: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..probability.len()).collect();
    order.sort_by(|a, b| (probability[*b] * minutes[*a]).total_cmp(&(probability[*a] * minutes[*b])));
    order
}

/// The best order when look `b` comes after look `a` for each pair (a, b) of `before`. `None` when there are more than
/// [`EXACT_MOST`] looks or the pairs run in a circle.
pub fn exact_order(probability: &[f64], minutes: &[f64], before: &[(usize, usize)]) -> Option<Vec<usize>> {
    let n = probability.len();
    if n > EXACT_MOST {
        return None;
    }
    let mut needs = vec![0_usize; n];
    for (first, then) in before {
        *needs.get_mut(*then)? |= 1 << *first;
    }
    // What is to come costs the minutes of the next look times the probability that it is not found yet.
    let mut best: Vec<Option<(f64, usize)>> = vec![None; 1 << n];
    best[(1 << n) - 1] = Some((0.0, n));
    for done in (0..(1_usize << n) - 1).rev() {
        let left: f64 = (0..n).filter(|look| done >> look & 1 == 0).map(|look| probability[look]).sum();
        for look in (0..n).filter(|look| done >> look & 1 == 0 && needs[*look] & !done == 0) {
            let Some((rest, _)) = best[done | 1 << look] else { continue };
            let cost = left * minutes[look] + rest;
            if best[done].is_none_or(|(least, _)| cost < least) {
                best[done] = Some((cost, look));
            }
        }
    }
    let (mut order, mut done) = (Vec::new(), 0);
    while order.len() < n {
        let (_, look) = best[done]?;
        order.push(look);
        done |= 1 << look;
    }
    Some(order)
}

/// A run of checks that is never worth interrupting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Block {
    /// Probability that the cause is found in it.
    pub(super) gain: f64,
    /// Its minutes.
    pub(super) minutes: f64,
    /// Minutes that are saved because it may be found before the block's end.
    pub(super) saved: f64,
    /// The first look in it, if there is one.
    pub(super) first: Option<usize>,
}

impl Block {
    pub(super) fn one(gain: f64, minutes: f64, first: Option<usize>) -> Self {
        Self { gain, minutes, saved: 0.0, first }
    }

    /// This one and then another.
    fn then(self, next: Self) -> Self {
        Self {
            gain: self.gain + next.gain,
            minutes: self.minutes + next.minutes,
            saved: self.saved + next.saved + self.gain * next.minutes,
            first: self.first.or(next.first),
        }
    }

    /// Whether its p/c is larger; where equal, whether it is the earlier one.
    fn before(&self, other: &Self) -> bool {
        let (own, theirs) = (self.gain * other.minutes, other.gain * self.minutes);
        own > theirs || (own >= theirs && self.first < other.first)
    }
}

/// Sorts blocks by falling p/c. There are few, and they mostly come nearly sorted: by insertion.
pub(super) fn sort(blocks: &mut [Block]) {
    for end in 1..blocks.len() {
        let (block, mut at) = (blocks[end], end);
        while at > 0 && block.before(&blocks[at - 1]) {
            blocks[at] = blocks[at - 1];
            at -= 1;
        }
        blocks[at] = block;
    }
}

/// Puts a check before blocks that all come after it: it is joined with those that make it better.
pub(super) fn join(head: Block, below: &mut Vec<Block>) {
    sort(below);
    let mut block = head;
    let worth = |block: &Block, next: &Block| next.gain * block.minutes > block.gain * next.minutes;
    let taken = below.iter().take_while(|next| {
        let takes = worth(&block, next);
        if takes {
            block = block.then(**next);
        }
        takes
    });
    let taken = taken.count();
    below.drain(..taken);
    below.insert(0, block);
}

/// Expected minutes of sorted blocks, and the probability that the cause is not found by them, from `mass` on.
pub(super) fn expected(blocks: &[Block], mass: f64) -> (f64, f64) {
    blocks.iter().fold((0.0, mass), |(minutes, left), block| {
        (minutes + left * block.minutes - block.saved, left - block.gain)
    })
}

#[cfg(test)]
#[path = "order_tests.rs"]
mod tests;
