//! Held against circuits worked by hand, against `tests/reference/circuits.csv` (numpy and exact fractions), and
//! against itself: voltages obey Kirchhoff's law, and taking nodes out changes no resistance.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::*;

const REFERENCE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/circuits.csv"));

fn network(nodes: usize, resistors: &[(usize, usize, f64)]) -> Network {
    let mut network = Network::new(nodes);
    for (a, b, ohm) in resistors {
        network.join(*a, *b, *ohm);
    }
    network
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

/// 1 + 2 + 3 = 6.
#[test]
fn in_series_resistances_add() {
    let chain = network(4, &[(0, 1, 1.0), (1, 2, 2.0), (2, 3, 3.0)]);
    assert!(close(chain.resistance_between(0, 3), 6.0));
    assert!(close(chain.resistance_between(3, 1), 5.0));
}

/// 1 / (1/2 + 1/3 + 1/6) = 1 / (3/6 + 2/6 + 1/6) = 1.
#[test]
fn side_by_side_conductances_add() {
    let side_by_side = network(2, &[(0, 1, 2.0), (0, 1, 3.0), (1, 0, 6.0)]);
    assert!(close(side_by_side.resistance_between(0, 1), 1.0));
}

/// Wheatstone's bridge out of balance: top 0, left 1, right 2, bottom 3; arms 0-1 1, 0-2 2, 1-3 3, 2-3 4, bridge
/// 1-2 5. One volt across: at the left v1(1 + 1/3 + 1/5) - v2/5 = 1, at the right v2(1/2 + 1/4 + 1/5) - v1/5 = 1/2;
/// times 15 and 20: 23 v1 - 3 v2 = 15, -4 v1 + 19 v2 = 10; so 425 v1 = 315, 425 v2 = 290. Current = (1 - v1) +
/// (1 - v2)/2 = 110/425 + 135/850 = 355/850, resistance 850/355 = 170/71.
#[test]
fn a_bridge_out_of_balance() {
    let arms = [(0, 1, 1.0), (0, 2, 2.0), (1, 3, 3.0), (2, 3, 4.0), (1, 2, 5.0)];
    let bridge = network(4, &arms);
    assert!(close(bridge.resistance_between(0, 3), 170.0 / 71.0));
    let flow = bridge.flow(Source { plus: 0, minus: 3, volt: 1.0, series_ohm: 0.0 });
    let volts: Vec<f64> = flow.volts.into_iter().map(Option::unwrap).collect();
    assert!((volts[1] - 315.0 / 425.0).abs() < 1e-4 && (volts[2] - 290.0 / 425.0).abs() < 1e-4, "{volts:?}");
}

/// A bridge in balance, 1 : 2 = 3 : 6: no current in the middle, so (1 + 2) beside (3 + 6) = 27/12 = 2.25, whatever
/// the middle is.
#[test]
fn a_bridge_in_balance_does_not_feel_its_middle() {
    for middle in [0.001, 1.0, 1e6, f64::INFINITY] {
        let arms = [(0, 1, 1.0), (1, 3, 2.0), (0, 2, 3.0), (2, 3, 6.0), (1, 2, middle)];
        assert!((network(4, &arms).resistance_between(0, 3) - 2.25).abs() < 1e-6, "{middle}");
    }
}

/// A delta of 10, 20, 30 is the star 10·20/60 = 10/3, 10·30/60 = 5, 20·30/60 = 10: between corners 25/3, 40/3, 15.
/// The delta itself: 10 beside 50 = 25/3, 20 beside 40 = 40/3, 30 beside 30 = 15.
#[test]
fn delta_and_star_are_the_same_from_outside() {
    let delta = network(3, &[(0, 1, 10.0), (0, 2, 20.0), (1, 2, 30.0)]);
    let star = network(4, &[(0, 3, 10.0 / 3.0), (1, 3, 5.0), (2, 3, 10.0)]);
    for (a, b, ohm) in [(0, 1, 25.0 / 3.0), (0, 2, 40.0 / 3.0), (1, 2, 15.0)] {
        assert!(close(delta.resistance_between(a, b), ohm), "delta {a} {b}");
        assert!(close(star.resistance_between(a, b), ohm), "star {a} {b}");
        assert!(close(star.seen_from(&[0, 1, 2]).resistance_between(a, b), ohm), "seen {a} {b}");
    }
}

/// 9 V over 2 ohm in series with 1 and 3: current 1.5 A; 6 V left at the plus pole, 4.5 V after the first ohm.
#[test]
fn a_source_drives_its_current() {
    let chain = network(4, &[(0, 1, 1.0), (1, 2, 3.0)]);
    let flow = chain.flow(Source { plus: 0, minus: 2, volt: 9.0, series_ohm: 2.0 });
    assert!(close(flow.ampere, 1.5));
    let expected = [Some(6.0), Some(4.5), Some(0.0), None];
    for (volt, expected) in flow.volts.iter().zip(expected) {
        assert_eq!(volt.is_some(), expected.is_some());
        assert!(close(volt.unwrap_or(0.0), expected.unwrap_or(0.0)));
    }
}

#[test]
fn what_is_not_joined_is_open_and_floats() {
    let apart = network(5, &[(0, 1, 1.0), (2, 3, 1.0), (1, 2, f64::INFINITY), (1, 2, f64::NAN)]);
    assert!(apart.resistance_between(0, 3).is_infinite());
    assert!(apart.resistance_between(0, 9).is_infinite(), "a place beyond the nodes");
    assert!(apart.resistance_between(0, 0) <= 0.0);
    let flow = apart.flow(Source { plus: 0, minus: 3, volt: 2.0, series_ohm: 1.0 });
    assert_eq!(flow.volts, vec![Some(2.0), Some(2.0), Some(0.0), Some(0.0), None]);
    assert!(flow.ampere <= 0.0);
}

#[test]
fn a_resistance_of_nothing_is_the_least() {
    for ohm in [0.0, -5.0] {
        assert!(close(network(2, &[(0, 1, ohm)]).resistance_between(0, 1), LEAST_OHM));
    }
}

#[test]
fn the_networks_of_the_reference() {
    let mut seen = 0;
    for line in REFERENCE.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let mut network = Network::new(cells[1].parse().unwrap());
        for resistor in cells[4].split(' ') {
            let (ends, ohm) = resistor.split_once(':').unwrap();
            let (a, b) = ends.split_once('-').unwrap();
            network.join(a.parse().unwrap(), b.parse().unwrap(), ohm.parse().unwrap());
        }
        let (a, b) = (cells[2].parse().unwrap(), cells[3].parse().unwrap());
        let (exact, numpy): (f64, f64) = (cells[5].parse().unwrap(), cells[6].parse().unwrap());
        let ours = network.resistance_between(a, b);
        assert!((ours - exact).abs() < 1e-9 * exact, "{}: {ours} for {exact}", cells[0]);
        assert!((ours - numpy).abs() < 1e-6 * numpy, "{}: {ours} for {numpy}", cells[0]);
        let seen_from = network.seen_from(&[a, b]).resistance_between(0, 1);
        assert!((seen_from - exact).abs() < 1e-9 * exact, "{}: {seen_from} for {exact}", cells[0]);
        seen += 1;
    }
    assert!(seen >= 20, "{seen}");
}

