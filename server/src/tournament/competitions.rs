//! The competitions: weapon, start, size, format and strips.

use remise_core::gear::Weapon;
use remise_core::ids::StripId;
use remise_core::time::Stamp;
use remise_core::venue::{Competition, Pools, Tableau, Teams};
use toml_edit::TableLike;

use super::days::Days;
use super::fields::{At, Fields, list_of};
use super::local::{LocalProblem, offset_text, parse_local};
use super::problem::{Findings, shown};
use super::strips::Strips;
use super::suggest;
use super::unique::Unique;

/// Most competitions of a tournament.
const COMPETITIONS_MAX: usize = 40;
/// Longest bout on a strip, in minutes, all told.
const BOUT_MAX: u16 = 60;
/// Most fencers or teams.
const ENTRIES_MAX: u16 = 512;
/// Fewest fencers in a pool: pool orders are published from four on.
const POOL_MIN: u16 = 4;
const POOL_MAX: u16 = 12;
const TABLEAUX: [u16; 7] = [4, 8, 16, 32, 64, 128, 256];
const WEAPONS: [(&str, Weapon); 3] =
    [("foil", Weapon::Foil), ("epee", Weapon::Epee), ("sabre", Weapon::Sabre)];
const KEYS: [&str; 8] = ["name", "weapon", "starts", "entries", "strips", "pools", "tableau", "teams"];

/// Reads `competitions`.
pub fn read(root: &Fields<'_>, days: &Days, strips: &Strips, findings: &mut Findings) -> Vec<Competition> {
    let mut names = Unique::new("competition");
    let mut competitions = Vec::new();
    for table in root.tables("competitions", COMPETITIONS_MAX, findings) {
        competitions.extend(read_competition(table, days, strips, &mut names, findings));
    }
    competitions
}

fn read_competition(
    table: At<&dyn TableLike>,
    days: &Days,
    strips: &Strips,
    names: &mut Unique,
    findings: &mut Findings,
) -> Option<Competition> {
    let fields = Fields::open(table.value, table.at, &KEYS, findings);
    let name = fields.name("name", findings);
    if let Some(name) = &name {
        names.check(&name.value, name.at, findings);
    }
    let weapon = read_weapon(&fields, findings);
    let starts = read_starts(&fields, days, findings);
    let entries = fields.number("entries", 2..=ENTRIES_MAX, findings);
    let strips = read_strips(&fields, strips, findings);
    let pools = read_pools(&fields, entries, findings);
    let tableau = read_tableau(&fields, entries, findings);
    let teams = read_teams(&fields, findings);
    check_format(&fields, findings);
    Some(Competition {
        name: name?.value,
        weapon: weapon?,
        starts: starts?,
        entries: entries?.value,
        strips,
        pools,
        tableau,
        teams,
    })
}

fn read_weapon(fields: &Fields<'_>, findings: &mut Findings) -> Option<Weapon> {
    let text = fields.string("weapon", findings)?;
    let found = WEAPONS.iter().find(|(code, _)| *code == text.value);
    if found.is_none() {
        let hint = suggest::hint(text.value, &WEAPONS.map(|(code, _)| code));
        findings.hinted(text.at, format!("unknown weapon `{}`", shown(text.value)), hint);
    }
    found.map(|(_, weapon)| *weapon)
}

fn read_starts(fields: &Fields<'_>, days: &Days, findings: &mut Findings) -> Option<Stamp> {
    let text = fields.date_text("starts", findings)?;
    match parse_local(&text.value, &days.zone) {
        Ok(stamp) => {
            if !days.hold(stamp) {
                findings.problem(text.at, "`starts` lies outside the hours of every day");
            }
            Some(stamp)
        }
        Err(problem) => {
            let what = format!("`starts` is refused: {problem}");
            findings.maybe_hinted(text.at, what, starts_hint(&text.value, problem));
            None
        }
    }
}

fn starts_hint(text: &str, problem: LocalProblem) -> Option<String> {
    match problem {
        LocalProblem::Fold { first, second } => Some(format!(
            "write `{text}{}` for the earlier one or `{text}{}` for the later",
            offset_text(first),
            offset_text(second)
        )),
        LocalProblem::Gap => Some("write a time before or after the change".to_owned()),
        _ => None,
    }
}

