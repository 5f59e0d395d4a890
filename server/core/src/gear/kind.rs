//! The kinds of item that an armoury takes in, the weapons they belong to, and the kinds of work done on them.

use serde::{Deserialize, Serialize};

/// A weapon of the sport.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weapon {
    /// Foil.
    Foil,
    /// Épée.
    Epee,
    /// Sabre.
    Sabre,
}

/// The weapon end of a body cord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Plug {
    /// Two pins, one thick and one thin: foil and sabre.
    TwoPin,
    /// Bayonet: foil and sabre.
    Bayonet,
    /// Three pins in line: épée.
    ThreePin,
}

/// A kind of item.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ItemKind {
    /// A foil.
    Foil,
    /// An épée.
    Epee,
    /// A sabre.
    Sabre,
    /// Body cord, two-pin.
    BodyCordTwoPin,
    /// Body cord, bayonet.
    BodyCordBayonet,
    /// Body cord, three-pin.
    BodyCordThreePin,
    /// Mask cord.
    MaskCord,
    /// Mask (épée, or without regard to the weapon).
    Mask,
    /// Foil mask, with its conductive bib.
    MaskFoil,
    /// Sabre mask, conductive all over.
    MaskSabre,
    /// Conductive foil jacket.
    JacketFoil,
    /// Conductive sabre jacket.
    JacketSabre,
    /// Sabre glove, overlay or cuff.
    SabreGlove,
    /// Reel.
    Reel,
    /// Floor cable.
    FloorCable,
    /// Scoring box.
    Box,
}

impl ItemKind {
    /// Every kind, in the order in which screens list them.
    pub const ALL: [Self; 16] = [
        Self::Foil,
        Self::Epee,
        Self::Sabre,
        Self::BodyCordTwoPin,
        Self::BodyCordBayonet,
        Self::BodyCordThreePin,
        Self::MaskCord,
        Self::Mask,
        Self::MaskFoil,
        Self::MaskSabre,
        Self::JacketFoil,
        Self::JacketSabre,
        Self::SabreGlove,
        Self::Reel,
        Self::FloorCable,
        Self::Box,
    ];

    /// Whether it belongs to a strip and not to a fencer.
    pub fn is_apparatus(self) -> bool {
        matches!(self, Self::Reel | Self::FloorCable | Self::Box)
    }

    /// The weapon that it is, when it is one.
    pub fn weapon(self) -> Option<Weapon> {
        match self {
            Self::Foil => Some(Weapon::Foil),
            Self::Epee => Some(Weapon::Epee),
            Self::Sabre => Some(Weapon::Sabre),
            _ => None,
        }
    }

    /// The plug of a body cord.
    pub fn plug(self) -> Option<Plug> {
        match self {
            Self::BodyCordTwoPin => Some(Plug::TwoPin),
            Self::BodyCordBayonet => Some(Plug::Bayonet),
            Self::BodyCordThreePin => Some(Plug::ThreePin),
            _ => None,
        }
    }

    /// Stable code: in the journal, on the command line, in files.
    pub fn code(self) -> &'static str {
        match self {
            Self::Foil => "foil",
            Self::Epee => "epee",
            Self::Sabre => "sabre",
            Self::BodyCordTwoPin => "body_cord_two_pin",
            Self::BodyCordBayonet => "body_cord_bayonet",
            Self::BodyCordThreePin => "body_cord_three_pin",
            Self::MaskCord => "mask_cord",
            Self::Mask => "mask",
            Self::MaskFoil => "mask_foil",
            Self::MaskSabre => "mask_sabre",
            Self::JacketFoil => "jacket_foil",
            Self::JacketSabre => "jacket_sabre",
            Self::SabreGlove => "sabre_glove",
            Self::Reel => "reel",
            Self::FloorCable => "floor_cable",
            Self::Box => "box",
        }
    }

    /// The kind with that code.
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.code() == code)
    }
}

/// A kind of work that a bench can do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Work {
    /// The point: tip, springs, screws, barrel from outside.
    Point,
    /// The wire in the groove: rewiring.
    BladeWire,
    /// Socket, guard, handle, nut.
    SocketGuard,
    /// Changing or straightening a blade.
    Blade,
    /// Ends of a body or mask cord: plugs, clips, screws.
    CordEnds,
    /// Continuity along a cord.
    CordContinuity,
    /// Contact faces and insulation of a sabre.
    SabreContacts,
    /// Conductive cloth: jackets, gloves, bibs.
    Cloth,
    /// Masks.
    Mask,
    /// Reels, floor cables, boxes, strips.
    Apparatus,
}

impl Work {
    /// Every kind of work, in the order in which screens list them.
    pub const ALL: [Self; 10] = [
        Self::Point,
        Self::BladeWire,
        Self::SocketGuard,
        Self::Blade,
        Self::CordEnds,
        Self::CordContinuity,
        Self::SabreContacts,
        Self::Cloth,
        Self::Mask,
        Self::Apparatus,
    ];

    /// Stable code: in the journal, on the command line, in files.
    pub fn code(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::BladeWire => "blade_wire",
            Self::SocketGuard => "socket_guard",
            Self::Blade => "blade",
            Self::CordEnds => "cord_ends",
            Self::CordContinuity => "cord_continuity",
            Self::SabreContacts => "sabre_contacts",
            Self::Cloth => "cloth",
            Self::Mask => "mask",
            Self::Apparatus => "apparatus",
        }
    }

    /// The kind of work with that code.
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|work| work.code() == code)
    }
}
