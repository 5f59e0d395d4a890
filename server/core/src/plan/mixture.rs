//! What may be wrong with a job's item, with probabilities: the seam between the checks and the lanes.

use crate::armoury::{Job, Showed};
use crate::gear::{self, Fault};

/// What may be wrong with the job's item, and how likely each is.
///
/// Once something was found, everything that was found is there with probability 1 each, and nothing else. Before,
/// it is what the complaint may mean and no check has ruled out, and the probabilities sum to 1. When the checks have
/// ruled out all that the complaint may mean, they are taken to have missed something and count for nothing.
pub fn mixture(job: &Job) -> Vec<(&'static Fault, f64)> {
    let showed = |fault: &Fault, what| {
        job.course.findings.iter().any(|found| found.fault == fault.id && found.showed == what)
    };
    let present: Vec<_> = gear::faults(job.kind)
        .filter(|fault| showed(fault, Showed::Present))
        .map(|fault| (fault, 1.0))
        .collect();
    if !present.is_empty() {
        return present;
    }
    let prior = gear::prior(job.kind, job.complaint);
    let left: Vec<_> = prior.iter().filter(|(fault, _)| !showed(fault, Showed::Absent)).copied().collect();
    let left = if left.is_empty() { prior } else { left };
    // A share too small for a thousandth still is one.
    let total: f64 = left.iter().map(|(_, permille)| f64::from((*permille).max(1))).sum();
    left.into_iter().map(|(fault, permille)| (fault, f64::from(permille.max(1)) / total)).collect()
}

/// Whether the mixture is certain: everything in it was found.
pub fn is_found(job: &Job) -> bool {
    job.course
        .findings
        .iter()
        .any(|found| found.showed == Showed::Present && gear::fault(&found.fault).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::armoury::tests::World;
    use crate::armoury::tests::world::*;
    use crate::gear::ItemKind;

    fn shares(world: &World, job: crate::ids::JobId) -> Vec<(&'static str, f64)> {
        mixture(world.job(job)).into_iter().map(|(fault, share)| (fault.id, share)).collect()
    }

    /// Held against the definition above; the shares themselves are the fault table's estimates.
    #[test]
    fn checks_narrow_what_may_be_wrong() {
        let mut world = World::new();
        let foil = world.taken(ItemKind::Foil, WEAPONS);
        let before = shares(&world, foil);
        assert!(before.len() > 2 && !is_found(world.job(foil)));
        assert!((before.iter().map(|(_, share)| share).sum::<f64>() - 1.0).abs() < 1e-9);
        world.ok(find(foil, before[0].0, Showed::Absent));
        let after = shares(&world, foil);
        assert!((after.iter().map(|(_, share)| share).sum::<f64>() - 1.0).abs() < 1e-9);
        assert!(after.len() == before.len() - 1 && after[0].1 > before[1].1);
        world.ok(find(foil, "foil_wire_broken", Showed::Present));
        assert_eq!(shares(&world, foil), [("foil_wire_broken", 1.0)]);
        assert!(is_found(world.job(foil)));
    }

    #[test]
    fn when_all_is_ruled_out_all_may_be_again() {
        let mut world = World::new();
        let foil = world.taken(ItemKind::Foil, WEAPONS);
        let before = shares(&world, foil);
        for (fault, _) in &before {
            world.ok(find(foil, fault, Showed::Absent));
        }
        assert_eq!(shares(&world, foil), before);
    }
}
