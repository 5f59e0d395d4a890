//! What must not be left lying about: unfinished code, switched-off tests, notes to oneself, and words that belong to
//! somebody's desk and not to the repository. Words are put together here, so that this file does not name them.

use super::Violation;
use super::source::Source;
use super::spans::follows;
use super::tree::{Text, Tree};

/// Code that is not finished, as tokens.
const UNFINISHED: &[(&[&str], &str)] = &[
    (&["todo", "!"], "unfinished code"),
    (&["unimplemented", "!"], "unfinished code"),
    (&["dbg", "!"], "a print left over from looking for a fault"),
    (&["#", "[", "ignore"], "a test that is switched off"),
];

/// Notes to oneself, as whole words in capitals.
const NOTES: &[&str] = &[concat!("FIX", "ME"), concat!("TO", "DO"), concat!("X", "XX"), concat!("HA", "CK")];

/// Words of a workshop that is not the reader's: how and where the text was written.
const WORKSHOP: &[&str] = &[
    concat!("ses", "sion"),
    concat!("ses", "sions"),
    concat!("chat", "bot"),
    concat!("sub", "agent"),
    concat!("work", "tree"),
    concat!("language ", "model"),
    concat!("system ", "prompt"),
    concat!("user ", "prompt"),
    concat!("the ", "prompt"),
    concat!("as an ", "ai"),
];

/// Beginnings of paths that exist on one machine only.
const MACHINE: &[&str] =
    &[concat!("/wo", "rk/"), concat!("/t", "mp/"), concat!("/ro", "ot/"), concat!("/fa", "rm/")];

/// All leftovers.
pub fn check(tree: &Tree, sources: &[Source]) -> Vec<Violation> {
    let mut found: Vec<_> = sources.iter().flat_map(unfinished).collect();
    found.extend(tree.files.iter().filter(|file| file.path != "Cargo.lock").flat_map(words));
    found
}

fn unfinished(source: &Source) -> Vec<Violation> {
    let tokens = source.tokens();
    let at = |at: usize| {
        let hit = UNFINISHED.iter().find(|(shape, _)| follows(&tokens[at..], shape))?;
        Some(Violation::new(&source.path, tokens[at].line, format!("`{}`: {}", hit.0.concat(), hit.1)))
    };
    (0..tokens.len()).filter_map(at).collect()
}

fn words(file: &Text) -> Vec<Violation> {
    let mut found = Vec::new();
    for (at, line) in file.text.lines().enumerate() {
        let mut tell = |what: String| found.push(Violation::new(&file.path, at + 1, what));
        let lower = line.to_lowercase();
        for note in NOTES.iter().filter(|note| has_word(line, note)) {
            tell(format!("`{note}`: do it, or write down why not"));
        }
        for word in WORKSHOP.iter().filter(|word| has_word(&lower, word)) {
            tell(format!("`{word}`: the repository does not speak of how it was written"));
        }
        for path in MACHINE.iter().filter(|path| line.contains(**path)) {
            tell(format!("`{path}…`: a path of one machine"));
        }
    }
    found
}

/// Whether the word stands there by itself.
fn has_word(line: &str, word: &str) -> bool {
    let inside = |c: char| c.is_alphanumeric() || c == '_';
    line.match_indices(word)
        .any(|(at, _)| !line[..at].ends_with(inside) && !line[at + word.len()..].starts_with(inside))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(path: &str, text: &str) -> usize {
        let tree = Tree::planted(&[(path, text)]);
        check(&tree, &Source::all(&tree)).len()
    }

    #[test]
    fn unfinished_code_is_caught_and_talk_of_it_is_not() {
        for (shape, _) in UNFINISHED {
            assert_eq!(told("a.rs", &shape.concat()), 1, "{shape:?}");
            assert_eq!(told("a.rs", &format!("// {}\n\"{}\"", shape.concat(), shape.concat())), 0);
        }
        assert_eq!(told("a.rs", "#[ignore = \"slow\"]\nfn a() {}"), 1);
    }

    #[test]
    fn every_word_is_caught_by_itself_only() {
        for word in NOTES.iter().chain(WORKSHOP) {
            assert_eq!(told("a.md", &format!("so: {word}, then")), 1, "{word}");
            assert_eq!(told("a.md", &format!("so: pre{word}ing")), 0, "{word}");
        }
        assert_eq!(told("a.md", &WORKSHOP[0].to_uppercase()), 1);
    }

    #[test]
    fn machine_paths_are_caught() {
        for path in MACHINE {
            assert_eq!(told("a.toml", &format!("dir = \"{path}x\"")), 1, "{path}");
        }
    }
}
