//! The usual cautions for the work, put briefly, in lines that fit a screen. They do not replace the maker's
//! safety sheet, the venue's rules, local law or licensed practice; [`DEFERRING`] says so at every list's end.

use super::kind::Work;

/// How well a caution is founded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// Read in a published text.
    Published,
    /// Part of it read in a published text, part from memory.
    InPart,
    /// From memory, not checked.
    FromMemory,
}

/// One caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// What to heed; at most 76 characters.
    pub text: &'static str,
    /// How well it is founded.
    pub status: Basis,
    /// Where it was read.
    pub source: &'static str,
}

/// What in the work can hurt someone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hazard {
    /// Cyanoacrylate glue and its accelerator.
    Glue,
    /// Acetone and like solvents.
    Solvent,
    /// Getting old wire and glue out of a groove.
    OldWire,
    /// Soldering.
    Solder,
    /// Grinding and filing.
    Abrading,
    /// A bent, cracked or broken blade.
    Blade,
    /// Small sprung parts.
    Springs,
    /// The strong spring inside a reel.
    ReelSpring,
    /// Testing a mask with the punch.
    Punch,
    /// A mask that failed.
    FailedMask,
    /// Apparatus on mains power.
    Mains,
    /// Lithium batteries.
    Battery,
}

/// That other rules go first. Ends every list of cautions.
pub const DEFERRING: Caution =
    memory("Maker's safety sheet, house rules, local law, licensed trades: they go first", "usual guidance");

impl Hazard {
    /// Every hazard.
    pub const ALL: [Self; 12] = [
        Self::Glue,
        Self::Solvent,
        Self::OldWire,
        Self::Solder,
        Self::Abrading,
        Self::Blade,
        Self::Springs,
        Self::ReelSpring,
        Self::Punch,
        Self::FailedMask,
        Self::Mains,
        Self::Battery,
    ];

    /// Its cautions, the most important first.
    pub fn cautions(self) -> &'static [Caution] {
        match self {
            Self::Glue => GLUE,
            Self::Solvent => SOLVENT,
            Self::OldWire => OLD_WIRE,
            Self::Solder => SOLDER,
            Self::Abrading => ABRADING,
            Self::Blade => BLADE,
            Self::Springs => SPRINGS,
            Self::ReelSpring => REEL_SPRING,
            Self::Punch => PUNCH,
            Self::FailedMask => FAILED_MASK,
            Self::Mains => MAINS,
            Self::Battery => BATTERY,
        }
    }
}

/// What a kind of work may bring with it.
pub fn hazards(work: Work) -> &'static [Hazard] {
    use Hazard as H;
    match work {
        Work::Point => &[H::Springs],
        Work::BladeWire => &[H::Glue, H::OldWire, H::Solvent, H::Springs, H::Blade],
        Work::SocketGuard => &[H::Solder, H::Abrading],
        Work::Blade => &[H::Blade, H::Abrading],
        Work::CordEnds | Work::CordContinuity => &[H::Solder],
        Work::SabreContacts => &[H::Abrading],
        Work::Cloth => &[],
        Work::Mask => &[H::FailedMask, H::Punch],
        Work::Apparatus => &[H::Mains, H::Battery, H::Solder, H::ReelSpring],
    }
}

/// The cautions for a kind of work, and last that local rules go first. Empty when nothing in it is known to be
/// dangerous.
pub fn cautions(work: Work) -> impl Iterator<Item = &'static Caution> {
    let hazards = hazards(work);
    let last = (!hazards.is_empty()).then_some(&DEFERRING);
    hazards.iter().flat_map(|hazard| hazard.cautions()).chain(last)
}

const fn published(text: &'static str, source: &'static str) -> Caution {
    Caution { text, status: Basis::Published, source }
}

const fn in_part(text: &'static str, source: &'static str) -> Caution {
    Caution { text, status: Basis::InPart, source }
}

const fn memory(text: &'static str, source: &'static str) -> Caution {
    Caution { text, status: Basis::FromMemory, source }
}

const GLUE: &[Caution] = &[
    published(
        "Quick glue: open a window or run a fan, wear glasses, face away from it",
        "two household-safety pages; an adhesive maker's handling page",
    ),
    published(
        "Quick glue: no cotton or wool near it: they heat, smoke and may catch fire",
        "open encyclopaedia article; household-safety page on cyanoacrylate",
    ),
    published(
        "Glued skin: do not pull apart; soften with warm soapy water",
        "poison-information centre page; open encyclopaedia article on super glue",
    ),
    published(
        "Glue in the eye: warm water, cover, force nothing open, see a doctor",
        "first-aid page on cyanoacrylates",
    ),
    published(
        "Accelerator makes the glue set at once, hot, with a puff of vapour",
        "trade mailing-list message, 2001 (experience)",
    ),
    memory(
        "Accelerator spray burns: no flame, heat gun or iron near until it is dry",
        "product sheets usually say so",
    ),
];

