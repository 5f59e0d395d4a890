//! What a strip reports: the complaints that each kind of item can be handed in with, in the order in which a
//! strip's number keys offer them, and the kinds of work that may follow.
//!
//! Lamps are named by the fencer whose gear it is. Which complaints belong to which kind follows from how the
//! circuits are wired (foil and sabre rest closed and show white when open; épée rests open and has no white
//! light); their order, commonest first, is an estimate of ours.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::faults::{complaint_weight, faults};
use super::kind::{ItemKind, Work};
use super::share::to_permille;

/// What a strip saw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Complaint {
    /// White light with no hit, on and off, often on a beat.
    WhiteOnOff,
    /// White light all the time.
    WhiteSteady,
    /// No light on any hit.
    NoLight,
    /// Good hits show white: the coloured light is missing on target.
    GoodHitsWhite,
    /// Yellow light, or a coloured light for a hit off target.
    WrongColour,
    /// Some hits do not light.
    HitsMissed,
    /// The coloured light stays on, or comes by itself.
    LightStaysOn,
    /// The opponent's hits on the guard light.
    GuardLights,
    /// Does not lift the weight, or lights too easily.
    FailsWeight,
    /// Fails a gauge of the épée point.
    FailsGauge,
    /// Refused at a check for another reason, such as resistance or insulation.
    FailsCheck,
    /// Something is loose, rattles, is bent, worn or lost: screw, guard, tape, curve.
    LooseOrBent,
    /// The blade is cracked, kinked or broken.
    BladeBroken,
    /// A plug or clip falls out.
    FallsOut,
    /// Hits on the wearer do not show, or show white.
    HitsNotShown,
    /// Hits on the wearer come and go.
    HitsComeAndGo,
    /// Hits on one spot do not show.
    DeadSpot,
    /// Torn, holed, or a seam open.
    Torn,
    /// A zip or fastening is broken.
    Fastening,
    /// The mesh is dented, rusty or broken, or failed the punch.
    MeshDamaged,
    /// The bib is torn or loose.
    BibTorn,
    /// The second safety strap is missing or slack.
    StrapMissing,
    /// One side of the strip is dead, or white all the time.
    SideDead,
    /// One side of the strip comes and goes.
    SideOnOff,
    /// The two sides of the strip are exchanged.
    SidesExchanged,
    /// Hits on the floor light.
    FloorLights,
    /// The reel's cord lies slack.
    Slack,
    /// No power.
    NoPower,
    /// A burnt smell, sparks, or a damaged mains lead.
    BurntSmell,
    /// Anything else; the note says what.
    Other,
}

use Complaint::{
    BibTorn, BladeBroken, BurntSmell, DeadSpot, FailsCheck, FailsGauge, FailsWeight, FallsOut, Fastening,
    FloorLights, GoodHitsWhite, GuardLights, HitsComeAndGo, HitsMissed, HitsNotShown, LightStaysOn,
    LooseOrBent, MeshDamaged, NoLight, NoPower, Other, SideDead, SideOnOff, SidesExchanged, Slack,
    StrapMissing, Torn, WhiteOnOff, WhiteSteady, WrongColour,
};

impl Complaint {
    /// Every complaint.
    pub const ALL: [Self; 30] = [
        WhiteOnOff,
        WhiteSteady,
        NoLight,
        GoodHitsWhite,
        WrongColour,
        HitsMissed,
        LightStaysOn,
        GuardLights,
        FailsWeight,
        FailsGauge,
        FailsCheck,
        LooseOrBent,
        BladeBroken,
        FallsOut,
        HitsNotShown,
        HitsComeAndGo,
        DeadSpot,
        Torn,
        Fastening,
        MeshDamaged,
        BibTorn,
        StrapMissing,
        SideDead,
        SideOnOff,
        SidesExchanged,
        FloorLights,
        Slack,
        NoPower,
        BurntSmell,
        Other,
    ];

