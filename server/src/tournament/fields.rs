//! Reading one table of the file: every key is known or refused, every value has its kind and its bounds, and
//! every complaint is noted with its place instead of ending the reading.

use std::ops::RangeInclusive;

use remise_core::text;
use toml_edit::{Item, TableLike, Value};

use super::problem::{Findings, shown, start};
use super::suggest;

/// Most entries of a list of words or numbers.
const LIST_MAX: usize = 200;

/// A value and the byte offset at which it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct At<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub at: usize,
}

/// One table of the file.
pub struct Fields<'d> {
    table: &'d dyn TableLike,
    /// Where the table begins.
    pub at: usize,
}

impl<'d> Fields<'d> {
    /// Opens a table and refuses the keys that are not among `known`.
    pub fn open(table: &'d dyn TableLike, at: usize, known: &[&str], findings: &mut Findings) -> Self {
        for (key, item) in table.iter() {
            if !known.contains(&key) {
                let place = start(table.key(key).and_then(toml_edit::Key::span).or_else(|| item.span()), at);
                findings.hinted(place, format!("unknown key `{}`", shown(key)), suggest::hint(key, known));
            }
        }
        Self { table, at }
    }

    /// The value of a key that may be missing.
    pub fn get(&self, key: &str) -> Option<At<&'d Item>> {
        let (name, item) = self.table.get_key_value(key)?;
        Some(At { value: item, at: start(item.span().or_else(|| name.span()), self.at) })
    }

    /// The value of a key that must be there.
    pub fn need(&self, key: &str, findings: &mut Findings) -> Option<At<&'d Item>> {
        let found = self.get(key);
        if found.is_none() {
            findings.problem(self.at, format!("missing key `{key}`"));
        }
        found
    }

    /// A name: one line, short, without control characters.
    pub fn name(&self, key: &str, findings: &mut Findings) -> Option<At<String>> {
        self.need(key, findings).and_then(|item| name_of(key, item, findings))
    }

    /// A name that may be missing.
    pub fn name_if_any(&self, key: &str, findings: &mut Findings) -> Option<At<String>> {
        self.get(key).and_then(|item| name_of(key, item, findings))
    }

    /// A word or date as it stands, unchecked.
    pub fn string(&self, key: &str, findings: &mut Findings) -> Option<At<&'d str>> {
        self.need(key, findings).and_then(|item| string_of(key, item, findings))
    }

    /// A date or a date with a time, either as such or as a string.
    pub fn date_text(&self, key: &str, findings: &mut Findings) -> Option<At<String>> {
        let item = self.need(key, findings)?;
        match item.value.as_datetime() {
            Some(date) => Some(At { value: date.to_string(), at: item.at }),
            None => {
                string_of(key, item, findings).map(|text| At { value: text.value.to_owned(), at: text.at })
            }
        }
    }

    /// A whole number within bounds.
    pub fn number(&self, key: &str, bounds: RangeInclusive<u16>, findings: &mut Findings) -> Option<At<u16>> {
        self.need(key, findings).and_then(|item| number_of(key, item, &bounds, findings))
    }

    /// A whole number within bounds that may be missing; `None` when it is missing or wrong.
    pub fn number_if_any(
        &self,
        key: &str,
        bounds: RangeInclusive<u16>,
        findings: &mut Findings,
    ) -> Option<At<u16>> {
        self.get(key).and_then(|item| number_of(key, item, &bounds, findings))
    }

    /// `true` or `false`; false when missing or wrong.
    pub fn flag(&self, key: &str, findings: &mut Findings) -> bool {
        let Some(item) = self.get(key) else { return false };
        item.value.as_bool().unwrap_or_else(|| {
            wrong_kind(key, "`true` or `false`", item, findings);
            false
        })
    }

    /// A table that may be missing; `form` says what it must be.
    pub fn table_if_any(
        &self,
        key: &str,
        form: &str,
        findings: &mut Findings,
    ) -> Option<At<&'d dyn TableLike>> {
        let item = self.get(key)?;
        let Some(value) = item.value.as_table_like() else {
            wrong_kind(key, form, item, findings);
            return None;
        };
        Some(At { value, at: item.at })
    }

    /// A list of tables, at least one and at most `max`: `[[strips]]` again and again, or a list in one line.
    /// Tables past the bound are not read.
    pub fn tables(&self, key: &str, max: usize, findings: &mut Findings) -> Vec<At<&'d dyn TableLike>> {
        let Some(item) = self.need(key, findings) else { return Vec::new() };
        let mut tables = tables_of(key, item, findings).unwrap_or_default();
        if let Some(extra) = tables.get(max) {
            findings
                .problem(extra.at, format!("there are {} `{key}`; at most {max} are allowed", tables.len()));
            tables.truncate(max);
        }
        tables
    }
}

