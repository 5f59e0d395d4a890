//! The small text format of an edition: one `check` paragraph per check, a word and its value per line.
//!
//! ```text
//! edition fie-2026 | FIE 2026 | what was read for it
//!
//! check foil_resistance
//!   title   Resistance of the circuit, point at rest
//!   kinds   foil
//!   covers  point blade_wire
//!   functional
//!   reading at_most 2000 ohm          values in whole smallest units; or gauge, steady, look
//!   row     E | item | quantity       the row of the reference in which it stands
//!   rule    m.10
//!   status  C
//!   source  ids of the reference
//! ```

use thiserror::Error;

use super::{Asks, Bound, Check, Edition, Limit, Motion, SourceRow, Status, Unit};
use crate::gear::{ItemKind, Work};

/// A line that does not fit the format; its number from 1 and what is wrong.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("line {line}: {what}")]
pub struct TableProblem {
    /// Number of the line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub what: &'static str,
}

/// Reads an edition.
pub fn parse(text: &str) -> Result<Edition, TableProblem> {
    let mut edition: Option<Edition> = None;
    for (number, line) in (1..).zip(text.lines().map(str::trim)) {
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        let done = match edition.as_mut() {
            None => begin(word, rest.trim()).map(|begun| edition = Some(begun)),
            Some(edition) => take(edition, word, rest.trim()),
        };
        done.map_err(|what| TableProblem { line: number, what })?;
    }
    let edition = edition.ok_or(TableProblem { line: 1, what: "no edition line" })?;
    complete(&edition).map_err(|what| TableProblem { line: text.lines().count(), what })?;
    Ok(edition)
}

fn begin(word: &str, rest: &str) -> Result<Edition, &'static str> {
    let [code, title, about] = cells(rest)?;
    if word != "edition" {
        return Err("the first line must be the edition");
    }
    Ok(Edition { code, title, about, checks: Vec::new() })
}

fn take(edition: &mut Edition, word: &str, rest: &str) -> Result<(), &'static str> {
    if word == "check" {
        if rest.is_empty() || edition.checks.iter().any(|check| check.code == rest) {
            return Err("a check needs a code of its own");
        }
        let check = blank(rest.to_owned(), edition.title.clone());
        edition.checks.push(check);
        return Ok(());
    }
    let check = edition.checks.last_mut().ok_or("no check has begun")?;
    match word {
        "title" => rest.clone_into(&mut check.title),
        "demand" => check.demand = Some(rest.to_owned()),
        "kinds" => check.kinds = words(rest, ItemKind::from_code, "no such kind of item")?,
        "covers" => check.covers = words(rest, Work::from_code, "no such kind of work")?,
        "functional" => check.functional = true,
        "reading" | "gauge" | "steady" | "look" => check.asks = asks(word, rest, &mut check.limit)?,
        "limit" => check.limit = Some(limit(rest)?),
        "row" => check.row = Some(row(rest)?),
        "rule" => check.rule = Some(rest.to_owned()),
        "status" => {
            let status = Status::ALL.into_iter().find(|status| status.code() == rest);
            check.status = status.ok_or("no such status")?;
        }
        "source" => check.source = Some(rest.to_owned()),
        "caution" => check.caution = Some(rest.to_owned()),
        _ => return Err("no such word"),
    }
    Ok(())
}

fn asks(word: &str, rest: &str, published: &mut Option<Limit>) -> Result<Asks, &'static str> {
    match word {
        "reading" => {
            let limit = limit(rest)?;
            *published = Some(limit);
            Ok(Asks::Reading(limit.unit))
        }
        "gauge" => Ok(Asks::Gauge(rest.to_owned())),
        "steady" => {
            let motion = Motion::ALL.into_iter().find(|motion| motion.code() == rest);
            motion.map(Asks::Steady).ok_or("no such motion")
        }
        _ => Ok(Asks::Look),
    }
}

fn blank(code: String, edition: String) -> Check {
    Check {
        code,
        title: String::new(),
        demand: None,
        kinds: Vec::new(),
        covers: Vec::new(),
        functional: false,
        asks: Asks::Look,
        limit: None,
        rule: None,
        edition,
        status: Status::Practice,
        source: None,
        row: None,
        caution: None,
    }
}

