//! What the guide says: causes by probability with their reasons, and the next check.

use super::ahead::Choice;
use super::estimates::{Cause, Held, Opening, Stir};
use super::finding::{Finding, Found, Looked};
use super::model::{Case, Guide};
use crate::circuit::{Colour, Lamp, Sight};
use crate::gear::{Complaint, Fault, complaint_chance};

/// A finding that makes a cause so many times as likely speaks for it; one that makes it so many times less, against it.
const SPEAKS: f64 = 1.25;

/// How the next check is chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Manner {
    /// Fewest expected minutes until the cause is found.
    #[default]
    Quickest,
    /// The fixed walk.
    FixedWalk,
}

/// A check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Check<'e> {
    /// Done with lamp or meter on.
    Stir(&'e Stir),
    /// A look at a cause.
    Look(&'e Cause),
}

/// The next check.
#[derive(Clone, Debug, PartialEq)]
pub struct Next<'e> {
    /// What to do.
    pub check: Check<'e>,
    /// As a finding names it.
    pub code: String,
    /// What has to be opened first, in order.
    pub first: Vec<&'e Opening>,
    /// Minutes, with what has to be opened first.
    pub minutes: f64,
    /// Expected minutes until the cause is found, where that was asked for.
    pub expected_min: Option<f64>,
}

/// A cause with all that is said of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked<'e> {
    /// The cause; its fault knows title, repair, minutes and cautions.
    pub cause: &'e Cause,
    /// Its probability.
    pub probability: f64,
    /// What speaks for and against it, in a sentence.
    pub why: String,
}

impl Ranked<'_> {
    /// The fault.
    pub fn fault(&self) -> &'static Fault {
        self.cause.fault
    }
}

impl<'e> Guide<'e> {
    /// The causes by probability, the likeliest first; equal ones in the order of the walk.
    pub fn ranked(&self, case: &Case) -> Vec<Ranked<'e>> {
        let evidence = self.evidence(case);
        let mut ranked: Vec<Ranked<'e>> = self
            .causes()
            .zip(self.probabilities(case))
            .enumerate()
            .map(|(number, (cause, probability))| Ranked {
                cause,
                probability,
                why: self.why(number, cause, case, &evidence),
            })
            .collect();
        ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        ranked
    }

    /// The next check; `None` only where a kind has no causes.
    pub fn next(&self, case: &Case, manner: Manner) -> Option<Next<'e>> {
        let stand = self.stand(case);
        let (choice, expected_min) = match manner {
            Manner::Quickest => self.search.best(&stand).map(|(choice, minutes)| (choice, Some(minutes)))?,
            Manner::FixedWalk => (self.walk(case)?, None),
        };
        let (check, code) = match choice {
            Choice::Stir(number) => {
                let stir = self.stirs().nth(number)?;
                (Check::Stir(stir), self.stir_code(stir))
            }
            Choice::Look(number) => {
                let cause = self.causes().nth(number)?;
                (Check::Look(cause), cause.fault.id.to_owned())
            }
        };
        let (own, after) = match check {
            Check::Stir(stir) => (stir.minutes, stir.after),
            Check::Look(cause) => (cause.minutes, cause.after),
        };
        let (minutes, opened) = self.search.minutes(own, after, stand.opened);
        let news = opened & !stand.opened;
        let first =
            self.of.openings.iter().enumerate().filter(|(it, _)| news >> it & 1 == 1).map(|(_, it)| it);
        Some(Next { check, code, first: first.collect(), minutes, expected_min })
    }

    /// Of each finding, how many times as likely it is with each cause than over all.
    fn evidence(&self, case: &Case) -> Vec<Vec<f64>> {
        let prior = self.belief(&Case { findings: Vec::new(), ..case.clone() });
        let causes = self.search.causes(&prior);
        let of = |finding: &Finding| {
            let joint: Vec<f64> = self.likelihood(finding).iter().zip(&prior).map(|(l, p)| l * p).collect();
            let all: f64 = joint.iter().sum();
            let by_cause = self.search.causes(&joint);
            by_cause.iter().zip(&causes).map(|(joint, p)| joint / (p * all)).collect()
        };
        case.findings.iter().map(of).collect()
    }

    fn why(&self, number: usize, cause: &Cause, case: &Case, evidence: &[Vec<f64>]) -> String {
        let (mut speaking, mut against) = (Vec::new(), Vec::new());
        let offered = Complaint::for_kind(self.kind).contains(&case.complaint);
        if offered && case.complaint != Complaint::Other {
            let gives = complaint_chance(cause.fault, self.kind, case.complaint) > 0.0;
            let side = if gives { &mut speaking } else { &mut against };
            side.push(format!("the complaint ({})", case.complaint.title()));
        }
        if let Some((_, times)) = case.history.iter().find(|(fault, _)| fault == cause.fault.id) {
            let side = if *times >= 1.0 { &mut speaking } else { &mut against };
            side.push(format!("what was seen before here ({times:.1} times as often)"));
        }
        for (finding, times) in case.findings.iter().zip(evidence) {
            if times[number] >= SPEAKS {
                speaking.push(said(finding));
            } else if times[number] <= 1.0 / SPEAKS {
                against.push(said(finding));
            }
        }
        match (speaking.is_empty(), against.is_empty()) {
            (true, true) => "Nothing speaks for or against it but how often it comes.".to_owned(),
            (false, true) => format!("For it: {}.", speaking.join("; ")),
            (true, false) => format!("Against it: {}.", against.join("; ")),
            (false, false) => {
                format!("For it: {}. Against it: {}.", speaking.join("; "), against.join("; "))
            }
        }
    }
}

