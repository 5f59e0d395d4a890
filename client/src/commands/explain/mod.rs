//! `remise explain`: what a fault makes the instruments show, which faults fit what was seen, and a drawing of the
//! circuit. Needs no server.

mod cause;
mod fault;

use std::path::{Path, PathBuf};

use clap::Args;
use remise_core::circuit::{
    FaultMode, SOUND, Seen, Way, fault_mode, fault_modes_of, nearest, svg, usual_weapon,
};
use remise_core::gear::{ItemKind, Weapon};
use serde_json::{Value, json};

use super::Shown;
use super::parts::kind;
use crate::failure::Failure;

/// What is explained.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct ExplainArea {
    /// Kind of item: a code, or as people call it
    #[arg(value_name = "KIND", value_parser = kind)]
    pub kind: ItemKind,
    /// What this fault makes the instruments show; may be given more than once
    #[arg(long, value_name = "ID")]
    pub fault: Vec<String>,
    /// Only this way of the fault
    #[arg(long, value_name = "CODE", requires = "fault")]
    pub way: Option<String>,
    /// Every action, also those that show what a sound item shows
    #[arg(long, requires = "fault")]
    pub all: bool,
    /// Which faults fit: what was done, and what was seen; may be given more than once
    #[arg(long, value_name = "ACTION=WHAT", conflicts_with_all = ["fault", "svg"])]
    pub seen: Vec<String>,
    /// Used with this weapon, for cords and what else serves several: foil, epee, sabre
    #[arg(long, value_name = "WEAPON", value_parser = weapon)]
    pub with: Option<Weapon>,
    /// Draw the circuit into this file, the faulty part marked
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
}

const EXAMPLES: &str = "\
Examples:
  remise explain foil                                        its faults and actions
  remise explain foil --fault foil-loose-barrel              what they make the instruments show
  remise explain foil --fault foil-loose-barrel --svg f.svg  the same, and a drawing
  remise explain foil --seen turn-button=flicker --seen rest=0.9ohm

What was seen, by instrument; the two kinds of lamp are never the same thing:
  scoring apparatus  none, white, coloured, yellow, orange; white-on-off when it comes and goes;
                     several joined by +
  test lamp          on, off, flicker
  ohmmeter           low, high, open, jumps, or a value such as 2.4ohm";

pub(in crate::commands) fn weapon(typed: &str) -> Result<Weapon, String> {
    let kind = kind(typed)?;
    kind.weapon().ok_or_else(|| "known: foil, epee, sabre".to_owned())
}

/// What is asked about.
#[derive(Clone, Copy)]
struct Subject {
    kind: ItemKind,
    weapon: Weapon,
}

impl Subject {
    /// The item, and the weapon where the item does not say it.
    fn title(self) -> String {
        if self.kind.weapon().is_some() {
            return self.kind.title().to_owned();
        }
        format!("{}, used with {}", self.kind.title(), self.weapon.title())
    }

    fn json(self) -> Value {
        json!({ "kind": self.kind.code(), "title": self.kind.title(), "weapon": self.weapon })
    }
}

impl ExplainArea {
    /// Explains it.
    pub(super) fn run(&self) -> Result<Shown, Failure> {
        let subject = self.subject()?;
        let faults =
            self.fault.iter().map(|typed| find(subject.kind, typed)).collect::<Result<Vec<_>, _>>()?;
        let faults =
            faults.into_iter().map(|fault| self.ways(subject, fault)).collect::<Result<Vec<_>, _>>()?;
        let mut shown = if !self.seen.is_empty() {
            cause::explain(subject, &self.seen(subject)?)
        } else if faults.is_empty() {
            fault::list(subject)
        } else {
            fault::explain(subject, &faults, self.all)
        };
        if let Some(path) = &self.svg {
            shown.text.push_str(&draw(subject, &faults, path)?);
            shown.json["svg"] = json!(path);
        }
        Ok(shown)
    }

    fn subject(&self) -> Result<Subject, Failure> {
        let (kind, usual) = (self.kind, usual_weapon(self.kind));
        let weapon = self.with.unwrap_or(usual);
        if weapon != usual && !serves(kind, weapon) {
            let message = format!("a {} is not used with {}", kind.title(), weapon.title());
            return Err(Failure::usage(message, "Leave --with out, or name the item that is meant."));
        }
        Ok(Subject { kind, weapon })
    }

