//! The fault modes of what is worn: masks, conductive jackets, sabre cuffs. Tears in cloth that protects change
//! nothing in the circuit; tears in cloth that conducts do.

use super::FILM;
use crate::circuit::action::Action::{
    OtherHitsClip, OtherHitsCuff, OtherHitsJacket, OtherHitsMask, WiggleCord,
};
use crate::circuit::fault::Change::{Become, Open};
use crate::circuit::fault::{FaultMode, Way};
use crate::circuit::parts::Part::{Clip, Cloth, Cuff, MaskFace};

pub(super) const FAULTS: &[FaultMode] = &[
    FaultMode::new("mask-mesh-fails-punch", &["mask_mesh_failed"], &[]),
    FaultMode::new("mask-bib-torn-or-loose-from-the-mesh", &["mask_bib_torn"], &[]),
    FaultMode::new("mask-second-safety-strap-missing-or-slack", &["mask_strap_missing"], &[]),
    FaultMode::new(
        "mask-conductive-bib-or-mesh-dead",
        &["mask_conductor_dead"],
        &[
            Way::steady("dead", &[Become(MaskFace, FILM)]),
            Way::stirred("at-times", &[Become(MaskFace, FILM)], &[OtherHitsMask]),
        ],
    ),
    FaultMode::new(
        "jacket-dead-spot",
        &["jacket_dead_spot"],
        &[Way::steady("at-the-spot", &[Become(Cloth, FILM)])],
    ),
    FaultMode::new(
        "jacket-tear",
        &["jacket_torn"],
        &[Way::steady("beyond-the-tear", &[Open(Cloth)]), Way::steady("covered", &[])],
    ),
    FaultMode::new(
        "jacket-clip-strip-or-d-ring-corroded",
        &["jacket_clip_strip_corroded"],
        &[
            Way::stirred(
                "at-times",
                &[Become(Cloth, FILM)],
                &[OtherHitsJacket, OtherHitsMask, OtherHitsCuff, WiggleCord],
            ),
            Way::stirred(
                "under-the-clip",
                &[Become(Clip, FILM)],
                &[OtherHitsJacket, OtherHitsClip, WiggleCord],
            ),
        ],
    ),
    FaultMode::new("jacket-zip-or-fastening-broken", &["jacket_fastening_broken"], &[]),
    FaultMode::new(
        "jacket-green-salt-corrosion-over-wide-area",
        &["jacket_salt_corrosion"],
        &[
            Way::steady("dead-places", &[Become(Cloth, FILM)]),
            Way::stirred("here-and-there", &[Become(Cloth, FILM)], &[OtherHitsJacket]),
        ],
    ),
    FaultMode::new(
        "sabre-glove-or-cuff-dead-or-torn",
        &["glove_dead_or_torn"],
        &[
            Way::steady("dead", &[Become(Cuff, FILM)]),
            Way::stirred("at-times", &[Become(Cuff, FILM)], &[OtherHitsCuff]),
        ],
    ),
];
