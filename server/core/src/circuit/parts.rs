//! What a fencer is joined to the box by: the places (nodes) and the parts between them (resistors), with the
//! resistance of each. Where a limit is published it is the upper end of the range; how a total is shared among
//! the parts, and every likely value, is an estimate of ours (common practice, no source).

use crate::gear::Weapon;

/// A resistance with its range, in ohm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ohms {
    /// Least.
    pub low: f64,
    /// What is usual.
    pub likely: f64,
    /// Most.
    pub high: f64,
}

impl Ohms {
    /// From least, usual and most.
    pub const fn new(low: f64, likely: f64, high: f64) -> Self {
        Self { low, likely, high }
    }

    /// No path at all.
    pub const OPEN: Self = Self::new(f64::INFINITY, f64::INFINITY, f64::INFINITY);

    /// Both in series.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self::new(self.low + other.low, self.likely + other.likely, self.high + other.high)
    }
}

/// A line from weapon or jacket to the box (MAT26 m.29, m.31, m.55; GUIDE1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Line {
    /// Outer pin, 15 mm from the centre: jacket in foil and sabre, first tip wire in épée.
    A,
    /// Centre pin: tip wire, second tip wire in épée, weapon in sabre.
    B,
    /// Outer pin, 20 mm from the centre: the weapon's body.
    C,
}

impl Line {
    /// All three.
    pub const ALL: [Self; 3] = [Self::A, Self::B, Self::C];

    /// Its letter.
    pub fn letter(self) -> char {
        match self {
            Self::A => 'A',
            Self::B => 'B',
            Self::C => 'C',
        }
    }
}

/// Whose gear: that of the item in question, or that of the opponent, which is sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The fencer whose item it is.
    Own,
    /// The opponent.
    Other,
}

/// A place in the circuit of one side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// Input of the box.
    Box(Line),
    /// Where floor cable and reel meet.
    ReelIn(Line),
    /// Socket at the end of the reel's cable.
    ReelOut(Line),
    /// Pin of the body cord at the reel.
    Rear(Line),
    /// Pin of the body cord at the weapon; in foil and sabre line A ends in the clip.
    Front(Line),
    /// Contact of the weapon's socket.
    Socket(Line),
    /// Tail of the wire behind the guard.
    Tail(Line),
    /// Where the wire comes out of the guard.
    Foot(Line),
    /// Middle of the wire in the groove.
    Mid(Line),
    /// What bare metal over the groove touches.
    GrooveFace(Line),
    /// Contact in the bottom of the barrel.
    Cup(Line),
    /// Inside of the tip.
    Tip,
    /// Outer face of the tip.
    Crown,
    /// Barrel.
    Barrel,
    /// Blade.
    Blade,
    /// Outside of the tape on the foible.
    Foible,
    /// Cutting edge of a sabre.
    Edge,
    /// Guard.
    Guard,
    /// Outside of a sabre's guard, handle and pommel, where it must be insulated.
    Cover,
    /// Strip of the jacket that the clip grips.
    ClipStrip,
    /// A place on the conductive cloth.
    Cloth,
    /// End of the mask cord at the mask.
    MaskClip,
    /// Conductive bib of a foil mask; mesh and bib of a sabre mask.
    MaskFace,
    /// Cuff of a sabre glove.
    Cuff,
    /// The box's input for the piste; belongs to both sides.
    BoxPiste,
    /// End of the conductive piste where the lead is joined.
    PisteEnd,
    /// A place on the conductive piste.
    Piste,
}

/// How many places there are on one side.
const SPOTS: usize = Line::ALL.len() * 11 + 16;

impl Spot {
    /// Its number among all, in their order.
    const fn number(self) -> usize {
        const LINES: usize = Line::ALL.len();
        match self {
            Self::Box(line) => line as usize,
            Self::ReelIn(line) => LINES + line as usize,
            Self::ReelOut(line) => LINES * 2 + line as usize,
            Self::Rear(line) => LINES * 3 + line as usize,
            Self::Front(line) => LINES * 4 + line as usize,
            Self::Socket(line) => LINES * 5 + line as usize,
            Self::Tail(line) => LINES * 6 + line as usize,
            Self::Foot(line) => LINES * 7 + line as usize,
            Self::Mid(line) => LINES * 8 + line as usize,
            Self::GrooveFace(line) => LINES * 9 + line as usize,
            Self::Cup(line) => LINES * 10 + line as usize,
            Self::Tip => LINES * 11,
            Self::Crown => LINES * 11 + 1,
            Self::Barrel => LINES * 11 + 2,
            Self::Blade => LINES * 11 + 3,
            Self::Foible => LINES * 11 + 4,
            Self::Edge => LINES * 11 + 5,
            Self::Guard => LINES * 11 + 6,
            Self::Cover => LINES * 11 + 7,
            Self::ClipStrip => LINES * 11 + 8,
            Self::Cloth => LINES * 11 + 9,
            Self::MaskClip => LINES * 11 + 10,
            Self::MaskFace => LINES * 11 + 11,
            Self::Cuff => LINES * 11 + 12,
            Self::BoxPiste => LINES * 11 + 13,
            Self::PisteEnd => LINES * 11 + 14,
            Self::Piste => LINES * 11 + 15,
        }
    }
}

