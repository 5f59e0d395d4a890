//! What a stop-gap and the lasting repair of a fault take, and how long they hold: the estimates of
//! `data/lasting/estimates.txt`, which a person can read and change.

use std::sync::LazyLock;

use thiserror::Error;

use crate::estimate_lines::lines;
use crate::gear::{self, Fault, Minutes, Work};

const BUILT_IN: &str = include_str!("../../data/lasting/estimates.txt");
/// Longest file that is looked at, in bytes.
const LONGEST: usize = 256 << 10;
/// Most minutes that a repair may be said to take.
const MINUTES_MOST: u16 = 600;
/// Largest figure of the other kinds: hours, minutes, failures.
const FIGURE_MOST: f64 = 10_000.0;

static ESTIMATES: LazyLock<Estimates> = LazyLock::new(|| {
    parse(BUILT_IN.as_bytes()).expect("the built-in estimates are well formed; a test reads them")
});

/// One way of mending a fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// What is done.
    pub what: String,
    /// The kind of work that it is.
    pub work: Work,
    /// Bench minutes.
    pub minutes: Minutes,
    /// Minutes for which glue sets afterwards; 0 without glue.
    pub curing_min: u16,
}

/// The two ways of mending a fault.
#[derive(Clone, Debug, PartialEq)]
pub struct TwoWays {
    /// The fault's code.
    pub fault: &'static str,
    /// What helps for the day.
    pub stop_gap: Way,
    /// What lasts.
    pub lasting: Way,
    /// Hours of fencing after which half of the stop-gaps have failed again, before any were seen.
    pub holds_h: f64,
}

/// All estimates.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimates {
    /// Minutes besides the repair that a failure in use costs.
    pub again_min: f64,
    /// Hours of fencing after which half of the lasting repairs have failed again.
    pub lasting_holds_h: f64,
    /// How many failures seen the estimate of a stop-gap is worth.
    pub worth_failures: f64,
    /// Of the time that a fencer has an item in the tournament's hours, the share in which it is fenced with; at most 1.
    pub fencing_share: f64,
    /// Faults that have both ways, in the order of the file.
    pub faults: Vec<TwoWays>,
}

/// A line that does not fit; its number from 1, and what is wrong.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("line {line}: {what}; the estimates in use were not changed")]
pub struct EstimatesProblem {
    /// Number of the line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub what: &'static str,
}

impl Estimates {
    /// Those that are built in.
    pub fn built_in() -> &'static Self {
        &ESTIMATES
    }

    /// The two ways of mending a fault; `None` where there is no choice.
    pub fn of(&self, fault: &str) -> Option<&TwoWays> {
        self.faults.iter().find(|ways| ways.fault == fault)
    }
}

/// A fault as far as its lines have been read.
struct Begun {
    fault: &'static Fault,
    line: usize,
    stop_gap: Option<Way>,
    lasting: Option<Way>,
    holds_h: Option<f64>,
}

#[derive(Default)]
struct Reading {
    again_min: Option<f64>,
    lasting_holds_h: Option<f64>,
    worth_failures: Option<f64>,
    fencing_share: Option<f64>,
    faults: Vec<TwoWays>,
    begun: Option<Begun>,
}

/// Reads estimates.
///
/// # Errors
/// The first line that does not fit: no text, too long, an unknown word or fault, a figure that is none or out of
/// range, something given twice or left out.
pub fn parse(bytes: &[u8]) -> Result<Estimates, EstimatesProblem> {
    let at = |line: usize| move |what: &'static str| EstimatesProblem { line, what };
    let lines = lines(bytes, LONGEST).map_err(|(line, what)| at(line)(what))?;
    let mut reading = Reading::default();
    let last = lines.last().map_or(1, |(number, ..)| *number);
    for (number, word, rest) in lines {
        reading.take(number, word, rest)?;
    }
    reading.end_fault()?;
    let missing = at(last);
    Ok(Estimates {
        again_min: reading.again_min.ok_or_else(|| missing("again_min is missing"))?,
        lasting_holds_h: reading.lasting_holds_h.ok_or_else(|| missing("lasting_holds_h is missing"))?,
        worth_failures: reading.worth_failures.ok_or_else(|| missing("worth_failures is missing"))?,
        fencing_share: reading.fencing_share.ok_or_else(|| missing("fencing_share is missing"))?,
        faults: reading.faults,
    })
}

