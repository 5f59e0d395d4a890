//! The form of files: the paragraph that each Rust file opens with, doc comments that say something, no tabs, no
//! blanks at the end of a line, no half-finished merge; and a report on file names.

use std::fmt::Write as _;

use super::Violation;
use super::source::Source;
use super::tree::{Text, Tree};

/// Endings of files that people write by hand; recorded screens and tables may hold any blanks.
const WRITTEN: &[&str] =
    &["rs", "toml", "proto", "md", "sh", "yml", "yaml", "service", "timer", "socket", "sql"];

/// Breaches of form.
pub fn check(tree: &Tree, sources: &[Source]) -> Vec<Violation> {
    let mut found: Vec<_> = sources.iter().filter_map(opening).collect();
    found.extend(sources.iter().flat_map(empty_docs));
    found.extend(tree.files.iter().flat_map(blanks));
    found.extend(tree.files.iter().flat_map(conflicts));
    found
}

/// `//!` with words, after nothing but inner attributes.
fn opening(source: &Source) -> Option<Violation> {
    let mut lines = source.text.lines().skip_while(|line| line.is_empty() || line.starts_with("#!["));
    let says = lines.next().and_then(|line| line.strip_prefix("//! ")).is_some_and(|said| said.len() > 10);
    (!says).then(|| Violation::new(&source.path, 1, "the file does not open with a `//!` paragraph"))
}

/// Doc comments that are empty, or begin or end with an empty line.
fn empty_docs(source: &Source) -> Vec<Violation> {
    let lines: Vec<_> = source.text.lines().map(str::trim).collect();
    let kind = |at: Option<usize>| {
        let line = at.and_then(|at| lines.get(at))?;
        line.get(..3).filter(|start| matches!(*start, "///" | "//!"))
    };
    let lone = |at: &usize| {
        let own = kind(Some(*at));
        lines[*at].len() == 3
            && own.is_some()
            && (kind(at.checked_sub(1)) != own || kind(Some(at + 1)) != own)
    };
    let what = "an empty doc line that parts nothing: say something or take it away";
    (0..lines.len()).filter(lone).map(|at| Violation::new(&source.path, at + 1, what)).collect()
}

fn blanks(file: &Text) -> Vec<Violation> {
    let ending = file.path.rsplit('.').next().unwrap_or_default();
    if !WRITTEN.contains(&ending) && !file.path.starts_with(".ci/") {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (at, line) in file.text.lines().enumerate() {
        if line.contains('\t') {
            found.push(Violation::new(&file.path, at + 1, "a tab"));
        }
        if line.trim_end() != line {
            found.push(Violation::new(&file.path, at + 1, "blanks at the end of the line"));
        }
    }
    if !file.text.is_empty() && !file.text.ends_with('\n') {
        found.push(Violation::new(
            &file.path,
            file.text.lines().count(),
            "no line end at the end of the file",
        ));
    }
    found
}

fn conflicts(file: &Text) -> Vec<Violation> {
    let marks = ["<", ">", "|"].map(|sign| sign.repeat(7));
    let marked = |line: &str| marks.iter().any(|mark| line.starts_with(mark.as_str()));
    let lines = file.text.lines().enumerate().filter(|(_, line)| marked(line));
    lines.map(|(at, _)| Violation::new(&file.path, at + 1, "a half-finished merge")).collect()
}

/// How many file names are one word, and which are not. A report, not a rule: a file that cannot be named by its
/// subject has two.
pub fn word_report(sources: &[Source]) -> String {
    let name = |path: &str| path.rsplit('/').next().unwrap_or(path).trim_end_matches(".rs").to_owned();
    let (several, one): (Vec<_>, Vec<_>) = sources.iter().partition(|s| name(&s.path).contains('_'));
    let mut report = format!("{} of {} Rust file names are one word; the others:", one.len(), sources.len());
    for source in several {
        let _ = write!(report, "\n  {}", source.path);
    }
    report
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(path: &str, text: &str) -> Vec<String> {
        let tree = Tree::planted(&[(path, text)]);
        let sources = Source::all(&tree);
        check(&tree, &sources).into_iter().map(|v| format!("{}: {}", v.line, v.what)).collect()
    }

    #[test]
    fn files_open_with_a_paragraph() {
        assert!(told("a.rs", "//! What this is for.\n").is_empty());
        assert!(told("a.rs", "#![allow(clippy::unwrap_used)]\n\n//! What this is for.\n").is_empty());
        assert_eq!(told("a.rs", "use a::b;\n//! What this is for.\n").len(), 1);
        assert_eq!(told("a.rs", "//! Tests.\n").len(), 1);
        assert_eq!(told("a.rs", "").len(), 1);
    }

    #[test]
    fn empty_doc_lines_are_caught_where_they_part_nothing() {
        let open = "//! What this is for.\n\n";
        assert!(told("a.rs", &format!("{open}/// One.\n///\n/// Two.\nfn a() {{}}\n")).is_empty());
        assert_eq!(told("a.rs", &format!("{open}///\nfn a() {{}}\n")).len(), 1);
        assert_eq!(told("a.rs", &format!("{open}/// One.\n///\nfn a() {{}}\n")).len(), 1);
        assert_eq!(told("a.rs", &format!("{open}///\n/// One.\nfn a() {{}}\n")).len(), 1);
    }

    #[test]
    fn tabs_and_trailing_blanks_are_caught_in_what_is_written_by_hand() {
        assert_eq!(told("a.toml", "a = 1 \n\tb = 2\n").len(), 2);
        assert_eq!(told("a.toml", "a = 1").len(), 1);
        assert!(told("screen.txt", "a  \n").is_empty());
    }

    #[test]
    fn half_finished_merges_are_caught() {
        let text = format!("a\n{} main\n", "<".repeat(7));
        assert_eq!(told("a.csv", &text), ["2: a half-finished merge"]);
    }

    #[test]
    fn names_of_several_words_are_reported() {
        let tree = Tree::planted(&[("a/b.rs", ""), ("a/b_c.rs", "")]);
        assert_eq!(
            word_report(&Source::all(&tree)),
            "1 of 2 Rust file names are one word; the others:\n  a/b_c.rs"
        );
    }
}
