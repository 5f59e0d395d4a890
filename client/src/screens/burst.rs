//! Telling a scanner from a person. A scanner types the digits of a tag and Enter faster than fingers can, so what comes
//! that fast is one message, whatever the screen is doing, and never a row of keys.

use std::time::Duration;

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use remise_core::tag::Tag;
use tokio::time::Instant;

use super::state::Msg;

/// Longest pause between two keys that no finger makes. A scanner that acts as a keyboard sends a key every few
/// milliseconds; a fast typist needs about a hundred. Both from memory, no source.
const FAST: Duration = Duration::from_millis(40);
/// Longest pause between two keys of a slow scanner, by radio or over a remote shell. A very fast typist may come near
/// it, so that what comes at this pace is a scan only when it is a whole tag with its check digit and Enter.
const SLOW: Duration = Duration::from_millis(80);
/// Fewest digits that are a scan: those of a tag.
const FEWEST: usize = 5;
/// Most digits that are kept: anything longer was not scanned here.
const MOST: usize = 12;

/// Digits that came fast and may become a scan.
#[derive(Debug, Default)]
pub struct Burst {
    held: Vec<KeyEvent>,
    last: Option<Instant>,
    /// A pause was longer than a fast scanner makes.
    slow: bool,
}

impl Burst {
    /// A key came at that moment: what the screen is told, which is nothing while more may follow.
    pub fn key(&mut self, key: KeyEvent, at: Instant) -> Vec<Msg> {
        if key.kind == KeyEventKind::Release {
            return Vec::new();
        }
        let mut told = if self.due().is_some_and(|due| due < at) { self.give_up() } else { Vec::new() };
        self.slow |= self.last.is_some_and(|last| last + FAST < at);
        if digit(key).is_some() && self.held.len() <= MOST {
            self.held.push(key);
            self.last = Some(at);
        } else if let Some(digits) = self.scanned(key) {
            self.forget();
            told.push(Msg::Scan(digits));
        } else {
            told.extend(self.give_up());
            told.push(Msg::Key(key));
        }
        told
    }

    /// When what is held counts as a person's keys; `None` when nothing is held.
    pub fn due(&self) -> Option<Instant> {
        self.last.map(|last| last + SLOW)
    }

    /// What is held was typed by a person.
    pub fn give_up(&mut self) -> Vec<Msg> {
        let keys = std::mem::take(&mut self.held);
        self.forget();
        keys.into_iter().map(Msg::Key).collect()
    }

    /// What was scanned, if this key ends a scan. Digits that came fast are told even if they are no tag: a misread must
    /// be seen.
    fn scanned(&self, key: KeyEvent) -> Option<String> {
        let ends = key.code == KeyCode::Enter && key.modifiers.is_empty();
        let digits: String = self.held.iter().copied().filter_map(digit).collect();
        let counts = (FEWEST..=MOST).contains(&digits.len()) && (!self.slow || Tag::parse(&digits).is_ok());
        (ends && counts).then_some(digits)
    }

    fn forget(&mut self) {
        *self = Self::default();
    }
}

fn digit(key: KeyEvent) -> Option<char> {
    match key.code {
        KeyCode::Char(c) if c.is_ascii_digit() && (key.modifiers - KeyModifiers::SHIFT).is_empty() => Some(c),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keys with so many milliseconds before each; what the screen was told: a scan in brackets, keys as they are.
    fn told(keys: &[(char, u64)]) -> String {
        let (mut burst, mut now) = (Burst::default(), Instant::now());
        let mut told = Vec::new();
        for (c, pause_ms) in keys {
            now += Duration::from_millis(*pause_ms);
            let code = if *c == '\n' { KeyCode::Enter } else { KeyCode::Char(*c) };
            told.extend(burst.key(KeyEvent::from(code), now));
        }
        told.extend(burst.give_up());
        let show = |msg| match msg {
            Msg::Scan(digits) => format!("[{digits}]"),
            Msg::Key(KeyEvent { code: KeyCode::Char(c), .. }) => c.to_string(),
            _ => "/".to_owned(),
        };
        told.into_iter().map(show).collect()
    }

    fn paced(text: &str, pause_ms: u64) -> String {
        told(&text.chars().map(|c| (c, pause_ms)).collect::<Vec<_>>())
    }

    #[test]
    fn what_comes_fast_is_a_scan_and_nothing_of_a_person_is_lost() {
        for (text, pause_ms, expected) in [
            ("00013\n", 3, "[00013]"),
            ("00013\n", 100, "00013/"),
            ("1\n", 3, "1/"),
            ("0013\n", 3, "0013/"),
            ("00013\n00021\n", 3, "[00013][00021]"),
            ("i00013\n", 3, "i[00013]"),
            ("00013x\n", 3, "00013x/"),
            ("1234567890123\n", 3, "1234567890123/"),
            ("00013", 3, "00013"),
            ("00013\n", 75, "[00013]"),
            ("00013\n00021\n", 75, "[00013][00021]"),
            ("00013\n", 85, "00013/"),
            ("00012\n", 3, "[00012]"),
            ("00012\n", 75, "00012/"),
            ("000130\n", 75, "000130/"),
            ("1\n24", 75, "1/24"),
        ] {
            assert_eq!(paced(text, pause_ms), expected, "{text:?} every {pause_ms} ms");
        }
        let late_enter = [('0', 3), ('0', 3), ('0', 3), ('1', 3), ('3', 3), ('\n', 300)];
        assert_eq!(told(&late_enter), "00013/");
        let one_slow = [('0', 3), ('0', 3), ('0', 70), ('1', 3), ('2', 3), ('\n', 3)];
        assert_eq!(told(&one_slow), "00012/", "one long pause makes it a slow one");
        let slow_then_fast =
            [('0', 3), ('0', 75), ('1', 200), ('0', 3), ('0', 3), ('1', 3), ('2', 3), ('\n', 3)];
        assert_eq!(told(&slow_then_fast), "00[10012]", "what was given up slows down nothing");
        let after_a_person = [('3', 0), ('0', 200), ('0', 3), ('0', 3), ('1', 3), ('3', 3), ('\n', 3)];
        assert_eq!(told(&after_a_person), "3[00013]");
    }
}
