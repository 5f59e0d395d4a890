//! The benches: who works there, at what, and when.

use std::collections::BTreeMap;

use remise_core::gear::Work;
use remise_core::ids::BenchId;
use remise_core::text::folded;
use remise_core::venue::Bench;
use toml_edit::TableLike;

use super::days::Days;
use super::fields::{At, Fields, list_of};
use super::opening;
use super::problem::{Findings, shown};
use super::suggest;
use super::unique::Unique;

/// Most benches of a tournament.
const BENCHES_MAX: usize = 60;
/// Highest number of a bench.
const NUMBER_MAX: u16 = 999;
const KEYS: [&str; 7] = ["number", "name", "armourer", "works", "hours", "breaks", "roving"];

/// The benches as far as they could be read.
#[derive(Debug, Default)]
pub struct Benches {
    /// Ascending by number.
    pub benches: Vec<Bench>,
    /// Who works where.
    pub armourers: BTreeMap<BenchId, String>,
}

/// Reads `benches`.
pub fn read(root: &Fields<'_>, days: &Days, findings: &mut Findings) -> Benches {
    let (mut numbers, mut names) = (Unique::new("bench number"), Unique::new("bench name"));
    let mut read = Benches::default();
    let before = findings.count();
    for table in root.tables("benches", BENCHES_MAX, findings) {
        let Some((bench, armourer)) = read_bench(table, days, &mut numbers, &mut names, findings) else {
            continue;
        };
        note_second_place(&read, &bench, &armourer, findings);
        read.armourers.insert(bench.id, armourer.value);
        read.benches.push(bench);
    }
    read.benches.sort_by_key(|bench| bench.id);
    if findings.count() == before {
        note_missing_work(root, &read.benches, findings);
    }
    read
}

fn read_bench(
    table: At<&dyn TableLike>,
    days: &Days,
    numbers: &mut Unique,
    names: &mut Unique,
    findings: &mut Findings,
) -> Option<(Bench, At<String>)> {
    let fields = Fields::open(table.value, table.at, &KEYS, findings);
    let number = fields.number("number", 1..=NUMBER_MAX, findings);
    if let Some(number) = number {
        numbers.check(&number.value.to_string(), number.at, findings);
    }
    let name = match fields.get("name") {
        Some(_) => fields.name("name", findings),
        None => number.map(|number| At { value: format!("Bench {}", number.value), at: number.at }),
    };
    if let Some(name) = &name {
        names.check(&name.value, name.at, findings);
    }
    let armourer = fields.name("armourer", findings);
    let works = read_works(&fields, findings);
    let open = opening::read(&fields, days, findings);
    let roving = fields.flag("roving", findings);
    let bench = Bench { id: BenchId(number?.value), name: name?.value, armourer: None, works, open, roving };
    Some((bench, armourer?))
}

/// `works`: a list of codes, or `"all"`.
fn read_works(fields: &Fields<'_>, findings: &mut Findings) -> Vec<Work> {
    let Some(item) = fields.need("works", findings) else { return Vec::new() };
    if item.value.as_str() == Some("all") {
        return Work::ALL.to_vec();
    }
    let form = "a list of kinds of work, or \"all\"";
    let Some(list) = list_of("works", form, item, findings) else { return Vec::new() };
    if list.is_empty() {
        findings.hinted(item.at, "a bench needs at least one kind of work", known_works());
    }
    let mut works = Vec::new();
    for value in list {
        let code = value.value.as_str();
        match code.and_then(Work::from_code) {
            Some(work) if works.contains(&work) => {
                findings.problem(value.at, format!("kind of work `{}` stands here twice", work.code()));
            }
            Some(work) => works.push(work),
            None => note_strange_work(code, value.at, findings),
        }
    }
    works.sort_unstable();
    works
}

fn note_strange_work(code: Option<&str>, at: usize, findings: &mut Findings) {
    let Some(code) = code else {
        findings.hinted(at, "a kind of work is a text in quotes", known_works());
        return;
    };
    let near = suggest::nearest(code, Work::ALL.map(Work::code));
    let hint = near.map_or_else(known_works, |near| format!("did you mean `{near}`?"));
    findings.hinted(at, format!("unknown kind of work `{}`", shown(code)), hint);
}

fn known_works() -> String {
    format!("known here: {}", Work::ALL.map(Work::code).join(", "))
}

fn note_second_place(read: &Benches, bench: &Bench, armourer: &At<String>, findings: &mut Findings) {
    let same = |name: &&String| folded(name) == folded(&armourer.value);
    let other = read.armourers.iter().find(|(id, name)| **id != bench.id && same(name));
    if let Some((id, _)) = other {
        let what = format!("`{}` also works at bench {id}", shown(&armourer.value));
        findings.warning(armourer.at, what, "if these are two people, tell their names apart");
    }
}

fn note_missing_work(root: &Fields<'_>, benches: &[Bench], findings: &mut Findings) {
    let at = root.tables("benches", BENCHES_MAX, findings).first().map_or(root.at, |table| table.at);
    for work in Work::ALL {
        if !benches.iter().any(|bench| bench.can(work)) {
            let what = format!("no bench can do `{}`", work.code());
            findings.warning(at, what, "items that need it will find no bench; add it to the `works` of one");
        }
    }
}
