//! Lamps: lit, dark, or now this and now that while something is stirred.

use super::parts::Side;

/// What one lamp does during an action.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lamp {
    /// Dark throughout.
    #[default]
    Off,
    /// Lit throughout.
    On,
    /// Comes and goes.
    Flicker,
}

impl Lamp {
    /// From what it does in each state that the circuit goes through.
    pub fn over(states: impl IntoIterator<Item = bool>) -> Self {
        let (mut lit, mut dark) = (false, false);
        for state in states {
            lit |= state;
            dark |= !state;
        }
        match (lit, dark) {
            (true, true) => Self::Flicker,
            (true, false) => Self::On,
            _ => Self::Off,
        }
    }

    /// Lit or dark in one state.
    pub(super) fn when(lit: bool) -> Self {
        if lit { Self::On } else { Self::Off }
    }

    /// Word to show.
    pub fn title(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::On => "on",
            Self::Flicker => "flicker",
        }
    }
}

/// The apparatus's lamps that answer for one side's weapon.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lights {
    /// Hit on target.
    pub coloured: Lamp,
    /// Hit off target (foil); fault of the control circuit (sabre).
    pub white: Lamp,
    /// Own weapon on own clothing.
    pub yellow: Lamp,
    /// Orange for a hit on earth; only some boxes have it.
    pub earth: Lamp,
}

impl Lights {
    /// From what they do in each state.
    fn over(states: &[Self]) -> Self {
        let over = |lamp: fn(&Self) -> Lamp| Lamp::over(states.iter().map(|lights| lamp(lights) == Lamp::On));
        Self {
            coloured: over(|lights| lights.coloured),
            white: over(|lights| lights.white),
            yellow: over(|lights| lights.yellow),
            earth: over(|lights| lights.earth),
        }
    }

    /// Each lamp that every box has, with its name.
    pub fn named(self) -> [(&'static str, Lamp); 3] {
        [("coloured", self.coloured), ("white", self.white), ("yellow", self.yellow)]
    }

    /// In words: `none`, `white`, `coloured on and off`; the orange lamp in brackets.
    pub fn title(self) -> String {
        let words = self.named().into_iter().filter_map(|(name, lamp)| match lamp {
            Lamp::Off => None,
            Lamp::On => Some(name.to_owned()),
            Lamp::Flicker => Some(format!("{name} on and off")),
        });
        let mut title = words.collect::<Vec<_>>().join(", ");
        if title.is_empty() {
            "none".clone_into(&mut title);
        }
        match self.earth {
            Lamp::Off => title,
            _ => title + " (orange on some boxes)",
        }
    }
}

/// The apparatus's lamps of both sides.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lamps {
    /// Those of the side whose item it is.
    pub own: Lights,
    /// Those of the opponent.
    pub other: Lights,
}

impl Lamps {
    /// From what both sides' lamps do in each state.
    pub(super) fn over(states: &[Self]) -> Self {
        let side = |side: fn(&Self) -> Lights| states.iter().map(side).collect::<Vec<_>>();
        Self { own: Lights::over(&side(|lamps| lamps.own)), other: Lights::over(&side(|lamps| lamps.other)) }
    }

    /// Those of one side.
    pub fn of(self, side: Side) -> Lights {
        match side {
            Side::Own => self.own,
            Side::Other => self.other,
        }
    }

    /// In words: the own side's lamps first, the opponent's only when one is lit.
    pub fn title(self) -> String {
        if self.other == Lights::default() {
            return self.own.title();
        }
        if self.own == Lights::default() {
            return format!("opponent's {}", self.other.title());
        }
        format!("{}; opponent's {}", self.own.title(), self.other.title())
    }
}