    fn ways(&self, subject: Subject, fault: &'static FaultMode) -> Result<Chosen, Failure> {
        let ways = fault.ways(subject.weapon);
        let Some(typed) = &self.way else { return Ok((fault, ways)) };
        let chosen: Vec<&'static Way> = ways.iter().copied().filter(|way| way.code == typed).collect();
        if chosen.is_empty() {
            let known: Vec<&str> = ways.iter().map(|way| way.code).collect();
            let message = format!("{} has no way `{}`", fault.id, clip(typed));
            return Err(Failure::usage(message, format!("Known: {}.", known.join(", "))));
        }
        Ok((fault, chosen))
    }

    fn seen(&self, subject: Subject) -> Result<Vec<Seen>, Failure> {
        let hint = format!(
            "`remise explain {}` lists the actions, `remise explain --help` what can be seen.",
            subject.kind.code()
        );
        let read = |typed: &String| {
            let seen = Seen::parse(typed)
                .and_then(|seen| seen.can_be_on(subject.kind, subject.weapon).map(|()| seen));
            seen.map_err(|why| Failure::usage(format!("--seen: {why}"), hint.clone()))
        };
        self.seen.iter().map(read).collect()
    }
}

/// A fault with the ways that are asked about.
type Chosen = (&'static FaultMode, Vec<&'static Way>);

/// Whether an item that serves several weapons serves that one.
pub(in crate::commands) fn serves(kind: ItemKind, weapon: Weapon) -> bool {
    match kind {
        ItemKind::Reel | ItemKind::FloorCable | ItemKind::Box => true,
        ItemKind::BodyCordTwoPin | ItemKind::BodyCordBayonet | ItemKind::MaskCord => weapon != Weapon::Epee,
        _ => false,
    }
}

/// The first characters of something typed, so that a message stays short and in one line.
fn clip(typed: &str) -> String {
    let safe = typed.chars().map(|c| if c.is_control() { ' ' } else { c });
    let short: String = safe.take(60).collect();
    if typed.chars().nth(60).is_some() { short + "…" } else { short }
}

/// No id is as long, in characters; what is typed beyond it is not looked at.
const LONGEST_ID: usize = 120;

/// The fault of that id; its code among the gear's faults and the id without the item's name count as well.
fn find(kind: ItemKind, typed: &str) -> Result<&'static FaultMode, Failure> {
    let word: String = typed.trim().to_lowercase().chars().take(LONGEST_ID).collect();
    let (hyphens, underlines) = (word.replace(['_', ' '], "-"), word.replace(['-', ' '], "_"));
    let of_kind = || fault_modes_of(kind);
    let short = |fault: &&FaultMode| fault.id.split_once('-').is_some_and(|(_, short)| short == hyphens);
    let found = of_kind()
        .find(|fault| fault.id == hyphens || fault.gear.contains(&underlines.as_str()))
        .or_else(|| of_kind().find(short));
    if let Some(found) = found {
        return Ok(found);
    }
    let list = format!("`remise explain {}` lists them.", kind.code());
    if let Some(elsewhere) = fault_mode(&hyphens).or_else(|| fault_mode(&underlines)) {
        let kinds: Vec<&str> = elsewhere.kinds().map(ItemKind::code).collect();
        let message =
            format!("{} is no fault of a {}, but of: {}", elsewhere.id, kind.title(), kinds.join(", "));
        return Err(Failure::usage(message, list));
    }
    let whole = nearest(&hyphens, of_kind().map(|fault| fault.id));
    let prefixed = format!("{}-{hyphens}", kind.code());
    let near = whole.or_else(|| nearest(&prefixed, of_kind().map(|fault| fault.id)));
    let meant = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
    Err(Failure::usage(format!("a {} has no fault `{}`{meant}", kind.title(), clip(typed)), list))
}

/// Draws the first way of the first fault, or the sound circuit; the sentence to say.
fn draw(subject: Subject, faults: &[Chosen], path: &Path) -> Result<String, Failure> {
    if faults.len() > 1 {
        return Err(Failure::usage("a drawing shows one fault", "Give one --fault with --svg."));
    }
    let (title, way) = faults
        .first()
        .map_or(("sound", &SOUND), |(fault, ways)| (fault.title(), ways.first().copied().unwrap_or(&SOUND)));
    let drawing = svg(subject.weapon, &format!("{}: {title}", subject.title()), way);
    std::fs::write(path, drawing).map_err(|error| {
        let message = format!("{} could not be written: {error}", path.display());
        Failure { hint: "Name another file, or make the folder first.".into(), ..Failure::broken(message) }
    })?;
    Ok(format!("\nDrawn into {} ({}).\n", path.display(), way.code))
}

#[cfg(test)]
mod tests;