impl Check<'_> {
    /// What it can show, as findings say it; [`Looked`] knows more words for a look.
    pub fn results(&self) -> &'static [&'static str] {
        match self {
            Check::Stir(stir) if stir.held == Held::Lamp => &["on", "off", "flicker"],
            Check::Stir(_) => &["low", "high", "open", "jumps"],
            Check::Look(_) => &["present", "absent"],
        }
    }

    /// What to do, in a line.
    pub fn title(&self) -> String {
        match self {
            Check::Stir(stir) => stir.action.title().to_owned(),
            Check::Look(cause) => format!("look: {}?", cause.fault.title),
        }
    }

    /// With what.
    pub fn with(&self) -> &str {
        match self {
            Check::Stir(stir) if stir.held == Held::Lamp => "test lamp",
            Check::Stir(_) => "meter",
            Check::Look(cause) => &cause.with,
        }
    }
}

/// A finding in words.
pub(super) fn said(finding: &Finding) -> String {
    let words = match &finding.found {
        Found::Saw { seen, place } => {
            let at = place.map_or_else(String::new, |place| format!(" ({place})"));
            format!("{}{at}: {}", seen.action.title(), sight(&seen.sight))
        }
        Found::SawNothingSure { check } => format!("{check}: could not be told"),
        Found::Looked { fault, looked } => {
            let gave = match looked {
                Looked::Present => "it is there",
                Looked::Absent => "it is not there",
                Looked::Mended => "mended, and the complaint stays",
                Looked::Unsure => "could not be told",
            };
            format!("{}: {gave}", fault.title)
        }
    };
    if finding.sure { words } else { format!("{words} (not sure)") }
}

fn sight(sight: &Sight) -> String {
    match sight {
        Sight::TestLamp(lamp) => format!("test lamp {}", lamp.title()),
        Sight::Ohm(class) => format!("meter {}", class.title()),
        Sight::Value(ohm) => format!("meter {ohm} ohm"),
        Sight::Apparatus(lamps) if lamps.is_empty() => "box shows nothing".to_owned(),
        Sight::Apparatus(lamps) => {
            let words = lamps.iter().map(|(colour, lamp)| lamp_words(*colour, *lamp));
            format!("box {}", words.collect::<Vec<_>>().join(", "))
        }
    }
}

fn lamp_words(colour: Colour, lamp: Lamp) -> String {
    match lamp {
        Lamp::Flicker => format!("{} on and off", colour.title()),
        Lamp::On | Lamp::Off => colour.title().to_owned(),
    }
}

impl Finding {
    /// In words.
    pub fn said(&self) -> String {
        said(self)
    }
}

#[cfg(test)]
#[path = "advice_tests.rs"]
mod tests;
