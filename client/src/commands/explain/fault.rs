//! A fault and what the instruments show of it, action by action, as text and as JSON.

use std::collections::BTreeSet;

use remise_core::circuit::{
    Lamp, Lamps, Lights, Measured, Ohms, Reading, Row, Way, bench_actions, fault_modes_of, registering_us,
    sound, strip_actions, symptoms_of,
};
use remise_core::gear::{self, DEFERRING, Weapon};
use serde_json::{Value, json};

use super::{Chosen, Subject};
use crate::commands::Shown;

/// Where the numbers come from.
const BASIS: &str = "Derived from the circuit. Upper ends of ohm bands are the limits where one is known; \
usual values, dirt and lamps are estimates.";

/// All faults and actions of a kind.
pub(super) fn list(subject: Subject) -> Shown {
    let Subject { kind, weapon } = subject;
    let mut text = format!("{}: faults, with the ways in which they come\n", subject.title());
    let mut faults = Vec::new();
    for fault in fault_modes_of(kind) {
        let ways: Vec<String> = fault.ways(weapon).iter().map(|way| way_title(way)).collect();
        let ways = if fault.is_electrical() { ways.join("; ") } else { "not felt by the circuit".to_owned() };
        text = format!("{text}  {}\n      {ways}\n", fault.id);
        let codes: Vec<&str> = fault.ways(weapon).iter().map(|way| way.code).collect();
        faults.push(json!({
            "id": fault.id, "codes": fault.gear, "title": fault.title(), "electrical": fault.is_electrical(),
            "ways": codes,
        }));
    }
    let bench = bench_actions(kind);
    let tried: BTreeSet<_> = bench.iter().chain(strip_actions(kind, weapon)).copied().collect();
    text.push_str("\nActions (* also on the bench, with test lamp and ohmmeter)\n");
    let mut actions = Vec::new();
    for action in tried {
        let on_bench = bench.contains(&action);
        let star = if on_bench { '*' } else { ' ' };
        text = format!("{text}{star} {:22}{}\n", action.code(), action.title());
        actions.push(json!({ "code": action.code(), "title": action.title(), "bench": on_bench }));
    }
    Shown { text, json: json!({ "ok": true, "item": subject.json(), "faults": faults, "actions": actions }) }
}

fn way_title(way: &Way) -> String {
    if way.comes_and_goes() { format!("{} (comes and goes)", way.code) } else { way.code.to_owned() }
}

/// What faults make the instruments show.
pub(super) fn explain(subject: Subject, faults: &[Chosen], all: bool) -> Shown {
    let sound = sound(subject.kind, subject.weapon);
    let mut text = String::new();
    let mut told = Vec::new();
    for (fault, ways) in faults {
        text = format!("{text}{}: {} ({})\n", subject.title(), fault.title(), fault.id);
        let rows = symptoms_of(fault, subject.kind, subject.weapon);
        let mut ways_json = Vec::new();
        for way in ways {
            let of_way: Vec<&Row> = rows.iter().filter(|row| row.way.code == way.code).collect();
            text.push_str(&table(subject, way, &of_way, &sound, all));
            let rows: Vec<Value> = of_way.iter().map(|row| row_json(row, differs(row, &sound))).collect();
            ways_json.push(json!({ "code": way.code, "comes_and_goes": way.comes_and_goes(), "rows": rows }));
        }
        told.push(json!({
            "id": fault.id, "codes": fault.gear, "title": fault.title(), "electrical": fault.is_electrical(),
            "ways": ways_json,
        }));
    }
    let cautions = cautions(faults);
    let quick = faults.iter().flat_map(|(_, ways)| ways).any(|way| way.comes_and_goes());
    let time = quick.then(|| shortest(subject.weapon));
    text = format!("{text}\n{BASIS}\n");
    if let Some(time) = &time {
        text = format!("{text}{time}\n");
    }
    for caution in &cautions {
        text = format!("{text}{caution}\n");
    }
    let json = json!({
        "ok": true, "item": subject.json(), "faults": told, "basis": BASIS, "shortest": time, "cautions": cautions,
    });
    Shown { text, json }
}

/// How short a flicker the apparatus shows.
fn shortest(weapon: Weapon) -> String {
    let (least, most) = registering_us(weapon);
    let what = if weapon == Weapon::Foil { "breaks" } else { "contacts" };
    let ms = |us: u32| f64::from(us) / 1000.0;
    format!(
        "The apparatus counts {what} from {} to {} ms on (MAT26, Annex B, status B); shorter ones it does not show.",
        ms(least),
        ms(most)
    )
}

/// The cautions for looking for and mending these faults, each once; that other rules go first comes last.
fn cautions(faults: &[Chosen]) -> Vec<&'static str> {
    let codes = faults.iter().flat_map(|(fault, _)| fault.gear);
    let all = codes.filter_map(|code| gear::fault(code)).flat_map(gear::Fault::cautions);
    let mut cautions: Vec<&str> = Vec::new();
    for caution in all.map(|caution| caution.text).filter(|text| *text != DEFERRING.text) {
        if !cautions.contains(&caution) {
            cautions.push(caution);
        }
    }
    if !cautions.is_empty() {
        cautions.push(DEFERRING.text);
    }
    cautions
}

fn sound_of<'a>(row: &Row, sound: &'a [Row]) -> Option<&'a Row> {
    sound.iter().find(|sound| sound.action == row.action)
}

fn differs(row: &Row, sound: &[Row]) -> bool {
    sound_of(row, sound).is_none_or(|sound| !sound.shows_like(row))
}

