//! What is handed in, what is truly wrong with it, what the strip says of it, and how long the work takes.
//!
//! Faults, their shares, complaints, minutes and curing are those of the core's fault table, which are estimates.
//! How often each kind comes in, how often nothing is wrong, and how often a stop-gap is chosen where both ways
//! exist, are numbers of our own for the rehearsal.

use rand_chacha::ChaCha8Rng;
use remise_core::armoury::Lasting;
use remise_core::gear::{Complaint, Fault, ItemKind, Lasting as Lasts, Weapon, faults, prior};
use remise_core::time::Span;

use super::plan::{Labour, Outcome, TrueState};
use super::shares::Shares;
use super::stream::{chance, log_normal, pick};

/// Share of hand-ins in which nothing is wrong.
const NO_FAULT: f64 = 0.14;
/// Share in which the fault lies in something else of the fencer's.
const ELSEWHERE: f64 = 0.04;
/// Share of complaints that the strip can only call something else.
const ONLY_OTHER: f64 = 0.04;
/// Share of lasting repairs where a stop-gap exists too.
const LASTING_WHERE_EITHER: f64 = 0.6;
/// Median and spread of an examination that finds nothing: minutes, and standard deviation of their logarithm.
const EXAMINED: (f64, f64) = (4.0, 0.35);
/// No work is shorter, in tenths of a minute.
const SHORTEST_TENTHS: i64 = 5;

/// What comes in for each weapon, of a thousand.
fn mixture(weapon: Weapon) -> &'static [(ItemKind, u16)] {
    use ItemKind::{
        BodyCordBayonet, BodyCordThreePin, BodyCordTwoPin, Box, Epee, FloorCable, Foil, JacketFoil,
        JacketSabre, Mask, MaskCord, MaskFoil, MaskSabre, Reel, Sabre, SabreGlove,
    };
    match weapon {
        Weapon::Foil => &[
            (Foil, 520),
            (BodyCordTwoPin, 120),
            (BodyCordBayonet, 70),
            (MaskCord, 180),
            (MaskFoil, 50),
            (JacketFoil, 30),
            (FloorCable, 15),
            (Reel, 10),
            (Box, 5),
        ],
        Weapon::Epee => {
            &[(Epee, 680), (BodyCordThreePin, 220), (Mask, 70), (FloorCable, 15), (Reel, 10), (Box, 5)]
        }
        Weapon::Sabre => &[
            (Sabre, 420),
            (BodyCordTwoPin, 110),
            (BodyCordBayonet, 70),
            (MaskCord, 200),
            (MaskSabre, 60),
            (JacketSabre, 30),
            (SabreGlove, 80),
            (FloorCable, 15),
            (Reel, 10),
            (Box, 5),
        ],
    }
}

/// Draws what kind of item comes in.
pub(super) fn kind(weapon: Weapon, rng: &mut ChaCha8Rng) -> ItemKind {
    let mixture = mixture(weapon);
    pick(rng, mixture.iter().map(|(kind, weight)| (*kind, f64::from(*weight)))).unwrap_or(mixture[0].0)
}

/// Draws a fault of a kind by its true share.
pub(super) fn fault(kind: ItemKind, shares: &Shares, rng: &mut ChaCha8Rng) -> Option<&'static Fault> {
    pick(rng, faults(kind).map(|fault| (fault, shares.of(kind, fault))))
}

/// Draws what the strip says of a fault: the first of its complaints twice as often as each other, as in the
/// core's reading of the table.
pub(super) fn complaint(kind: ItemKind, fault: Option<&Fault>, rng: &mut ChaCha8Rng) -> Complaint {
    let only_other = chance(rng, ONLY_OTHER);
    let offered = Complaint::for_kind(kind);
    let shown = fault.map_or(&[][..], |fault| fault.complaints);
    let shown: Vec<Complaint> = shown.iter().copied().filter(|shown| offered.contains(shown)).collect();
    let weighted =
        shown.iter().enumerate().map(|(place, shown)| (*shown, if place == 0 { 2.0 } else { 1.0 }));
    let said = pick(rng, weighted).unwrap_or(Complaint::Other);
    if only_other { Complaint::Other } else { said }
}

