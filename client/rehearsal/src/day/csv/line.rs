//! One line of the log: what each column says, checked against the tournament and against each other.

use jiff::tz::TimeZone;
use remise_core::armoury::{Need, Spot, Wanted};
use remise_core::gear::{Complaint, ItemKind, Weapon};
use remise_core::ids::StripId;
use remise_core::text::{self, folded};
use remise_core::time::{Span, Stamp};
use remise_core::venue::Venue;
use remise_server::tournament::local::{LocalProblem, offset_text, parse_local};
use remise_server::tournament::{shown, suggest};

use super::problem::{Column, LineProblem};
use super::sheet::Row;

/// Most hands-on minutes of one repair.
const MINUTES_MAX: i64 = 600;
/// A wanted-by time may lie so long after the last day's close, as the armoury itself accepts.
const SLACK: Span = Span::minutes(24 * 60);

/// What a line says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Said {
    pub at: Stamp,
    pub spot: Spot,
    pub fencer: Option<String>,
    pub kind: ItemKind,
    pub complaint: Complaint,
    pub need: Need,
    pub wanted: Wanted,
    pub hands_on: Option<Span>,
}

/// Reads lines of one tournament and notes everything that is wrong with them.
pub(super) struct Reader<'v> {
    pub venue: &'v Venue,
    pub zone: TimeZone,
    pub problems: Vec<LineProblem>,
}

impl Reader<'_> {
    /// What a line says; `None` when something in it is wrong or a column is missing.
    pub fn read(&mut self, row: &Row) -> Option<Said> {
        let at = self.take(row, Column::At, Self::at);
        let spot = self.take(row, Column::Strip, Self::spot);
        let fencer = self.take(row, Column::Fencer, |_, text| maybe(text, fencer));
        let weapon = self.take(row, Column::Weapon, |_, text| weapon(text));
        let kind = weapon
            .and_then(|weapon| self.take(row, Column::Item, |_, text| ItemKind::from_words(weapon, text)));
        let complaint =
            kind.and_then(|kind| self.take(row, Column::Complaint, |_, text| complaint(kind, text)));
        let need = self.take(row, Column::Need, |_, text| need(kind, text));
        let wanted =
            self.take(row, Column::WantedBy, |reader, text| maybe(text, |text| reader.wanted_by(at, text)));
        let hands_on = self.take(row, Column::Minutes, |_, text| maybe(text, minutes));
        Some(Said {
            at: at?,
            spot: spot?,
            fencer: fencer?,
            kind: kind?,
            complaint: complaint?,
            need: need?,
            wanted: wanted?.map_or(Wanted::Open, Wanted::At),
            hands_on: hands_on?,
        })
    }

    fn take<T>(
        &mut self,
        row: &Row,
        column: Column,
        read: impl FnOnce(&Self, &str) -> Result<T, String>,
    ) -> Option<T> {
        match read(self, row.field(column)?) {
            Ok(value) => Some(value),
            Err(why) => {
                self.problems.push(LineProblem { line: row.line, column, why });
                None
            }
        }
    }

    fn at(&self, text: &str) -> Result<Stamp, String> {
        let at = self.local(text)?;
        if self.venue.days.iter().any(|day| day.contains(at)) {
            return Ok(at);
        }
        Err(format!("`{}` lies outside the hours of every day of the tournament file", shown(text)))
    }

    fn wanted_by(&self, at: Option<Stamp>, text: &str) -> Result<Stamp, String> {
        let wanted = self.local(text)?;
        if at.is_some_and(|at| wanted < at) {
            return Err(format!("`{}` lies before the hand-in", shown(text)));
        }
        let last = self.venue.days.last().map(|day| day.to + SLACK);
        if last.is_some_and(|last| wanted > last) {
            return Err(format!("`{}` lies more than a day after the tournament", shown(text)));
        }
        Ok(wanted)
    }

    fn local(&self, text: &str) -> Result<Stamp, String> {
        if text.is_empty() {
            return Err("it is empty; write a local time such as 2026-05-02T10:31".to_owned());
        }
        parse_local(text, &self.zone).map_err(|problem| {
            let text = shown(text);
            match problem {
                LocalProblem::Fold { first, second } => format!(
                    "`{text}`: {problem}; write `{text}{}` for the earlier or `{text}{}` for the later",
                    offset_text(first),
                    offset_text(second)
                ),
                _ => format!("`{text}`: {problem}"),
            }
        })
    }

    fn spot(&self, text: &str) -> Result<Spot, String> {
        let said = folded(text);
        if said == "counter" || said == folded(&self.venue.counter) {
            return Ok(Spot::Counter);
        }
        let named = self.venue.strips.iter().find(|strip| folded(&strip.name) == said);
        let number = || said.parse().ok().map(StripId);
        let numbered = || self.venue.strips.iter().find(|strip| Some(strip.id) == number());
        if let Some(strip) = named.or_else(numbered) {
            return Ok(Spot::Strip(strip.id));
        }
        let words = self.venue.strips.iter().map(|strip| strip.name.as_str()).chain(["counter"]);
        let near = suggest::nearest(&said, words).map(|near| format!("; did you mean `{near}`?"));
        let what =
            if said.is_empty() { "it is empty".to_owned() } else { format!("no strip `{}`", shown(text)) };
        Err(what + &near.unwrap_or_else(|| "; give a strip of the tournament file, or `counter`".to_owned()))
    }
}

