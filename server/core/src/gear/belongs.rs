//! What belongs to which weapon, and which kind a person means by a weapon and a loose word for an item.

use std::fmt::Write;

use super::kind::{ItemKind, Plug, Weapon};

impl Weapon {
    /// Every weapon.
    pub const ALL: [Self; 3] = [Self::Foil, Self::Epee, Self::Sabre];
}

impl ItemKind {
    /// Whether a fencer or a strip uses it with that weapon.
    ///
    /// Foil and sabre share body cords and mask cords; épée needs no mask cord, jacket or conductive glove. A
    /// plain [`ItemKind::Mask`] is also the mask whose weapon nobody named, so it serves all.
    pub fn serves(self, weapon: Weapon) -> bool {
        match self {
            Self::Foil | Self::MaskFoil | Self::JacketFoil => weapon == Weapon::Foil,
            Self::Epee | Self::BodyCordThreePin => weapon == Weapon::Epee,
            Self::Sabre | Self::MaskSabre | Self::JacketSabre | Self::SabreGlove => weapon == Weapon::Sabre,
            Self::BodyCordTwoPin | Self::BodyCordBayonet | Self::MaskCord => weapon != Weapon::Epee,
            Self::Mask | Self::Reel | Self::FloorCable | Self::Box => true,
        }
    }

    /// The kind that a weapon and a loose word for an item mean, as a list of fencers' gear has them.
    ///
    /// Forgiving about case, hyphens, commas, accents and the order of a weapon's name: `Body-Cord`, `épée mask`,
    /// `body cord, bayonet`, every [`ItemKind::code`] and every title. A body cord for foil or sabre is two-pin
    /// unless it says `bayonet`.
    ///
    /// # Errors
    /// A sentence for a person: the word is unknown (then it names what is known), the weapon is missing where
    /// the kind depends on it, or weapon and item contradict each other.
    pub fn from_words(weapon: Option<Weapon>, item: &str) -> Result<Self, String> {
        if item.len() > ITEM_MAX {
            return Err(format!("the item is longer than {ITEM_MAX} bytes; {}", known()));
        }
        let folded = folded(item);
        let words = Words::of(&folded);
        let weapon = agreed(weapon, words.weapon)?;
        let kind = match words.rest.as_str() {
            "" | "weapon" => match weapon {
                Some(weapon) => Self::of_weapon(weapon),
                None if folded.is_empty() => return Err(format!("the item is empty; {}", known())),
                None => return Err(needs_weapon("weapon")),
            },
            "body cord" | "bodycord" | "body wire" | "bodywire" | "cord" => body_cord(weapon, words.plug)?,
            "mask cord" | "maskcord" | "mask wire" | "mask lead" => Self::MaskCord,
            "mask" => Self::mask(weapon),
            "jacket" | "conductive jacket" | "lame" => Self::jacket(weapon)?,
            "glove" | "cuff" | "overlay" | "glove or cuff" => Self::SabreGlove,
            "reel" | "spool" => Self::Reel,
            "floor cable" | "ground cable" | "floor lead" => Self::FloorCable,
            "box" | "scoring box" | "scoring apparatus" | "apparatus" => Self::Box,
            _ => return Err(format!("\"{}\" is not a known item; {}", item.escape_debug(), known())),
        };
        fits(kind, weapon, words.plug)
    }

    fn of_weapon(weapon: Weapon) -> Self {
        match weapon {
            Weapon::Foil => Self::Foil,
            Weapon::Epee => Self::Epee,
            Weapon::Sabre => Self::Sabre,
        }
    }

    fn mask(weapon: Option<Weapon>) -> Self {
        match weapon {
            Some(Weapon::Foil) => Self::MaskFoil,
            Some(Weapon::Sabre) => Self::MaskSabre,
            Some(Weapon::Epee) | None => Self::Mask,
        }
    }

    fn jacket(weapon: Option<Weapon>) -> Result<Self, String> {
        match weapon {
            Some(Weapon::Foil) => Ok(Self::JacketFoil),
            Some(Weapon::Sabre) => Ok(Self::JacketSabre),
            Some(Weapon::Epee) => Err("épée has no conductive jacket: give foil or sabre".to_owned()),
            None => Err(needs_weapon("jacket")),
        }
    }
}

/// Longest word for an item, in bytes.
const ITEM_MAX: usize = 80;

