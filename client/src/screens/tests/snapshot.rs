//! Pictures compared with text files in `snapshots/`. With `UPDATE_SNAPSHOTS=1` in the environment they are written
//! anew; the difference is then seen in the history of changes.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;

use ratatui::Terminal;
use ratatui::backend::TestBackend;

use crate::screens::state::State;
use crate::screens::{Theme, view};

/// The picture of a state in a window of that size, without blanks at the ends of lines.
pub fn picture(state: &State, columns: u16, lines: u16) -> String {
    let mut terminal = Terminal::new(TestBackend::new(columns, lines)).unwrap();
    terminal.draw(|frame| view(state, frame, Theme { colour: true })).unwrap();
    let buffer = terminal.backend().buffer();
    let mut out = String::new();
    for y in 0..lines {
        let line: String = (0..columns).map(|x| buffer[(x, y)].symbol()).collect();
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

/// Compares the pictures at both usual sizes.
pub fn check(name: &str, state: &State) {
    for (columns, lines) in [(80, 24), (160, 50)] {
        check_one(&format!("{name}-{columns}x{lines}"), &picture(state, columns, lines));
    }
}

fn check_one(name: &str, got: &str) {
    let file =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/screens/snapshots").join(format!("{name}.txt"));
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        std::fs::write(&file, got).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(
        kept == got,
        "{name} looks different:\n{}\nUPDATE_SNAPSHOTS=1 keeps the new picture.",
        difference(&kept, got)
    );
}

/// The lines that differ, old and new.
fn difference(kept: &str, got: &str) -> String {
    let (old, new): (Vec<_>, Vec<_>) = (kept.lines().collect(), got.lines().collect());
    let mut out = String::new();
    for at in 0..old.len().max(new.len()) {
        let (was, is) = (old.get(at), new.get(at));
        if was != is {
            let (was, is) = (was.unwrap_or(&""), is.unwrap_or(&""));
            out.extend([format!("{:>3} - {was}\n", at + 1), format!("    + {is}\n")]);
        }
    }
    out
}

#[test]
fn the_difference_names_the_line() {
    assert_eq!(difference("a\nb\n", "a\nc\n"), "  2 - b\n    + c\n");
}