/// Draws how the work ends, and takes the fault away again from what has none.
pub(super) fn outcome(
    kind: ItemKind,
    fault: Option<&'static Fault>,
    rng: &mut ChaCha8Rng,
) -> (Option<&'static Fault>, Outcome) {
    let mended = mended(fault, rng);
    let nothing = pick(rng, [(1, NO_FAULT), (2, ELSEWHERE), (0, 1.0 - NO_FAULT - ELSEWHERE)]);
    match (nothing, elsewhere(kind)) {
        (Some(1), _) => (None, Outcome::NoFault),
        (Some(2), Some(place)) => (None, Outcome::FaultElsewhere(place)),
        _ => (fault, mended),
    }
}

/// Draws how the work on a fault ends that was found and worked on.
pub(super) fn mended(fault: Option<&Fault>, rng: &mut ChaCha8Rng) -> Outcome {
    let lasting = chance(rng, LASTING_WHERE_EITHER);
    match fault.map(|fault| fault.lasting) {
        None => Outcome::NoFault,
        Some(Lasts::NoRepair) => Outcome::Withdraw,
        Some(Lasts::Lasting) => Outcome::Mend(Lasting::Lasting),
        Some(Lasts::Either) if lasting => Outcome::Mend(Lasting::Lasting),
        Some(Lasts::Either | Lasts::StopGap) => Outcome::Mend(Lasting::StopGap),
    }
}

/// Where the fault lies when it is not in the item.
fn elsewhere(kind: ItemKind) -> Option<&'static str> {
    use ItemKind as K;
    match kind {
        K::Foil | K::Epee | K::Sabre => Some("the body cord"),
        K::BodyCordTwoPin | K::BodyCordBayonet | K::BodyCordThreePin => Some("the socket of the weapon"),
        K::MaskCord => Some("the bib of the mask"),
        K::JacketFoil | K::JacketSabre | K::SabreGlove => Some("the clip of the body cord"),
        K::MaskFoil | K::MaskSabre => Some("the mask cord"),
        K::Mask => None,
        K::Reel | K::FloorCable | K::Box => Some("a cord of the strip"),
    }
}

/// Draws which fault took minutes that are known: by how likely the complaint is with each, and how likely the
/// minutes are with it.
pub(super) fn fault_that_took(
    kind: ItemKind,
    complaint: Complaint,
    hands_on: Span,
    rng: &mut ChaCha8Rng,
) -> Option<&'static Fault> {
    let weighted = prior(kind, complaint).into_iter().map(|(fault, share)| {
        let (mu, sigma) = fault.minutes_lognormal();
        let off = (hands_on.as_min().ln() - mu) / sigma;
        // No fault is quite ruled out, however strange its minutes.
        (fault, f64::from(share) * ((-off * off / 2.0).exp() / sigma + 1e-6))
    });
    pick(rng, weighted)
}

/// Draws a fault that gives the complaint.
pub(super) fn fault_behind(
    kind: ItemKind,
    complaint: Complaint,
    rng: &mut ChaCha8Rng,
) -> Option<&'static Fault> {
    pick(rng, prior(kind, complaint).into_iter().map(|(fault, share)| (fault, f64::from(share))))
}

/// Draws the work: the fault's own log-normal minutes, cut at three times what one in twenty exceeds; or the
/// minutes of an examination that finds nothing.
pub(super) fn labour(fault: Option<&Fault>, rng: &mut ChaCha8Rng) -> Labour {
    let (mu, sigma, longest) = match fault {
        Some(fault) => {
            let (mu, sigma) = fault.minutes_lognormal();
            (mu, sigma, 3.0 * f64::from(fault.minutes.high))
        }
        None => (EXAMINED.0.ln(), EXAMINED.1, 15.0),
    };
    let tenths = (log_normal(rng, mu, sigma).min(longest) * 10.0).round() as i64;
    let hands_on = Span::seconds(6 * tenths.max(SHORTEST_TENTHS));
    Labour::of(hands_on, curing(fault))
}

