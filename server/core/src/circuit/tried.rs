//! Which actions are tried on which kind of item: on the bench with lamp and meter, and on the strip.

use super::action::Action::{
    self, Beat, BendAlong, BendBlade, BendPressed, BladeOnJacket, BladeOnOwnJacket, CoverOnOwnCuff,
    GripHandle, GripPressed, GuardOnJacket, HalfGauge, HitClip, HitCuff, HitGuard, HitJacket, HitMask,
    HitOwnGuard, HitPiste, HitTape, HitTip, KnockGuard, KnockPressed, OtherHitsClip, OtherHitsCover,
    OtherHitsCuff, OtherHitsGuard, OtherHitsJacket, OtherHitsMask, OtherHitsTape, Press, PressBladeOnJacket,
    PullCord, PullReelEnd, PullSocket, Rest, ShortPlug, StandMass, TouchWire, TurnButton, TurnReel,
    TwistBarrel, TwistPressed, Unplug, WiggleCord, WigglePressed, WireOnJacket,
};
use crate::gear::{ItemKind, Weapon};

const FOIL_BENCH: &[Action] = &[
    Rest,
    Press,
    TurnButton,
    TwistBarrel,
    TwistPressed,
    BendBlade,
    BendPressed,
    TouchWire,
    KnockGuard,
    KnockPressed,
    GripHandle,
    GripPressed,
    WiggleCord,
    WigglePressed,
    PullSocket,
    StandMass,
    Beat,
];
const FOIL_STRIP: &[Action] = &[
    HitJacket,
    HitClip,
    HitGuard,
    HitPiste,
    HitOwnGuard,
    HitTape,
    BladeOnJacket,
    PressBladeOnJacket,
    WireOnJacket,
    BladeOnOwnJacket,
    OtherHitsJacket,
    OtherHitsGuard,
    OtherHitsTape,
    Unplug,
];
const EPEE_BENCH: &[Action] = &[
    Rest,
    Press,
    TurnButton,
    TwistBarrel,
    TwistPressed,
    BendBlade,
    BendPressed,
    TouchWire,
    KnockGuard,
    KnockPressed,
    WiggleCord,
    WigglePressed,
    PullSocket,
    StandMass,
    HalfGauge,
    Beat,
];
const EPEE_STRIP: &[Action] =
    &[HitJacket, HitGuard, HitPiste, HitOwnGuard, HitTip, OtherHitsGuard, Unplug, ShortPlug];
const SABRE_BENCH: &[Action] = &[Rest, Press, KnockGuard, GripHandle, WiggleCord, PullSocket, Beat];
const SABRE_STRIP: &[Action] = &[
    HitJacket,
    HitMask,
    HitCuff,
    HitGuard,
    GuardOnJacket,
    BladeOnOwnJacket,
    CoverOnOwnCuff,
    OtherHitsJacket,
    OtherHitsGuard,
    OtherHitsCover,
    Unplug,
];

/// What is done with an item on the bench, lamp or meter on it.
pub fn bench_actions(kind: ItemKind) -> &'static [Action] {
    match kind {
        ItemKind::Foil => FOIL_BENCH,
        ItemKind::Epee => EPEE_BENCH,
        ItemKind::Sabre => SABRE_BENCH,
        ItemKind::BodyCordTwoPin | ItemKind::BodyCordBayonet | ItemKind::BodyCordThreePin => {
            &[Rest, WiggleCord, PullSocket, PullCord, BendAlong, PullReelEnd]
        }
        ItemKind::MaskCord => &[Rest, WiggleCord, PullCord],
        ItemKind::MaskFoil | ItemKind::MaskSabre | ItemKind::SabreGlove => &[Rest],
        ItemKind::JacketFoil | ItemKind::JacketSabre => &[Rest, WiggleCord],
        ItemKind::Reel => &[Rest, WiggleCord, PullCord, TurnReel],
        ItemKind::FloorCable => &[Rest, WiggleCord, PullCord, BendAlong],
        ItemKind::Mask | ItemKind::Box => &[],
    }
}

/// All that is tried on a kind of item, on the bench or on the strip, in the order in which tables list it.
pub(super) fn tried(kind: ItemKind, weapon: Weapon) -> Vec<Action> {
    let mut actions = [bench_actions(kind), strip_actions(kind, weapon)].concat();
    actions.sort_unstable();
    actions.dedup();
    actions
}

/// What is done on the strip, with the apparatus watching.
pub fn strip_actions(kind: ItemKind, weapon: Weapon) -> &'static [Action] {
    match kind {
        ItemKind::Foil => FOIL_STRIP,
        ItemKind::Epee => EPEE_STRIP,
        ItemKind::Sabre => SABRE_STRIP,
        ItemKind::MaskCord | ItemKind::MaskFoil | ItemKind::MaskSabre => {
            &[Rest, OtherHitsMask, OtherHitsJacket]
        }
        ItemKind::JacketFoil => &[Rest, OtherHitsJacket, OtherHitsClip, OtherHitsMask],
        ItemKind::JacketSabre => &[Rest, OtherHitsJacket, OtherHitsClip, OtherHitsMask, OtherHitsCuff],
        ItemKind::SabreGlove => &[Rest, OtherHitsCuff, OtherHitsJacket],
        ItemKind::Mask => &[Rest],
        ItemKind::Box | ItemKind::Reel | ItemKind::FloorCable => line_actions(weapon),
        ItemKind::BodyCordTwoPin | ItemKind::BodyCordBayonet | ItemKind::BodyCordThreePin => {
            line_actions(weapon)
        }
    }
}

/// What shows the state of the lines between weapon and box.
fn line_actions(weapon: Weapon) -> &'static [Action] {
    match weapon {
        Weapon::Foil => &[
            Rest,
            Press,
            HitJacket,
            HitGuard,
            HitPiste,
            PressBladeOnJacket,
            BladeOnOwnJacket,
            OtherHitsJacket,
            OtherHitsGuard,
            Unplug,
        ],
        Weapon::Epee => &[Rest, Press, WigglePressed, HitGuard, HitPiste, OtherHitsGuard, Unplug, ShortPlug],
        Weapon::Sabre => &[Rest, HitJacket, BladeOnOwnJacket, OtherHitsJacket, OtherHitsGuard, Unplug],
    }
}
