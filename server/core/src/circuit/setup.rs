//! The circuit as it stands at one moment: the sound wiring, what a fault changes in it, and what the hands do.

use super::action::{Hands, Position};
use super::fault::Change;
use super::network::Network;
use super::parts::{Line, NODES, Node, Ohms, Part, Side, Spot, TOUCH};
use super::wiring::{self, Joined};
use crate::gear::{ItemKind, Weapon};

/// Which end of every range is taken. A resistance between two places only grows when a resistor grows (Rayleigh's
/// law of monotony), so the two ends of the whole follow from the ends of the parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Every part at its least.
    Low,
    /// Every part as usual.
    Likely,
    /// Every part at its most.
    High,
}

#[derive(Clone, Copy, Debug)]
struct Edge {
    part: Option<Part>,
    a: Node,
    b: Node,
    ohms: Ohms,
    /// A contact that is open at the moment.
    parted: bool,
}

impl Edge {
    fn is(&self, part: Part) -> bool {
        self.part == Some(part) && self.a.side == Side::Own
    }
}

/// What may be wrong with the way a tip moves.
#[derive(Clone, Copy, Debug, Default)]
struct Tip {
    stuck: Option<Position>,
    mass_stays: bool,
    lights_early: bool,
}

/// A circuit at one moment.
#[derive(Clone, Debug)]
pub struct Setup {
    weapon: Weapon,
    edges: Vec<Edge>,
    tip: Tip,
}

impl Setup {
    /// Both fencers on the strip, joined to the box, all sound, nobody touching anything.
    pub fn strip(weapon: Weapon) -> Self {
        let mut setup = Self { weapon, edges: Vec::with_capacity(96), tip: Tip::default() };
        let side = wiring::side(weapon);
        setup.add(Side::Own, &side);
        setup.add(Side::Other, &side);
        setup.add(Side::Own, wiring::PISTE);
        setup
    }

    /// One item alone on the bench, used with that weapon.
    pub fn bench(kind: ItemKind, weapon: Weapon) -> Self {
        let mut setup = Self { weapon, edges: Vec::with_capacity(24), tip: Tip::default() };
        setup.add(Side::Own, &wiring::alone(kind, weapon));
        setup
    }

    fn add(&mut self, side: Side, joined: &[Joined]) {
        for (part, a, b) in joined {
            let (a, b) = (Node { side, spot: *a }, Node { side, spot: *b });
            self.edges.push(Edge { part: Some(*part), a, b, ohms: part.ohms(self.weapon), parted: false });
        }
    }

    /// The same with these changes, in the order given, and then in these hands.
    pub fn after(&self, changes: &[&Change], hands: &[Hands]) -> Self {
        let mut setup = self.clone();
        for change in changes {
            setup.change(change);
        }
        for hands in hands {
            setup.handle(hands);
        }
        setup
    }

    /// A fault's change to the item's side.
    fn change(&mut self, change: &Change) {
        match change {
            Change::Open(part) => self.each(*part, |edge| edge.ohms = Ohms::OPEN),
            Change::Become(part, ohms) => self.each(*part, |edge| edge.ohms = *ohms),
            Change::Add(part, ohms) => self.each(*part, |edge| edge.ohms = edge.ohms.plus(*ohms)),
            Change::Join(a, b) => self.join(Node::own(*a), Node::own(*b)),
            Change::Exchange(one, two) => self.exchange(*one, *two),
            Change::ExchangeSides => self.exchange_sides(),
            Change::StuckUp => self.tip.stuck = Some(Position::Up),
            Change::StuckDown => self.tip.stuck = Some(Position::Down),
            Change::MassStays => self.tip.mass_stays = true,
            Change::LightsEarly => self.tip.lights_early = true,
        }
    }

    fn each(&mut self, part: Part, change: impl Fn(&mut Edge)) {
        self.edges.iter_mut().filter(|edge| edge.is(part)).for_each(change);
    }

    /// Joins two places when both are there.
    fn join(&mut self, a: Node, b: Node) {
        let there = |node: Node| self.edges.iter().any(|edge| edge.a == node || edge.b == node);
        if there(a) && there(b) {
            self.edges.push(Edge { part: None, a, b, ohms: TOUCH, parted: false });
        }
    }

    /// The wires of the body cord end at each other's pin.
    fn exchange(&mut self, one: Line, two: Line) {
        self.each(Part::Cord(one), |edge| edge.b = Node::own(Spot::Front(two)));
        self.each(Part::Cord(two), |edge| edge.b = Node::own(Spot::Front(one)));
    }

    /// The floor cables are in the other side's sockets of the box.
    fn exchange_sides(&mut self) {
        for edge in &mut self.edges {
            if matches!(edge.part, Some(Part::Floor(_))) {
                edge.a.side = match edge.a.side {
                    Side::Own => Side::Other,
                    Side::Other => Side::Own,
                };
            }
        }
    }

    /// What the hands do: where the points are, what touches what, what is unplugged. Comes after the faults.
    fn handle(&mut self, hands: &Hands) {
        for (a, b) in &hands.touching {
            self.join(*a, *b);
        }
        for edge in &mut self.edges {
            let own = edge.a.side == Side::Own;
            let tip = if own { self.tip } else { Tip::default() };
            let position = tip.position(if own { hands.own } else { hands.other });
            edge.parted |= match edge.part {
                Some(Part::TipSeat) => position != Position::Up,
                Some(Part::Contact(_)) => !(position == Position::Down || tip.closes_early(position)),
                Some(Part::FrontPin(_)) => own && hands.unplugged,
                _ => false,
            };
        }
    }

    /// The network as these places see it, in their order; each is named once.
    pub fn seen_from(&self, places: &[Node], end: End) -> Network {
        let (network, numbers) = self.network(end, places);
        let kept: Vec<usize> = places.iter().map(|place| numbers[place.number()]).collect();
        network.seen_from(&kept)
    }

    /// The network, and the number in it of each place that is there, in order. Places that are asked for are always
    /// among them.
    fn network(&self, end: End, asked: &[Node]) -> (Network, [usize; NODES]) {
        let mut there = [false; NODES];
        let ends = self.edges.iter().flat_map(|edge| [edge.a, edge.b]);
        ends.chain(asked.iter().copied()).for_each(|node| there[node.number()] = true);
        let mut nodes = 0;
        let numbers = there.map(|there| {
            nodes += usize::from(there);
            nodes.saturating_sub(1)
        });
        let mut network = Network::new(nodes);
        for edge in self.edges.iter().filter(|edge| !edge.parted) {
            let ohm = match end {
                End::Low => edge.ohms.low,
                End::Likely => edge.ohms.likely,
                End::High => edge.ohms.high,
            };
            network.join(numbers[edge.a.number()], numbers[edge.b.number()], ohm);
        }
        (network, numbers)
    }
}

impl Tip {
    fn position(self, wanted: Position) -> Position {
        match (self.stuck, wanted) {
            (Some(stuck), _) => stuck,
            (None, Position::UnderMass) if self.mass_stays => Position::Down,
            (None, Position::UnderMass) => Position::Up,
            (None, wanted) => wanted,
        }
    }

    /// With the half-millimetre gauge in, only a contact that closes too early is closed.
    fn closes_early(self, position: Position) -> bool {
        position == Position::OnGauge && self.lights_early
    }
}
