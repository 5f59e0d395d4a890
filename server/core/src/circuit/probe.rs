//! Where lamp and meter are held on an item that lies on the bench, and what must be read there.

use super::network::Network;
use super::parts::{Line, Node, Spot};
use super::setup::{End, Setup};
use crate::gear::{ItemKind, Weapon};
use Line::{A, B, C};

/// Two places between which is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    /// Stable code within the kind of item.
    pub code: &'static str,
    /// Where, in words.
    pub title: &'static str,
    from: Spot,
    to: Spot,
    /// Most that a sound one reads, in ohm; none where a sound one is open.
    pub limit_ohm: Option<f64>,
}

impl Probe {
    /// Both ends.
    pub fn ends(&self) -> [Node; 2] {
        [Node::own(self.from), Node::own(self.to)]
    }
}

/// An item on the bench in one state, as the places of all its probes see it.
pub(super) struct OnBench {
    places: Vec<Node>,
    /// At the least, the usual and the most of every part.
    networks: [Network; 3],
}

impl OnBench {
    pub(super) fn new(setup: &Setup, probes: &[Probe]) -> Self {
        let mut places: Vec<Node> = probes.iter().flat_map(Probe::ends).collect();
        places.sort_unstable();
        places.dedup();
        let networks = [End::Low, End::Likely, End::High].map(|end| setup.seen_from(&places, end));
        Self { places, networks }
    }

    /// Resistance between a probe's ends, in ohm.
    pub(super) fn ohm(&self, probe: &Probe, end: End) -> f64 {
        // Every probe's ends are among the places: that is how they were made. A stranger would find nothing.
        let at = |node| self.places.binary_search(&node).unwrap_or(self.places.len());
        let [from, to] = probe.ends().map(at);
        self.networks[end as usize].resistance_between(from, to)
    }
}

const fn at_most(code: &'static str, title: &'static str, from: Spot, to: Spot, ohm: f64) -> Probe {
    Probe { code, title, from, to, limit_ohm: Some(ohm) }
}

const fn open(code: &'static str, title: &'static str, from: Spot, to: Spot) -> Probe {
    Probe { code, title, from, to, limit_ohm: None }
}

// 2 ohm: ARM-a (status C). A few tenths to the bare blade: ARM-a, the figure is ours.
const FOIL: &[Probe] = &[
    at_most("loop", "B to C at the socket", Spot::Front(B), Spot::Front(C), 2.0),
    at_most("wire", "B of the socket to the tip", Spot::Socket(B), Spot::Crown, 2.0),
    at_most("body", "C of the socket to the bare blade", Spot::Socket(C), Spot::Blade, 0.5),
];
// 2 ohm: ARM-a (status C).
const EPEE: &[Probe] = &[
    at_most("loop", "A to B at the socket", Spot::Front(A), Spot::Front(B), 2.0),
    open("a-body", "A of the socket to the blade", Spot::Front(A), Spot::Blade),
    open("b-body", "B of the socket to the blade", Spot::Front(B), Spot::Blade),
    at_most("body", "C of the socket to guard and blade", Spot::Socket(C), Spot::Blade, 2.0),
];
// 1 ohm: from memory, not checked (status M).
const SABRE: &[Probe] = &[
    at_most("body", "socket to the blade's edge", Spot::Front(C), Spot::Edge, 1.0),
    at_most("link", "B to C in the socket", Spot::Front(B), Spot::Front(C), 1.0),
    open("cover", "pommel to guard", Spot::Cover, Spot::Guard),
];
// 1 ohm: MAT26 m.29, m.31 (status B).
const CORD: &[Probe] = &[
    at_most("line-b", "line B, plug to plug", Spot::ReelOut(B), Spot::Socket(B), 1.0),
    at_most("line-c", "line C, plug to plug", Spot::ReelOut(C), Spot::Socket(C), 1.0),
    at_most("line-a", "line A, plug to clip", Spot::ReelOut(A), Spot::ClipStrip, 1.0),
    open("b-c", "between B and C", Spot::ReelOut(B), Spot::ReelOut(C)),
    open("a-b", "between A and B", Spot::ReelOut(A), Spot::ReelOut(B)),
    open("a-c", "between A and C", Spot::ReelOut(A), Spot::ReelOut(C)),
];
const CORD_EPEE: &[Probe] = &[
    CORD[0],
    CORD[1],
    at_most("line-a", "line A, plug to plug", Spot::ReelOut(A), Spot::Socket(A), 1.0),
    CORD[3],
    CORD[4],
    CORD[5],
];
// 1 ohm: ZAwc (status C).
const MASK_CORD: &[Probe] = &[at_most("cord", "clip to clip", Spot::ClipStrip, Spot::MaskClip, 1.0)];
// 5 ohm, here and for jacket and cuff: from memory, not checked (status M).
const MASK: &[Probe] =
    &[at_most("mask", "cord's clip to a place on the mask", Spot::MaskClip, Spot::MaskFace, 5.0)];
const JACKET: &[Probe] =
    &[at_most("cloth", "clip strip to a place on the cloth", Spot::ClipStrip, Spot::Cloth, 5.0)];
const CUFF: &[Probe] = &[at_most("cuff", "jacket to a place on the cuff", Spot::ClipStrip, Spot::Cuff, 5.0)];
// 3 ohm: MAT26 m.55 (status B).
const REEL: &[Probe] = &[
    at_most("line-b", "line B, socket to socket", Spot::ReelIn(B), Spot::ReelOut(B), 3.0),
    at_most("line-c", "line C, socket to socket", Spot::ReelIn(C), Spot::ReelOut(C), 3.0),
    at_most("line-a", "line A, socket to socket", Spot::ReelIn(A), Spot::ReelOut(A), 3.0),
];
// 2.5 ohm: MAT26 m.56 (status B); 5 ohm: MAT26 m.57 (status B).
const FLOOR: &[Probe] = &[
    at_most("line-b", "line B, plug to plug", Spot::Box(B), Spot::ReelIn(B), 2.5),
    at_most("line-c", "line C, plug to plug", Spot::Box(C), Spot::ReelIn(C), 2.5),
    at_most("line-a", "line A, plug to plug", Spot::Box(A), Spot::ReelIn(A), 2.5),
    at_most("piste", "piste, end to end", Spot::PisteEnd, Spot::Piste, 5.0),
    at_most("piste-lead", "box to piste", Spot::BoxPiste, Spot::PisteEnd, 2.5),
];

/// Where a kind of item is measured, the usual place first. None for a box.
pub fn probes(kind: ItemKind, weapon: Weapon) -> &'static [Probe] {
    match kind {
        ItemKind::Foil => FOIL,
        ItemKind::Epee => EPEE,
        ItemKind::Sabre => SABRE,
        ItemKind::BodyCordTwoPin | ItemKind::BodyCordBayonet | ItemKind::BodyCordThreePin => match weapon {
            Weapon::Epee => CORD_EPEE,
            Weapon::Foil | Weapon::Sabre => CORD,
        },
        ItemKind::MaskCord => MASK_CORD,
        ItemKind::MaskFoil | ItemKind::MaskSabre => MASK,
        ItemKind::JacketFoil | ItemKind::JacketSabre => JACKET,
        ItemKind::SabreGlove => CUFF,
        ItemKind::Reel => REEL,
        ItemKind::FloorCable => FLOOR,
        ItemKind::Mask | ItemKind::Box => &[],
    }
}
