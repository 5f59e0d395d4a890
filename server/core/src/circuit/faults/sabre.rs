//! The fault modes of a sabre: lines B and C are joined in the socket, and the whole blade hangs on them.

use super::{BARE, FILM};
use crate::circuit::action::Action::{
    Beat, GripHandle, HitCuff, HitJacket, HitMask, KnockGuard, PullSocket, WiggleCord,
};
use crate::circuit::fault::Change::{Become, Open};
use crate::circuit::fault::{FaultMode, Way};
use crate::circuit::parts::Line::{B, C};
use crate::circuit::parts::Part::{BladeEdge, Cover, FrontPin, GuardJoint, SocketJoint, SocketLink};

pub(super) const FAULTS: &[FaultMode] = &[
    FaultMode::new(
        "sabre-socket-loose-or-its-b-c-link-open",
        &["sabre_socket_open"],
        &[
            Way::stirred(
                "loose",
                &[Open(FrontPin(B)), Open(FrontPin(C))],
                &[WiggleCord, PullSocket, KnockGuard, Beat],
            ),
            Way::steady("link-open", &[Open(SocketLink)]),
        ],
    ),
    FaultMode::new(
        "sabre-guard",
        &["sabre_faces_rusty"],
        &[
            Way::stirred(
                "at-times",
                &[Become(SocketJoint, FILM)],
                &[HitJacket, HitMask, HitCuff, KnockGuard],
            ),
            Way::steady("film", &[Become(SocketJoint, FILM)]),
        ],
    ),
    FaultMode::new(
        "sabre-rust-on-the-blade-edge",
        &["sabre_edge_rust"],
        &[Way::steady("at-the-rusty-place", &[Become(BladeEdge, FILM)])],
    ),
    FaultMode::new(
        "sabre-insulation-of-pommel",
        &["sabre_insulation_worn"],
        &[Way::steady("bare", &[Become(Cover, BARE)])],
    ),
    FaultMode::new(
        "sabre-blade-loose-in-the-handle",
        &["sabre_blade_loose"],
        &[Way::stirred(
            "loose",
            &[Open(GuardJoint)],
            &[GripHandle, KnockGuard, HitJacket, HitMask, HitCuff, Beat],
        )],
    ),
    FaultMode::new("sabre-blade-cracked-or-broken-at-tang", &["sabre_blade_broken"], &[]),
];
