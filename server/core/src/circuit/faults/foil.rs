//! The fault modes of a foil. Its barrel, blade and guard are part of the loop.

use super::{BARE, FILM, TARNISH};
use crate::circuit::action::Action::{
    Beat, BendBlade, BendPressed, GripHandle, GripPressed, KnockGuard, KnockPressed, PullSocket, TouchWire,
    TurnButton, TwistBarrel, TwistPressed, WiggleCord, WigglePressed, WireOnJacket,
};
use crate::circuit::fault::Change::{Add, Become, Join, MassStays, Open, StuckDown, StuckUp};
use crate::circuit::fault::{FaultMode, Way};
use crate::circuit::parts::Line::{B, C};
use crate::circuit::parts::Part::{
    BarrelThread, Crown, FoibleTape, FrontPin, GuardJoint, Insulation, Screw, SocketJoint, Spring, TipSeat,
    WireInGuard, WireLower, WireUpper,
};
use crate::circuit::parts::Spot::{Barrel, Cup, Guard, Tail};

pub(super) const FAULTS: &[FaultMode] = &[
    FaultMode::new(
        "foil-dirty-or-rusty-point",
        &["foil_point_dirty"],
        &[Way::stirred("between-tip-and-barrel", &[Open(TipSeat)], &[TurnButton, Beat])],
    ),
    FaultMode::new(
        "foil-dirty-crown-of-the-tip",
        &["foil_crown_dirty"],
        &[Way::steady("film", &[Become(Crown, FILM)])],
    ),
    FaultMode::new(
        "foil-weak-or-broken-pressure-spring",
        &["foil_spring_weak"],
        &[
            Way { always: &[MassStays], ..Way::stirred("weak", &[Open(TipSeat)], &[Beat]) },
            Way {
                always: &[MassStays],
                ..Way::stirred("broken", &[Open(Spring)], &[Beat, TurnButton, BendBlade])
            },
        ],
    ),
    FaultMode::new("foil-tip-stuck-up", &["foil_tip_stuck_up"], &[Way::steady("stuck", &[StuckUp])]),
    FaultMode::new("foil-tip-stuck-down", &["foil_tip_stuck_down"], &[Way::steady("stuck", &[StuckDown])]),
    FaultMode::new("foil-grub-screw-lost", &["foil_screw_lost"], &[]),
    FaultMode::new(
        "foil-worn-or-bent-grub-screws-or-worn-tip-slots",
        &["foil_screws_worn"],
        &[Way::stirred("catches", &[Open(TipSeat)], &[TurnButton, Beat])],
    ),
    FaultMode::new(
        "foil-loose-barrel",
        &["foil_barrel_loose"],
        &[Way::stirred("on-its-thread", &[Open(BarrelThread)], &[TwistBarrel, Beat])],
    ),
    FaultMode::new(
        "foil-loose-barrel-wire-cup-crushed",
        &["foil_barrel_cup_crushed"],
        &[
            Way::stirred("opens", &[Open(WireUpper(B))], &[TwistBarrel, Beat, BendBlade]),
            Way::stirred("shorts", &[Join(Cup(B), Barrel)], &[TwistBarrel, TwistPressed, BendPressed]),
        ],
    ),
    FaultMode::new(
        "foil-wire-broken-in-the-groove",
        &["foil_wire_broken"],
        &[
            Way::steady("apart", &[Open(WireLower(B))]),
            Way::stirred("ends-touch", &[Open(WireLower(B))], &[BendBlade, Beat]),
        ],
    ),
    FaultMode::new(
        "foil-copper-bare-in-the-groove",
        &["foil_wire_bare"],
        &[Way::steady("bare", &[Become(Insulation(B), BARE)])],
    ),
    FaultMode::new(
        "foil-copper-bare-in-the-groove-patched",
        &["foil_wire_bare_patched"],
        &[
            Way::stirred("wearing-through", &[Become(Insulation(B), BARE)], &[TouchWire, WireOnJacket]),
            Way::steady("still-covered", &[]),
        ],
    ),
    FaultMode::new(
        "foil-wire-lifted-from-the-groove",
        &["foil_wire_lifted"],
        &[
            Way::steady("none-yet", &[]),
            Way::stirred("cracked", &[Open(WireLower(B))], &[BendBlade, TouchWire, Beat]),
        ],
    ),
    FaultMode::new(
        "foil-wire-insulation-worn-at-the-barrel",
        &["foil_wire_short_at_barrel"],
        &[
            Way::stirred("touches-at-times", &[Join(Cup(B), Barrel)], &[BendPressed, TwistPressed]),
            Way::steady("touches", &[Join(Cup(B), Barrel)]),
        ],
    ),
    FaultMode::new(
        "foil-tail-of-wire-touching-inside-the-guard",
        &["foil_wire_tail_on_guard"],
        &[
            Way::stirred("touches-at-times", &[Join(Tail(B), Guard)], &[KnockPressed, WigglePressed]),
            Way::steady("touches", &[Join(Tail(B), Guard)]),
        ],
    ),
    FaultMode::new(
        "foil-wire-pinched-under-cushion",
        &["foil_wire_pinched"],
        &[
            Way::stirred("cut", &[Open(WireInGuard(B))], &[GripHandle, KnockGuard]),
            Way::stirred("shorts", &[Join(Tail(B), Guard)], &[GripPressed, KnockPressed]),
        ],
    ),
    FaultMode::new(
        "foil-nut-on-the-tang-not-tight",
        &["foil_tang_nut_loose"],
        &[Way::stirred("loose", &[Open(GuardJoint)], &[GripHandle, KnockGuard, Beat])],
    ),
    FaultMode::new(
        "foil-socket-nut-or-screw-on-the-wire-not-tight",
        &["foil_socket_nut_loose"],
        &[Way::stirred("loose", &[Open(Screw(B))], &[WiggleCord, PullSocket])],
    ),
    FaultMode::new(
        "foil-double-insulated-wire-not-cleaned-to-bright-copper-under-the-nut",
        &["foil_wire_not_bared"],
        &[
            Way::stirred("at-times", &[Open(Screw(B))], &[WiggleCord, PullSocket]),
            Way::steady("open", &[Open(Screw(B))]),
            Way::steady("high", &[Add(Screw(B), TARNISH)]),
        ],
    ),
    FaultMode::new(
        "foil-socket-worn",
        &["foil_socket_worn"],
        &[Way::stirred("slips", &[Open(FrontPin(B)), Open(FrontPin(C))], &[PullSocket, WiggleCord])],
    ),
    FaultMode::new(
        "foil-rust-between-guard",
        &["foil_socket_rust"],
        &[Way {
            always: &[Add(SocketJoint, TARNISH)],
            ..Way::stirred("tarnish", &[Open(SocketJoint)], &[KnockGuard, GripHandle, Beat])
        }],
    ),
    FaultMode::new(
        "foil-tape-worn-or-too-short-on-the-foible",
        &["foil_tape_worn"],
        &[Way::steady("bare", &[Become(FoibleTape, BARE)])],
    ),
    FaultMode::new("foil-blade-curve-over-the-limit-or-s-bend", &["foil_blade_bent"], &[]),
    FaultMode::new("foil-blade-cracked-or-broken", &["foil_blade_broken"], &[]),
];
