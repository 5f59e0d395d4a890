//! The fault modes of an épée: two tip wires, open at rest, joined by the tip.

use super::{FILM, TARNISH};
use crate::circuit::action::Action::{
    Beat, BendBlade, BendPressed, HitJacket, HitOwnGuard, KnockPressed, OtherHitsGuard, Press, PullSocket,
    TwistBarrel, TwistPressed, WiggleCord, WigglePressed,
};
use crate::circuit::fault::Change::{Add, Become, Join, LightsEarly, MassStays, Open};
use crate::circuit::fault::{FaultMode, Way};
use crate::circuit::parts::Line::{A, B};
use crate::circuit::parts::Part::{Contact, Crown, GuardJoint, Screw, SocketJoint, WireLower, WireUpper};
use crate::circuit::parts::Spot::{Blade, Cup, Guard, Mid, Tail};

pub(super) const FAULTS: &[FaultMode] = &[
    FaultMode::new(
        "epee-dirty-point",
        &["epee_point_dirty"],
        &[
            Way::stirred("film-at-times", &[Become(Contact(A), FILM)], &[Press, TwistPressed, HitJacket]),
            Way::steady("film", &[Become(Contact(A), FILM)]),
            Way::steady("crown", &[Become(Crown, FILM)]),
        ],
    ),
    FaultMode::new(
        "epee-contact-spring-too-long",
        &["epee_contact_spring_long"],
        &[Way::steady("long", &[LightsEarly])],
    ),
    FaultMode::new(
        "epee-contact-spring-too-short",
        &["epee_contact_spring_short"],
        &[Way::steady("short", &[Open(Contact(A)), Open(Contact(B))])],
    ),
    FaultMode::new(
        "epee-pressure-spring-weak",
        &["epee_pressure_spring_weak"],
        &[Way::steady("weak", &[MassStays])],
    ),
    FaultMode::new("epee-total-travel-too-small", &["epee_travel_small"], &[]),
    FaultMode::new("epee-grub-screw-lost", &["epee_screw_lost"], &[]),
    FaultMode::new(
        "epee-one-groove-wire-broken",
        &["epee_wire_broken"],
        &[
            Way::steady("apart", &[Open(WireLower(A))]),
            Way::stirred("ends-touch", &[Open(WireLower(A))], &[BendPressed, HitJacket]),
        ],
    ),
    FaultMode::new(
        "epee-the-two-wires-touching",
        &["epee_wires_touching"],
        &[
            Way::steady("in-the-groove", &[Join(Mid(A), Mid(B))]),
            Way::stirred("in-the-groove-at-times", &[Join(Mid(A), Mid(B))], &[BendBlade, Beat]),
            Way::stirred("at-the-barrel", &[Join(Cup(A), Cup(B))], &[TwistBarrel, Beat]),
            Way::stirred("at-the-socket", &[Join(Tail(A), Tail(B))], &[WiggleCord, PullSocket]),
        ],
    ),
    FaultMode::new(
        "epee-wire-touching-blade-or-guard",
        &["epee_wire_on_blade"],
        &[
            Way::steady("on-the-blade", &[Join(Mid(A), Blade)]),
            Way::stirred("on-the-guard", &[Join(Tail(A), Guard)], &[KnockPressed, WigglePressed, HitJacket]),
        ],
    ),
    FaultMode::new(
        "epee-loose-barrel",
        &["epee_barrel_loose"],
        &[Way::stirred("wire-at-the-barrel", &[Open(WireUpper(A))], &[TwistPressed, HitJacket])],
    ),
    FaultMode::new(
        "epee-wires-loose-at-the-socket",
        &["epee_socket_wires_loose"],
        &[Way::stirred("loose", &[Open(Screw(A))], &[WigglePressed, KnockPressed, HitJacket])],
    ),
    FaultMode::new(
        "epee-guard-not-earthed",
        &["epee_guard_not_earthed"],
        &[
            Way::stirred("at-times", &[Open(SocketJoint)], &[OtherHitsGuard, HitOwnGuard]),
            Way::steady("film", &[Become(SocketJoint, FILM)]),
            Way::steady("tarnish", &[Add(GuardJoint, TARNISH)]),
        ],
    ),
    FaultMode::new("epee-blade-cracked-or-broken", &["epee_blade_broken"], &[]),
];
