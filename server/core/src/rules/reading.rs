//! Readings typed by a person, as exact decimals in the smallest unit. No floating point: `1.8 ohm` is 1800
//! milliohm, and a reading that does not fit in whole smallest units is refused, never rounded.

use std::fmt;

use thiserror::Error;

/// Longest reading that is looked at, in bytes.
pub(super) const TEXT_MAX: usize = 32;
/// Largest reading, in smallest units: a megohm, a hundred tonnes, ten kilometres.
const VALUE_MAX: i64 = 1_000_000_000;

/// A unit in which a limit is published and a reading is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unit {
    /// Ohm; smallest unit milliohm.
    Ohm,
    /// Gram; smallest unit a tenth of a gram.
    Gram,
    /// Kilogram; smallest unit a tenth of a gram.
    Kilogram,
    /// Millimetre; smallest unit a hundredth of a millimetre.
    Millimetre,
    /// Centimetre; smallest unit a hundredth of a millimetre.
    Centimetre,
    /// Metre; smallest unit a hundredth of a millimetre.
    Metre,
    /// Volt; smallest unit millivolt.
    Volt,
    /// Newton; smallest unit newton.
    Newton,
}

/// How units may be written, and how many smallest units one is. Compared in lower case.
const SPELLINGS: [(&str, Unit, i64); 23] = [
    ("ohm", Unit::Ohm, 1_000),
    ("ohms", Unit::Ohm, 1_000),
    ("ω", Unit::Ohm, 1_000),
    ("mohm", Unit::Ohm, 1),
    ("mω", Unit::Ohm, 1),
    ("kohm", Unit::Ohm, 1_000_000),
    ("kω", Unit::Ohm, 1_000_000),
    ("g", Unit::Gram, 10),
    ("gram", Unit::Gram, 10),
    ("grams", Unit::Gram, 10),
    ("kg", Unit::Kilogram, 10_000),
    ("mm", Unit::Millimetre, 100),
    ("cm", Unit::Centimetre, 1_000),
    ("m", Unit::Metre, 100_000),
    ("v", Unit::Volt, 1_000),
    ("volt", Unit::Volt, 1_000),
    ("volts", Unit::Volt, 1_000),
    ("mv", Unit::Volt, 1),
    ("n", Unit::Newton, 1),
    ("newton", Unit::Newton, 1),
    ("metre", Unit::Metre, 100_000),
    ("metres", Unit::Metre, 100_000),
    ("kilogram", Unit::Kilogram, 10_000),
];

/// What a unit measures.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Quantity {
    Resistance,
    Mass,
    Length,
    Voltage,
    Force,
}

impl Unit {
    /// Every unit.
    pub const ALL: [Self; 8] = [
        Self::Ohm,
        Self::Gram,
        Self::Kilogram,
        Self::Millimetre,
        Self::Centimetre,
        Self::Metre,
        Self::Volt,
        Self::Newton,
    ];

    /// Short name, as shown and as in the data files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Ohm => "ohm",
            Self::Gram => "g",
            Self::Kilogram => "kg",
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Volt => "V",
            Self::Newton => "N",
        }
    }

    /// The unit with that short name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.name() == name)
    }

    /// Smallest units in one of this unit; always a power of ten.
    pub fn smallest(self) -> i64 {
        match self {
            Self::Newton => 1,
            Self::Gram => 10,
            Self::Millimetre => 100,
            Self::Ohm | Self::Centimetre | Self::Volt => 1_000,
            Self::Kilogram => 10_000,
            Self::Metre => 100_000,
        }
    }

    fn quantity(self) -> Quantity {
        match self {
            Self::Ohm => Quantity::Resistance,
            Self::Gram | Self::Kilogram => Quantity::Mass,
            Self::Millimetre | Self::Centimetre | Self::Metre => Quantity::Length,
            Self::Volt => Quantity::Voltage,
            Self::Newton => Quantity::Force,
        }
    }
}

/// A measured value: whole smallest units, and the unit in which it is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading {
    /// In smallest units of `unit`, never negative.
    pub value: i64,
    /// The unit in which it is shown.
    pub unit: Unit,
}