/// What must hold of every check before it may be used.
fn complete(edition: &Edition) -> Result<(), &'static str> {
    for check in &edition.checks {
        if check.title.is_empty() || check.kinds.is_empty() || check.covers.is_empty() {
            return Err("a check lacks title, kinds or covers");
        }
        if check.limit.is_none() && check.demand.is_none() {
            return Err("a check has neither limit nor demand");
        }
        let sourced = check.row.is_some() && check.source.is_some();
        let practice = check.status == Status::Practice;
        if sourced == practice || (practice && check.limit.is_some()) {
            return Err("a check has a source exactly when it is not practice");
        }
    }
    Ok(())
}

fn cells<const N: usize>(rest: &str) -> Result<[String; N], &'static str> {
    let cells: Vec<String> = rest.split('|').map(|cell| cell.trim().to_owned()).collect();
    cells.try_into().map_err(|_| "wrong number of cells")
}

fn words<T>(rest: &str, read: fn(&str) -> Option<T>, what: &'static str) -> Result<Vec<T>, &'static str> {
    rest.split_whitespace().map(|word| read(word).ok_or(what)).collect()
}

fn row(rest: &str) -> Result<SourceRow, &'static str> {
    let [section, item, quantity] = cells(rest)?;
    let section = section.chars().next().ok_or("a row needs its section")?;
    Ok(SourceRow { section, item, quantity })
}

fn limit(rest: &str) -> Result<Limit, &'static str> {
    let words: Vec<&str> = rest.split_whitespace().collect();
    let number = |text: &str| text.parse::<i64>().map_err(|_| "not a whole number");
    let (bound, unit) = match words[..] {
        ["less_than", value, unit] => (Bound::LessThan(number(value)?), unit),
        ["at_most", value, unit] => (Bound::AtMost(number(value)?), unit),
        ["more_than", value, unit] => (Bound::MoreThan(number(value)?), unit),
        ["at_least", value, unit] => (Bound::AtLeast(number(value)?), unit),
        ["between", low, high, unit] => (Bound::Between(number(low)?, number(high)?), unit),
        _ => return Err("not a limit"),
    };
    Ok(Limit { bound, unit: Unit::from_name(unit).ok_or("no such unit")? })
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = "edition x | X | about\ncheck a\n title T\n kinds foil\n covers point\n reading at_most 2000 ohm\n row E | i | q\n status C\n source S\n";

    fn refused(from: &str, to: &str) -> &'static str {
        parse(&GOOD.replace(from, to)).map_or_else(|problem| problem.what, |_| "accepted")
    }

    #[test]
    fn a_second_edition_is_a_matter_of_text() {
        let edition = parse(GOOD);
        assert_eq!(edition.as_ref().map(|e| e.code.as_str()), Ok("x"));
        assert_eq!(edition.map(|e| e.checks[0].limit_text()), Ok("at most 2 ohm".to_owned()));
    }

    #[test]
    fn slips_in_the_text_are_refused() {
        assert_eq!(refused("edition x", "version x"), "the first line must be the edition");
        assert_eq!(refused("kinds foil", "kinds fiol"), "no such kind of item");
        assert_eq!(refused("covers point", "covers pint"), "no such kind of work");
        assert_eq!(refused("at_most 2000", "at_most 2.0"), "not a whole number");
        assert_eq!(refused("at_most", "about"), "not a limit");
        assert_eq!(refused("ohm", "ohms"), "no such unit");
        assert_eq!(refused("status C", "status D"), "no such status");
        assert_eq!(refused("title", "tittle"), "no such word");
        assert_eq!(refused("covers point", ""), "a check lacks title, kinds or covers");
        assert_eq!(refused("source S", ""), "a check has a source exactly when it is not practice");
        assert_eq!(refused("check a", "check a\ncheck a"), "a check needs a code of its own");
        assert_eq!(refused("reading at_most 2000 ohm", "look"), "a check has neither limit nor demand");
        assert_eq!(refused("", ""), "accepted");
    }
}
