//! `remise gear`: what items there are, what may be wrong with them, and how they are proved. Needs no server.

use clap::Subcommand;
use remise_core::gear::{Complaint, DEFERRING, Fault, ItemKind, Work, faults};
use remise_core::rules::{CLOSING, Check, editions};
use serde_json::{Value, json};

use super::Shown;
use super::parts::kind;
use crate::failure::Failure;

/// What can be looked up.
#[derive(Debug, Subcommand)]
pub enum GearAction {
    /// All kinds; or one kind's complaints, faults and checks
    List {
        /// Kind of item: a code, or as people call it
        #[arg(value_name = "KIND", value_parser = kind)]
        kind: Option<ItemKind>,
    },
}

impl GearAction {
    /// Looks it up.
    pub(super) fn run(&self) -> Result<Shown, Failure> {
        match self {
            Self::List { kind: None } => Ok(kinds()),
            Self::List { kind: Some(kind) } => one(*kind),
        }
    }
}

fn pair(code: &str, title: &str) -> Value {
    json!({ "code": code, "title": title })
}

/// Lines in one text.
fn lines(all: impl Iterator<Item = String>) -> String {
    all.collect::<Vec<_>>().concat()
}

fn kinds() -> Shown {
    let kinds = ItemKind::ALL;
    let titles = lines(kinds.iter().map(|kind| format!("{:22}{}\n", kind.code(), kind.title())));
    let works = lines(Work::ALL.iter().map(|work| format!("{:22}{}\n", work.code(), work.title())));
    Shown {
        text: format!("Kinds of item\n{titles}\nKinds of work\n{works}"),
        json: json!({
            "ok": true,
            "kinds": kinds.iter().map(|kind| pair(kind.code(), kind.title())).collect::<Vec<_>>(),
            "works": Work::ALL.iter().map(|work| pair(work.code(), work.title())).collect::<Vec<_>>(),
        }),
    }
}

fn check_json(check: &Check) -> Value {
    json!({
        "code": check.code, "title": check.title, "limit": check.limit_text(), "rule": check.rule,
        "edition": check.edition, "status": check.status.code(), "source": check.source,
        "unit": check.unit().map(remise_core::rules::Unit::name), "caution": check.caution,
    })
}

fn check_line(check: &Check) -> String {
    let rule = check.rule.clone().unwrap_or_else(|| "no rule number".to_owned());
    format!("{:26}{}: {} ({rule}, {})\n", check.code, check.title, check.limit_text(), check.status)
}

/// Its cautions, each once, and last that other rules go first.
fn cautions(kind: ItemKind) -> Vec<&'static str> {
    let mut cautions: Vec<&str> =
        faults(kind).flat_map(Fault::cautions).map(|caution| caution.text).collect();
    cautions.retain(|text| *text != DEFERRING.text);
    cautions.sort_unstable();
    cautions.dedup();
    cautions.push(DEFERRING.text);
    cautions
}

fn fault_json(fault: &Fault) -> Value {
    json!({
        "code": fault.id, "title": fault.title, "work": fault.work.code(), "test": fault.test,
        "repair": fault.repair, "curing_min": fault.curing_min, "source": fault.source,
    })
}

fn one(kind: ItemKind) -> Result<Shown, Failure> {
    let edition = editions().first().ok_or_else(|| Failure::broken("no edition of the rules is built in"))?;
    let complaints = Complaint::for_kind(kind);
    let checks: Vec<&Check> = edition.checks.iter().filter(|check| check.kinds.contains(&kind)).collect();
    let cautions = cautions(kind);
    let text = [
        format!("{} ({})\n\nComplaints\n", kind.title(), kind.code()),
        lines(complaints.iter().map(|c| format!("{:22}{}\n", c.code(), c.title()))),
        "\nFaults, with the kind of work that mends them\n".to_owned(),
        lines(faults(kind).map(|fault| format!("{:32}{:18}{}\n", fault.id, fault.work.code(), fault.title))),
        format!("\nChecks of {}\n", edition.title),
        lines(checks.iter().map(|check| check_line(check))),
        format!("{CLOSING}\n\nCautions\n"),
        lines(cautions.iter().map(|caution| format!("{caution}\n"))),
    ];
    let json = json!({
        "ok": true,
        "kind": pair(kind.code(), kind.title()),
        "complaints": complaints.iter().map(|c| pair(c.code(), c.title())).collect::<Vec<_>>(),
        "faults": faults(kind).map(fault_json).collect::<Vec<_>>(),
        "checks": checks.into_iter().map(check_json).collect::<Vec<_>>(),
        "cautions": cautions,
        "closing": CLOSING,
    });
    Ok(Shown { text: text.concat(), json })
}
