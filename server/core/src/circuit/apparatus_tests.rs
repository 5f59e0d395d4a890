//! Times and thresholds on both sides of every boundary, held against `tests/reference/standards.md` (MAT26,
//! Annex B, status B); the lamps themselves are held against `circuit-lamps.csv` in `table_tests.rs`.
#![allow(clippy::unwrap_used)]

use super::*;

#[test]
fn a_foil_registers_breaks_from_13_to_15_milliseconds() {
    assert_eq!(registers(Weapon::Foil, 12_999), Counts::No);
    assert_eq!(registers(Weapon::Foil, 13_000), Counts::Either);
    assert_eq!(registers(Weapon::Foil, 15_000), Counts::Either);
    assert_eq!(registers(Weapon::Foil, 15_001), Counts::Yes);
}

#[test]
fn an_epee_registers_contacts_from_2_to_10_milliseconds() {
    assert_eq!(registers(Weapon::Epee, 1_999), Counts::No);
    assert_eq!(registers(Weapon::Epee, 2_000), Counts::Either);
    assert_eq!(registers(Weapon::Epee, 10_001), Counts::Yes);
}

#[test]
fn a_sabre_registers_contacts_from_a_tenth_to_one_millisecond() {
    assert_eq!(registers(Weapon::Sabre, 99), Counts::No);
    assert_eq!(registers(Weapon::Sabre, 1_000), Counts::Either);
    assert_eq!(registers(Weapon::Sabre, 1_001), Counts::Yes);
    assert_eq!(sabre_break_shows(999), Counts::No);
    assert_eq!(sabre_break_shows(3_000), Counts::Either);
    assert_eq!(sabre_break_shows(5_001), Counts::Yes);
}

#[test]
fn second_hits_have_their_windows() {
    for (weapon, both, either, one) in
        [(Weapon::Foil, 274, 300, 326), (Weapon::Epee, 39, 45, 51), (Weapon::Sabre, 159, 170, 181)]
    {
        assert_eq!(second_hit_registers(weapon, both), Counts::Yes);
        assert_eq!(second_hit_registers(weapon, either), Counts::Either);
        assert_eq!(second_hit_registers(weapon, one), Counts::No);
    }
}

/// S14 of the lamp tables.
#[test]
fn a_whip_over_the_blade_is_blocked_for_a_while() {
    assert_eq!(whip_over_registers(3, 0), Counts::Yes);
    assert_eq!(whip_over_registers(4, 0), Counts::Either);
    assert_eq!(whip_over_registers(6, 10), Counts::No);
    assert_eq!(whip_over_registers(14, 0), Counts::No);
    assert_eq!(whip_over_registers(15, 0), Counts::Either);
    assert_eq!(whip_over_registers(21, 0), Counts::Yes);
    assert_eq!(whip_over_registers(10, 11), Counts::Yes, "more than ten interruptions");
}

/// Inputs joined by these resistances: A, B, C of the own side are 0 to 2, of the other 3 to 5, the piste is 6.
fn inputs(joined: &[(usize, usize, f64)]) -> Inputs {
    let mut network = Network::new(7);
    for (a, b, ohm) in joined {
        network.join(*a, *b, *ohm);
    }
    Inputs(network)
}

fn lit(weapon: Weapon, joined: &[(usize, usize, f64)]) -> Lights {
    inputs(joined).lit(weapon, Side::Own)
}

#[test]
fn foil_thresholds() {
    let closed = |ohm| lit(Weapon::Foil, &[(1, 2, ohm)]);
    assert_eq!(closed(200.0), Lights::default());
    assert_eq!(closed(200.1).white, Lamp::On);
    assert_eq!(lit(Weapon::Foil, &[(1, 3, 500.0)]).coloured, Lamp::On);
    assert_eq!(lit(Weapon::Foil, &[(1, 3, 500.1)]).white, Lamp::On);
    for earth in [5, 6] {
        assert_eq!(lit(Weapon::Foil, &[(1, earth, 100.0)]), Lights::default());
        assert_eq!(lit(Weapon::Foil, &[(1, earth, 100.1)]).white, Lamp::On);
    }
    assert_eq!(lit(Weapon::Foil, &[(1, 2, 1.0), (0, 2, 448.0)]).yellow, Lamp::On);
    assert_eq!(lit(Weapon::Foil, &[(1, 2, 1.0), (0, 2, 450.0)]).yellow, Lamp::Off, "never above 475");
}