fn tables_of<'d>(
    key: &str,
    item: At<&'d Item>,
    findings: &mut Findings,
) -> Option<Vec<At<&'d dyn TableLike>>> {
    let form = format!("a list of tables, each under `[[{key}]]`");
    if let Some(tables) = item.value.as_array_of_tables() {
        let each = |table: &'d toml_edit::Table| At {
            value: table as &dyn TableLike,
            at: start(table.span(), item.at),
        };
        return Some(tables.iter().map(each).collect());
    }
    let Some(list) = item.value.as_array() else {
        wrong_kind(key, &form, item, findings);
        return None;
    };
    if list.is_empty() {
        findings.problem(item.at, format!("`{key}` is empty; at least one is needed"));
    }
    let mut tables = Vec::new();
    for value in list {
        let at = start(value.span(), item.at);
        match value.as_inline_table() {
            Some(table) => tables.push(At { value: table as &dyn TableLike, at }),
            None => findings.problem(at, format!("`{key}` must be {form}; found {}", value.type_name())),
        }
    }
    Some(tables)
}

/// The entries of a list, with their places; `form` says what the list must be. Entries past the bound are not
/// read.
pub fn list_of<'d>(
    key: &str,
    form: &str,
    item: At<&'d Item>,
    findings: &mut Findings,
) -> Option<Vec<At<&'d Value>>> {
    let Some(list) = item.value.as_array() else {
        wrong_kind(key, form, item, findings);
        return None;
    };
    note_length(key, list.len(), LIST_MAX, item.at, findings);
    let entry = |value: &'d Value| At { value, at: start(value.span(), item.at) };
    Some(list.iter().take(LIST_MAX).map(entry).collect())
}

/// Notes that something has more entries than are read.
pub fn note_length(key: &str, len: usize, max: usize, at: usize, findings: &mut Findings) {
    if len > max {
        findings.problem(at, format!("`{key}` has {len} entries; at most {max} are allowed"));
    }
}

/// The text of a string.
pub fn string_of<'d>(key: &str, item: At<&'d Item>, findings: &mut Findings) -> Option<At<&'d str>> {
    let value = item.value.as_str();
    if value.is_none() {
        wrong_kind(key, "a text in quotes", item, findings);
    }
    value.map(|value| At { value, at: item.at })
}

fn name_of(key: &str, item: At<&Item>, findings: &mut Findings) -> Option<At<String>> {
    let raw = string_of(key, item, findings)?;
    match text::name(raw.value) {
        Ok(value) => Some(At { value, at: raw.at }),
        Err(problem) => {
            findings.problem(raw.at, format!("`{key}` is refused: {problem}"));
            None
        }
    }
}

fn number_of(
    key: &str,
    item: At<&Item>,
    bounds: &RangeInclusive<u16>,
    findings: &mut Findings,
) -> Option<At<u16>> {
    let form = format!("a whole number from {} to {}", bounds.start(), bounds.end());
    let Some(number) = item.value.as_integer() else {
        wrong_kind(key, &form, item, findings);
        return None;
    };
    let value = u16::try_from(number).ok().filter(|number| bounds.contains(number));
    if value.is_none() {
        findings.problem(item.at, format!("`{key}` must be {form}; found {number}"));
    }
    value.map(|value| At { value, at: item.at })
}

/// Notes that a value has the wrong kind.
pub fn wrong_kind(key: &str, form: &str, item: At<&Item>, findings: &mut Findings) {
    findings.problem(item.at, format!("`{key}` must be {form}; found {}", item.value.type_name()));
}