impl Reading {
    fn take(&mut self, line: usize, word: &str, rest: &str) -> Result<(), EstimatesProblem> {
        if word == "fault" {
            self.end_fault()?;
            self.begun = Some(self.begin(rest, line).map_err(|what| EstimatesProblem { line, what })?);
            return Ok(());
        }
        let done = match (&mut self.begun, word) {
            (None, "again_min") => once(&mut self.again_min, figure(rest)),
            (None, "lasting_holds_h") => once(&mut self.lasting_holds_h, figure(rest)),
            (None, "worth_failures") => once(&mut self.worth_failures, figure(rest)),
            (None, "fencing_share") => once(&mut self.fencing_share, share(rest)),
            (Some(begun), "stop_gap") => once(&mut begun.stop_gap, way(rest, begun.fault)),
            (Some(begun), "lasting") => once(&mut begun.lasting, way(rest, begun.fault)),
            (Some(begun), "holds_h") => once(&mut begun.holds_h, figure(rest)),
            _ => Err("no such word here"),
        };
        done.map_err(|what| EstimatesProblem { line, what })
    }

    fn begin(&self, code: &str, line: usize) -> Result<Begun, &'static str> {
        let fault = gear::fault(code).ok_or("no fault has that code")?;
        if self.faults.iter().any(|ways| ways.fault == fault.id) {
            return Err("that fault was given before");
        }
        Ok(Begun { fault, line, stop_gap: None, lasting: None, holds_h: None })
    }

    fn end_fault(&mut self) -> Result<(), EstimatesProblem> {
        let Some(begun) = self.begun.take() else { return Ok(()) };
        let missing = |what| EstimatesProblem { line: begun.line, what };
        self.faults.push(TwoWays {
            fault: begun.fault.id,
            stop_gap: begun.stop_gap.ok_or(missing("the fault has no stop_gap"))?,
            lasting: begun.lasting.ok_or(missing("the fault has no lasting"))?,
            holds_h: begun.holds_h.ok_or(missing("the fault has no holds_h"))?,
        });
        Ok(())
    }
}

fn once<T>(place: &mut Option<T>, value: Result<T, &'static str>) -> Result<(), &'static str> {
    if place.replace(value?).is_some() { Err("that was given before") } else { Ok(()) }
}

/// A figure above 0.
fn figure(text: &str) -> Result<f64, &'static str> {
    let plain = text.len() <= 12 && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let value: Option<f64> = plain.then(|| text.parse().ok()).flatten();
    value
        .filter(|value| *value > 0.0 && *value <= FIGURE_MOST)
        .ok_or("that is no figure above 0 and up to 10000")
}

/// A figure above 0 and up to 1.
fn share(text: &str) -> Result<f64, &'static str> {
    figure(text).ok().filter(|value| *value <= 1.0).ok_or("that is no share above 0 and up to 1")
}

/// `what is done | minutes`.
fn way(text: &str, own: &Fault) -> Result<Way, &'static str> {
    let (what, minutes) = text.split_once('|').ok_or("what is done and its minutes are parted by |")?;
    let what = what.trim();
    if what.is_empty() || what.chars().any(char::is_control) {
        return Err("it is not said what is done");
    }
    let (work, minutes, curing) = match minutes.trim() {
        "table" => (own.work, own.minutes, own.curing_min),
        other => match other.strip_prefix("as ") {
            Some(code) => {
                let other = gear::fault(code.trim()).ok_or("no fault has that code")?;
                (other.work, other.minutes, other.curing_min)
            }
            None => (own.work, three(other)?, None),
        },
    };
    Ok(Way { what: what.to_owned(), work, minutes, curing_min: curing.unwrap_or(0) })
}

