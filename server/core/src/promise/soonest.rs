//! The least of many numbers that change one at a time: which bench is free first.
//!
//! A tree of winners in one array: the leaves are the numbers, each inner node is the lesser of its two, the left one where
//! they are equal. A change costs one walk to the root, so that hundreds of benches cost little more than ten.

/// Numbers, and which of them is the least.
#[derive(Clone, Debug)]
pub(super) struct Soonest {
    /// The numbers, by place.
    at: Vec<i32>,
    /// Winners: the root at 1, the children of a node n at 2n and 2n + 1, the leaves last. Places beyond the numbers are
    /// never winners.
    winner: Vec<u32>,
    leaves: usize,
}

impl Soonest {
    /// So many numbers, all the same.
    pub(super) fn new(count: usize, value: i32) -> Self {
        let leaves = count.next_power_of_two().max(1);
        let mut soonest = Self { at: vec![value; count], winner: vec![0; 2 * leaves], leaves };
        for place in 0..leaves {
            soonest.winner[leaves + place] = place as u32;
        }
        soonest.settle();
        soonest
    }

    /// The numbers, by place.
    pub(super) fn all(&self) -> &[i32] {
        &self.at
    }

    /// Changes them all.
    pub(super) fn set_all(&mut self, values: impl Iterator<Item = i32>) {
        for (at, value) in self.at.iter_mut().zip(values) {
            *at = value;
        }
        self.settle();
    }

    /// Changes one.
    pub(super) fn set(&mut self, place: usize, value: i32) {
        self.at[place] = value;
        let mut node = self.leaves + place;
        while node > 1 {
            node /= 2;
            self.winner[node] = self.lesser(node);
        }
    }

    /// The place of the least, the first of equal ones; none when there are no numbers.
    pub(super) fn first(&self) -> Option<usize> {
        let place = if self.leaves == 1 { 0 } else { self.winner[1] as usize };
        (place < self.at.len()).then_some(place)
    }

    fn settle(&mut self) {
        for node in (1..self.leaves).rev() {
            self.winner[node] = self.lesser(node);
        }
    }

    fn lesser(&self, node: usize) -> u32 {
        let (left, right) = (self.winner[2 * node], self.winner[2 * node + 1]);
        let value = |place: u32| self.at.get(place as usize).copied();
        match (value(left), value(right)) {
            (Some(a), Some(b)) if b < a => right,
            _ => left,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// As two plain passes say it.
        #[test]
        fn the_first_of_the_least(
            count in 0_usize..70,
            changes in proptest::collection::vec((0_usize..70, 0..40_i32), 0..200),
        ) {
            let mut soonest = Soonest::new(count, 20);
            for (place, value) in changes.into_iter().filter(|(place, _)| *place < count) {
                soonest.set(place, value);
                let least = soonest.all().iter().copied().min();
                prop_assert_eq!(soonest.first(), soonest.all().iter().position(|it| Some(*it) == least));
            }
            soonest.set_all((0..count).map(|place| (count - place) as i32 / 3));
            let least = soonest.all().iter().copied().min();
            prop_assert_eq!(soonest.first(), soonest.all().iter().position(|it| Some(*it) == least));
        }
    }
}