#[test]
fn epee_thresholds() {
    assert_eq!(lit(Weapon::Epee, &[(0, 1, 100.0)]).coloured, Lamp::On);
    assert_eq!(lit(Weapon::Epee, &[(0, 1, 100.1)]), Lights::default());
    for earth in [2, 5, 6] {
        let hit = lit(Weapon::Epee, &[(0, 1, 1.0), (0, earth, 99.0)]);
        assert_eq!((hit.earth, hit.coloured), (Lamp::On, Lamp::Off));
        assert_eq!(
            lit(Weapon::Epee, &[(0, 1, 1.0), (0, earth, 101.0)]).coloured,
            Lamp::On,
            "seen from B 102 ohm away"
        );
    }
}

#[test]
fn sabre_thresholds() {
    let link = (1, 2, 1.0);
    assert_eq!(lit(Weapon::Sabre, &[link, (1, 3, 100.0)]).coloured, Lamp::On);
    assert_eq!(lit(Weapon::Sabre, &[link, (1, 3, 102.0)]), Lights::default());
    assert_eq!(lit(Weapon::Sabre, &[(1, 2, 250.0)]), Lights::default());
    assert_eq!(lit(Weapon::Sabre, &[(1, 2, 250.1)]).white, Lamp::On);
    // Blade on a blade that touches its owner's jacket: 249 ohm to the valid surface counts, above 250 does not.
    assert_eq!(lit(Weapon::Sabre, &[link, (1, 5, 1.0), (5, 3, 248.0)]).coloured, Lamp::On);
    assert_eq!(lit(Weapon::Sabre, &[link, (1, 5, 1.0), (5, 3, 249.1)]).coloured, Lamp::Off);
}

/// Every figure stands in the reference with item, quantity and limit, in a section whose rows are all status B.
#[test]
fn every_figure_stands_in_the_reference() {
    const REFERENCE: &str =
        include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/standards.md"));
    let section = REFERENCE.split("\n## B. ").nth(1).unwrap().split("\n## ").next().unwrap();
    assert!(section.contains("All rows status B, source MAT26"));
    for figure in limits::FIGURES {
        let row = format!("| {} | {} | {} |", figure.item, figure.quantity, figure.limit);
        assert!(section.contains(&row), "{row}");
        assert_eq!(figure.status, 'B');
    }
    let said: Vec<f64> = limits::FIGURES.iter().flat_map(|figure| numbers(figure.limit)).collect();
    for number in used() {
        assert!(said.iter().any(|said| (said - number).abs() < 1e-9), "{number} stands in no row");
    }
}

/// Every number of the constants, sums and differences of a tolerance taken apart.
fn used() -> Vec<f64> {
    let ohms = [
        limits::FOIL_CLOSED_OHM,
        limits::FOIL_VALID_OHM,
        limits::EARTH_OHM,
        limits::YELLOW_BELOW_OHM,
        limits::EPEE_CLOSED_OHM,
        limits::SABRE_CLOSED_OHM,
        limits::SABRE_THROUGH_WEAPON_OHM,
        limits::SABRE_CONTROL_OHM,
    ];
    let pair = |(a, b): (u32, u32), per: f64| [f64::from(a) / per, f64::from(b) / per];
    // Middle and half width of what is published as "value, tolerance".
    let middle = |(a, b): (u32, u32), per: f64| {
        let [a, b] = pair((a, b), per);
        [f64::midpoint(a, b), (b - a) / 2.0]
    };
    // Value and growth of what is published as "value (+growth)".
    let grown = |(a, b): (u32, u32)| [f64::from(a), f64::from(b - a)];
    [
        ohms.as_slice(),
        &pair(limits::FOIL_BREAK_US, 1000.0),
        &pair(limits::EPEE_CONTACT_US, 1000.0),
        &pair(limits::SABRE_CONTACT_US, 1000.0),
        &middle(limits::SABRE_CONTROL_US, 1000.0),
        &middle(limits::FOIL_WINDOW_MS, 1.0),
        &pair(limits::EPEE_WINDOW_MS, 1.0),
        &middle(limits::SABRE_WINDOW_MS, 1.0),
        &grown(limits::SABRE_WHIP_FREE_MS),
        &grown(limits::SABRE_WHIP_AGAIN_MS),
        &[f64::from(limits::SABRE_WHIP_INTERRUPTIONS)],
    ]
    .concat()
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !(c.is_ascii_digit() || c == '.')).filter_map(|word| word.parse().ok()).collect()
}