    /// The complaints that a strip is offered for this kind, in the order of its number keys: commonest first
    /// (an estimate of ours), nine at most, the last always [`Complaint::Other`].
    pub fn for_kind(kind: ItemKind) -> &'static [Self] {
        match kind {
            ItemKind::Foil => FOIL,
            ItemKind::Epee => EPEE,
            ItemKind::Sabre => SABRE,
            ItemKind::BodyCordTwoPin | ItemKind::BodyCordBayonet => FOIL_SABRE_CORD,
            ItemKind::BodyCordThreePin => EPEE_CORD,
            ItemKind::MaskCord => &[HitsNotShown, HitsComeAndGo, FallsOut, FailsCheck, Other],
            ItemKind::Mask => &[MeshDamaged, StrapMissing, BibTorn, FailsCheck, Other],
            ItemKind::MaskFoil | ItemKind::MaskSabre => {
                &[HitsNotShown, MeshDamaged, StrapMissing, BibTorn, FailsCheck, Other]
            }
            ItemKind::JacketFoil | ItemKind::JacketSabre => JACKET,
            ItemKind::SabreGlove => &[HitsNotShown, Torn, FailsCheck, Other],
            ItemKind::Reel => &[SideOnOff, SideDead, Slack, Other],
            ItemKind::FloorCable => &[SideDead, SideOnOff, SidesExchanged, FloorLights, Other],
            ItemKind::Box => &[SideDead, SideOnOff, NoPower, BurntSmell, Other],
        }
    }

    /// Whether it speaks of something that comes and goes, or of something that stays; `None` when of neither.
    pub fn comes_and_goes(self) -> Option<bool> {
        match self {
            WhiteOnOff | HitsMissed | HitsComeAndGo | SideOnOff => Some(true),
            WhiteSteady | NoLight | LightStaysOn | HitsNotShown | SideDead => Some(false),
            _ => None,
        }
    }

    /// Stable code: in the journal, on the command line, in files.
    pub fn code(self) -> &'static str {
        match self {
            WhiteOnOff => "white_on_off",
            WhiteSteady => "white_steady",
            NoLight => "no_light",
            GoodHitsWhite => "good_hits_white",
            WrongColour => "wrong_colour",
            HitsMissed => "hits_missed",
            LightStaysOn => "light_stays_on",
            GuardLights => "guard_lights",
            FailsWeight => "fails_weight",
            FailsGauge => "fails_gauge",
            FailsCheck => "fails_check",
            LooseOrBent => "loose_or_bent",
            BladeBroken => "blade_broken",
            FallsOut => "falls_out",
            HitsNotShown => "hits_not_shown",
            HitsComeAndGo => "hits_come_and_go",
            DeadSpot => "dead_spot",
            Torn => "torn",
            Fastening => "fastening",
            MeshDamaged => "mesh_damaged",
            BibTorn => "bib_torn",
            StrapMissing => "strap_missing",
            SideDead => "side_dead",
            SideOnOff => "side_on_off",
            SidesExchanged => "sides_exchanged",
            FloorLights => "floor_lights",
            Slack => "slack",
            NoPower => "no_power",
            BurntSmell => "burnt_smell",
            Other => "other",
        }
    }

    /// The complaint with that code.
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|complaint| complaint.code() == code)
    }
}

const FOIL: &[Complaint] = &[
    WhiteOnOff,
    WhiteSteady,
    GoodHitsWhite,
    NoLight,
    FailsWeight,
    LooseOrBent,
    BladeBroken,
    WrongColour,
    Other,
];
const EPEE: &[Complaint] = &[
    HitsMissed,
    NoLight,
    FailsWeight,
    FailsGauge,
    LooseOrBent,
    LightStaysOn,
    GuardLights,
    BladeBroken,
    Other,
];
const SABRE: &[Complaint] =
    &[HitsMissed, WhiteOnOff, WhiteSteady, WrongColour, LooseOrBent, NoLight, BladeBroken, FailsCheck, Other];
const FOIL_SABRE_CORD: &[Complaint] = &[
    WhiteOnOff,
    WhiteSteady,
    HitsNotShown,
    FallsOut,
    WrongColour,
    NoLight,
    GoodHitsWhite,
    FailsCheck,
    Other,
];
const EPEE_CORD: &[Complaint] =
    &[HitsMissed, NoLight, GuardLights, LightStaysOn, FallsOut, FailsCheck, Other];