const SOLVENT: &[Caution] = &[
    published(
        "Acetone: its vapour runs along the floor to a flame: no flame, no spark",
        "laboratory chemical safety summary, 1995; fire-service data notebook, 1987",
    ),
    in_part(
        "Acetone: air the room, wear glasses and butyl gloves, keep it closed",
        "International Chemical Safety Card 0087 (thin nitrile fails soon: from memory)",
    ),
    published("Rags with acetone go into a closed metal bin", "employer safety newsletter, August 2016"),
    in_part(
        "Soaking tube: upright, capped, away from torch, iron and grinder",
        "club armoury page on rewiring for spilling; the rest from memory",
    ),
];

const OLD_WIRE: &[Caution] = &[
    published(
        "Old wire: goggles on, blade clamped, pull with pliers and not with fingers",
        "club armoury page on rewiring",
    ),
    in_part(
        "Burning glue out: outdoors or under extraction, no solvent near, blade hot",
        "club armoury page on rewiring for goggles; fumes from memory",
    ),
];

const SOLDER: &[Caution] = &[
    published(
        "Rosin fume can cause asthma: low-rosin solder, extraction, head out of it",
        "HSE INDG248; HSE COSHH essentials sheet WL17",
    ),
    memory("Soldering: glasses on; hands washed after lead solder, no food here", "usual guidance"),
    memory("Iron in its stand on a mat that cannot burn; unplug when you leave", "usual guidance"),
];

const ABRADING: &[Caution] = &[
    in_part("Grinding, filing: eye guard, no loose sleeves, nothing that burns near", "workshop safety page"),
    published(
        "Grinder: rest within 3 mm, tongue guard within 6 mm; set only when stopped",
        "OSHA-based safety pages",
    ),
];

const BLADE: &[Caution] = &[
    published(
        "Most serious fencing injuries come from a broken blade",
        "British federation safety guidelines, 8th edition, 1997",
    ),
    in_part(
        "Cracked, kinked or S-bent: refuse it, do not straighten it again",
        "public fencing FAQ 2.8 for the reason; the rest usual practice",
    ),
    memory("Take both parts at once, cover the broken end, mark it scrap, never re-point", "usual practice"),
];

const SPRINGS: &[Caution] = &[in_part(
    "Tips and springs fly: glasses on, a tray or magnet under the work",
    "maker's page on the shim test for flying tips; the rest from memory",
)];

const REEL_SPRING: &[Caution] =
    &[memory("A reel's wound spring lashes out: let it run down before you open the case", "usual practice")];

const PUNCH: &[Caution] = &[
    published(
        "Punch: only by a trained person, square to the mesh, only the stated force",
        "USA 1995 rules as quoted on a safety page; public fencing FAQ 2.2",
    ),
    memory("Punch: never with a head in the mask", "usual practice"),
];

const FAILED_MASK: &[Caution] = &[
    published(
        "Mesh is never mended: mark the mask as failed and withdraw it",
        "British safety guidelines 1997; USA volunteer page",
    ),
    published("The bib must not let a point under it", "New Zealand safety notice, 2011"),
];

const MAINS: &[Caution] = &[
    in_part(
        "Mains: only a competent person opens the box; unplug it first",
        "HSE HSG107, 3rd edition, 2013, for competence; unplugging from memory",
    ),
    published(
        "Look over plug, cable and case before use; what is faulty goes out of use",
        "HSE HSG107, 3rd edition, 2013",
    ),
    memory("Mains leads off the metal strip and the walkways; drinks off the table", "usual practice"),
];

const BATTERY: &[Caution] = &[
    published(
        "Lithium battery swollen, dented, hot or smelling: stop using, never puncture",
        "pages of three fire services",
    ),
    published("Battery on fire: everyone away, call the fire service", "pages of three fire services"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_caution_fits_a_line_and_names_a_source() {
        for caution in Hazard::ALL.into_iter().flat_map(Hazard::cautions).chain([&DEFERRING]) {
            assert!(caution.text.chars().count() <= 76, "too long: {}", caution.text);
            assert!(!caution.source.is_empty(), "no source: {}", caution.text);
        }
        assert!(Hazard::ALL.into_iter().all(|hazard| !hazard.cautions().is_empty()));
    }

    /// The works in which glue, fumes, broken steel, a mask or mains can hurt someone; judged by us.
    #[test]
    fn dangerous_work_has_cautions_and_ends_by_deferring() {
        for work in Work::ALL.into_iter().filter(|work| *work != Work::Cloth) {
            assert!(cautions(work).count() >= 2, "{work:?}");
            assert_eq!(cautions(work).last(), Some(&DEFERRING), "{work:?}");
        }
        assert_eq!(cautions(Work::Cloth).count(), 0);
    }
}
