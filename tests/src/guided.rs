//! Sampled faults, found by the guide and by the fixed walk: how long each takes, and how often the true cause stands
//! among the first three.
//!
//! A true fault is drawn from shares that lie between half and twice the estimates', its way and complaint by the
//! estimates; checks err as often as the estimates say. Both find it by the same rules: it is found when the look at it
//! shows it. A look that seems to show what is not there costs the repair in vain.
//!
//! The yardstick for the first three is an exact Bayes reasoner, written here a second time: it multiplies shares and
//! chances hypothesis by hypothesis and takes what lamp and meter show from the circuit.

use std::cmp::Ordering;

use std::collections::BTreeMap;

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use remise_core::circuit::{
    Lamp, Measured, OhmClass, SOUND, Seen, Sight, Way, fault_mode, probes, stirred_and_calm, usual_weapon,
};
use remise_core::gear::{Complaint, Fault, ItemKind, complaint_chance};
use remise_core::guide::{
    Case, Cause, Check, Estimates, Finding, Found, Guide, Held, Looked, Manner, Rates, Stir,
};

/// Faults drawn from the same true shares.
const BATCH: usize = 50;
/// Nobody makes more checks on one item.
const CHECKS_MOST: usize = 300;
/// True shares lie between one part in so many of the estimates', and so many times them.
const SHIFT: f64 = 2.0;

const LAMPS: [Lamp; 3] = [Lamp::Off, Lamp::On, Lamp::Flicker];
const CLASSES: [OhmClass; 4] = [OhmClass::Low, OhmClass::High, OhmClass::Open, OhmClass::Jumps];

/// A cause in a way, and what is really shown of it: the result by number for each stir, stirred and calm.
struct Hypothesis {
    cause: usize,
    way: &'static Way,
    /// Its part of the cause.
    part: f64,
    shown: Vec<(usize, usize)>,
}

/// A kind of item as this file knows it.
pub struct World {
    guide: Guide<'static>,
    estimates: &'static Estimates,
    causes: Vec<&'static Cause>,
    stirs: Vec<&'static Stir>,
    hypotheses: Vec<Hypothesis>,
}

/// A fault that is really there.
struct Truth {
    hypothesis: usize,
    complaint: Complaint,
    /// True share of each cause.
    shares: Vec<f64>,
}

/// What came of one kind of item.
#[derive(Clone, Copy, Debug, Default)]
pub struct Scores {
    /// Faults sampled.
    pub faults: usize,
    /// Mean minutes to the true cause by the guide.
    pub guide_min: f64,
    /// The same by the fixed walk.
    pub walk_min: f64,
    /// Before any check and after three, the share of true causes among the first three: by the guide, by an exact
    /// reasoner who knows the estimated shares, by one who knows the true ones.
    pub first_three: [[f64; 3]; 2],
}

impl Scores {
    /// The guide's minutes as a share of the walk's.
    pub fn minutes_share(&self) -> f64 {
        self.guide_min / self.walk_min
    }
}

impl World {
    /// What is estimated of a kind.
    ///
    /// # Panics
    /// When the built-in estimates lack the kind, which their parser refuses.
    pub fn new(kind: ItemKind) -> Self {
        let estimates = Estimates::built_in();
        let weapon = usual_weapon(kind);
        let guide = Guide::new(kind, weapon, estimates).expect("every kind is estimated");
        let of = estimates.of(kind).expect("every kind is estimated");
        let causes: Vec<&Cause> = of.causes().collect();
        let stirs: Vec<&Stir> = of
            .walk
            .iter()
            .filter_map(
                |line| if let remise_core::guide::Line::Stir(stir) = line { Some(stir) } else { None },
            )
            .collect();
        let mut hypotheses = Vec::new();
        for (number, cause) in causes.iter().enumerate() {
            let mode = fault_mode(cause.fault.id).filter(|mode| mode.is_electrical());
            let ways = mode.map_or_else(|| vec![&SOUND], |mode| mode.ways(weapon));
            let sum: f64 = ways.iter().map(|way| weight(cause, way)).sum();
            for way in ways {
                let shown = stirs.iter().map(|stir| shown(kind, way, stir)).collect();
                hypotheses.push(Hypothesis { cause: number, way, part: weight(cause, way) / sum, shown });
            }
        }
        Self { guide, estimates, causes, stirs, hypotheses }
    }