fn maybe<T>(text: &str, read: impl FnOnce(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.is_empty() { Ok(None) } else { read(text).map(Some) }
}

fn fencer(text: &str) -> Result<String, String> {
    text::name(text).map_err(|problem| format!("`{}`: {problem}", shown(text)))
}

fn weapon(text: &str) -> Result<Option<Weapon>, String> {
    match text.to_lowercase().as_str() {
        "none" => Ok(None),
        "foil" => Ok(Some(Weapon::Foil)),
        "epee" | "épée" => Ok(Some(Weapon::Epee)),
        "sabre" => Ok(Some(Weapon::Sabre)),
        other => Err(unknown(other, &["foil", "epee", "sabre", "none"])),
    }
}

/// By code, by full or by short name.
fn complaint(kind: ItemKind, text: &str) -> Result<Complaint, String> {
    let offered = Complaint::for_kind(kind);
    let codes: Vec<&str> = offered.iter().map(|complaint| complaint.code()).collect();
    let (said, plain) = (folded(text), folded(text).replace([' ', '-'], "_"));
    let is = |complaint: &&Complaint| {
        complaint.code() == plain || folded(complaint.title()) == said || folded(complaint.short()) == said
    };
    let Some(complaint) = Complaint::ALL.iter().find(is) else {
        let words =
            offered.iter().flat_map(|complaint| [complaint.code(), complaint.title(), complaint.short()]);
        let near = suggest::nearest(&said, words);
        let hint = near.map_or_else(
            || format!("known for a {}: {}", kind.title(), codes.join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        return Err(format!("unknown complaint `{}`; {hint}", shown(text)));
    };
    if offered.contains(complaint) {
        return Ok(*complaint);
    }
    Err(format!(
        "a {} is not handed in for `{}`; known: {}",
        kind.title(),
        complaint.code(),
        codes.join(", ")
    ))
}

fn need(kind: Option<ItemKind>, text: &str) -> Result<Need, String> {
    let plain = folded(text).replace([' ', '-'], "_");
    let Some(need) = Need::from_code(&plain) else {
        let codes: Vec<&str> = Need::ALL.iter().map(|need| need.code()).collect();
        return Err(unknown(&plain, &codes));
    };
    match kind {
        Some(kind) if need == Need::StripStopped && !kind.is_apparatus() => {
            Err(format!("`strip_stopped` is for apparatus, and a {} is none", kind.title()))
        }
        _ => Ok(need),
    }
}

fn unknown(word: &str, known: &[&str]) -> String {
    let what =
        if word.is_empty() { "it is empty".to_owned() } else { format!("unknown word `{}`", shown(word)) };
    format!("{what}; {}", suggest::hint(word, known))
}

/// `12`, `12.5` or `12,25`: up to two decimals, more than 0.
fn minutes(text: &str) -> Result<Span, String> {
    let refuse = || {
        let text = shown(text);
        format!("`{text}` is no number of minutes over 0 and up to {MINUTES_MAX}, such as 12 or 12.5")
    };
    let (whole, decimals) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    let digits =
        |part: &str, most| (1..=most).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole, 3) || !digits(decimals, 2) {
        return Err(refuse());
    }
    let whole: i64 = whole.parse().map_err(|_| refuse())?;
    let hundredths: i64 = format!("{decimals:0<2}").parse().map_err(|_| refuse())?;
    let all = whole * 100 + hundredths;
    if all == 0 || all > MINUTES_MAX * 100 {
        return Err(refuse());
    }
    Ok(Span(Span::minutes(1).0 / 100 * all))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_exact() {
        assert_eq!(minutes("12"), Ok(Span::minutes(12)));
        assert_eq!(minutes("12.5"), Ok(Span::seconds(750)));
        assert_eq!(minutes("0,25"), Ok(Span::seconds(15)));
        for text in ["0", "-1", "601", "1e3", "12.", ".5", "12.345", "NaN", "0012", "٣"] {
            assert!(minutes(text).is_err(), "{text}");
        }
    }

    #[test]
    fn complaints_go_by_code_or_name_and_must_fit_the_kind() {
        let foil = ItemKind::Foil;
        assert_eq!(complaint(foil, "white_on_off"), Ok(Complaint::WhiteOnOff));
        assert_eq!(complaint(foil, "White on and off"), Ok(Complaint::WhiteOnOff));
        assert_eq!(complaint(foil, "white light comes and goes, no hit"), Ok(Complaint::WhiteOnOff));
        let slip = complaint(foil, "white_on_of").map_err(|why| why.contains("did you mean `white_on_off`?"));
        assert_eq!(slip, Err(true));
        let strange = complaint(foil, "mesh damaged").map_err(|why| why.contains("not handed in for"));
        assert_eq!(strange, Err(true));
    }
}