/// Likely, low and high.
fn three(text: &str) -> Result<Minutes, &'static str> {
    let numbers: Vec<u16> = text.split_whitespace().map_while(|word| word.parse().ok()).collect();
    let in_order =
        |low: u16, likely: u16, high: u16| 0 < low && low <= likely && likely <= high && low < high;
    match *numbers.as_slice() {
        [likely, low, high] if in_order(low, likely, high) && high <= MINUTES_MOST => {
            Ok(Minutes { likely, low, high })
        }
        _ => Err("minutes are three whole numbers: likely, low and high, or: table, or: as CODE"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;
    use crate::gear::{ItemKind, Lasting};

    /// The fault table says of which faults there is a stop-gap: tests/reference/faults.csv, last column but one.
    #[test]
    fn every_fault_with_a_stop_gap_has_its_two_ways_and_no_other() {
        let all = ItemKind::ALL.into_iter().flat_map(gear::faults);
        let table: BTreeSet<&str> = all
            .filter(|fault| matches!(fault.lasting, Lasting::StopGap | Lasting::Either))
            .map(|fault| fault.id)
            .collect();
        let here: BTreeSet<&str> = Estimates::built_in().faults.iter().map(|ways| ways.fault).collect();
        assert_eq!(here, table);
    }

    #[test]
    fn a_stop_gap_is_quicker_and_holds_less_long() {
        let all = Estimates::built_in();
        for ways in &all.faults {
            assert!(ways.stop_gap.minutes.likely <= ways.lasting.minutes.likely, "{}", ways.fault);
            assert!(ways.holds_h < all.lasting_holds_h, "{}", ways.fault);
        }
        let barrel = all.of("foil_barrel_loose").unwrap();
        assert_eq!(
            (barrel.lasting.minutes.likely, barrel.lasting.curing_min),
            (35, 10),
            "as a rewire in the table"
        );
        assert_eq!((barrel.stop_gap.work, barrel.lasting.work), (Work::Point, Work::BladeWire));
        assert_eq!(all.of("foil_point_dirty"), None);
    }

    #[test]
    fn what_does_not_fit_is_named_with_its_line() {
        let good = "again_min 15\nlasting_holds_h 300\nworth_failures 2\nfencing_share 0.5\nfault foil_spring_weak\nstop_gap a | 3 1 5\nlasting b | table\nholds_h 4\n";
        assert!(parse(good.as_bytes()).is_ok());
        for (from, to, line, what) in [
            ("again_min 15\n", "", 7, "again_min is missing"),
            ("again_min 15", "again_min -15", 1, "no figure above 0"),
            ("again_min 15", "again_min 15\nagain_min 16", 2, "given before"),
            ("fencing_share 0.5", "fencing_share 1.5", 4, "no share above 0 and up to 1"),
            ("fencing_share 0.5\n", "", 7, "fencing_share is missing"),
            ("foil_spring_weak", "foil_sprung", 5, "no fault has that code"),
            ("3 1 5", "1 3 5", 6, "three whole numbers"),
            ("3 1 5", "3 1", 6, "three whole numbers"),
            ("| 3 1 5", "3 1 5", 6, "parted by |"),
            ("b | table", "b | as nothing", 7, "no fault has that code"),
            ("b | table", "| table", 7, "not said what is done"),
            ("holds_h 4\n", "", 5, "has no holds_h"),
            ("holds_h 4", "holds_h inf", 8, "no figure"),
            ("holds_h 4", "hold 4", 8, "no such word"),
        ] {
            let problem = parse(good.replacen(from, to, 1).as_bytes()).unwrap_err();
            assert_eq!(problem.line, line, "{to}: {problem}");
            assert!(problem.to_string().contains(what), "{to}: {problem}");
        }
        assert_eq!(parse(&vec![b'#'; LONGEST + 1]).unwrap_err().line, 1);
        assert_eq!(parse(&[0xff]).unwrap_err().line, 1);
    }

    proptest! {
        #[test]
        fn parsing_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let _ = parse(&bytes);
        }
    }
}
