//! `remise guide`: from a complaint and what was found to the probable causes and the next check. Needs no server; what
//! is found here is recorded nowhere.

mod ask;
mod say;

use std::io::{self, IsTerminal as _, Write};
use std::path::PathBuf;

use clap::Args;
use remise_core::circuit::usual_weapon;
use remise_core::gear::{self, Complaint, ItemKind};
use remise_core::guide::{self, Case, Estimates, Finding, Guide, Manner};
use remise_core::text;

use super::Shown;
use super::estimates;
use super::explain::{serves, weapon};
use super::parts::kind;
use crate::failure::Failure;

/// What is wrong, and what was found.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct GuideArea {
    /// Kind of item: a code, or as people call it
    #[arg(value_name = "KIND", value_parser = kind)]
    pub kind: ItemKind,
    /// What the strip reported, by its code in `remise gear list KIND`
    #[arg(long, value_name = "CODE")]
    pub complaint: Option<String>,
    /// What was done or looked at, and what it showed; may be given more than once, in any order
    #[arg(long, value_name = "CHECK=RESULT")]
    pub seen: Vec<String>,
    /// How many times as likely a fault is on this strip or with this fencer; may be given more than once
    #[arg(long, value_name = "FAULT=TIMES")]
    pub history: Vec<String>,
    /// The fixed walk instead of the quickest next check
    #[arg(long)]
    pub walk: bool,
    /// Every cause, also the unlikely ones
    #[arg(long)]
    pub all: bool,
    /// Used with this weapon, for cords and what else serves several: foil, epee, sabre
    #[arg(long, value_name = "WEAPON", value_parser = weapon)]
    pub with: Option<gear::Weapon>,
    /// Estimates of your own, in the form of the built-in ones
    #[arg(long, value_name = "FILE")]
    pub estimates: Option<PathBuf>,
}

const EXAMPLES: &str = "\
Examples:
  remise guide foil --complaint white_on_off            on a terminal: asks its way through a diagnosis
  remise guide foil --complaint white_on_off --seen turn-button=flicker --seen bend-blade=on?
  remise guide foil --complaint white_on_off --seen foil_point_dirty=absent --json

A check is an action of `remise explain KIND` (rest@body=high: meter at another place), or a fault of
`remise gear list KIND` that was looked for: present, absent, or mended (and the complaint stays).
A result with ? at its end is unsure; `unsure` alone says that it could not be told. To take a finding
back, leave it out.";

/// No code is as long, in characters.
const LONGEST_CODE: usize = 60;
/// Most that history may multiply by.
const TIMES_MOST: f64 = 1000.0;

/// What is asked about, and how the next check is chosen.
struct Asked<'e> {
    guide: Guide<'e>,
    case: Case,
    manner: Manner,
    all: bool,
}

impl GuideArea {
    /// Whether to ask: somebody sits at a terminal and told nothing yet.
    pub(super) fn asks(&self, json: bool) -> bool {
        !json && self.seen.is_empty() && io::stdin().is_terminal() && io::stdout().is_terminal()
    }

    /// Says it once.
    pub(super) fn run(&self) -> Result<Shown, Failure> {
        let own = self.own_estimates()?;
        let asked = self.asked(own.as_ref().unwrap_or_else(|| Estimates::built_in()))?;
        Ok(say::shown(&asked))
    }

    /// Asks its way through a diagnosis.
    pub(super) fn ask(&self, out: &mut dyn Write) -> Result<(), Failure> {
        let own = self.own_estimates()?;
        let mut asked = self.asked(own.as_ref().unwrap_or_else(|| Estimates::built_in()))?;
        let needs_complaint = self.complaint.is_none();
        let asking = ask::ask(&mut asked, needs_complaint, &mut io::stdin().lock(), out);
        asking.map_err(|error| Failure::broken(format!("the terminal failed: {error}")))
    }

    fn own_estimates(&self) -> Result<Option<Estimates>, Failure> {
        self.estimates.as_deref().map(|path| estimates::read(path, guide::parse)).transpose()
    }

    fn asked<'e>(&self, estimates: &'e Estimates) -> Result<Asked<'e>, Failure> {
        let (kind, usual) = (self.kind, usual_weapon(self.kind));
        let weapon = self.with.unwrap_or(usual);
        if weapon != usual && !serves(kind, weapon) {
            let message = format!("a {} is not used with {}", kind.title(), weapon.title());
            return Err(Failure::usage(message, "Leave --with out, or name the item that is meant."));
        }
        let guide = Guide::new(kind, weapon, estimates)
            .ok_or_else(|| Failure::broken(format!("the estimates lack {}", kind.code())))?;
        let complaint =
            self.complaint.as_deref().map_or(Ok(Complaint::Other), |typed| complaint(typed, kind))?;
        let findings = self.seen.iter().map(|typed| self.finding(typed, &guide)).collect::<Result<_, _>>()?;
        let history = self.history.iter().map(|typed| times(typed, kind)).collect::<Result<_, _>>()?;
        let manner = if self.walk { Manner::FixedWalk } else { Manner::Quickest };
        Ok(Asked { guide, case: Case { complaint, history, findings }, manner, all: self.all })
    }

    fn finding(&self, typed: &str, guide: &Guide) -> Result<Finding, Failure> {
        Finding::parse(typed, guide.kind, guide.weapon).map_err(|why| {
            let code = self.kind.code();
            Failure::usage(
                format!("--seen: {why}"),
                format!("`remise explain {code}` lists the actions, `remise gear list {code}` the faults."),
            )
        })
    }
}

/// The first characters of something typed, so that a message stays short and in one line.
fn clip(typed: &str) -> String {
    typed.chars().filter(|c| !c.is_control()).take(LONGEST_CODE).collect()
}

fn complaint(typed: &str, kind: ItemKind) -> Result<Complaint, Failure> {
    let word: String = clip(typed.trim()).to_lowercase().replace('-', "_");
    let offered = Complaint::for_kind(kind);
    Complaint::from_code(&word).filter(|complaint| offered.contains(complaint)).ok_or_else(|| {
        let codes = offered.iter().map(|complaint| complaint.code());
        let near = text::nearest(&word, codes.clone(), 0.75);
        let meant = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
        let known = codes.collect::<Vec<_>>().join(", ");
        let message = format!("a {} has no complaint `{}`{meant}", kind.title(), clip(typed));
        Failure::usage(message, format!("Known: {known}."))
    })
}

fn times(typed: &str, kind: ItemKind) -> Result<(String, f64), Failure> {
    let wrong = |what: String| {
        Failure::usage(
            format!("--history: {what}"),
            format!("`remise gear list {}` lists the faults.", kind.code()),
        )
    };
    let (fault, times) =
        typed.split_once('=').ok_or_else(|| wrong(format!("`{}` is not FAULT=TIMES", clip(typed))))?;
    let code = clip(fault.trim()).to_lowercase().replace('-', "_");
    let fault = gear::fault(&code).filter(|fault| fault.kinds.contains(&kind));
    let fault = fault.ok_or_else(|| wrong(format!("a {} has no fault `{code}`", kind.title())))?;
    let times = times.trim().parse().ok().filter(|times| *times > 0.0 && *times <= TIMES_MOST);
    times
        .map(|times| (fault.id.to_owned(), times))
        .ok_or_else(|| wrong("times are above 0 and up to 1000".to_owned()))
}

#[cfg(test)]
mod tests;