fn some_resistors() -> impl Strategy<Value = Vec<(usize, usize, f64)>> {
    proptest::collection::vec((0..8_usize, 0..8_usize, 0.01..1000.0), 1..24)
}

proptest! {
    /// What flows into a node flows out of it.
    #[test]
    fn currents_obey_kirchhoff(resistors in some_resistors()) {
        let flow = network(8, &resistors).flow(Source { plus: 0, minus: 1, volt: 5.0, series_ohm: 1.0 });
        let mut into = [0.0; 8];
        for (a, b, ohm) in resistors.iter().filter(|(a, b, _)| a != b) {
            if let (Some(u), Some(v)) = (flow.volts[*a], flow.volts[*b]) {
                into[*a] += (v - u) / ohm;
                into[*b] += (u - v) / ohm;
            }
        }
        into[0] += flow.ampere;
        into[1] -= flow.ampere;
        prop_assert!(into.iter().all(|ampere| ampere.abs() < 1e-6), "{into:?}");
    }

    /// Taking out nodes changes no resistance between the others.
    #[test]
    fn seen_from_some_nodes_it_is_the_same(resistors in some_resistors()) {
        let whole = network(8, &resistors);
        let seen = whole.seen_from(&[6, 0, 3]);
        for (i, a) in [6, 0, 3].into_iter().enumerate() {
            for (j, b) in [6, 0, 3].into_iter().enumerate() {
                let (ours, theirs) = (seen.resistance_between(i, j), whole.resistance_between(a, b));
                prop_assert!(ours.is_infinite() == theirs.is_infinite());
                prop_assert!(ours.is_infinite() || (ours - theirs).abs() < 1e-6 * theirs.max(1e-3));
            }
        }
    }

    /// Rayleigh's law: a larger resistor never makes a resistance smaller.
    #[test]
    fn a_larger_resistor_never_lowers(resistors in some_resistors(), at in 0..24_usize, by in 1.0..50.0) {
        let mut larger = resistors.clone();
        let at = at % larger.len();
        larger[at].2 *= by;
        let (before, after) = (network(8, &resistors), network(8, &larger));
        prop_assert!(after.resistance_between(0, 1) >= before.resistance_between(0, 1) * (1.0 - 1e-9));
    }
}
