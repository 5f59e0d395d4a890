//! From a job to what the guide knows of it.

use super::finding::{Finding, Found, Looked};
use super::model::Case;
use crate::armoury::{Showed, Sighting};
use crate::circuit::usual_weapon;
use crate::gear::{self, Complaint, ItemKind};

/// What the guide knows of an item: its complaint, what a look at each possible fault showed (as pairs of fault and
/// result), what instruments showed, and which faults were mended while the search goes on.
///
/// What cannot be read, because an older or a newer version wrote it, is passed over.
pub fn case_of<'a>(
    kind: ItemKind,
    complaint: Complaint,
    looks: impl IntoIterator<Item = (&'a str, Showed)>,
    sightings: &[Sighting],
    mended: impl IntoIterator<Item = &'a str>,
) -> Case {
    let look = |fault: &str, looked: Looked| {
        let fault = gear::fault(fault).filter(|fault| fault.kinds.contains(&kind))?;
        Some(Finding::sure(Found::Looked { fault, looked }))
    };
    let looks = looks.into_iter().filter_map(|(fault, showed)| look(fault, looked(showed)));
    let saw = sightings.iter().filter_map(|it| Finding::parse(&it.seen, kind, usual_weapon(kind)).ok());
    let mended = mended.into_iter().filter_map(|fault| look(fault, Looked::Mended));
    Case { findings: looks.chain(saw).chain(mended).collect(), ..Case::new(complaint) }
}

fn looked(showed: Showed) -> Looked {
    match showed {
        Showed::Present => Looked::Present,
        Showed::Absent => Looked::Absent,
        Showed::Unsure => Looked::Unsure,
    }
}