/// What is shown, and the actions at which it is shown.
struct Group<'a> {
    row: &'a Row,
    /// Less usual places where it is not as in a sound item.
    elsewhere: Vec<&'a Measured>,
    also: Vec<&'static str>,
}

fn table(subject: Subject, way: &Way, rows: &[&Row], sound: &[Row], all: bool) -> String {
    let shown: Vec<&Row> = rows.iter().copied().filter(|row| all || differs(row, sound)).collect();
    let item = subject.kind.title();
    let mut text = format!("\nWay: {}\n", way_title(way));
    if shown.is_empty() {
        return text
            + &format!(
                "  Every lamp and reading is that of a sound {item}: find it by eye, hand or gauge.\n"
            );
    }
    let place = shown.iter().find_map(|row| row.bench.first()).map_or("", |measured| measured.probe.title);
    text.push_str(&columns(&groups(&shown, sound), place));
    let rest = rows.len() - shown.len();
    if rest > 0 {
        text =
            format!("{text}  The other {rest} actions show what a sound {item} shows (--all lists them).\n");
    }
    text
}

/// Actions that show the same stand together.
fn groups<'a>(shown: &[&'a Row], sound: &'a [Row]) -> Vec<Group<'a>> {
    let mut groups: Vec<Group<'a>> = Vec::new();
    for row in shown {
        let odd = elsewhere(row, sound);
        let alike = |group: &&mut Group<'_>| {
            let places =
                |odd: &[&Measured]| odd.iter().map(|measured| measured.probe.code).collect::<Vec<_>>();
            group.row.shows_like(row) && places(&group.elsewhere) == places(&odd)
        };
        match groups.iter_mut().find(alike) {
            Some(group) => group.also.push(row.action.code()),
            None => groups.push(Group { row, elsewhere: odd, also: Vec::new() }),
        }
    }
    groups
}

/// Two named columns of lamps and one of readings, as wide as they need to be.
fn columns(groups: &[Group], place: &str) -> String {
    let head = if place.is_empty() { "OHMMETER".to_owned() } else { format!("OHMMETER ({place})") };
    let mut lines = vec![["ACTION".to_owned(), "SCORING APPARATUS".to_owned(), "TEST LAMP".to_owned(), head]];
    for Group { row, elsewhere, also } in groups {
        let lamp = row.test_lamp().map_or("-", Lamp::title).to_owned();
        let ohm = row.bench.first().map_or_else(|| "-".to_owned(), reading);
        lines.push([row.action.code().to_owned(), row.apparatus.title(), lamp, ohm]);
        for measured in elsewhere {
            let at = format!("  {}", measured.probe.title);
            lines.push([at, String::new(), measured.lamp.title().to_owned(), reading(measured)]);
        }
        lines.extend(also.iter().map(|code| {
            [(*code).to_owned(), format!("as {}", row.action.code()), String::new(), String::new()]
        }));
    }
    let width = |at: usize| lines.iter().map(|line| line[at].chars().count()).max().unwrap_or(0);
    let widths = [width(0), width(1), width(2)];
    let line = |[action, apparatus, lamp, ohm]: &[String; 4]| {
        let [first, second, third] = widths;
        let line = format!("  {action:first$}  {apparatus:second$}  {lamp:third$}  {ohm}");
        line.trim_end().to_owned() + "\n"
    };
    lines.iter().map(line).collect()
}

/// What is measured at the less usual places and is not as in a sound item.
fn elsewhere<'a>(row: &'a Row, sound: &'a [Row]) -> Vec<&'a Measured> {
    let sound = sound_of(row, sound).map_or(&[][..], |sound| &sound.bench);
    let as_sound = |measured: &&Measured| sound.iter().any(|sound| sound.is_like(measured));
    row.bench.iter().skip(1).filter(|measured| !as_sound(measured)).collect()
}

fn reading(measured: &Measured) -> String {
    let high = measured.class() == remise_core::circuit::OhmClass::High;
    let limit = measured.probe.limit_ohm.filter(|_| high);
    limit.map_or_else(
        || measured.reading.title(),
        |limit| format!("{}, over {limit}", measured.reading.title()),
    )
}

fn row_json(row: &Row, differs: bool) -> Value {
    json!({
        "action": row.action.code(),
        "title": row.action.title(),
        "differs_from_sound": differs,
        "apparatus": apparatus_json(row.apparatus),
        "test_lamp": row.test_lamp().map(Lamp::title),
        "ohmmeter": row.bench.first().map(measured_json),
        "elsewhere": row.bench.iter().skip(1).map(measured_json).collect::<Vec<_>>(),
    })
}

fn apparatus_json(lamps: Lamps) -> Value {
    let side = |lights: Lights| {
        json!({
            "coloured": lights.coloured.title(), "white": lights.white.title(),
            "yellow": lights.yellow.title(), "orange_on_some_boxes": lights.earth.title(),
        })
    };
    json!({ "own": side(lamps.own), "opponent": side(lamps.other) })
}

fn measured_json(measured: &Measured) -> Value {
    let band = |ohms: Ohms| json!({ "low": ohms.low, "likely": ohms.likely, "high": ohms.high });
    let (from, to) = match measured.reading {
        Reading::Open => (Value::Null, Value::Null),
        Reading::Steady(ohms) => (band(ohms), Value::Null),
        Reading::Jumps(from, to) => (band(from), to.map_or(Value::Null, band)),
    };
    json!({
        "place": measured.probe.title, "lamp": measured.lamp.title(), "class": measured.class().title(),
        "ohm": from, "jumps_to_ohm": to, "limit_ohm": measured.probe.limit_ohm,
    })
}
