//! Reads estimates: a line at a time, the first that does not fit is named.

use super::estimates::{Cause, Estimates, EstimatesProblem, Held, Line, OfKind, Opening, Rates, Stir};
use crate::circuit::{Action, bench_actions, fault_mode, probes, usual_weapon};
use crate::estimate_lines::lines;
use crate::gear::{self, ItemKind, Weapon};

/// Longest file that is looked at, in bytes.
const LONGEST: usize = 256 << 10;
/// Most minutes that a check may be said to take.
const MINUTES_MOST: f64 = 120.0;
/// Largest weight or share.
const WEIGHT_MOST: f64 = 10_000.0;
/// Most openings and most checks of a kind: they are kept as bits.
const CHECKS_MOST: usize = 64;

type Read<T> = Result<T, &'static str>;

#[derive(Default)]
struct Reading {
    lamp: Option<Rates>,
    meter: Option<Rates>,
    apparatus: Option<Rates>,
    complaint_wrong: Option<f64>,
    way_mismatch: Option<f64>,
    unsure: Option<f64>,
    mended_in_vain: Option<f64>,
    kinds: Vec<OfKind>,
    /// The line of the last kind, and the place that was named last.
    begun: usize,
    place: Option<String>,
}

pub(super) fn parse(bytes: &[u8]) -> Result<Estimates, EstimatesProblem> {
    let at = |line: usize| move |what: &'static str| EstimatesProblem { line, what };
    let lines = lines(bytes, LONGEST).map_err(|(line, what)| at(line)(what))?;
    let mut reading = Reading::default();
    let last = lines.last().map_or(1, |(number, ..)| *number);
    for (number, word, rest) in lines {
        if word == "kind" {
            reading.end_kind().map_err(at(reading.begun))?;
            reading.begun = number;
        }
        reading.take(word, rest).map_err(at(number))?;
    }
    reading.end_kind().map_err(at(reading.begun))?;
    reading.end().map_err(at(last))
}

impl Reading {
    fn take(&mut self, word: &str, rest: &str) -> Read<()> {
        match word {
            "rates" => self.rates(rest),
            "complaint_wrong" => once(&mut self.complaint_wrong, chance(rest)),
            "way_mismatch" => once(&mut self.way_mismatch, chance(rest)),
            "unsure" => once(&mut self.unsure, chance(rest)),
            "mended_in_vain" => once(&mut self.mended_in_vain, chance(rest)),
            "kind" => self.kind(rest),
            "open" => self.opening(rest),
            "place" => {
                self.of_kind()?;
                self.place = Some(words(rest)?);
                Ok(())
            }
            "stir" => self.stir(rest),
            "cause" => self.cause(rest),
            _ => Err("no such word here"),
        }
    }

    fn rates(&mut self, rest: &str) -> Read<()> {
        let parts: Vec<&str> = rest.split_whitespace().collect();
        let [of, "missed", missed, "fancied", fancied, "misread", misread] = *parts.as_slice() else {
            return Err(
                "rates are: lamp, meter or box, then missed, fancied and misread, each with its figure",
            );
        };
        let rates = Rates { missed: chance(missed)?, fancied: chance(fancied)?, misread: chance(misread)? };
        if rates.fancied + rates.misread >= 0.5 {
            return Err("fancied and misread together are below 0.5");
        }
        match of {
            "lamp" => once(&mut self.lamp, Ok(rates)),
            "meter" => once(&mut self.meter, Ok(rates)),
            "box" => once(&mut self.apparatus, Ok(rates)),
            _ => Err("rates are those of lamp, meter or box"),
        }
    }

    fn kind(&mut self, rest: &str) -> Read<()> {
        let mut kinds = Vec::new();
        for code in rest.split_whitespace() {
            let kind = ItemKind::from_code(code).ok_or("no kind of item has that code")?;
            if kinds.contains(&kind) || self.kinds.iter().any(|of| of.kinds.contains(&kind)) {
                return Err("that kind was given before");
            }
            kinds.push(kind);
        }
        if kinds.is_empty() {
            return Err("no kind is named");
        }
        self.place = None;
        self.kinds.push(OfKind { kinds, openings: Vec::new(), walk: Vec::new() });
        Ok(())
    }

    fn of_kind(&mut self) -> Read<&mut OfKind> {
        self.kinds.last_mut().ok_or("a kind comes first")
    }