/// How many places there are on both sides.
pub const NODES: usize = 2 * SPOTS;

/// A place of one side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Node {
    /// Whose.
    pub side: Side,
    /// Where.
    pub spot: Spot,
}

impl Node {
    /// A place of the item's owner.
    pub const fn own(spot: Spot) -> Self {
        Self { side: Side::Own, spot }
    }

    /// A place of the opponent.
    pub const fn other(spot: Spot) -> Self {
        Self { side: Side::Other, spot }
    }

    /// Its number among all, in their order: from 0, below [`NODES`].
    pub const fn number(self) -> usize {
        self.side as usize * SPOTS + self.spot.number()
    }
}

/// A part with a resistance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// A wire of the floor cable.
    Floor(Line),
    /// A wire of the reel with its slip ring.
    Reel(Line),
    /// A pin of the body cord in the reel's socket.
    RearPin(Line),
    /// A wire of the body cord.
    Cord(Line),
    /// A pin of the body cord in the weapon's socket.
    FrontPin(Line),
    /// The clip on the jacket.
    Clip,
    /// Nut or screw that holds the wire in the socket.
    Screw(Line),
    /// The wire behind the guard.
    WireInGuard(Line),
    /// The wire in the groove, guard to middle.
    WireLower(Line),
    /// The wire in the groove, middle to barrel.
    WireUpper(Line),
    /// The insulation of the wire in the groove.
    Insulation(Line),
    /// Pressure spring of a foil, which carries the current.
    Spring,
    /// Where a foil's tip rests on screws and barrel; opens when the tip is pressed.
    TipSeat,
    /// Contact of an épée's tip; closes when the tip is pressed.
    Contact(Line),
    /// Face of the tip.
    Crown,
    /// Thread between barrel and blade.
    BarrelThread,
    /// Tape on the foible.
    FoibleTape,
    /// Tang, guard and nut.
    GuardJoint,
    /// Socket on the guard.
    SocketJoint,
    /// Link of lines B and C in a sabre's socket.
    SocketLink,
    /// Edge of a sabre's blade.
    BladeEdge,
    /// Insulation of a sabre's guard, handle and pommel.
    Cover,
    /// Conductive cloth of the jacket.
    Cloth,
    /// Mask cord with its clips.
    MaskCord,
    /// Conductive part of the mask.
    MaskFace,
    /// Cuff of the glove, with its way to the jacket's cloth.
    Cuff,
    /// Lead of the piste.
    PisteLead,
    /// The conductive piste itself.
    PisteSheet,
}

/// Contact between two clean metal faces, or metal and cloth. Estimate.
pub const TOUCH: Ohms = Ohms::new(0.02, 0.1, 0.5);
/// A clean clamped joint. Estimate.
const JOINT: Ohms = Ohms::new(0.01, 0.03, 0.1);
/// A pin in its socket. Estimate.
const PIN: Ohms = Ohms::new(0.01, 0.05, 0.15);