    /// Samples so many faults.
    ///
    /// # Panics
    /// When a fault is not found by `CHECKS_MOST` checks: the search goes in circles.
    pub fn scores(&self, faults: usize, seed: u64) -> Scores {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let mut scores = Scores { faults, ..Scores::default() };
        let mut shares = self.shares(&mut rng);
        for number in 0..faults {
            if number % BATCH == 0 {
                shares = self.shares(&mut rng);
            }
            let truth = self.truth(&shares, &mut rng);
            let course = rng.random();
            let start = Case::new(truth.complaint);
            self.count(&start, &truth, &mut scores.first_three[0]);
            let (minutes, after_three) = self.find(&truth, Manner::Quickest, course);
            self.count(&after_three, &truth, &mut scores.first_three[1]);
            scores.guide_min += minutes;
            scores.walk_min += self.find(&truth, Manner::FixedWalk, course).0;
        }
        let mean = |sum: &mut f64| *sum /= faults as f64;
        mean(&mut scores.guide_min);
        mean(&mut scores.walk_min);
        scores.first_three.iter_mut().flatten().for_each(mean);
        scores
    }

    fn shares(&self, rng: &mut ChaCha8Rng) -> Vec<f64> {
        let shift = |cause: &&Cause| {
            let ln = SHIFT.ln();
            cause.share_permille * rng.random_range(-ln..=ln).exp()
        };
        self.causes.iter().map(shift).collect()
    }

    fn truth(&self, shares: &[f64], rng: &mut ChaCha8Rng) -> Truth {
        let cause = drawn(shares, rng);
        let kind = self.guide.kind;
        let offered = Complaint::for_kind(kind);
        let chances: Vec<f64> =
            offered.iter().map(|complaint| self.complained(self.causes[cause].fault, *complaint)).collect();
        let complaint = offered[drawn(&chances, rng)];
        let parts: Vec<f64> = self.parts(complaint);
        let own = |(it, part): (&Hypothesis, &f64)| if it.cause == cause { *part } else { 0.0 };
        let parts: Vec<f64> = self.hypotheses.iter().zip(&parts).map(own).collect();
        Truth { hypothesis: drawn(&parts, rng), complaint, shares: shares.to_vec() }
    }

    /// Chance that a fault gives a complaint; "anything else" is what nobody mistakes another for.
    fn complained(&self, fault: &Fault, complaint: Complaint) -> f64 {
        let offered = Complaint::for_kind(self.guide.kind);
        let given = |complaint| complaint_chance(fault, self.guide.kind, complaint);
        let named = offered.iter().filter(|it| **it != Complaint::Other);
        if complaint == Complaint::Other {
            // What gives none of the complaints that the kind offers can only be reported so.
            return if named.clone().any(|it| given(*it) > 0.0) { 0.0 } else { 1.0 };
        }
        let wrong = self.estimates.complaint_wrong;
        (1.0 - wrong) * given(complaint) + wrong / named.count() as f64
    }

    fn parts(&self, complaint: Complaint) -> Vec<f64> {
        let weigh = |it: &Hypothesis| match complaint.comes_and_goes() {
            Some(unsteady) if unsteady != it.way.comes_and_goes() => it.part * self.estimates.way_mismatch,
            _ => it.part,
        };
        let weights: Vec<f64> = self.hypotheses.iter().map(weigh).collect();
        let mut sums = BTreeMap::new();
        for (it, weight) in self.hypotheses.iter().zip(&weights) {
            *sums.entry(it.cause).or_insert(0.0) += weight;
        }
        self.hypotheses.iter().zip(&weights).map(|(it, weight)| weight / sums[&it.cause]).collect()
    }

