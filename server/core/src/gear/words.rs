//! The English words that people read for kinds, weapons, plugs, kinds of work, complaints and repairs. All of
//! them stand here, so that a catalogue of another language can take this file's place.
//!
//! `title` is the full name; `short` fits 24 characters, for a column of an 80-column screen.

use super::complaint::Complaint;
use super::faults::Lasting;
use super::kind::{ItemKind, Plug, Weapon, Work};

/// Longest short name, in characters.
#[cfg(test)]
const SHORT_MAX: usize = 24;

impl Weapon {
    /// Name to show.
    pub fn title(self) -> &'static str {
        match self {
            Self::Foil => "foil",
            Self::Epee => "épée",
            Self::Sabre => "sabre",
        }
    }

    /// Name for a narrow column.
    pub fn short(self) -> &'static str {
        self.title()
    }
}

impl Plug {
    /// Name to show.
    pub fn title(self) -> &'static str {
        match self {
            Self::TwoPin => "two-pin plug",
            Self::Bayonet => "bayonet plug",
            Self::ThreePin => "three-pin plug",
        }
    }

    /// Name for a narrow column.
    pub fn short(self) -> &'static str {
        match self {
            Self::TwoPin => "two-pin",
            Self::Bayonet => "bayonet",
            Self::ThreePin => "three-pin",
        }
    }
}

impl ItemKind {
    /// Name to show.
    pub fn title(self) -> &'static str {
        self.words().0
    }

    /// Name for a narrow column.
    pub fn short(self) -> &'static str {
        self.words().1
    }

    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Foil => ("foil", "foil"),
            Self::Epee => ("épée", "épée"),
            Self::Sabre => ("sabre", "sabre"),
            Self::BodyCordTwoPin => ("body cord, two-pin", "cord two-pin"),
            Self::BodyCordBayonet => ("body cord, bayonet", "cord bayonet"),
            Self::BodyCordThreePin => ("body cord, three-pin", "cord three-pin"),
            Self::MaskCord => ("mask cord", "mask cord"),
            Self::Mask => ("mask", "mask"),
            Self::MaskFoil => ("foil mask", "foil mask"),
            Self::MaskSabre => ("sabre mask", "sabre mask"),
            Self::JacketFoil => ("conductive jacket, foil", "foil jacket"),
            Self::JacketSabre => ("conductive jacket, sabre", "sabre jacket"),
            Self::SabreGlove => ("sabre glove or cuff", "sabre glove"),
            Self::Reel => ("reel", "reel"),
            Self::FloorCable => ("floor cable", "floor cable"),
            Self::Box => ("scoring box", "box"),
        }
    }
}

impl Work {
    /// Name to show.
    pub fn title(self) -> &'static str {
        self.words().0
    }

    /// Name for a narrow column.
    pub fn short(self) -> &'static str {
        self.words().1
    }

    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Point => ("point: tip, springs, screws", "point"),
            Self::BladeWire => ("wire in the groove", "blade wire"),
            Self::SocketGuard => ("socket, guard and handle", "socket, guard"),
            Self::Blade => ("blade", "blade"),
            Self::CordEnds => ("cord ends: plugs, clips, screws", "cord ends"),
            Self::CordContinuity => ("continuity along a cord", "cord continuity"),
            Self::SabreContacts => ("sabre contacts and insulation", "sabre contacts"),
            Self::Cloth => ("conductive cloth", "cloth"),
            Self::Mask => ("mask", "mask"),
            Self::Apparatus => ("apparatus: reels, cables, boxes", "apparatus"),
        }
    }
}

impl Lasting {
    /// Name to show.
    pub fn title(self) -> &'static str {
        match self {
            Self::Lasting => "lasting",
            Self::StopGap => "stop-gap",
            Self::Either => "lasting or stop-gap",
            Self::NoRepair => "no repair: withdraw",
        }
    }
}

impl Complaint {
    /// Name to show.
    pub fn title(self) -> &'static str {
        self.words().0
    }

    /// Name for a narrow column.
    pub fn short(self) -> &'static str {
        self.words().1
    }

    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::WhiteOnOff => ("white light comes and goes, no hit", "white on and off"),
            Self::WhiteSteady => ("white light stays on", "white steady"),
            Self::NoLight => ("no light on any hit", "no light"),
            Self::GoodHitsWhite => ("good hits show white", "good hits white"),
            Self::WrongColour => ("yellow, or coloured light off target", "yellow or wrong colour"),
            Self::HitsMissed => ("some hits do not light", "hits missed"),
            Self::LightStaysOn => ("coloured light stays on or comes by itself", "light stays on"),
            Self::GuardLights => ("opponent's hits on the guard light", "guard lights"),
            Self::FailsWeight => ("fails the weight, or lights too easily", "fails weight"),
            Self::FailsGauge => ("fails a gauge of the point", "fails gauge"),
            Self::FailsCheck => ("refused at a check for another reason", "refused at check"),
            Self::LooseOrBent => ("loose, bent, or a part lost (screw, tape)", "loose, bent, part lost"),
            Self::BladeBroken => ("blade cracked, kinked or broken", "blade cracked or broken"),
            Self::FallsOut => ("plug or clip falls out", "plug or clip falls out"),
            Self::HitsNotShown => ("hits on the wearer do not show, or show white", "hits on it not shown"),
            Self::HitsComeAndGo => ("hits on the wearer come and go", "hits on it come and go"),
            Self::DeadSpot => ("hits on one spot do not show", "dead spot"),
            Self::Torn => ("torn, holed, or a seam open", "torn"),
            Self::Fastening => ("zip or fastening broken", "zip or fastening"),
            Self::MeshDamaged => ("mesh dented, rusty, broken or failed the punch", "mesh damaged"),
            Self::BibTorn => ("bib torn or loose", "bib torn"),
            Self::StrapMissing => ("second safety strap missing or slack", "safety strap"),
            Self::SideDead => ("one side dead, or white all the time", "side dead or white"),
            Self::SideOnOff => ("one side comes and goes", "side on and off"),
            Self::SidesExchanged => ("the two sides are exchanged", "sides exchanged"),
            Self::FloorLights => ("hits on the floor light", "floor lights"),
            Self::Slack => ("the reel's cord lies slack", "cord slack"),
            Self::NoPower => ("no power", "no power"),
            Self::BurntSmell => ("burnt smell, sparks, or a damaged mains lead", "burnt smell or sparks"),
            Self::Other => ("something else", "something else"),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn assert_distinct(words: &[&str]) {
        assert_eq!(words.iter().collect::<BTreeSet<_>>().len(), words.len(), "{words:?}");
    }

    #[test]
    fn short_names_fit_and_no_two_things_share_a_name() {
        let kinds = ItemKind::ALL.map(ItemKind::short);
        let works = Work::ALL.map(Work::short);
        let complaints = Complaint::ALL.map(Complaint::short);
        for short in kinds.iter().chain(&works).chain(&complaints) {
            assert!(short.chars().count() <= SHORT_MAX, "too long: {short}");
        }
        assert_distinct(&kinds);
        assert_distinct(&works);
        assert_distinct(&complaints);
        assert_distinct(&ItemKind::ALL.map(ItemKind::title));
        assert_distinct(&Work::ALL.map(Work::title));
        assert_distinct(&Complaint::ALL.map(Complaint::title));
    }

    #[test]
    fn a_numbered_complaint_fits_half_a_screen_and_more() {
        for complaint in Complaint::ALL {
            assert!(complaint.title().chars().count() <= 48, "too long: {}", complaint.title());
        }
    }
}
