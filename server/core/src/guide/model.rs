//! The guide for one kind of item: every way in which it may be faulty, what each check shows of it, and the posterior
//! after what was found.

use std::collections::BTreeMap;
use std::sync::{LazyLock, OnceLock};

use super::ahead::{LookStep, OpenStep, Search, Stand, StirStep};
use super::bayes::{normalise, posterior};
use super::estimates::{Cause, Estimates, Held, Line, OfKind, Stir};
use super::finding::{Finding, Found, Looked};
use super::likelihood::{Observed, result};
use crate::circuit::{Probe, SOUND, Sight, Way, fault_mode, probes, usual_weapon};
use crate::gear::{Complaint, ItemKind, Weapon, complaint_chance};

/// A cause in one of its ways.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hypothesis {
    /// Its cause, by number.
    pub(super) cause: usize,
    pub(super) way: &'static Way,
    /// Its part of the cause.
    pub(super) part: f64,
}

/// Everything that the posterior follows from. The order of findings does not matter; to take one back is to leave it
/// out.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// What the strip reported.
    pub complaint: Complaint,
    /// How many times as likely a fault is on this strip or with this fencer, by the fault's code: what the history
    /// tells. Faults that are not named count once.
    pub history: Vec<(String, f64)>,
    /// What was found.
    pub findings: Vec<Finding>,
}

impl Case {
    /// Nothing found yet.
    pub fn new(complaint: Complaint) -> Self {
        Self { complaint, history: Vec::new(), findings: Vec::new() }
    }
}

/// The guide for a kind of item, used with a weapon.
#[derive(Clone, Debug)]
pub struct Guide<'e> {
    /// The kind.
    pub kind: ItemKind,
    /// The weapon with which it is looked at.
    pub weapon: Weapon,
    pub(super) estimates: &'e Estimates,
    pub(super) of: &'e OfKind,
    pub(super) hypotheses: Vec<Hypothesis>,
    pub(super) search: Search,
    /// Chance of each result of each stir when the item is sound.
    pub(super) sound: Vec<Vec<f64>>,
}

/// The guides by the built-in estimates, each made when it is first asked for.
static BUILT_IN: LazyLock<BTreeMap<ItemKind, OnceLock<Option<Guide<'static>>>>> =
    LazyLock::new(|| ItemKind::ALL.iter().map(|kind| (*kind, OnceLock::new())).collect());

impl Guide<'static> {
    /// The guide for a kind with its usual weapon by the built-in estimates; they know every kind.
    pub fn built_in(kind: ItemKind) -> Option<&'static Self> {
        let make = || Guide::new(kind, usual_weapon(kind), Estimates::built_in());
        BUILT_IN.get(&kind)?.get_or_init(make).as_ref()
    }
}

impl<'e> Guide<'e> {
    /// The guide by these estimates; `None` where they lack the kind, which [`super::parse`] refuses.
    pub fn new(kind: ItemKind, weapon: Weapon, estimates: &'e Estimates) -> Option<Self> {
        let of = estimates.of(kind)?;
        let hypotheses = hypotheses(of, weapon);
        let mut guide = Self {
            kind,
            weapon,
            estimates,
            of,
            search: Search { cause_of: Vec::new(), opens: opens(of), looks: Vec::new(), stirs: Vec::new() },
            hypotheses,
            sound: Vec::new(),
        };
        guide.search.cause_of = guide.hypotheses.iter().map(|it| it.cause).collect();
        for (rank, line) in of.walk.iter().enumerate() {
            match line {
                Line::Stir(stir) => {
                    let step = guide.stir_step(stir, rank);
                    guide.search.stirs.push(step);
                    guide.sound.push(guide.stir_chances(stir, &SOUND));
                }
                Line::Look(cause) => guide.search.looks.push(look_step(cause, rank)),
            }
        }
        Some(guide)
    }

    /// Chance of each result of a stir when the item is faulty in that way.
    fn stir_chances(&self, stir: &Stir, way: &'static Way) -> Vec<f64> {
        let shown = Observed::of(self.kind, self.weapon, way, stir.action);
        let probe = self.probe(&stir.held);
        match stir.held {
            Held::Lamp => shown.lamp(probe, self.estimates.lamp),
            Held::Meter(_) => shown.meter(probe, self.estimates.meter),
        }
    }

    /// What a stir shows of each hypothesis, as the chance of each result.
    fn stir_step(&self, stir: &Stir, rank: usize) -> StirStep {
        let chances: Vec<Vec<f64>> =
            self.hypotheses.iter().map(|it| self.stir_chances(stir, it.way)).collect();
        let results = chances.first().map_or(0, Vec::len);
        let result = |at: usize| chances.iter().map(|chances| chances[at]).collect();
        StirStep {
            minutes: stir.minutes,
            after: stir.after,
            results: (0..results).map(result).collect(),
            rank,
        }
    }

