//! Reading what was seen, and which faults fit it.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use super::*;
use crate::circuit::{symptoms, usual_weapon};

fn fit(kind: ItemKind, seen: &[&str]) -> BTreeSet<&'static str> {
    let seen: Vec<Seen> = seen.iter().map(|typed| Seen::parse(typed).unwrap()).collect();
    causes_that_show(kind, usual_weapon(kind), &seen).fit.iter().map(|(fault, _)| fault.id).collect()
}

#[test]
fn words_are_read_forgivingly() {
    let seen = |typed: &str| Seen::parse(typed).unwrap();
    let turned = Seen { action: Action::TurnButton, sight: Sight::TestLamp(Lamp::Flicker) };
    assert_eq!(seen("turn-button=flicker"), turned);
    assert_eq!(seen(" Turn_Button = FLICKER "), turned);
    assert_eq!(seen("rest=none").sight, Sight::Apparatus(Vec::new()));
    assert_eq!(seen("rest=2.4ohm").sight, Sight::Value(2.4));
    assert_eq!(seen("beat=white-on-off").sight, Sight::Apparatus(vec![(Colour::White, Lamp::Flicker)]));
    let both = vec![(Colour::Coloured, Lamp::On), (Colour::Yellow, Lamp::On)];
    assert_eq!(seen("hit-jacket=coloured+yellow").sight, Sight::Apparatus(both));
}

#[test]
fn nonsense_is_refused_with_the_nearest_word() {
    let told = |typed: &str| Seen::parse(typed).unwrap_err().to_string();
    assert_eq!(told("turn-buton=on"), "there is no action `turn-buton`; did you mean `turn-button`?");
    assert_eq!(told("rest=flickr"), "no instrument shows `flickr`; did you mean `flicker`?");
    assert_eq!(told("rest"), "`rest` is not ACTION=WHAT-WAS-SEEN");
    for typed in ["rest=-1ohm", "rest=NaNohm", "rest=infohm", "rest=ohm", "rest=", "=on", "rest=white+zzz"] {
        assert!(Seen::parse(typed).is_err(), "{typed}");
    }
    assert_eq!(told("rest=\u{1b}[2J"), r"no instrument shows `\u{1b}[2J`");
    assert_eq!(Seen::parse(&"x".repeat(10_000_000)), Err(SeenProblem::TooLong));
}

#[test]
fn what_cannot_be_seen_on_an_item_is_refused() {
    let check = |typed: &str, kind| Seen::parse(typed).unwrap().can_be_on(kind, usual_weapon(kind));
    assert_eq!(check("turn-button=flicker", ItemKind::Foil), Ok(()));
    assert_eq!(check("hit-jacket=white", ItemKind::Foil), Ok(()));
    assert_eq!(check("hit-jacket=on", ItemKind::Foil), Err(SeenProblem::NotOnBench(Action::HitJacket)));
    assert_eq!(check("half-gauge=none", ItemKind::Foil), Err(SeenProblem::NotTried(Action::HalfGauge)));
    assert_eq!(check("rest=on", ItemKind::Mask), Err(SeenProblem::NotOnBench(Action::Rest)));
}

/// Common practice, no source: dirt when the button is turned, a loose barrel when the barrel is twisted.
#[test]
fn a_flicker_names_its_causes() {
    assert!(fit(ItemKind::Foil, &["turn-button=flicker"]).contains("foil-dirty-or-rusty-point"));
    let steady_else = ["twist-barrel=flicker", "turn-button=on", "bend-blade=on"];
    assert_eq!(fit(ItemKind::Foil, &steady_else), BTreeSet::from(["foil-loose-barrel"]));
    // GUIDE7 by way of F17: white for good hits, nothing at rest.
    let cord = fit(ItemKind::BodyCordBayonet, &["rest=none", "hit-jacket=white"]);
    assert_eq!(cord, BTreeSet::from(["body-cord-b-and-c-exchanged-at-a-repair"]));
}

#[test]
fn a_value_fits_the_band() {
    assert!(fit(ItemKind::Foil, &["rest=4ohm"]).contains("foil-rust-between-guard"));
    assert!(!fit(ItemKind::Foil, &["rest=4ohm"]).contains("foil-dirty-or-rusty-point"));
    assert!(fit(ItemKind::Foil, &["rest=0.9ohm"]).contains("foil-dirty-or-rusty-point"));
}

/// Every row of the derived table, told back, is answered with its own fault among others; every fault is counted.
#[test]
fn what_a_fault_shows_leads_back_to_it() {
    for kind in [ItemKind::Foil, ItemKind::Epee, ItemKind::BodyCordTwoPin] {
        let weapon = usual_weapon(kind);
        for row in
            symptoms(kind, weapon).into_iter().filter(|row| row.fault.unwrap().is_electrical()).step_by(17)
        {
            let Some(lamp) = row.test_lamp() else { continue };
            let seen = Seen { action: row.action, sight: Sight::TestLamp(lamp) };
            let causes = causes_that_show(kind, weapon, &[seen]);
            let id = row.fault.unwrap().id;
            let led = causes.fit.iter().any(|(fault, ways)| fault.id == id && ways.contains(&row.way));
            assert!(led, "{id}#{} {}", row.way.code, row.action.code());
            let electrical = fault_modes_of(kind).filter(|fault| fault.is_electrical()).count();
            assert_eq!(causes.fit.len() + causes.unfit, electrical);
        }
    }
}

#[test]
fn nothing_seen_fits_everything() {
    let causes = causes_that_show(ItemKind::Foil, Weapon::Foil, &[]);
    assert!(causes.sound_fits && causes.unfit == 0);
}
