//! Which part joins which places: foil, épée and sabre, cords, cables, jackets and the piste. Lines and their ways
//! by MAT26 m.29, m.31, m.55, Annex B, and GUIDE1 to GUIDE3; SAB for the sabre.

use super::parts::{Line, Part, Spot};
use crate::gear::{ItemKind, Weapon};
use Line::{A, B, C};

/// A part and its two ends.
pub type Joined = (Part, Spot, Spot);

/// Box to weapon: floor cable, reel, plug at the reel, body cord.
const CABLES: &[fn(Line) -> Joined] = &[
    |line| (Part::Floor(line), Spot::Box(line), Spot::ReelIn(line)),
    |line| (Part::Reel(line), Spot::ReelIn(line), Spot::ReelOut(line)),
    |line| (Part::RearPin(line), Spot::ReelOut(line), Spot::Rear(line)),
    |line| (Part::Cord(line), Spot::Rear(line), Spot::Front(line)),
];

/// Plug to barrel: one tip wire.
const TIP_WIRE: &[fn(Line) -> Joined] = &[
    |line| (Part::FrontPin(line), Spot::Front(line), Spot::Socket(line)),
    |line| (Part::Screw(line), Spot::Socket(line), Spot::Tail(line)),
    |line| (Part::WireInGuard(line), Spot::Tail(line), Spot::Foot(line)),
    |line| (Part::WireLower(line), Spot::Foot(line), Spot::Mid(line)),
    |line| (Part::WireUpper(line), Spot::Mid(line), Spot::Cup(line)),
    |line| (Part::Insulation(line), Spot::Mid(line), Spot::GrooveFace(line)),
];

/// Plug to blade: the body of any weapon.
const BODY: &[Joined] = &[
    (Part::FrontPin(C), Spot::Front(C), Spot::Socket(C)),
    (Part::SocketJoint, Spot::Socket(C), Spot::Guard),
    (Part::GuardJoint, Spot::Guard, Spot::Blade),
];

const FOIL_POINT: &[Joined] = &[
    (Part::Spring, Spot::Cup(B), Spot::Tip),
    (Part::TipSeat, Spot::Tip, Spot::Barrel),
    (Part::Crown, Spot::Tip, Spot::Crown),
    (Part::BarrelThread, Spot::Barrel, Spot::Blade),
    (Part::FoibleTape, Spot::Blade, Spot::Foible),
];

const EPEE_POINT: &[Joined] = &[
    (Part::Contact(A), Spot::Cup(A), Spot::Tip),
    (Part::Contact(B), Spot::Cup(B), Spot::Tip),
    (Part::Crown, Spot::Tip, Spot::Crown),
    (Part::BarrelThread, Spot::Barrel, Spot::Blade),
];

const SABRE: &[Joined] = &[
    (Part::FrontPin(B), Spot::Front(B), Spot::Socket(B)),
    (Part::SocketLink, Spot::Socket(B), Spot::Socket(C)),
    (Part::BladeEdge, Spot::Blade, Spot::Edge),
    (Part::Cover, Spot::Guard, Spot::Cover),
];

const JACKET: &[Joined] =
    &[(Part::Clip, Spot::Front(A), Spot::ClipStrip), (Part::Cloth, Spot::ClipStrip, Spot::Cloth)];

const MASK: &[Joined] =
    &[(Part::MaskCord, Spot::ClipStrip, Spot::MaskClip), (Part::MaskFace, Spot::MaskClip, Spot::MaskFace)];

const CUFF: &[Joined] = &[(Part::Cuff, Spot::ClipStrip, Spot::Cuff)];

/// The piste; it belongs to both sides.
pub const PISTE: &[Joined] =
    &[(Part::PisteLead, Spot::BoxPiste, Spot::PisteEnd), (Part::PisteSheet, Spot::PisteEnd, Spot::Piste)];

fn lines(of: &[fn(Line) -> Joined], lines: &[Line]) -> Vec<Joined> {
    lines.iter().flat_map(|line| of.iter().map(move |part| part(*line))).collect()
}

/// The weapon from its plug on.
pub fn weapon(weapon: Weapon) -> Vec<Joined> {
    match weapon {
        Weapon::Foil => [&lines(TIP_WIRE, &[B]), BODY, FOIL_POINT].concat(),
        Weapon::Epee => [&lines(TIP_WIRE, &[A, B]), BODY, EPEE_POINT].concat(),
        Weapon::Sabre => [BODY, SABRE].concat(),
    }
}

fn clothing(weapon: Weapon) -> Vec<Joined> {
    match weapon {
        Weapon::Foil => [JACKET, MASK].concat(),
        Weapon::Epee => Vec::new(),
        Weapon::Sabre => [JACKET, MASK, CUFF].concat(),
    }
}

/// Everything of one side, from the box to the point and the clothing; without the piste.
pub fn side(of: Weapon) -> Vec<Joined> {
    [lines(CABLES, &Line::ALL), weapon(of), clothing(of)].concat()
}

/// One item alone on the bench; a weapon with the plug that joins it to lamp or meter.
pub fn alone(kind: ItemKind, of: Weapon) -> Vec<Joined> {
    let holds: fn(Part) -> bool = match kind {
        ItemKind::Foil | ItemKind::Epee | ItemKind::Sabre => return weapon(of),
        ItemKind::BodyCordTwoPin | ItemKind::BodyCordBayonet | ItemKind::BodyCordThreePin => {
            |part| matches!(part, Part::RearPin(_) | Part::Cord(_) | Part::FrontPin(_) | Part::Clip)
        }
        ItemKind::MaskCord => |part| part == Part::MaskCord,
        ItemKind::Mask | ItemKind::MaskFoil | ItemKind::MaskSabre => |part| part == Part::MaskFace,
        ItemKind::JacketFoil | ItemKind::JacketSabre => |part| part == Part::Cloth,
        ItemKind::SabreGlove => |part| part == Part::Cuff,
        ItemKind::Reel => |part| matches!(part, Part::Reel(_)),
        ItemKind::FloorCable => {
            let cable = side(of).into_iter().filter(|(part, ..)| matches!(part, Part::Floor(_)));
            return cable.chain(PISTE.iter().copied()).collect();
        }
        ItemKind::Box => |_| false,
    };
    side(of).into_iter().filter(|(part, ..)| holds(*part)).collect()
}