/// A folded text, taken apart: the weapon and the plug that it names, and the rest in order.
#[derive(Default)]
struct Words {
    weapon: Option<Weapon>,
    plug: Option<Plug>,
    rest: String,
}

impl Words {
    fn of(folded: &str) -> Self {
        let (plug, rest) = without_plug(folded);
        let mut words = Self { plug, ..Self::default() };
        for word in rest.split_whitespace() {
            match weapon_named(word) {
                Some(weapon) if words.weapon.is_none_or(|named| named == weapon) => {
                    words.weapon = Some(weapon);
                }
                _ => {
                    let gap = if words.rest.is_empty() { "" } else { " " };
                    // Writing to a String cannot fail.
                    let _ = write!(words.rest, "{gap}{word}");
                }
            }
        }
        words
    }
}

fn weapon_named(word: &str) -> Option<Weapon> {
    match word {
        "foil" => Some(Weapon::Foil),
        "epee" => Some(Weapon::Epee),
        "sabre" | "saber" => Some(Weapon::Sabre),
        _ => None,
    }
}

fn without_plug(folded: &str) -> (Option<Plug>, String) {
    let names = [
        ("two pin", Plug::TwoPin),
        ("2 pin", Plug::TwoPin),
        ("bayonet", Plug::Bayonet),
        ("three pin", Plug::ThreePin),
        ("3 pin", Plug::ThreePin),
    ];
    match names.into_iter().find(|(name, _)| folded.contains(name)) {
        Some((name, plug)) => (Some(plug), folded.replacen(name, " ", 1)),
        None => (None, folded.to_owned()),
    }
}

