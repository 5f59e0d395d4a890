//! Text from outside: names of people and free text. Parsed once, here; what gets past is short, in one line
//! and free of control characters, so that no screen, log or slip can be made to misbehave by it.

use thiserror::Error;

/// Longest name of a person, team, strip or bench, in characters.
pub const NAME_MAX: usize = 80;
/// Longest note, in characters.
pub const NOTE_MAX: usize = 400;

/// Why a text was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum TextProblem {
    /// Nothing but white space.
    #[error("it is empty")]
    Empty,
    /// Longer than allowed; the limit in characters.
    #[error("it is longer than {0} characters")]
    TooLong(usize),
    /// Contains a control character (a line break, a terminal escape, a direction override …).
    #[error("it contains a control character (U+{0:04X})")]
    Control(u32),
}

/// Trims and checks a person's or a place's name.
pub fn name(raw: &str) -> Result<String, TextProblem> {
    line(raw, NAME_MAX)
}

/// Trims and checks a note.
pub fn note(raw: &str) -> Result<String, TextProblem> {
    line(raw, NOTE_MAX)
}

/// The form under which two spellings of a name count as the same: lower case, single spaces.
pub fn folded(name: &str) -> String {
    let mut folded = String::with_capacity(name.len());
    for word in name.split_whitespace() {
        if !folded.is_empty() {
            folded.push(' ');
        }
        if word.is_ascii() {
            folded.extend(word.chars().map(|c| c.to_ascii_lowercase()));
        } else {
            // By the word: the lower case of a sigma depends on whether a word ends with it.
            folded.push_str(&word.to_lowercase());
        }
    }
    folded
}

/// The first of the known words that is most like `word`, when its likeness (Jaro-Winkler, 0 to 1, upper and lower
/// case alike) reaches `least`. The caller bounds the length of what was typed.
pub fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>, least: f64) -> Option<&'k str> {
    let word = word.to_lowercase();
    let mut best: Option<(f64, &str)> = None;
    for candidate in known {
        let likeness = strsim::jaro_winkler(&word, &candidate.to_lowercase());
        if likeness >= least && best.is_none_or(|(most, _)| likeness > most) {
            best = Some((likeness, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn line(raw: &str, max: usize) -> Result<String, TextProblem> {
    // The byte bound first: a 10 MB text must not be walked more than it has to.
    if raw.len() > max * 4 {
        return Err(TextProblem::TooLong(max));
    }
    let text = raw.trim();
    if text.is_empty() {
        return Err(TextProblem::Empty);
    }
    if let Some(c) = text.chars().find(|c| is_unsafe(*c)) {
        return Err(TextProblem::Control(c as u32));
    }
    if text.chars().count() > max {
        return Err(TextProblem::TooLong(max));
    }
    Ok(text.to_owned())
}

/// Control characters, and the invisible ones that reorder or hide text on a screen (Unicode general category
/// Cc, bidirectional formatting of UAX #9, zero-width characters, line and paragraph separators, byte order
/// mark, tag characters).
fn is_unsafe(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}')
        || matches!(c, '\u{FFF9}'..='\u{FFFB}' | '\u{E0000}'..='\u{E007F}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_name_is_trimmed_and_kept() {
        assert_eq!(name("  Ines Žaludová "), Ok("Ines Žaludová".to_owned()));
    }

    #[test]
    fn escapes_breaks_and_direction_marks_are_refused() {
        assert_eq!(name("a\u{1b}[2Jb"), Err(TextProblem::Control(0x1b)));
        assert_eq!(note("a\nb"), Err(TextProblem::Control(0x0a)));
        assert_eq!(name("a\u{202e}b"), Err(TextProblem::Control(0x202e)));
    }

    #[test]
    fn empty_and_huge_are_refused() {
        assert_eq!(name(" \t "), Err(TextProblem::Empty));
        assert_eq!(name(&"x".repeat(10_000_000)), Err(TextProblem::TooLong(NAME_MAX)));
        assert_eq!(note(&"é".repeat(NOTE_MAX + 1)), Err(TextProblem::TooLong(NOTE_MAX)));
        assert!(note(&"é".repeat(NOTE_MAX)).is_ok());
    }

    #[test]
    fn spelling_is_folded() {
        assert_eq!(folded("  ANNA   de Vries"), folded("anna De vries"));
    }
}