    /// Minutes until the cause is found, and the case after three checks (or as many as it took).
    fn find(&self, truth: &Truth, manner: Manner, seed: u64) -> (f64, Case) {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let (mut case, mut minutes, mut after_three) = (Case::new(truth.complaint), 0.0, None);
        for number in 0..CHECKS_MOST {
            if number == 3 {
                after_three = Some(case.clone());
            }
            let next = self.guide.next(&case, manner).expect("a kind has causes");
            minutes += next.minutes;
            let found = match next.check {
                Check::Stir(stir) => self.stirred(stir, truth, &mut rng),
                Check::Look(cause) => {
                    let there =
                        self.causes[self.hypotheses[truth.hypothesis].cause].fault.id == cause.fault.id;
                    let seen = rng.random_bool(if there { cause.sees } else { cause.fancies });
                    if seen && there {
                        let found = Found::Looked { fault: cause.fault, looked: Looked::Present };
                        case.findings.push(Finding::sure(found));
                        return (minutes, after_three.unwrap_or(case));
                    }
                    if seen {
                        minutes += f64::from(cause.fault.minutes.likely);
                    }
                    let looked = if seen { Looked::Mended } else { Looked::Absent };
                    Found::Looked { fault: cause.fault, looked }
                }
            };
            case.findings.push(Finding::sure(found));
        }
        panic!(
            "{} was not found in {CHECKS_MOST} checks: {case:?}",
            self.causes[self.hypotheses[truth.hypothesis].cause].fault.id
        )
    }

    fn stirred(&self, stir: &Stir, truth: &Truth, rng: &mut ChaCha8Rng) -> Found {
        let number = self.stirs.iter().position(|it| *it == stir).expect("one of the kind's stirs");
        let chances = self.chances(number, truth.hypothesis);
        let result = drawn(&chances, rng);
        let (sight, place) = match stir.held {
            Held::Lamp => (Sight::TestLamp(LAMPS[result]), None),
            Held::Meter(place) => (Sight::Ohm(CLASSES[result]), place),
        };
        Found::Saw { seen: Seen { action: stir.action, sight }, place }
    }

    fn chances(&self, stir: usize, hypothesis: usize) -> Vec<f64> {
        let (rates, of) = match self.stirs[stir].held {
            Held::Lamp => (self.estimates.lamp, LAMPS.len()),
            Held::Meter(_) => (self.estimates.meter, CLASSES.len()),
        };
        let (shown, calm) = self.hypotheses[hypothesis].shown[stir];
        (0..of).map(|seen| chance(rates, seen, shown, calm, of)).collect()
    }

    /// Adds one for each reasoner that has the true cause among its first three.
    fn count(&self, case: &Case, truth: &Truth, counts: &mut [f64; 3]) {
        let cause = self.hypotheses[truth.hypothesis].cause;
        let guide = self.guide.ranked(case);
        let shown = guide.iter().take(3).any(|it| it.fault().id == self.causes[cause].fault.id);
        counts[0] += f64::from(u8::from(shown));
        let prior: Vec<f64> = self.causes.iter().map(|cause| cause.share_permille).collect();
        for (count, shares) in counts[1..].iter_mut().zip([&prior, &truth.shares]) {
            let p = self.exact(case, shares);
            let above = |it: usize| match p[it].total_cmp(&p[cause]) {
                Ordering::Greater => true,
                Ordering::Equal => it < cause,
                Ordering::Less => false,
            };
            let better = (0..p.len()).filter(|it| above(*it));
            *count += f64::from(u8::from(better.count() < 3));
        }
    }

    /// The exact reasoner: probability of each cause, up to a factor.
    fn exact(&self, case: &Case, shares: &[f64]) -> Vec<f64> {
        let parts = self.parts(case.complaint);
        let mut p = vec![0.0; self.causes.len()];
        for (number, it) in self.hypotheses.iter().enumerate() {
            let cause = self.causes[it.cause];
            let complained = match case.complaint {
                Complaint::Other => 1.0,
                complaint => self.complained(cause.fault, complaint),
            };
            let found: f64 =
                case.findings.iter().map(|finding| self.finding(&finding.found, number)).product();
            p[it.cause] += shares[it.cause] * complained * parts[number] * found;
        }
        p
    }