/// Expected hands-on minutes of a hand-in for that weapon: over the mixture of kinds, the shares of their faults,
/// and the mean of each fault's log-normal minutes, exp(mu + sigma² / 2), without the cut of the longest.
pub(super) fn expected_minutes(weapon: Weapon) -> f64 {
    let of_kind = |kind| {
        let shares = faults(kind).map(|fault| f64::from(fault.share_permille_estimate));
        let minutes = faults(kind).map(|fault| {
            f64::from(fault.share_permille_estimate) * log_normal_mean(fault.minutes_lognormal())
        });
        minutes.sum::<f64>() / shares.sum::<f64>()
    };
    let nothing = log_normal_mean((f64::ln(EXAMINED.0), EXAMINED.1));
    let mixed = |(kind, weight): &(ItemKind, u16)| {
        let empty = if elsewhere(*kind).is_some() { NO_FAULT + ELSEWHERE } else { NO_FAULT };
        f64::from(*weight) / 1000.0 * (empty * nothing + (1.0 - empty) * of_kind(*kind))
    };
    mixture(weapon).iter().map(mixed).sum()
}

fn log_normal_mean((mu, sigma): (f64, f64)) -> f64 {
    (mu + sigma * sigma / 2.0).exp()
}

/// How long what was done to a fault has to set.
pub(super) fn curing(fault: Option<&Fault>) -> Span {
    Span::minutes(fault.and_then(|fault| fault.curing_min).map_or(0, i64::from))
}

/// The whole truth about a unit of that kind, with its fault as good as certain.
pub(super) fn of_swapped(kind: ItemKind, causes: &mut ChaCha8Rng, minutes: &mut ChaCha8Rng) -> TrueState {
    let fault = fault(kind, &Shares::default(), causes);
    let outcome = mended(fault, causes);
    TrueState { fault: fault.map(|fault| fault.id), labour: labour(fault, minutes), outcome }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::stream::{Subject, stream};

    #[test]
    fn mixtures_are_thousandths_of_gear_that_serves_the_weapon() {
        for weapon in Weapon::ALL {
            assert_eq!(mixture(weapon).iter().map(|(_, weight)| weight).sum::<u16>(), 1000, "{weapon:?}");
            assert!(mixture(weapon).iter().all(|(kind, _)| kind.serves(weapon)), "{weapon:?}");
        }
    }

    #[test]
    fn every_kind_has_faults_and_complaints_that_the_core_accepts() {
        for (number, kind) in (0..).zip(ItemKind::ALL) {
            for index in 0..200 {
                let mut rng = stream(11, Subject::Causes, number * 1_000 + index);
                let fault = fault(kind, &Shares::default(), &mut rng).unwrap();
                let said = complaint(kind, Some(fault), &mut rng);
                assert!(Complaint::for_kind(kind).contains(&said), "{kind:?} {said:?}");
                let (kept, outcome) = outcome(kind, Some(fault), &mut rng);
                let ends = matches!(outcome, Outcome::NoFault | Outcome::FaultElsewhere(_));
                assert_eq!(kept.is_none(), ends);
            }
        }
    }

    /// Held against the mean of many draws, within 4 %.
    #[test]
    fn expected_minutes_are_the_mean_of_what_is_drawn() {
        for (number, weapon) in (0_u32..).zip(Weapon::ALL) {
            let drawn = |index| {
                let mut rng = stream(11, Subject::Causes, number * 100_000 + index);
                let kind = kind(weapon, &mut rng);
                let (fault, _) = outcome(kind, fault(kind, &Shares::default(), &mut rng), &mut rng);
                labour(fault, &mut stream(11, Subject::Minutes, number * 100_000 + index)).hands_on().as_min()
            };
            let mean = (0..20_000).map(drawn).sum::<f64>() / 20_000.0;
            let expected = expected_minutes(weapon);
            assert!((mean / expected - 1.0).abs() < 0.04, "{weapon:?}: {mean} {expected}");
        }
    }

    /// Held against the fault table itself: half of the repairs take less than its middle.
    #[test]
    fn minutes_have_the_median_of_the_table() {
        let rewiring = remise_core::gear::fault("foil_wire_broken").unwrap();
        let shorter = |index| {
            let drawn = labour(Some(rewiring), &mut stream(11, Subject::Minutes, index));
            assert_eq!(drawn.curing, Span::minutes(10));
            assert_eq!(drawn.hands_on().0 % Span::seconds(6).0, 0);
            drawn.hands_on() < Span::minutes(i64::from(rewiring.minutes.likely))
        };
        let count = (0..4_000).filter(|index| shorter(*index)).count();
        assert!((1_840..2_160).contains(&count), "{count}");
    }
}
