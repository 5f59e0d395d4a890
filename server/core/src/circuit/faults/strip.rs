//! The fault modes of what belongs to the strip: reel, floor cable, piste, box. The inside of a box is no network
//! of ours: its fault is found by exchanging it.

use super::TARNISH;
use crate::circuit::action::Action::{BendAlong, PullCord, TurnReel, WiggleCord};
use crate::circuit::fault::Change::{Add, ExchangeSides, Open};
use crate::circuit::fault::{FaultMode, Way};
use crate::circuit::parts::Line::{A, B, C};
use crate::circuit::parts::Part::{Floor, PisteLead, PisteSheet, Reel};

pub(super) const FAULTS: &[FaultMode] = &[
    FaultMode::new(
        "reel-line-broken-at-the-fencer-end-socket",
        &["reel_line_broken"],
        &[
            Way::stirred("b-at-times", &[Open(Reel(B))], &[PullCord, WiggleCord]),
            Way::steady("b-open", &[Open(Reel(B))]),
            Way::stirred("c-at-times", &[Open(Reel(C))], &[PullCord, WiggleCord]),
            Way::steady("c-open", &[Open(Reel(C))]),
            Way::stirred("a-at-times", &[Open(Reel(A))], &[PullCord, WiggleCord]),
            Way::steady("a-open", &[Open(Reel(A))]),
        ],
    ),
    FaultMode::new(
        "reel-slip-rings-dirty-or-brushes-worn",
        &["reel_rings_dirty"],
        &[
            Way {
                always: &[Add(Reel(B), TARNISH)],
                ..Way::stirred("b", &[Open(Reel(B))], &[TurnReel, PullCord])
            },
            Way {
                always: &[Add(Reel(C), TARNISH)],
                ..Way::stirred("c", &[Open(Reel(C))], &[TurnReel, PullCord])
            },
            Way {
                always: &[Add(Reel(A), TARNISH)],
                ..Way::stirred("a", &[Open(Reel(A))], &[TurnReel, PullCord])
            },
        ],
    ),
    FaultMode::new("reel-retracting-spring-broken", &["reel_spring_broken"], &[]),
    FaultMode::new(
        "floor-cable-line-broken-near-a-plug",
        &["floor_cable_line_broken"],
        &[
            Way::stirred("b-at-times", &[Open(Floor(B))], &[BendAlong, PullCord, WiggleCord]),
            Way::steady("b-open", &[Open(Floor(B))]),
            Way::stirred("c-at-times", &[Open(Floor(C))], &[BendAlong, PullCord, WiggleCord]),
            Way::steady("c-open", &[Open(Floor(C))]),
            Way::stirred("a-at-times", &[Open(Floor(A))], &[BendAlong, PullCord, WiggleCord]),
            Way::steady("a-open", &[Open(Floor(A))]),
        ],
    ),
    FaultMode::new(
        "floor-cable-plugs-in-the-wrong-side-or-loose",
        &["floor_cable_plugs_wrong"],
        &[
            Way::steady("sides-exchanged", &[ExchangeSides]),
            Way::stirred("loose", &[Open(Floor(A)), Open(Floor(B)), Open(Floor(C))], &[WiggleCord, PullCord]),
        ],
    ),
    FaultMode::new(
        "piste-piste-lead-off-or-sections-not-joined",
        &["piste_lead_off"],
        &[Way::steady("lead-off", &[Open(PisteLead)]), Way::steady("sections-apart", &[Open(PisteSheet)])],
    ),
    FaultMode::new("box-fault-stays-when-all-cords-are-changed", &["box_fault_stays"], &[]),
];