    /// `CODE MINUTES [after CODE] | WHAT`.
    fn opening(&mut self, rest: &str) -> Read<()> {
        let of = self.of_kind()?;
        let (head, what) = rest.split_once('|').ok_or("what is done is parted by |")?;
        let (code, rest) = head.trim().split_once(' ').ok_or("it has a code and minutes")?;
        let (minutes, after) = minutes_after(rest, of)?;
        if of.openings.iter().any(|known| known.code == code) {
            return Err("that code was given before");
        }
        if of.openings.len() >= CHECKS_MOST {
            return Err("more than can be kept apart");
        }
        of.openings.push(Opening { code: code.to_owned(), minutes, after, what: words(what)? });
        Ok(())
    }

    /// `ACTION lamp|meter[@PLACE] MINUTES [after CODE]`.
    fn stir(&mut self, rest: &str) -> Read<()> {
        let place = self.place.clone().ok_or("a place comes first")?;
        let of = self.of_kind()?;
        let (action, rest) = rest.split_once(' ').ok_or("it has an action, lamp or meter, and minutes")?;
        let (held, rest) = rest.trim().split_once(' ').ok_or("it has lamp or meter, and minutes")?;
        let action = Action::from_code(action).ok_or("no action has that code")?;
        let mut known = None;
        for kind in &of.kinds {
            if !bench_actions(*kind).contains(&action) {
                return Err("that is not done on the bench with this kind");
            }
            known = Some(held_at(held, *kind)?);
        }
        let held = known.ok_or("a kind comes first")?;
        let (minutes, after) = minutes_after(rest, of)?;
        let stir = Stir { action, held, minutes, after, place };
        let same = |line: &Line| matches!(line, Line::Stir(known) if known.action == stir.action && known.held == stir.held);
        if of.walk.iter().any(same) {
            return Err("that was given before");
        }
        push(of, Line::Stir(stir))
    }

    /// `FAULT SHARE | look MINUTES [after CODE] | with WORDS | sees S fancies F | ways CODE WEIGHT, CODE WEIGHT`.
    fn cause(&mut self, rest: &str) -> Read<()> {
        let place = self.place.clone().ok_or("a place comes first")?;
        let of = self.of_kind()?;
        let mut parts = rest.split('|').map(str::trim);
        let mut part = |missing| parts.next().ok_or(missing);
        let (code, share) =
            part("a fault is missing")?.split_once(' ').ok_or("a cause has a fault and its share")?;
        let fault = gear::fault(code).ok_or("no fault has that code")?;
        if !of.kinds.iter().all(|kind| fault.kinds.contains(kind)) {
            return Err("a kind that was named cannot have that fault");
        }
        if of.causes().any(|known| known.fault.id == fault.id) {
            return Err("that fault was given before");
        }
        let look = part("the look is missing")?.strip_prefix("look ").ok_or("here comes: look MINUTES")?;
        let (minutes, after) = minutes_after(look, of)?;
        let with =
            part("by what one looks is missing")?.strip_prefix("with ").ok_or("here comes: with WORDS")?;
        let (sees, fancies) = sees(part("sees and fancies are missing")?)?;
        let ways = parts.next();
        if parts.next().is_some() {
            return Err("something stands after the ways");
        }
        let ways = ways_of(ways, fault.id, &of.kinds)?;
        let share_permille = weight(share)?;
        let cause =
            Cause { fault, share_permille, minutes, after, with: words(with)?, sees, fancies, ways, place };
        push(of, Line::Look(cause))
    }

    /// Every fault of the kind must have been given.
    fn end_kind(&self) -> Read<()> {
        let Some(of) = self.kinds.last() else { return Ok(()) };
        let given = |id: &str| of.causes().any(|cause| cause.fault.id == id);
        let mut all = of.kinds.iter().flat_map(|kind| gear::faults(*kind));
        if all.all(|fault| given(fault.id)) { Ok(()) } else { Err("the kind lacks a fault that it can have") }
    }

    fn end(self) -> Read<Estimates> {
        let known = |kind: &ItemKind| self.kinds.iter().any(|of| of.kinds.contains(kind));
        if !ItemKind::ALL.iter().all(known) {
            return Err("a kind of item is missing");
        }
        Ok(Estimates {
            lamp: self.lamp.ok_or("rates lamp is missing")?,
            meter: self.meter.ok_or("rates meter is missing")?,
            apparatus: self.apparatus.ok_or("rates box is missing")?,
            complaint_wrong: self.complaint_wrong.ok_or("complaint_wrong is missing")?,
            way_mismatch: self.way_mismatch.ok_or("way_mismatch is missing")?,
            unsure: self.unsure.ok_or("unsure is missing")?,
            mended_in_vain: self.mended_in_vain.ok_or("mended_in_vain is missing")?,
            kinds: self.kinds,
        })
    }
}