/// Lower case, without accents; hyphens, underscores and commas as single spaces.
fn folded(text: &str) -> String {
    let plain = text.chars().flat_map(char::to_lowercase).filter_map(|c| match c {
        'é' | 'è' | 'ê' => Some('e'),
        '\u{300}'..='\u{36F}' => None,
        '-' | '_' | ',' | '\u{2010}' | '\u{2011}' | '\u{2013}' => Some(' '),
        other => Some(other),
    });
    plain.collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn agreed(given: Option<Weapon>, named: Option<Weapon>) -> Result<Option<Weapon>, String> {
    match (given, named) {
        (Some(given), Some(named)) if given != named => {
            Err(format!("the weapon is {}, but the item says {}", given.title(), named.title()))
        }
        _ => Ok(given.or(named)),
    }
}

fn body_cord(weapon: Option<Weapon>, plug: Option<Plug>) -> Result<ItemKind, String> {
    match (plug, weapon) {
        (Some(Plug::Bayonet), _) => Ok(ItemKind::BodyCordBayonet),
        (Some(Plug::ThreePin), _) | (None, Some(Weapon::Epee)) => Ok(ItemKind::BodyCordThreePin),
        (Some(Plug::TwoPin), _) | (None, Some(_)) => Ok(ItemKind::BodyCordTwoPin),
        (None, None) => Err(needs_weapon("body cord")),
    }
}

/// Refuses a kind that the named weapon does not use, and a plug on what has none.
fn fits(kind: ItemKind, weapon: Option<Weapon>, plug: Option<Plug>) -> Result<ItemKind, String> {
    if let Some(weapon) = weapon.filter(|weapon| !kind.serves(*weapon)) {
        let served: Vec<_> =
            Weapon::ALL.into_iter().filter(|weapon| kind.serves(*weapon)).map(Weapon::title).collect();
        return Err(format!(
            "{} does not use a {}: it is for {}",
            weapon.title(),
            kind.title(),
            served.join(" and ")
        ));
    }
    match plug {
        Some(plug) if kind.plug().is_none() => {
            Err(format!("a {} has no {}: only body cords have", kind.title(), plug.title()))
        }
        _ => Ok(kind),
    }
}

fn needs_weapon(item: &str) -> String {
    format!("which {item} depends on the weapon: give foil, épée or sabre")
}

fn known() -> &'static str {
    "known are: weapon (or foil, épée, sabre), body cord (two-pin, bayonet, three-pin), mask cord, mask, jacket, \
     glove, reel, floor cable, box"
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use proptest::prelude::*;

    use super::*;

    const FOIL: Option<Weapon> = Some(Weapon::Foil);
    const EPEE: Option<Weapon> = Some(Weapon::Epee);
    const SABRE: Option<Weapon> = Some(Weapon::Sabre);

    fn means(weapon: Option<Weapon>, item: &str, kind: ItemKind) {
        assert_eq!(ItemKind::from_words(weapon, item), Ok(kind), "{weapon:?} {item}");
    }

    fn refused(weapon: Option<Weapon>, item: &str, says: &str) {
        let problem = ItemKind::from_words(weapon, item).unwrap_err();
        assert!(problem.contains(says), "{weapon:?} {item}: {problem}");
    }

    #[test]
    fn the_weapon_decides_what_a_loose_word_means() {
        means(EPEE, "body cord", ItemKind::BodyCordThreePin);
        means(FOIL, "body cord", ItemKind::BodyCordTwoPin);
        means(SABRE, "Bodywire", ItemKind::BodyCordTwoPin);
        means(FOIL, "body cord bayonet", ItemKind::BodyCordBayonet);
        means(EPEE, "mask", ItemKind::Mask);
        means(FOIL, "mask", ItemKind::MaskFoil);
        means(None, "mask", ItemKind::Mask);
        means(SABRE, "jacket", ItemKind::JacketSabre);
        means(SABRE, "weapon", ItemKind::Sabre);
        means(EPEE, "", ItemKind::Epee);
        means(FOIL, "reel", ItemKind::Reel);
    }

    #[test]
    fn case_hyphens_accents_and_order_are_forgiven() {
        means(None, "ÉPÉE", ItemKind::Epee);
        means(EPEE, "e\u{301}pe\u{301}e", ItemKind::Epee);
        means(None, "Epee body-cord", ItemKind::BodyCordThreePin);
        means(None, "bayonet body cord", ItemKind::BodyCordBayonet);
        means(None, "body wire, 3-pin", ItemKind::BodyCordThreePin);
        means(None, "  Mask_Cord ", ItemKind::MaskCord);
        means(FOIL, "lamé", ItemKind::JacketFoil);
        means(None, "saber glove", ItemKind::SabreGlove);
    }

    #[test]
    fn every_code_title_and_short_name_means_its_kind() {
        for kind in ItemKind::ALL {
            means(None, kind.code(), kind);
            means(None, kind.title(), kind);
            means(None, kind.short(), kind);
            means(None, &kind.title().to_uppercase(), kind);
        }
    }

    #[test]
    fn contradictions_and_gaps_are_named() {
        refused(EPEE, "body cord bayonet", "it is for foil and sabre");
        refused(FOIL, "three-pin body cord", "it is for épée");
        refused(FOIL, "sabre mask", "the weapon is foil, but the item says sabre");
        refused(EPEE, "jacket", "no conductive jacket");
        refused(EPEE, "mask cord", "épée does not use a mask cord");
        refused(FOIL, "glove", "it is for sabre");
        refused(None, "body cord", "give foil, épée or sabre");
        refused(None, "jacket", "give foil, épée or sabre");
        refused(FOIL, "bayonet mask", "only body cords");
        refused(None, "foil sabre", "not a known item");
    }

    #[test]
    fn the_unknown_gets_the_list_of_the_known() {
        refused(FOIL, "shoe", "floor cable");
        refused(None, " - ", "the item is empty");
        refused(None, "a\u{1b}[2Jb", "\\u{1b}");
        refused(None, &"x".repeat(10_000_000), "longer than");
    }

    /// Held against the material rules: the foil body cord serves the sabre too, and épée has its own.
    #[test]
    fn foil_and_sabre_share_cords_and_apparatus_serves_all() {
        assert!(
            ItemKind::BodyCordTwoPin.serves(Weapon::Sabre) && ItemKind::BodyCordTwoPin.serves(Weapon::Foil)
        );
        assert!(!ItemKind::BodyCordThreePin.serves(Weapon::Foil));
        for kind in ItemKind::ALL {
            let served = Weapon::ALL.into_iter().filter(|weapon| kind.serves(*weapon)).count();
            assert!(served >= 1, "{kind:?} serves no weapon");
            assert!(!kind.is_apparatus() || served == 3, "{kind:?}");
            assert!(kind.weapon().is_none_or(|weapon| kind.serves(weapon) && served == 1), "{kind:?}");
        }
    }

    proptest! {
        #[test]
        fn any_text_gets_an_answer_that_fits_the_weapon(item in "\\PC{0,40}", weapon in 0_usize..4) {
            let weapon = Weapon::ALL.get(weapon).copied();
            if let (Ok(kind), Some(weapon)) = (ItemKind::from_words(weapon, &item), weapon) {
                prop_assert!(kind.serves(weapon));
            }
        }
    }
}
