//! What hands do with the gear: at rest, pressing, turning, twisting, bending, hitting. Each is a position of the
//! points and a set of touching places; what an action stirs is said by the faults.

use super::parts::{Line, Node, Spot};
use crate::gear::Weapon;

/// Where a point is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Position {
    /// Not pressed.
    #[default]
    Up,
    /// Pressed all the way.
    Down,
    /// Under the test mass: a sound spring lifts it.
    UnderMass,
    /// Pressed as far as a 0.5 mm gauge between tip and barrel lets it.
    OnGauge,
}

/// What the hands do, as the circuit feels it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hands {
    /// The item's point.
    pub own: Position,
    /// The opponent's point.
    pub other: Position,
    /// Places that touch.
    pub touching: Vec<(Node, Node)>,
    /// The body cord is out of the weapon.
    pub unplugged: bool,
}

macro_rules! actions {
    ($($name:ident $code:literal $title:literal,)*) => {
        /// Something done with the gear.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Action {
            $(#[doc = $title] $name,)*
        }

        impl Action {
            /// Every action, in the order in which tables list them.
            pub const ALL: &[Self] = &[$(Self::$name),*];

            /// Stable code: on the command line, in files.
            pub fn code(self) -> &'static str {
                match self { $(Self::$name => $code,)* }
            }

            /// What is done, to show.
            pub fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)* }
            }
        }
    };
}

actions! {
    Rest "rest" "nothing touched",
    Press "press" "press the point on the floor, cloth or a thumb (sabre: blade on cloth)",
    TurnButton "turn-button" "turn the button without pressing it",
    TwistBarrel "twist-barrel" "twist the barrel",
    TwistPressed "twist-pressed" "twist the barrel, point held down",
    BendBlade "bend-blade" "bend the blade",
    BendPressed "bend-pressed" "bend the blade, point held down",
    TouchWire "touch-wire" "lay bare metal over groove and blade, point held down",
    KnockGuard "knock-guard" "knock the guard",
    KnockPressed "knock-pressed" "knock the guard, point held down",
    GripHandle "grip-handle" "grip and twist the handle",
    GripPressed "grip-pressed" "grip and twist the handle, point held down",
    WiggleCord "wiggle-cord" "wiggle the cord at its plug or clip",
    WigglePressed "wiggle-pressed" "wiggle the plug, point held down",
    PullSocket "pull-socket" "pull gently at the plug in the weapon's socket",
    StandMass "stand-mass" "stand the test mass on the point (500 g foil, 750 g épée)",
    HalfGauge "half-gauge" "press the point with the 0.5 mm gauge in",
    Beat "beat" "beat the blade",
    PullCord "pull-cord" "pull the cord at its ends",
    BendAlong "bend-along" "run a bend along the cord",
    PullReelEnd "pull-reel-end" "pull gently at the plug in the reel",
    TurnReel "turn-reel" "turn the reel",
    HitJacket "hit-jacket" "hit the opponent's conductive jacket",
    HitClip "hit-clip" "hit the opponent's bare clip",
    HitMask "hit-mask" "hit the conductive part of the opponent's mask",
    HitCuff "hit-cuff" "hit the opponent's conductive cuff",
    HitGuard "hit-guard" "hit the opponent's guard or bare blade",
    HitPiste "hit-piste" "hit the conductive piste",
    HitOwnGuard "hit-own-guard" "press the point on the own guard",
    HitTape "hit-tape" "hit the opponent's taped foible",
    HitTip "hit-tip" "tip on tip, both pressed",
    GuardOnJacket "guard-on-jacket" "touch the opponent's conductive jacket with the guard",
    BladeOnJacket "blade-on-jacket" "lay the bare blade on the opponent's jacket, point not pressed",
    PressBladeOnJacket "press-blade-on-jacket" "bare blade on the opponent's jacket, point pressed off target",
    WireOnJacket "wire-on-jacket" "groove on the opponent's jacket, point pressed off target",
    BladeOnOwnJacket "blade-on-own-jacket" "lay the bare blade or guard on the own jacket",
    CoverOnOwnCuff "cover-on-own-cuff" "own cuff touches guard or pommel where they are insulated",
    OtherHitsJacket "other-hits-jacket" "the opponent hits the conductive jacket",
    OtherHitsClip "other-hits-clip" "the opponent hits the bare clip",
    OtherHitsMask "other-hits-mask" "the opponent hits the conductive part of the mask",
    OtherHitsCuff "other-hits-cuff" "the opponent hits the conductive cuff",
    OtherHitsGuard "other-hits-guard" "the opponent hits the guard or bare blade",
    OtherHitsCover "other-hits-cover" "the opponent hits guard or pommel where they are insulated",
    OtherHitsTape "other-hits-tape" "the opponent hits the taped foible",
    Unplug "unplug" "unplug the weapon",
    ShortPlug "short-plug" "unplug the weapon and join pins A and B of the cord",
}