fn push(of: &mut OfKind, line: Line) -> Read<()> {
    if of.walk.len() >= CHECKS_MOST {
        return Err("more checks than can be kept apart");
    }
    of.walk.push(line);
    Ok(())
}

fn held_at(held: &str, kind: ItemKind) -> Read<Held> {
    match held.split_once('@') {
        None if held == "lamp" => Ok(Held::Lamp),
        None if held == "meter" => Ok(Held::Meter(None)),
        Some(("meter", place)) => {
            let known = probes(kind, usual_weapon(kind)).iter().find(|probe| probe.code == place);
            known.map(|probe| Held::Meter(Some(probe.code))).ok_or("the meter has no such place on this kind")
        }
        _ => Err("it is done with lamp, meter, or meter@PLACE"),
    }
}

/// `MINUTES [after CODE]`.
fn minutes_after(text: &str, of: &OfKind) -> Read<(f64, Option<usize>)> {
    let parts: Vec<&str> = text.split_whitespace().collect();
    let after = match *parts.as_slice() {
        [_] => None,
        [_, "after", code] => {
            let known = of.openings.iter().position(|opening| opening.code == code);
            Some(known.ok_or("nothing that is opened before has that code")?)
        }
        _ => return Err("here come minutes, and perhaps: after CODE"),
    };
    let minutes = number(parts[0]).filter(|minutes| *minutes > 0.0 && *minutes <= MINUTES_MOST);
    Ok((minutes.ok_or("that is no figure of minutes above 0 and up to 120")?, after))
}

fn sees(text: &str) -> Read<(f64, f64)> {
    let parts: Vec<&str> = text.split_whitespace().collect();
    let ["sees", sees, "fancies", fancies] = *parts.as_slice() else {
        return Err("here come: sees and its chance, fancies and its chance");
    };
    let sees = number(sees).filter(|sees| *sees > 0.5 && *sees <= 1.0).ok_or("sees is above 0.5, up to 1")?;
    Ok((sees, number(fancies).filter(|it| *it < 0.5).ok_or("fancies is from 0 to below 0.5")?))
}

/// The weights of all ways in which the fault comes on those kinds.
fn ways_of(text: Option<&str>, fault: &str, kinds: &[ItemKind]) -> Read<Vec<(&'static str, f64)>> {
    let known = known_ways(fault, kinds);
    let Some(text) = text else {
        return if known.is_empty() { Ok(Vec::new()) } else { Err("the circuit feels it: ways are missing") };
    };
    let text = text.strip_prefix("ways ").ok_or("here comes: ways CODE WEIGHT, CODE WEIGHT")?;
    let mut ways: Vec<(&'static str, f64)> = Vec::new();
    for one in text.split(',') {
        let (code, share) = one.trim().split_once(' ').ok_or("a way has a code and a weight")?;
        let code =
            known.iter().copied().find(|known| *known == code).ok_or("the fault has no such way here")?;
        if ways.iter().any(|(given, _)| *given == code) {
            return Err("that way was given before");
        }
        ways.push((code, weight(share)?));
    }
    if ways.len() == known.len() { Ok(ways) } else { Err("a way of the fault is missing") }
}

fn known_ways(fault: &str, kinds: &[ItemKind]) -> Vec<&'static str> {
    let mut known = Vec::new();
    let Some(mode) = fault_mode(fault).filter(|mode| mode.is_electrical()) else { return known };
    for weapon in Weapon::ALL.into_iter().filter(|weapon| kinds.iter().any(|kind| kind.serves(*weapon))) {
        for way in mode.ways(weapon) {
            if !known.contains(&way.code) {
                known.push(way.code);
            }
        }
    }
    known
}

fn once<T>(place: &mut Option<T>, value: Read<T>) -> Read<()> {
    if place.replace(value?).is_some() { Err("that was given before") } else { Ok(()) }
}

/// A plain decimal.
fn number(text: &str) -> Option<f64> {
    let plain = text.len() <= 12 && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    plain.then(|| text.parse().ok()).flatten()
}

fn chance(text: &str) -> Read<f64> {
    number(text).filter(|it| *it > 0.0 && *it < 1.0).ok_or("that is no chance above 0 and below 1")
}

fn weight(text: &str) -> Read<f64> {
    let value = number(text.trim()).filter(|value| *value > 0.0 && *value <= WEIGHT_MOST);
    value.ok_or("that is no weight above 0 and up to 10000")
}

fn words(text: &str) -> Read<String> {
    let text = text.trim();
    if text.is_empty() || text.chars().any(char::is_control) || text.chars().count() > 120 {
        return Err("here come some words, up to 120 characters");
    }
    Ok(text.to_owned())
}
