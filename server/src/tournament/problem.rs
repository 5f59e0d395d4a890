//! What is wrong with a tournament file, and where: line and column as an editor counts them.

use std::fmt;
use std::ops::Range;

use serde::Serialize;

/// Longest piece of the file that a message repeats, in characters.
const SHOWN_MAX: usize = 40;

/// One thing that is wrong at one place of the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// The line, from 1.
    pub line: usize,
    /// The column, from 1, in characters.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What to do about it, when that can be said.
    pub hint: Option<String>,
}

impl fmt::Display for Problem {
    /// ``12:5: unknown key `walk_mins`; did you mean `walk_min`?``
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.line, self.column, self.what)?;
        self.hint.as_ref().map_or(Ok(()), |hint| write!(f, "; {hint}"))
    }
}

/// A piece of the file, fit for a screen: control and other invisible characters escaped, long text cut.
pub fn shown(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().take(SHOWN_MAX) {
        if matches!(c, '"' | '\'') { out.push(c) } else { out.extend(c.escape_debug()) }
    }
    if text.chars().nth(SHOWN_MAX).is_some() {
        out.push('…');
    }
    out
}

/// Where the lines of a text begin, to turn byte offsets into lines and columns.
#[derive(Debug)]
pub struct Places<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Places<'t> {
    /// Reads where the lines begin.
    pub fn new(text: &'t str) -> Self {
        let starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, starts }
    }

    /// Line and column of a byte offset, both from 1; offsets past the end count as the end.
    pub fn of(&self, at: usize) -> (usize, usize) {
        let place = self.after(Place::default(), at);
        (place.line, place.column)
    }

    /// The place of an offset at or after that of an earlier place. Counting on from there keeps a file of one
    /// long line with very many problems from being walked once for each.
    fn after(&self, earlier: Place, at: usize) -> Place {
        let at = self.text.floor_char_boundary(at);
        let line = self.starts.partition_point(|start| *start <= at);
        let start = self.starts.get(line.wrapping_sub(1)).copied().unwrap_or(0);
        let (from, counted) = if earlier.line == line { (earlier.at, earlier.column) } else { (start, 1) };
        Place { at, line, column: counted + self.text[from..at].chars().count() }
    }
}

/// An offset with its line and column; the default comes before every place.
#[derive(Clone, Copy, Debug, Default)]
struct Place {
    at: usize,
    line: usize,
    column: usize,
}

/// Problems and warnings as they are found, with byte offsets; sorted by place when all is read.
#[derive(Debug, Default)]
pub struct Findings {
    problems: Vec<Finding>,
    warnings: Vec<Finding>,
}

#[derive(Debug)]
struct Finding {
    at: usize,
    what: String,
    hint: Option<String>,
}

impl Findings {
    /// Notes a problem at a byte offset.
    pub fn problem(&mut self, at: usize, what: impl Into<String>) {
        self.problems.push(Finding { at, what: what.into(), hint: None });
    }

    /// Notes a problem and what to do about it.
    pub fn hinted(&mut self, at: usize, what: impl Into<String>, hint: impl Into<String>) {
        self.problems.push(Finding { at, what: what.into(), hint: Some(hint.into()) });
    }

    /// Notes a problem with a hint only when there is one.
    pub fn maybe_hinted(&mut self, at: usize, what: impl Into<String>, hint: Option<String>) {
        self.problems.push(Finding { at, what: what.into(), hint });
    }

    /// Notes something that is allowed and probably not meant.
    pub fn warning(&mut self, at: usize, what: impl Into<String>, hint: impl Into<String>) {
        self.warnings.push(Finding { at, what: what.into(), hint: Some(hint.into()) });
    }

    /// How many problems have been noted so far.
    pub fn count(&self) -> usize {
        self.problems.len()
    }

    /// Problems and warnings, each ordered by place.
    pub fn placed(self, places: &Places<'_>) -> (Vec<Problem>, Vec<Problem>) {
        (placed(self.problems, places), placed(self.warnings, places))
    }
}

fn placed(mut findings: Vec<Finding>, places: &Places<'_>) -> Vec<Problem> {
    findings.sort_by_key(|finding| finding.at);
    let mut last = Place::default();
    let place = |finding: Finding| {
        last = places.after(last, finding.at);
        let Place { line, column, .. } = last;
        Problem { line, column, what: finding.what, hint: finding.hint }
    };
    findings.into_iter().map(place).collect()
}

/// The start of a span, or the given offset when there is none.
pub fn start(span: Option<Range<usize>>, otherwise: usize) -> usize {
    span.map_or(otherwise, |span| span.start)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Held against: counted by hand.
    #[test]
    fn places_count_characters_and_not_bytes() {
        let places = Places::new("épée = 1\nx = 2\n");
        assert_eq!(places.of(0), (1, 1));
        assert_eq!(places.of("épée".len()), (1, 5));
        assert_eq!(places.of("épée = 1\n".len()), (2, 1));
        assert_eq!(places.of(1_000_000), (3, 1));
        assert_eq!(Places::new("").of(0), (1, 1));
    }

    #[test]
    fn what_is_shown_cannot_move_the_cursor_or_fill_the_screen() {
        assert_eq!(shown("a\u{1b}[2J"), "a\\u{1b}[2J");
        assert_eq!(shown("a\u{202e}b"), "a\\u{202e}b");
        assert!(shown(&"x".repeat(10_000_000)).chars().count() <= SHOWN_MAX + 1);
    }
}
