//! What may be wrong with a job's item, with probabilities: the seam between the checks and the lanes.

use crate::armoury::{Job, Showed};
use crate::gear::{self, Fault};
use crate::guide::{self, Guide};

/// Causes that are less likely after the checks are left out.
const UNLIKELY: f64 = 0.002;

/// What may be wrong with the job's item, and how likely each is.
///
/// Once something was found, everything that was found is there with probability 1 each, and nothing else. Before,
/// the probabilities sum to 1: what the complaint may mean by the fault table's shares; or, once something was checked,
/// what the guide says after all that was found, see [`crate::guide`].
pub fn mixture(job: &Job) -> Vec<(&'static Fault, f64)> {
    let found = |fault: &&'static Fault| {
        let mut findings = job.course.findings.iter();
        findings.any(|found| found.fault == fault.id && found.showed == Showed::Present)
    };
    let present: Vec<_> = gear::faults(job.kind).filter(found).map(|fault| (fault, 1.0)).collect();
    if !present.is_empty() {
        return present;
    }
    let shares = checked(job).unwrap_or_else(|| {
        let prior = gear::prior(job.kind, job.complaint);
        // A share too small for a thousandth still is one.
        prior.into_iter().map(|(fault, permille)| (fault, f64::from(permille.max(1)))).collect()
    });
    let total: f64 = shares.iter().map(|(_, share)| share).sum();
    shares.into_iter().map(|(fault, share)| (fault, share / total)).collect()
}

/// What the guide says after the checks; none when nothing was checked.
fn checked(job: &Job) -> Option<Vec<(&'static Fault, f64)>> {
    let course = &job.course;
    let guide = Guide::built_in(job.kind).filter(|_| job.is_checked())?;
    let looks = course.findings.iter().map(|found| (found.fault.as_str(), found.showed));
    let mended = course.repairs.iter().filter_map(|repair| repair.fault.as_deref());
    let case = guide::case_of(job.kind, job.complaint, looks, &course.sightings, mended);
    let causes = guide.causes().map(|cause| cause.fault).zip(guide.probabilities(&case));
    Some(causes.filter(|(_, share)| *share >= UNLIKELY).collect())
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
        let share = |shares: &[(&str, f64)]| {
            shares.iter().find(|(fault, _)| *fault == before[0].0).map_or(0.0, |(_, share)| *share)
        };
        assert!((after.iter().map(|(_, share)| share).sum::<f64>() - 1.0).abs() < 1e-9);
        assert!(share(&after) < 0.5 * share(&before), "{after:?}");
        world.ok(find(foil, "foil_wire_broken", Showed::Present));
        assert_eq!(shares(&world, foil), [("foil_wire_broken", 1.0)]);
        assert!(is_found(world.job(foil)));
    }

    /// A flicker when the barrel is twisted points to a loose barrel: common practice, no source.
    #[test]
    fn what_the_lamp_shows_narrows_it_too() {
        let mut world = World::new();
        let foil = world.taken(ItemKind::Foil, WEAPONS);
        let share = |world: &World| {
            let shares = shares(world, foil);
            shares.iter().find(|(fault, _)| *fault == "foil_barrel_loose").map_or(0.0, |(_, share)| *share)
        };
        let before = share(&world);
        world.ok(see(foil, "twist-barrel=flicker"));
        assert!(share(&world) > 2.0 * before, "{} after {before}", share(&world));
    }

    /// Looks err: what all of them missed is still somewhere.
    #[test]
    fn when_all_is_ruled_out_something_is_still_wrong() {
        let mut world = World::new();
        let foil = world.taken(ItemKind::Foil, WEAPONS);
        for (fault, _) in shares(&world, foil) {
            world.ok(find(foil, fault, Showed::Absent));
        }
        let after = shares(&world, foil);
        assert!(after.len() > 1 && (after.iter().map(|(_, share)| share).sum::<f64>() - 1.0).abs() < 1e-9);
    }
}
