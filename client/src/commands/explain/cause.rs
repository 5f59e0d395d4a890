//! Which faults fit what was seen, as text and as JSON.

use remise_core::circuit::{Causes, Colour, Lamp, Seen, Sight, causes_that_show, fault_modes_of};
use serde_json::json;

use super::Subject;
use crate::commands::Shown;

/// Which faults show all of this.
pub(super) fn explain(subject: Subject, seen: &[Seen]) -> Shown {
    let Subject { kind, weapon } = subject;
    let causes = causes_that_show(kind, weapon, seen);
    let unfelt = fault_modes_of(kind).filter(|fault| !fault.is_electrical()).count();
    let mut text = format!("{}, seen:\n", subject.title());
    for seen in seen {
        text = format!("{text}  {}: {}\n", seen.action.title(), sight(&seen.sight));
    }
    text = format!("{text}\n{}\n", said(&causes));
    let mut fit = Vec::new();
    for (fault, ways) in &causes.fit {
        let codes: Vec<&str> = ways.iter().map(|way| way.code).collect();
        text = format!("{text}  {}\n      {}: {}\n", fault.id, fault.title(), codes.join("; "));
        fit.push(json!({ "id": fault.id, "codes": fault.gear, "title": fault.title(), "ways": codes }));
    }
    text = format!(
        "{text}\nA sound one {}.\n",
        if causes.sound_fits { "shows the same" } else { "does not show this" }
    );
    if unfelt > 0 {
        text = format!(
            "{text}{unfelt} more faults change nothing in the circuit: find them by eye, hand or gauge.\n"
        );
    }
    let told: Vec<_> = seen
        .iter()
        .map(|seen| json!({ "action": seen.action.code(), "instrument": instrument(&seen.sight), "shows": sight(&seen.sight) }))
        .collect();
    let json = json!({
        "ok": true, "item": subject.json(), "seen": told, "fit": fit, "unfit": causes.unfit,
        "sound_fits": causes.sound_fits, "not_felt_by_the_circuit": unfelt,
    });
    Shown { text, json }
}

fn said(causes: &Causes) -> String {
    let (fit, unfit) = (causes.fit.len(), causes.unfit);
    match fit {
        0 => format!(
            "None of the {unfit} faults alone shows all of this: look again, or think of two at once."
        ),
        1 => format!("1 fault fits, {unfit} do not:"),
        _ => format!("{fit} faults fit, {unfit} do not:"),
    }
}

fn instrument(sight: &Sight) -> &'static str {
    match sight {
        Sight::Apparatus(_) => "scoring apparatus",
        Sight::TestLamp(_) => "test lamp",
        Sight::Ohm(_) | Sight::Value(_) => "ohmmeter",
    }
}

fn sight(sight: &Sight) -> String {
    let what = match sight {
        Sight::Apparatus(lamps) if lamps.is_empty() => "none".to_owned(),
        Sight::Apparatus(lamps) => lamps.iter().copied().map(lamp).collect::<Vec<_>>().join(", "),
        Sight::TestLamp(lamp) => lamp.title().to_owned(),
        Sight::Ohm(class) => class.title().to_owned(),
        Sight::Value(ohm) => format!("{ohm} ohm"),
    };
    format!("{} {what}", instrument(sight))
}

fn lamp((colour, lamp): (Colour, Lamp)) -> String {
    match lamp {
        Lamp::Flicker => format!("{} on and off", colour.title()),
        Lamp::On | Lamp::Off => colour.title().to_owned(),
    }
}