const JACKET: &[Complaint] = &[DeadSpot, HitsNotShown, HitsComeAndGo, Torn, Fastening, FailsCheck, Other];

/// The kinds of work that may follow a complaint, largest share first, in thousandths that sum to 1000.
///
/// The shares are sums over the fault table and, like it, estimates of ours. A complaint that the kind does not
/// offer is treated as [`Complaint::Other`].
pub fn works(kind: ItemKind, complaint: Complaint) -> &'static [(Work, u16)] {
    WORKS.get(&(kind, complaint)).map_or(&[], Vec::as_slice)
}

/// All of [`works`], summed once: every `take` asks.
static WORKS: LazyLock<BTreeMap<(ItemKind, Complaint), Shares>> = LazyLock::new(|| {
    let complaints = |kind| Complaint::ALL.into_iter().map(move |complaint| (kind, complaint));
    let pairs = ItemKind::ALL.into_iter().flat_map(complaints);
    pairs.map(|(kind, complaint)| ((kind, complaint), sum_works(kind, complaint))).collect()
});

type Shares = Vec<(Work, u16)>;

fn sum_works(kind: ItemKind, complaint: Complaint) -> Shares {
    let weight_of = |work| {
        let of_work = faults(kind).filter(|fault| fault.work == work);
        of_work.map(|fault| complaint_weight(fault, kind, complaint)).sum::<u64>()
    };
    let weights: Vec<_> = Work::ALL.into_iter().map(|work| (work, weight_of(work))).collect();
    to_permille(&weights)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn codes_are_distinct_and_are_what_serde_writes() {
        for complaint in Complaint::ALL {
            assert_eq!(Complaint::from_code(complaint.code()), Some(complaint));
            assert_eq!(serde_json::to_string(&complaint).unwrap(), format!("\"{}\"", complaint.code()));
        }
        assert_eq!(Complaint::from_code("Other"), None);
    }

    #[test]
    fn every_kind_offers_nine_at_most_each_once_and_other_last() {
        for kind in ItemKind::ALL {
            let offered = Complaint::for_kind(kind);
            assert!((2..=9).contains(&offered.len()), "{kind:?} offers {}", offered.len());
            assert_eq!(offered.last(), Some(&Other), "{kind:?}");
            let distinct: std::collections::BTreeSet<_> = offered.iter().collect();
            assert_eq!(distinct.len(), offered.len(), "{kind:?} offers one twice");
        }
    }

    #[test]
    fn every_complaint_is_offered_for_some_kind() {
        for complaint in Complaint::ALL {
            assert!(
                ItemKind::ALL.into_iter().any(|kind| Complaint::for_kind(kind).contains(&complaint)),
                "{complaint:?} can never be reported"
            );
        }
    }

    /// Held against the material rules: there is no white lamp for off target in épée.
    #[test]
    fn no_epee_complaint_speaks_of_white() {
        for kind in [ItemKind::Epee, ItemKind::BodyCordThreePin] {
            for white in [WhiteOnOff, WhiteSteady, GoodHitsWhite] {
                assert!(!Complaint::for_kind(kind).contains(&white), "{kind:?} {white:?}");
            }
        }
    }

    #[test]
    fn works_sum_to_a_thousand_and_fall() {
        for kind in ItemKind::ALL {
            for complaint in Complaint::ALL {
                let works = works(kind, complaint);
                assert_eq!(works.iter().map(|(_, share)| share).sum::<u16>(), 1000, "{kind:?} {complaint:?}");
                assert!(works.is_sorted_by(|a, b| a.1 >= b.1), "{kind:?} {complaint:?}: {works:?}");
            }
        }
    }

    /// Held against common practice, no source: a foil's white light that comes and goes is first of all the
    /// point; a broken blade is blade work and nothing else.
    #[test]
    fn the_likeliest_work_is_what_an_armourer_would_guess() {
        assert_eq!(works(ItemKind::Foil, WhiteOnOff)[0].0, Work::Point);
        assert_eq!(works(ItemKind::Foil, BladeBroken), [(Work::Blade, 1000)]);
        assert_eq!(works(ItemKind::BodyCordTwoPin, WhiteSteady)[0].0, Work::CordEnds);
    }
}