fn read_strips(fields: &Fields<'_>, known: &Strips, findings: &mut Findings) -> Vec<StripId> {
    let Some(item) = fields.need("strips", findings) else { return Vec::new() };
    let form = "a list of strip numbers such as [1, 2, 3]";
    let Some(list) = list_of("strips", form, item, findings) else { return Vec::new() };
    if list.is_empty() {
        findings.problem(item.at, "a competition needs at least one strip");
    }
    let mut strips: Vec<StripId> = Vec::new();
    for value in list {
        let Some(number) = value.value.as_integer() else {
            let what = format!("`strips` must be {form}; found {}", value.value.type_name());
            findings.problem(value.at, what);
            continue;
        };
        let id = u16::try_from(number).ok().map(StripId);
        match id.filter(|id| !known.whole || known.strips.iter().any(|strip| strip.id == *id)) {
            None => findings.problem(value.at, format!("there is no strip {number}")),
            Some(id) if strips.contains(&id) => {
                findings.problem(value.at, format!("strip {number} stands here twice"));
            }
            Some(id) => strips.push(id),
        }
    }
    strips
}

fn read_pools(fields: &Fields<'_>, entries: Option<At<u16>>, findings: &mut Findings) -> Option<Pools> {
    let table = fields.table_if_any("pools", "a table such as `{ size = 7, bout_min = 5 }`", findings)?;
    let pools = Fields::open(table.value, table.at, &["size", "bout_min"], findings);
    let size = pools.number("size", POOL_MIN..=POOL_MAX, findings);
    let bout = pools.number("bout_min", 1..=BOUT_MAX, findings);
    if let (Some(size), Some(entries)) = (size, entries) {
        let count = entries.value.div_ceil(size.value);
        let smallest = entries.value / count;
        if smallest < POOL_MIN {
            let what =
                format!("{} fencers in pools of {} leave a pool of {smallest}", entries.value, size.value);
            findings.hinted(size.at, what, "a pool needs at least 4: choose another size");
        }
    }
    Some(Pools { size: size?.value as u8, bout_min: bout?.value })
}

fn read_tableau(fields: &Fields<'_>, entries: Option<At<u16>>, findings: &mut Findings) -> Option<Tableau> {
    let table = fields.table_if_any("tableau", "a table such as `{ size = 32, bout_min = 20 }`", findings)?;
    let tableau = Fields::open(table.value, table.at, &["size", "bout_min"], findings);
    let size = tableau.number("size", 4..=256, findings);
    let bout = tableau.number("bout_min", 1..=BOUT_MAX, findings);
    let size = size.filter(|size| {
        let right = TABLEAUX.contains(&size.value);
        if !right {
            let hint = format!("write {}", size.value.next_power_of_two());
            findings.hinted(
                size.at,
                format!("a tableau has 4, 8, 16 … 256 places, not {}", size.value),
                hint,
            );
        }
        right
    });
    if let (Some(size), Some(entries)) = (size, entries) {
        check_places(size, entries.value, fields.get("pools").is_some(), findings);
    }
    Some(Tableau { size: size?.value, bout_min: bout?.value })
}

fn check_places(size: At<u16>, entries: u16, pools: bool, findings: &mut Findings) {
    let places = size.value;
    if entries > places && !pools {
        let what = format!("{entries} entries have no place in a tableau of {places}");
        findings.hinted(size.at, what, "take a larger tableau, or add pools that send some home");
    } else if entries <= places / 2 {
        let what = format!("{entries} entries leave the first round of a tableau of {places} without a bout");
        findings.warning(size.at, what, format!("{} places are enough", entries.next_power_of_two().max(4)));
    }
}

fn read_teams(fields: &Fields<'_>, findings: &mut Findings) -> Option<Teams> {
    let table = fields.table_if_any("teams", "a table such as `{ relay_min = 4 }`", findings)?;
    let teams = Fields::open(table.value, table.at, &["relay_min"], findings);
    let relay = teams.number("relay_min", 1..=BOUT_MAX, findings)?;
    Some(Teams { relay_min: relay.value })
}

fn check_format(fields: &Fields<'_>, findings: &mut Findings) {
    let has = |key: &str| fields.get(key).is_some();
    if !has("pools") && !has("tableau") && !has("teams") {
        let hint = "add `pools`, `tableau` or both, or `teams`";
        findings.hinted(fields.at, "this competition has no format", hint);
    } else if let (Some(teams), true) = (fields.get("teams"), has("pools") || has("tableau")) {
        let hint = "teams meet in a direct elimination of their own; leave `pools` and `tableau` out";
        findings.hinted(teams.at, "`teams` stands beside `pools` or `tableau`", hint);
    }
}