    fn finding(&self, found: &Found, hypothesis: usize) -> f64 {
        match found {
            Found::Looked { fault, looked } => {
                let own = self.causes[self.hypotheses[hypothesis].cause];
                let looked_at = self.causes.iter().find(|cause| cause.fault.id == fault.id).unwrap_or(&own);
                let sees = if own.fault.id == fault.id { looked_at.sees } else { looked_at.fancies };
                match looked {
                    Looked::Present => sees,
                    Looked::Absent => 1.0 - sees,
                    Looked::Mended if own.fault.id == fault.id => self.estimates.mended_in_vain,
                    Looked::Mended | Looked::Unsure => 1.0,
                }
            }
            Found::Saw { seen, place } => {
                let (held, result) = match seen.sight {
                    Sight::TestLamp(lamp) => (Held::Lamp, LAMPS.iter().position(|it| *it == lamp)),
                    Sight::Ohm(class) => (Held::Meter(*place), CLASSES.iter().position(|it| *it == class)),
                    _ => return 1.0,
                };
                let stir = self.stirs.iter().position(|it| it.action == seen.action && it.held == held);
                match (stir, result) {
                    (Some(stir), Some(result)) => self.chances(stir, hypothesis)[result],
                    _ => 1.0,
                }
            }
            Found::SawNothingSure { .. } => 1.0,
        }
    }
}

/// What is really shown: the result by number, stirred and calm.
fn shown(kind: ItemKind, way: &Way, stir: &Stir) -> (usize, usize) {
    let weapon = usual_weapon(kind);
    let place = match stir.held {
        Held::Meter(Some(code)) => probes(kind, weapon).iter().position(|probe| probe.code == code),
        _ => Some(0),
    };
    let at = |measured: Vec<Measured>| {
        let measured = place.and_then(|place| measured.get(place).copied());
        let result = measured.and_then(|it| match stir.held {
            Held::Lamp => LAMPS.iter().position(|lamp| *lamp == it.lamp),
            Held::Meter(_) => CLASSES.iter().position(|class| *class == it.class()),
        });
        result.expect("the estimates name places that the kind has")
    };
    let (stirred, calm) = stirred_and_calm(kind, weapon, way, stir.action);
    (at(stirred), at(calm))
}

fn weight(cause: &Cause, way: &Way) -> f64 {
    cause.ways.iter().find(|(code, _)| *code == way.code).map_or(1.0, |(_, weight)| *weight)
}

/// As the page on the guide in DEVELOPERS.md gives it.
fn chance(rates: Rates, seen: usize, shown: usize, calm: usize, of: usize) -> f64 {
    let last = of - 1;
    let steady = |state: usize| match seen {
        seen if seen == state => 1.0 - rates.fancied - rates.misread,
        seen if seen == last => rates.fancied,
        _ => rates.misread / (last - 1) as f64,
    };
    if shown < last {
        return steady(shown);
    }
    let stirred = if seen == last { 1.0 - rates.misread } else { rates.misread / last as f64 };
    (1.0 - rates.missed) * stirred + rates.missed * steady(calm)
}

/// One of these by weight.
fn drawn(weights: &[f64], rng: &mut ChaCha8Rng) -> usize {
    let mut left = rng.random_range(0.0..weights.iter().sum());
    let taken = weights.iter().position(|weight| {
        left -= weight;
        left < 0.0
    });
    taken.unwrap_or(weights.len() - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The numbers that the guide must reach, on a smaller sample: `guide_scores` prints them over 2,000 faults a kind.
    #[test]
    fn the_guide_is_quicker_than_the_walk_and_as_good_as_an_exact_reasoner() {
        for kind in ItemKind::ALL {
            let scores = World::new(kind).scores(200, 11);
            let most = if kind == ItemKind::Foil { 0.75 } else { 1.0 };
            assert!(scores.minutes_share() <= most + 1e-9, "{kind:?}: {scores:?}");
            for [guide, prior, _] in scores.first_three {
                assert!(guide >= 0.99 * prior, "{kind:?}: {scores:?}");
            }
        }
    }
}
