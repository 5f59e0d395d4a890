//! The derived table against what is published and against common practice.
#![allow(clippy::unwrap_used)]

use super::*;

fn lamp(kind: ItemKind, action: Action) -> Shows {
    sound_shows(kind, action, Instrument::TestLamp).unwrap()
}

/// Common practice, no source: a foil at rest lights the lamp, pressing the point puts it out.
#[test]
fn the_test_lamp_is_on_for_a_foil_at_rest() {
    assert_eq!(lamp(ItemKind::Foil, Action::Rest), Shows::TestLamp(Lamp::On));
    assert_eq!(lamp(ItemKind::Foil, Action::Press), Shows::TestLamp(Lamp::Off));
}