impl Part {
    /// Its resistance when sound.
    ///
    /// Published upper ends: each line of a body cord at most 1 ohm (wire and both ends), a reel's 3, a floor
    /// cable's 2.5, a piste's 5 (MAT26 m.29, m.31, m.55 to m.57); a foil at rest and an épée when pressed 2
    /// (ARM-a), about 0.9 from the socket's screw to a foil's tip (ARM-a); mask cord 1 (`ZAwc`). From memory, not
    /// checked: jacket, bib, mask, cuff 5, sabre 1.
    pub fn ohms(self, weapon: Weapon) -> Ohms {
        match self {
            Self::Floor(_) => Ohms::new(0.2, 0.8, 2.5),
            Self::Reel(_) => Ohms::new(0.4, 1.2, 3.0),
            Self::Cord(_) => Ohms::new(0.1, 0.25, 0.7),
            Self::RearPin(_) | Self::FrontPin(_) | Self::Clip | Self::Screw(_) | Self::Spring => PIN,
            Self::WireInGuard(_) => Ohms::new(0.02, 0.05, 0.1),
            // An épée's loop passes two wires, and may be no more than a foil's.
            Self::WireLower(_) | Self::WireUpper(_) if weapon == Weapon::Epee => Ohms::new(0.08, 0.14, 0.2),
            Self::WireLower(_) | Self::WireUpper(_) => Ohms::new(0.15, 0.25, 0.35),
            Self::TipSeat => Ohms::new(0.02, 0.05, 0.2),
            Self::Contact(_) | Self::Crown | Self::BladeEdge => Ohms::new(0.01, 0.02, 0.1),
            Self::BarrelThread | Self::GuardJoint | Self::SocketJoint | Self::SocketLink => JOINT,
            Self::Insulation(_) | Self::FoibleTape | Self::Cover => Ohms::OPEN,
            Self::Cloth | Self::MaskFace | Self::Cuff => Ohms::new(0.2, 1.0, 5.0),
            Self::MaskCord => Ohms::new(0.1, 0.3, 1.0),
            Self::PisteLead => Ohms::new(0.05, 0.2, 1.0),
            Self::PisteSheet => Ohms::new(0.1, 0.5, 5.0),
        }
    }

    /// Name to show.
    pub fn title(self) -> String {
        let (name, line) = self.words();
        line.map_or_else(|| name.to_owned(), |line| format!("{name}, line {}", line.letter()))
    }

    fn words(self) -> (&'static str, Option<Line>) {
        match self {
            Self::Floor(line) => ("floor cable", Some(line)),
            Self::Reel(line) => ("reel", Some(line)),
            Self::RearPin(line) => ("plug at the reel", Some(line)),
            Self::Cord(line) => ("body cord", Some(line)),
            Self::FrontPin(line) => ("plug in the socket", Some(line)),
            Self::Clip => ("clip", None),
            Self::Screw(line) => ("socket nut on the wire", Some(line)),
            Self::WireInGuard(line) => ("wire behind the guard", Some(line)),
            Self::WireLower(line) => ("wire in the groove", Some(line)),
            Self::WireUpper(line) => ("wire at the barrel", Some(line)),
            Self::Insulation(line) => ("insulation of the wire", Some(line)),
            Self::Spring => ("pressure spring", None),
            Self::TipSeat => ("tip on screws and barrel", None),
            Self::Contact(line) => ("contact of the tip", Some(line)),
            Self::Crown => ("crown of the tip", None),
            Self::BarrelThread => ("barrel on the blade", None),
            Self::FoibleTape => ("tape on the foible", None),
            Self::GuardJoint => ("tang, guard and nut", None),
            Self::SocketJoint => ("socket on the guard", None),
            Self::SocketLink => ("link B to C in the socket", None),
            Self::BladeEdge => ("edge of the blade", None),
            Self::Cover => ("insulation of guard and pommel", None),
            Self::Cloth => ("conductive cloth", None),
            Self::MaskCord => ("mask cord", None),
            Self::MaskFace => ("conductive part of the mask", None),
            Self::Cuff => ("cuff", None),
            Self::PisteLead => ("lead of the piste", None),
            Self::PisteSheet => ("conductive piste", None),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Spot::{
        Barrel, Blade, BoxPiste, ClipStrip, Cloth, Cover, Crown, Cuff, Cup, Edge, Foible, Foot, Front,
        GrooveFace, Guard, MaskClip, MaskFace, Mid, Piste, PisteEnd, Rear, ReelIn, ReelOut, Socket, Tail,
        Tip,
    };
    use super::*;

    /// In whatever order the places are listed here, sorted they are numbered from 0 without a gap.
    #[test]
    fn places_are_numbered_in_their_order() {
        let on_lines: [fn(Line) -> Spot; 11] =
            [Spot::Box, ReelIn, ReelOut, Rear, Front, Socket, Tail, Foot, Mid, GrooveFace, Cup];
        let of_line = |line: Line| on_lines.map(|spot| spot(line));
        let alone = [
            Tip, Crown, Barrel, Blade, Foible, Edge, Guard, Cover, ClipStrip, Cloth, MaskClip, MaskFace,
            Cuff, BoxPiste, PisteEnd, Piste,
        ];
        let spots: Vec<Spot> = Line::ALL.into_iter().flat_map(of_line).chain(alone).collect();
        let mut nodes: Vec<Node> =
            spots.into_iter().flat_map(|spot| [Node::other(spot), Node::own(spot)]).collect();
        nodes.sort_unstable();
        let numbers: Vec<usize> = nodes.into_iter().map(Node::number).collect();
        assert_eq!(numbers, (0..NODES).collect::<Vec<_>>());
    }
}
