//! True shares of causes that differ from the fault table's: the planner knows the table, and the day does not keep to
//! it. Each fault's share is between half and twice the table's, drawn once for a seed; the shares of each kind
//! still add up to the table's.

use std::collections::BTreeMap;

use remise_core::gear::{Fault, ItemKind, faults};

use super::stream::{Subject, stream, unit};

/// No share is less than the table's divided by this, or more than the table's times this.
const MOST: f64 = 2.0;
/// Halvings of the interval in which the common factor lies: to the last bit of a number.
const HALVINGS: u32 = 60;

/// Factors on the table's shares; none is one.
#[derive(Clone, Debug, Default)]
pub(super) struct Shares(BTreeMap<(ItemKind, &'static str), f64>);

impl Shares {
    /// Drawn from the seed.
    pub fn shifted(seed: u64) -> Self {
        let mut factors = BTreeMap::new();
        let mut rng = stream(seed, Subject::Shares, 0);
        for kind in ItemKind::ALL {
            let drawn: Vec<(&Fault, f64)> =
                faults(kind).map(|fault| (fault, MOST.powf(2.0 * unit(&mut rng) - 1.0))).collect();
            let common = common_factor(&drawn);
            factors.extend(drawn.iter().map(|(fault, factor)| ((kind, fault.id), bounded(common * factor))));
        }
        Self(factors)
    }

    /// The fault's share among those of the kind, in thousandths.
    pub fn of(&self, kind: ItemKind, fault: &Fault) -> f64 {
        f64::from(fault.share_permille_estimate) * self.0.get(&(kind, fault.id)).copied().unwrap_or(1.0)
    }
}

fn bounded(factor: f64) -> f64 {
    factor.clamp(1.0 / MOST, MOST)
}

/// By how much all factors are multiplied, before they are bounded, so that the shares add up to what they were.
fn common_factor(drawn: &[(&Fault, f64)]) -> f64 {
    let weight = |fault: &Fault| f64::from(fault.share_permille_estimate);
    let wanted: f64 = drawn.iter().map(|(fault, _)| weight(fault)).sum();
    let (mut low, mut high) = (1.0 / MOST / MOST, MOST * MOST);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        let sum: f64 = drawn.iter().map(|(fault, factor)| weight(fault) * bounded(middle * factor)).sum();
        if sum < wanted { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Held against what the option says: between half and twice, the same sum, and not the table itself.
    #[test]
    fn shares_stay_between_half_and_twice_and_add_up() {
        for seed in 1..=20 {
            let shares = Shares::shifted(seed);
            let mut far = 0;
            for kind in ItemKind::ALL {
                let (mut table, mut shifted) = (0.0, 0.0);
                for fault in faults(kind) {
                    let share = f64::from(fault.share_permille_estimate);
                    let ratio = shares.of(kind, fault) / share;
                    assert!(
                        share == 0.0 || (0.5..=2.0).contains(&ratio),
                        "seed {seed}, {}: {ratio}",
                        fault.id
                    );
                    far += usize::from(!(0.8..=1.25).contains(&ratio));
                    table += share;
                    shifted += shares.of(kind, fault);
                }
                assert!((table - shifted).abs() < 1e-6, "seed {seed}, {kind:?}: {table} {shifted}");
            }
            assert!(far > 20, "seed {seed}: only {far} shares moved");
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_shares_and_another_others() {
        assert_eq!(Shares::shifted(3).0, Shares::shifted(3).0);
        assert_ne!(Shares::shifted(3).0, Shares::shifted(4).0);
    }
}