impl Action {
    /// The action with that code.
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|action| action.code() == code)
    }

    /// Whether the opponent's weapon does it, so that the lamps to watch are the opponent's.
    pub fn is_the_others(self) -> bool {
        matches!(
            self,
            Self::OtherHitsJacket
                | Self::OtherHitsClip
                | Self::OtherHitsMask
                | Self::OtherHitsCuff
                | Self::OtherHitsGuard
                | Self::OtherHitsCover
                | Self::OtherHitsTape
        )
    }

    /// As the circuit feels it.
    pub fn hands(self, weapon: Weapon) -> Hands {
        let own = self.own_position();
        let other = if self.is_the_others() || self == Self::HitTip { Position::Down } else { Position::Up };
        let unplugged = matches!(self, Self::Unplug | Self::ShortPlug);
        Hands { own, other, touching: self.touching(weapon), unplugged }
    }

    fn own_position(self) -> Position {
        match self {
            Self::StandMass => Position::UnderMass,
            Self::HalfGauge => Position::OnGauge,
            Self::Press
            | Self::TwistPressed
            | Self::BendPressed
            | Self::TouchWire
            | Self::KnockPressed
            | Self::GripPressed
            | Self::WigglePressed
            | Self::HitJacket
            | Self::HitClip
            | Self::HitMask
            | Self::HitCuff
            | Self::HitGuard
            | Self::HitPiste
            | Self::HitOwnGuard
            | Self::HitTape
            | Self::HitTip
            | Self::PressBladeOnJacket
            | Self::WireOnJacket => Position::Down,
            _ => Position::Up,
        }
    }

    fn touching(self, weapon: Weapon) -> Vec<(Node, Node)> {
        use Spot::{Blade, ClipStrip, Cloth, Cover, Crown, Cuff, Edge, Foible, Guard, MaskFace, Piste};
        let striker = if weapon == Weapon::Sabre { Edge } else { Crown };
        let hits = |spot: Spot| vec![(Node::own(striker), Node::other(spot))];
        let is_hit = |spot: Spot| vec![(Node::other(striker), Node::own(spot))];
        match self {
            Self::HitJacket => hits(Cloth),
            Self::HitClip => hits(ClipStrip),
            Self::HitMask => hits(MaskFace),
            Self::HitCuff => hits(Cuff),
            Self::HitGuard => hits(Guard),
            Self::HitTape => hits(Foible),
            Self::HitTip => hits(Crown),
            Self::HitPiste => vec![(Node::own(striker), Node::own(Piste))],
            Self::HitOwnGuard => vec![(Node::own(striker), Node::own(Guard))],
            Self::GuardOnJacket => vec![(Node::own(Guard), Node::other(Cloth))],
            Self::BladeOnJacket | Self::PressBladeOnJacket => vec![(Node::own(Blade), Node::other(Cloth))],
            Self::BladeOnOwnJacket => vec![(Node::own(Blade), Node::own(Cloth))],
            Self::CoverOnOwnCuff => vec![(Node::own(Cover), Node::own(Cuff))],
            Self::TouchWire => over_groove(Node::own(Blade)),
            Self::WireOnJacket => over_groove(Node::other(Cloth)),
            Self::OtherHitsJacket => is_hit(Cloth),
            Self::OtherHitsClip => is_hit(ClipStrip),
            Self::OtherHitsMask => is_hit(MaskFace),
            Self::OtherHitsCuff => is_hit(Cuff),
            Self::OtherHitsGuard => is_hit(Guard),
            Self::OtherHitsCover => is_hit(Cover),
            Self::OtherHitsTape => is_hit(Foible),
            Self::ShortPlug => vec![(Node::own(Spot::Front(Line::A)), Node::own(Spot::Front(Line::B)))],
            _ => Vec::new(),
        }
    }
}

/// Metal or cloth over the groove touches every wire in it whose insulation is gone.
fn over_groove(metal: Node) -> Vec<(Node, Node)> {
    Line::ALL.iter().map(|line| (Node::own(Spot::GrooveFace(*line)), metal)).collect()
}
