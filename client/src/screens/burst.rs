//! Telling a scanner from a person. A scanner types the digits of a tag and Enter faster than fingers can, so what comes
//! that fast is one message, whatever the screen is doing, and never a row of keys.

use std::time::Duration;

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use tokio::time::Instant;

use super::state::Msg;

/// Longest pause between two keys of a scanner. Those that act as a keyboard send a key every few milliseconds; a fast
/// typist needs about a hundred. Both from memory, no source.
const GAP: Duration = Duration::from_millis(40);
/// Fewest digits that are a scan: those of a tag.
const FEWEST: usize = 5;
/// Most digits that are kept: anything longer was not scanned here.
const MOST: usize = 12;

/// Digits that came fast and may become a scan.
#[derive(Debug, Default)]
pub struct Burst {
    held: Vec<KeyEvent>,
    last: Option<Instant>,
}

impl Burst {
    /// A key came at that moment: what the screen is told, which is nothing while more may follow.
    pub fn key(&mut self, key: KeyEvent, at: Instant) -> Vec<Msg> {
        if key.kind == KeyEventKind::Release {
            return Vec::new();
        }
        let mut told = if self.due().is_some_and(|due| due < at) { self.give_up() } else { Vec::new() };
        let enough = (FEWEST..=MOST).contains(&self.held.len());
        if digit(key).is_some() && self.held.len() <= MOST {
            self.held.push(key);
            self.last = Some(at);
        } else if key.code == KeyCode::Enter && key.modifiers.is_empty() && enough {
            self.last = None;
            told.push(Msg::Scan(self.held.drain(..).filter_map(digit).collect()));
        } else {
            told.extend(self.give_up());
            told.push(Msg::Key(key));
        }
        told
    }

    /// When what is held counts as a person's keys; `None` when nothing is held.
    pub fn due(&self) -> Option<Instant> {
        self.last.map(|last| last + GAP)
    }

    /// What is held was typed by a person.
    pub fn give_up(&mut self) -> Vec<Msg> {
        self.last = None;
        self.held.drain(..).map(Msg::Key).collect()
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
        ] {
            assert_eq!(paced(text, pause_ms), expected, "{text:?} every {pause_ms} ms");
        }
        let late_enter = [('0', 3), ('0', 3), ('0', 3), ('1', 3), ('3', 3), ('\n', 300)];
        assert_eq!(told(&late_enter), "00013/");
        let after_a_person = [('3', 0), ('0', 200), ('0', 3), ('0', 3), ('1', 3), ('3', 3), ('\n', 3)];
        assert_eq!(told(&after_a_person), "3[00013]");
    }
}