/// Why a reading was refused. Text from outside is never repeated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum ReadingProblem {
    /// Nothing but white space.
    #[error("there is no reading; nothing was recorded. Give a number of {}, or pass or fail", .0.name())]
    Empty(Unit),
    /// Longer than any reading.
    #[error("that is too long for a reading; nothing was recorded. Give a number of {}", .0.name())]
    TooLong(Unit),
    /// Contains a control character.
    #[error("the reading contains a control character; nothing was recorded. Type it again as a number of {}", .0.name())]
    Control(Unit),
    /// Not a plain decimal number.
    #[error("that is not a plain number; nothing was recorded. Give a number of {}, as 1.8 or 1,8", .0.name())]
    NotANumber(Unit),
    /// Below zero.
    #[error("a reading is never below zero; nothing was recorded. Zero the meter and give a number of {}", .0.name())]
    Negative(Unit),
    /// Larger than any that could be meant.
    #[error("that reading is impossibly large; nothing was recorded. Give a number of {}, or fail when the meter shows no end", .0.name())]
    TooLarge(Unit),
    /// Finer than the smallest unit.
    #[error("that reading has too many decimals; nothing was recorded. Give {} in steps of {}", .0.name(), plain(1, *.0))]
    TooFine(Unit),
    /// A unit of another quantity, or none that is known.
    #[error("that unit does not belong to this check; nothing was recorded. Give the reading in {}", .0.name())]
    WrongUnit(Unit),
    /// The check asks for pass or fail.
    #[error("this check is answered with pass or fail, not with a number; nothing was recorded")]
    NoFigureHere,
}

impl Reading {
    /// Reads `1.8`, `1.8 ohm`, `1,8 Ω`, `480 g`, `150 mm` and the like. Without a unit, `unit` is meant; any
    /// unit of the same quantity is accepted and converted exactly.
    pub fn parse(text: &str, unit: Unit) -> Result<Self, ReadingProblem> {
        // The length first: a 10 MB text must not be walked.
        if text.len() > TEXT_MAX {
            return Err(ReadingProblem::TooLong(unit));
        }
        if text.chars().any(char::is_control) {
            return Err(ReadingProblem::Control(unit));
        }
        let text = text.trim();
        if text.is_empty() {
            return Err(ReadingProblem::Empty(unit));
        }
        if text.starts_with(['-', '−']) {
            return Err(ReadingProblem::Negative(unit));
        }
        let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(text.len());
        let (number, written) = text.split_at(end);
        if number.is_empty() {
            return Err(ReadingProblem::NotANumber(unit));
        }
        let smallest = smallest_of(written.trim(), unit)?;
        let value = exact(number, smallest, unit)?;
        Ok(Self { value, unit })
    }
}

impl fmt::Display for Reading {
    /// The value in its unit, without needless zeros: `1.8 ohm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", plain(self.value, self.unit), self.unit.name())
    }
}

/// A value in its unit, without the unit's name and without needless zeros.
pub(super) fn plain(value: i64, unit: Unit) -> String {
    let smallest = unit.smallest();
    let width = decimals(unit);
    let whole = value / smallest;
    let part = format!("{:0width$}", (value % smallest).abs());
    match part.trim_end_matches('0') {
        "" => whole.to_string(),
        part => format!("{whole}.{part}"),
    }
}

fn decimals(unit: Unit) -> usize {
    unit.smallest().ilog10() as usize
}

fn smallest_of(written: &str, unit: Unit) -> Result<i64, ReadingProblem> {
    if written.is_empty() {
        return Ok(unit.smallest());
    }
    // Lower case folds both signs for ohm (U+03A9 and U+2126) into one. A capital M would mean mega.
    let mega = written.starts_with('M') && unit == Unit::Ohm;
    let folded = written.to_lowercase();
    SPELLINGS
        .into_iter()
        .find(|(name, other, _)| !mega && *name == folded && other.quantity() == unit.quantity())
        .map(|(_, _, smallest)| smallest)
        .ok_or(ReadingProblem::WrongUnit(unit))
}