    /// The place of lamp or meter, by number.
    fn probe(&self, held: &Held) -> usize {
        match held {
            Held::Lamp | Held::Meter(None) => 0,
            Held::Meter(Some(code)) => self.probe_of(code),
        }
    }

    pub(super) fn probe_of(&self, code: &str) -> usize {
        self.probes().iter().position(|probe| probe.code == code).unwrap_or_default()
    }

    pub(super) fn probes(&self) -> &'static [Probe] {
        probes(self.kind, self.weapon)
    }

    /// The causes, in the order of the walk.
    pub fn causes(&self) -> impl Iterator<Item = &'e Cause> + use<'e> {
        self.of.causes()
    }

    /// The prior after a complaint: the share of each cause, times the chance that it gives the complaint, divided
    /// among its ways; those that come and go in the way of the complaint count more.
    fn prior(&self, case: &Case) -> Vec<f64> {
        let weights: Vec<f64> = self
            .causes()
            .map(|cause| {
                let chance = self.complained(cause, case.complaint);
                let named = case.history.iter().filter(|(fault, _)| fault == cause.fault.id);
                let times: f64 = named.map(|(_, times)| times.max(0.0)).product();
                cause.share_permille * chance * times
            })
            .collect();
        let parts = self.parts(case.complaint);
        self.hypotheses.iter().zip(parts).map(|(it, part)| weights[it.cause] * part).collect()
    }

    /// Chance of the complaint when the cause is there: the fault table's, less what is mistaken, which falls on every
    /// complaint of the kind alike.
    fn complained(&self, cause: &Cause, complaint: Complaint) -> f64 {
        let offered = Complaint::for_kind(self.kind);
        if complaint == Complaint::Other || !offered.contains(&complaint) {
            return 1.0;
        }
        let wrong = self.estimates.complaint_wrong;
        let named = offered.len().saturating_sub(1).max(1) as f64;
        (1.0 - wrong) * complaint_chance(cause.fault, self.kind, complaint) + wrong / named
    }

    /// The part that each hypothesis has of its cause after the complaint.
    fn parts(&self, complaint: Complaint) -> Vec<f64> {
        let fits = |it: &Hypothesis| match complaint.comes_and_goes() {
            Some(unsteady) if unsteady != it.way.comes_and_goes() => it.part * self.estimates.way_mismatch,
            _ => it.part,
        };
        let raw: Vec<f64> = self.hypotheses.iter().map(fits).collect();
        let sums = self.search.causes(&raw);
        raw.iter().zip(&self.hypotheses).map(|(part, it)| part / sums[it.cause]).collect()
    }

    /// Chance of a finding under each hypothesis.
    pub(super) fn likelihood(&self, finding: &Finding) -> Vec<f64> {
        let chances = self.chances(&finding.found);
        if finding.sure {
            return chances;
        }
        // A guess says the same of every cause: it weighs as the finding does in the mean.
        let guess = chances.iter().sum::<f64>() / chances.len().max(1) as f64;
        let unsure = self.estimates.unsure;
        chances.into_iter().map(|chance| (1.0 - unsure) * chance + unsure * guess).collect()
    }

    fn chances(&self, found: &Found) -> Vec<f64> {
        match found {
            Found::SawNothingSure { .. } => vec![1.0; self.hypotheses.len()],
            Found::Saw { seen, place } => {
                if let Some(known) = self.known(found, &seen.sight) {
                    return known.clone();
                }
                let probe = place.map_or(0, |code| self.probe_of(code));
                let chance = |it: &Hypothesis| {
                    let shown = Observed::of(self.kind, self.weapon, it.way, seen.action);
                    shown.sight(&seen.sight, probe, self.estimates)
                };
                self.hypotheses.iter().map(chance).collect()
            }
            Found::Looked { fault, looked } => {
                let number = self.causes().position(|cause| cause.fault.id == fault.id);
                let Some((number, cause)) = number.and_then(|it| Some((it, self.causes().nth(it)?))) else {
                    return vec![1.0; self.hypotheses.len()];
                };
                let chance = |own: bool| match (looked, own) {
                    (Looked::Present, true) => cause.sees,
                    (Looked::Present, false) => cause.fancies,
                    (Looked::Absent, true) => 1.0 - cause.sees,
                    (Looked::Absent, false) => 1.0 - cause.fancies,
                    (Looked::Mended, true) => self.estimates.mended_in_vain,
                    (Looked::Mended, false) | (Looked::Unsure, _) => 1.0,
                };
                self.hypotheses.iter().map(|it| chance(it.cause == number)).collect()
            }
        }
    }

    /// The chances of what one of the kind's own stirs shows, which were computed when the guide was made.
    fn known(&self, found: &Found, sight: &Sight) -> Option<&Vec<f64>> {
        let (stir, _) = self.stirs().enumerate().find(|(_, stir)| self.is_of(found, stir))?;
        self.search.stirs[stir].results.get(result(sight)?)
    }

    /// The posterior over hypotheses: a function of the case alone.
    pub(super) fn belief(&self, case: &Case) -> Vec<f64> {
        let likelihoods: Vec<Vec<f64>> = case.findings.iter().map(|it| self.likelihood(it)).collect();
        let p = posterior(&self.prior(case), &likelihoods);
        if !p.is_empty() {
            return p;
        }
        // Looks that never err contradict each other: nothing is known any more but the complaint.
        let mut p = self.prior(&Case { findings: Vec::new(), history: Vec::new(), ..case.clone() });
        normalise(&mut p);
        p
    }

    /// Probability of each cause, in the order of the walk.
    pub fn probabilities(&self, case: &Case) -> Vec<f64> {
        self.search.causes(&self.belief(case))
    }

    /// How it stands for the search: what was done is open and not stirred again.
    pub(super) fn stand(&self, case: &Case) -> Stand {
        let (mut opened, mut stirred) = (0, 0);
        let mut open = |after| opened = self.search.minutes(0.0, after, opened).1;
        for finding in &case.findings {
            match &finding.found {
                Found::Looked { fault, .. } => {
                    open(self.causes().find(|it| it.fault.id == fault.id).and_then(|it| it.after));
                }
                found => {
                    if let Some((number, stir)) =
                        self.stirs().enumerate().find(|(_, it)| self.is_of(found, it))
                    {
                        stirred |= 1 << number;
                        open(stir.after);
                    }
                }
            }
        }
        Stand { p: self.belief(case), opened, stirred }
    }

    /// Whether a finding is of that stir.
    pub(super) fn is_of(&self, found: &Found, stir: &Stir) -> bool {
        match found {
            Found::Saw { seen, place } => {
                let lamp = matches!(seen.sight, Sight::TestLamp(_));
                let bench = lamp || !matches!(seen.sight, Sight::Apparatus(_));
                let at = place.map_or(0, |code| self.probe_of(code));
                bench
                    && seen.action == stir.action
                    && lamp == (stir.held == Held::Lamp)
                    && at == self.probe(&stir.held)
            }
            Found::SawNothingSure { check } => *check == self.stir_code(stir),
            Found::Looked { .. } => false,
        }
    }

    /// As a finding names it: the action, with the meter's place where the meter is held.
    pub(super) fn stir_code(&self, stir: &Stir) -> String {
        let action = stir.action.code();
        match (&stir.held, self.probes().get(self.probe(&stir.held))) {
            (Held::Meter(_), Some(probe)) => format!("{action}@{}", probe.code),
            _ => action.to_owned(),
        }
    }

    pub(super) fn stirs(&self) -> impl Iterator<Item = &'e Stir> + use<'e> {
        self.of.walk.iter().filter_map(|line| if let Line::Stir(stir) = line { Some(stir) } else { None })
    }
}

fn hypotheses(of: &OfKind, weapon: Weapon) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    for (number, cause) in of.causes().enumerate() {
        let mode = fault_mode(cause.fault.id).filter(|mode| mode.is_electrical());
        let ways = mode.map_or_else(|| vec![&SOUND], |mode| mode.ways(weapon));
        let weight = |way: &Way| {
            cause.ways.iter().find(|(code, _)| *code == way.code).map_or(1.0, |(_, weight)| *weight)
        };
        let sum: f64 = ways.iter().map(|way| weight(way)).sum();
        let part = |way: &'static Way| Hypothesis { cause: number, way, part: weight(way) / sum };
        all.extend(ways.into_iter().map(part));
    }
    all
}

fn opens(of: &OfKind) -> Vec<OpenStep> {
    of.openings.iter().map(|it| OpenStep { minutes: it.minutes, after: it.after }).collect()
}

fn look_step(cause: &Cause, rank: usize) -> LookStep {
    LookStep {
        minutes: cause.minutes,
        after: cause.after,
        sees: cause.sees,
        fancies: cause.fancies,
        in_vain_min: f64::from(cause.fault.minutes.likely),
        rank,
    }
}
