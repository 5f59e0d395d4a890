//! Causes and the next check, as text and as JSON.

use remise_core::gear::Lasting;
use remise_core::guide::{Check, Next, Ranked};
use serde_json::{Value, json};

use super::Asked;
use crate::commands::Shown;

/// So many causes are said unless all are asked for.
const SHOWN: usize = 3;
/// A cause that is less likely is not said unless it is among the first.
const UNLIKELY: f64 = 0.1;
/// Where the figures come from.
pub(super) const ESTIMATES: &str = "Shares, minutes of checks and how often a check errs are estimates of ours, no source; lamps follow from the circuit.";

pub(super) fn shown(asked: &Asked) -> Shown {
    let ranked = asked.guide.ranked(&asked.case);
    let next = asked.guide.next(&asked.case, asked.manner);
    let text = [
        heading(asked),
        causes(&ranked, asked.all),
        next.as_ref().map_or_else(String::new, next_text),
        format!("\n{ESTIMATES}\n"),
    ];
    let json = json!({
        "ok": true,
        "item": {
            "kind": asked.guide.kind.code(), "title": asked.guide.kind.title(), "weapon": asked.guide.weapon,
        },
        "complaint": asked.case.complaint.code(),
        "findings": asked.case.findings.iter()
            .map(|it| json!({ "said": it.said(), "sure": it.sure })).collect::<Vec<_>>(),
        "causes": ranked.iter().map(cause_json).collect::<Vec<_>>(),
        "next": next.as_ref().map(next_json),
    });
    Shown { text: text.concat(), json }
}

fn heading(asked: &Asked) -> String {
    let mut text = format!("{}: {}\n", asked.guide.kind.title(), asked.case.complaint.title());
    for finding in &asked.case.findings {
        text = format!("{text}  {}\n", finding.said());
    }
    text
}

fn percent(p: f64) -> String {
    match 100.0 * p {
        p if p < 0.1 => "< 0.1 %".to_owned(),
        p if p > 99.9 => "> 99.9 %".to_owned(),
        p if p < 10.0 => format!("{p:.1} %"),
        p => format!("{p:.0} %"),
    }
}

/// The likeliest causes with all that is said of them, and a line for what is left.
pub(super) fn causes(ranked: &[Ranked], all: bool) -> String {
    let said = |(number, it): &(usize, &Ranked)| all || *number < SHOWN || it.probability >= UNLIKELY;
    let shown: Vec<(usize, &Ranked)> = ranked.iter().enumerate().filter(said).collect();
    let mut text = "\nProbably\n".to_owned();
    for (_, it) in &shown {
        text.push_str(&cause(it));
    }
    let rest: f64 = ranked.iter().skip(shown.len()).map(|it| it.probability).sum();
    if shown.len() < ranked.len() {
        let number = ranked.len() - shown.len();
        text = format!("{text}  {number} other causes together {} (--all lists them)\n", percent(rest));
    }
    text
}

fn cause(it: &Ranked) -> String {
    let fault = it.fault();
    let (likely, high) = (fault.minutes.likely, fault.minutes.high);
    let lasting = match fault.lasting {
        Lasting::Lasting => "lasting",
        Lasting::StopGap => "a stop-gap: the lasting repair is owed",
        Lasting::Either => "as lasting repair or stop-gap: `remise weigh` compares",
        Lasting::NoRepair => "no repair",
    };
    let setting = fault.curing_min.map_or_else(String::new, |min| format!(", then {min} min to set"));
    let mut text = format!("  {:8} {} ({})\n", percent(it.probability), fault.title, fault.id);
    text = format!("{text}           {}\n", it.why);
    text = format!("{text}           look with {}: {}\n", it.cause.with, fault.test);
    text = format!(
        "{text}           do: {}; about {likely} min (up to {high}){setting}, {lasting}\n",
        fault.repair
    );
    for caution in fault.cautions() {
        text = format!("{text}           ! {}\n", caution.text);
    }
    text
}

/// What to do next.
pub(super) fn next_text(next: &Next) -> String {
    let mut text = format!("\nNext: {}, with {} ({})\n", next.check.title(), next.check.with(), next.code);
    for opening in &next.first {
        text = format!("{text}  first: {}\n", opening.what);
    }
    text = format!("{text}  {:.1} min", next.minutes);
    if let Some(expected) = next.expected_min {
        text = format!("{text}; the cause is found in {expected:.1} min in the mean");
    }
    text + "\n"
}

fn cause_json(it: &Ranked) -> Value {
    let fault = it.fault();
    json!({
        "fault": fault.id, "title": fault.title, "probability": it.probability, "why": it.why,
        "look": fault.test, "with": it.cause.with, "look_min": it.cause.minutes, "do": fault.repair,
        "likely_min": fault.minutes.likely, "low_min": fault.minutes.low, "high_min": fault.minutes.high,
        "curing_min": fault.curing_min,
        "cautions": fault.cautions().map(|caution| caution.text).collect::<Vec<_>>(),
    })
}

fn next_json(next: &Next) -> Value {
    json!({
        "check": next.code,
        "sort": if matches!(next.check, Check::Stir(_)) { "stir" } else { "look" },
        "title": next.check.title(), "with": next.check.with(), "minutes": next.minutes,
        "first": next.first.iter().map(|opening| opening.what.as_str()).collect::<Vec<_>>(),
        "expected_min": next.expected_min,
    })
}