/// The decimal number in smallest units, when it is a whole number of them.
fn exact(number: &str, smallest: i64, unit: Unit) -> Result<i64, ReadingProblem> {
    let (whole, part) = number.split_once(['.', ',']).unwrap_or((number, ""));
    let digits_only = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !digits_only(whole) || !digits_only(part) || number.ends_with(['.', ',']) {
        return Err(ReadingProblem::NotANumber(unit));
    }
    let mut value: i64 = 0;
    for digit in whole.bytes().map(|b| i64::from(b - b'0')) {
        value = value * 10 + digit;
        if value > VALUE_MAX {
            return Err(ReadingProblem::TooLarge(unit));
        }
    }
    value *= smallest;
    let mut step = smallest;
    for digit in part.trim_end_matches('0').bytes().map(|b| i64::from(b - b'0')) {
        if step % 10 != 0 {
            return Err(ReadingProblem::TooFine(unit));
        }
        step /= 10;
        value += digit * step;
    }
    if value > VALUE_MAX { Err(ReadingProblem::TooLarge(unit)) } else { Ok(value) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn read(text: &str, unit: Unit) -> Result<i64, ReadingProblem> {
        Reading::parse(text, unit).map(|reading| reading.value)
    }

    /// Worked by hand.
    #[test]
    fn readings_are_exact() {
        assert_eq!(read("1.8ohm", Unit::Ohm), Ok(1800));
        assert_eq!(read(" 1,8 Ω ", Unit::Ohm), Ok(1800));
        assert_eq!(read("1.8 \u{2126}", Unit::Ohm), Ok(1800));
        assert_eq!(read("1800 mohm", Unit::Ohm), Ok(1800));
        assert_eq!(read("2.000000", Unit::Ohm), Ok(2000));
        assert_eq!(read("2.001", Unit::Ohm), Ok(2001));
        assert_eq!(read("480 g", Unit::Gram), Ok(4800));
        assert_eq!(read("0.48kg", Unit::Gram), Ok(4800));
        assert_eq!(read("499.9", Unit::Gram), Ok(4999));
        assert_eq!(read("15cm", Unit::Centimetre), Ok(15_000));
        assert_eq!(read("150 mm", Unit::Centimetre), Ok(15_000));
        assert_eq!(read("20 m", Unit::Metre), Ok(2_000_000));
        assert_eq!(read("0", Unit::Ohm), Ok(0));
    }

    #[test]
    fn what_is_no_reading_is_refused() {
        use ReadingProblem as P;
        let ohm = Unit::Ohm;
        for (text, problem) in [
            ("", P::Empty(ohm)),
            ("   ", P::Empty(ohm)),
            ("-1", P::Negative(ohm)),
            ("−1 ohm", P::Negative(ohm)),
            ("1.8 g", P::WrongUnit(ohm)),
            ("1.8 Mohm", P::WrongUnit(ohm)),
            ("1.8 furlong", P::WrongUnit(ohm)),
            ("ohm", P::NotANumber(ohm)),
            ("1.2.3", P::NotANumber(ohm)),
            ("1.", P::NotANumber(ohm)),
            (".5", P::NotANumber(ohm)),
            ("1e3", P::WrongUnit(ohm)),
            ("٣", P::NotANumber(ohm)),
            ("1\u{1b}[2J", P::Control(ohm)),
            ("2\n", P::Control(ohm)),
            ("1.8001", P::TooFine(ohm)),
            ("0.5 mohm", P::TooFine(ohm)),
            ("1000001", P::TooLarge(ohm)),
            ("99999999999999999999999999", P::TooLarge(ohm)),
        ] {
            assert_eq!(read(text, ohm), Err(problem), "{text:?}");
        }
        assert_eq!(read(&"9".repeat(10_000_000), ohm), Err(P::TooLong(ohm)));
    }

    #[test]
    fn problems_say_what_to_do() {
        assert_eq!(
            ReadingProblem::TooFine(Unit::Gram).to_string(),
            "that reading has too many decimals; nothing was recorded. Give g in steps of 0.1"
        );
    }

    #[test]
    fn a_unit_is_found_by_its_own_name_and_shows_no_needless_zeros() {
        for unit in Unit::ALL {
            assert_eq!(Unit::from_name(unit.name()), Some(unit));
            assert_eq!(read(&format!("3 {}", unit.name()), unit), Ok(3 * unit.smallest()), "{unit:?}");
        }
        let shown = |value, unit| Reading { value, unit }.to_string();
        assert_eq!(shown(1800, Unit::Ohm), "1.8 ohm");
        assert_eq!(shown(2000, Unit::Ohm), "2 ohm");
        assert_eq!(shown(5, Unit::Ohm), "0.005 ohm");
        assert_eq!(shown(120_000, Unit::Kilogram), "12 kg");
        assert_eq!(shown(800, Unit::Newton), "800 N");
    }

    proptest! {
        #[test]
        fn parsing_never_panics(text in "\\PC{0,40}|[0-9.,\\- ]{0,20} ?[a-zA-ZΩ]{0,4}") {
            for unit in Unit::ALL {
                if let Ok(reading) = Reading::parse(&text, unit) {
                    prop_assert!((0..=VALUE_MAX).contains(&reading.value));
                }
            }
        }

        #[test]
        fn what_is_shown_reads_back(value in 0..=VALUE_MAX, unit in prop::sample::select(Unit::ALL.to_vec())) {
            let reading = Reading { value, unit };
            prop_assert_eq!(Reading::parse(&reading.to_string(), unit), Ok(reading));
        }
    }
}
