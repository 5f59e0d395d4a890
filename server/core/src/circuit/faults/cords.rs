//! The fault modes of body cords and mask cords, line by line. Foil and sabre use the same cord.

use super::{FILM, TARNISH};
use crate::circuit::action::Action::{
    BendAlong, OtherHitsMask, PullCord, PullReelEnd, PullSocket, WiggleCord, WigglePressed,
};
use crate::circuit::fault::Change::{Add, Become, Exchange, Join, Open};
use crate::circuit::fault::{FaultMode, Way};
use crate::circuit::parts::Line::{A, B, C};
use crate::circuit::parts::Part::{Clip, Cord, FrontPin, MaskCord, RearPin};
use crate::circuit::parts::Spot::Front;
use crate::gear::Weapon::{self, Epee, Foil, Sabre};

const EPEE: &[Weapon] = &[Epee];
const WITH_CLIP: &[Weapon] = &[Foil, Sabre];

pub(super) const FAULTS: &[FaultMode] = &[
    FaultMode::new(
        "body-cord-wire-broken-near-a-plug",
        &["cord_wire_broken", "cord_wire_broken_three_pin"],
        &[
            Way::stirred("b-at-times", &[Open(Cord(B))], &[PullCord, WiggleCord, WigglePressed]),
            Way::steady("b-open", &[Open(Cord(B))]),
            Way::stirred("a-at-times", &[Open(Cord(A))], &[PullCord, WiggleCord, WigglePressed]).with(EPEE),
            Way::steady("a-open", &[Open(Cord(A))]).with(EPEE),
            Way::stirred("c-at-times", &[Open(Cord(C))], &[PullCord, WiggleCord, WigglePressed]),
            Way::steady("c-open", &[Open(Cord(C))]),
        ],
    ),
    FaultMode::new(
        "body-cord-line-a-or-clip-bad",
        &["cord_line_a_bad"],
        &[
            Way::steady("line-open", &[Open(Cord(A))]).with(WITH_CLIP),
            Way::stirred("line-at-times", &[Open(Cord(A))], &[PullCord]).with(WITH_CLIP),
            Way::steady("clip-dirty", &[Become(Clip, FILM)]).with(WITH_CLIP),
            Way::stirred("clip-at-times", &[Open(Clip)], &[WiggleCord]).with(WITH_CLIP),
        ],
    ),
    FaultMode::new(
        "body-cord-screws-in-a-plug-loose",
        &["cord_screws_loose"],
        &[
            Way {
                always: &[Add(RearPin(B), TARNISH)],
                ..Way::stirred("b", &[Open(RearPin(B))], &[WiggleCord, WigglePressed, PullReelEnd])
            },
            Way {
                always: &[Add(RearPin(C), TARNISH)],
                ..Way::stirred("c", &[Open(RearPin(C))], &[WiggleCord, WigglePressed, PullReelEnd])
            },
            Way {
                always: &[Add(RearPin(A), TARNISH)],
                ..Way::stirred("a", &[Open(RearPin(A))], &[WiggleCord, WigglePressed, PullReelEnd])
            },
        ],
    ),
    FaultMode::new(
        "body-cord-b-and-c-exchanged-at-a-repair",
        &["cord_lines_exchanged"],
        &[
            Way::steady("b-c", &[Exchange(B, C)]).with(WITH_CLIP),
            Way::steady("a-b", &[Exchange(A, B)]).with(EPEE),
        ],
    ),
    FaultMode::new(
        "body-cord-two-lines-touching-in-a-plug",
        &["cord_lines_touching"],
        &[
            Way::steady("b-c", &[Join(Front(B), Front(C))]),
            Way::steady("a-b", &[Join(Front(A), Front(B))]),
            Way::steady("a-c", &[Join(Front(A), Front(C))]),
        ],
    ),
    FaultMode::new(
        "body-cord-bayonet-or-two-pin-plug-worn",
        &["cord_plug_worn"],
        &[Way::stirred(
            "slips",
            &[Open(FrontPin(B)), Open(FrontPin(C))],
            &[PullSocket, WiggleCord, WigglePressed],
        )],
    ),
    FaultMode::new(
        "body-cord-dirty-or-green-pins",
        &["cord_pins_dirty"],
        &[
            Way::steady("b", &[Add(RearPin(B), TARNISH)]),
            Way::steady("a", &[Add(RearPin(A), TARNISH)]),
            Way::steady("c", &[Add(RearPin(C), TARNISH)]),
        ],
    ),
    FaultMode::new(
        "body-cord-safety-catch-at-the-reel-end-broken",
        &["cord_catch_broken"],
        &[Way::stirred("comes-out", &[Open(RearPin(A)), Open(RearPin(B)), Open(RearPin(C))], &[PullReelEnd])],
    ),
    FaultMode::new(
        "body-cord-broken-in-the-middle",
        &["cord_broken_middle"],
        &[
            Way::stirred("b", &[Open(Cord(B))], &[BendAlong, PullCord]),
            Way::stirred("c", &[Open(Cord(C))], &[BendAlong, PullCord]),
            Way::stirred("a", &[Open(Cord(A))], &[BendAlong, PullCord]),
        ],
    ),
    FaultMode::new(
        "mask-cord-wire-broken-at-a-clip",
        &["mask_cord_wire_broken"],
        &[
            Way::steady("apart", &[Open(MaskCord)]),
            Way::stirred("at-times", &[Open(MaskCord)], &[PullCord, OtherHitsMask]),
        ],
    ),
    FaultMode::new(
        "mask-cord-clip-dirty-or-weak",
        &["mask_cord_clip_bad"],
        &[
            Way {
                always: &[Add(MaskCord, TARNISH)],
                ..Way::stirred("at-times", &[Open(MaskCord)], &[WiggleCord, PullCord, OtherHitsMask])
            },
            Way::steady("film", &[Become(MaskCord, FILM)]),
        ],
    ),
];
