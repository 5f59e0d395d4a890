//! A Rust file as the checks see it: its lines, its code as tokens without comments and literals, and which of its
//! lines are test code.

use std::collections::BTreeSet;

use super::spans::{self, Span};
use super::tree::Tree;

/// A word or a single sign of code, with its line (from 1).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token<'a> {
    pub line: usize,
    pub text: &'a str,
}

/// A Rust file.
pub struct Source {
    pub path: String,
    pub text: String,
    /// The text with comments, strings and characters blanked out; same lines.
    pub code: String,
    /// The whole file is test code.
    pub is_test: bool,
    test_lines: Vec<Span>,
}

impl Source {
    /// All Rust files of the tree, with test modules in files of their own found from where they are declared.
    pub fn all(tree: &Tree) -> Vec<Self> {
        let rust = tree.files.iter().filter(|file| is_rust(&file.path));
        let mut sources: Vec<_> = rust.map(|file| Self::new(&file.path, &file.text)).collect();
        let declared: BTreeSet<String> =
            sources.iter().flat_map(|s| spans::test_modules(&s.path, &s.tokens())).collect();
        for source in &mut sources {
            let stem = source.path.trim_end_matches(".rs").trim_end_matches("/mod");
            let mut above = stem.match_indices('/').map(|(at, _)| &stem[..at]).chain([stem]);
            source.is_test |= above.any(|path| declared.contains(path));
        }
        sources
    }

    pub fn new(path: &str, text: &str) -> Self {
        let code = blank(text);
        let test_lines = spans::test_spans(&tokens(&code));
        Self { path: path.to_owned(), text: text.to_owned(), code, is_test: test_by_path(path), test_lines }
    }

    pub fn tokens(&self) -> Vec<Token<'_>> {
        tokens(&self.code)
    }

    /// Tokens outside test code.
    pub fn shipped(&self) -> Vec<Token<'_>> {
        self.tokens().into_iter().filter(|token| !self.is_test_line(token.line)).collect()
    }

    pub fn is_test_line(&self, line: usize) -> bool {
        self.is_test || self.test_lines.iter().any(|span| span.holds(line))
    }
}

fn is_rust(path: &str) -> bool {
    std::path::Path::new(path).extension().is_some_and(|extension| extension == "rs")
}

/// `tests/` at the top is a package like any other; inside a package that folder and these names mean tests.
fn test_by_path(path: &str) -> bool {
    let inside = path.strip_prefix("tests/").unwrap_or(path);
    let name = inside.rsplit('/').next().unwrap_or(inside);
    inside.starts_with("tests/")
        || inside.contains("/tests/")
        || name == "tests.rs"
        || name.ends_with("_tests.rs")
}

fn tokens(code: &str) -> Vec<Token<'_>> {
    let mut found = Vec::new();
    for (at, line) in code.lines().enumerate() {
        let mut rest = line;
        while let Some(first) = rest.chars().next() {
            let word = rest.find(|c: char| !is_word(c)).unwrap_or(rest.len());
            let length = if word > 0 { word } else { first.len_utf8() };
            if !first.is_whitespace() {
                found.push(Token { line: at + 1, text: &rest[..length] });
            }
            rest = &rest[length..];
        }
    }
    found
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Blanks out comments and literals, keeping every line where it is.
pub fn blank(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut code = String::with_capacity(text.len());
    let mut at = 0;
    while at < chars.len() {
        let length = literal_at(&chars, at);
        for c in &chars[at..at + length.max(1)] {
            code.push(if length > 0 && *c != '\n' { ' ' } else { *c });
        }
        at += length.max(1);
    }
    code
}

/// How many characters the comment or literal that begins here takes; 0 when none begins.
fn literal_at(chars: &[char], at: usize) -> usize {
    let rest = &chars[at..];
    match rest {
        ['/', '/', ..] => rest.iter().position(|c| *c == '\n').unwrap_or(rest.len()),
        ['/', '*', ..] => block_comment(rest),
        ['"', ..] => quoted(rest),
        ['\'', '\\', ..] => 3 + rest[3..].iter().position(|c| *c == '\'').map_or(0, |end| end + 1),
        ['\'', _, '\'', ..] => 3,
        ['r', '#' | '"', ..] if !ends_a_word(&chars[..at]) => raw(rest),
        _ => 0,
    }
}

/// Whether an `r` after these characters belongs to a longer word. A lone `b` or `c` is a prefix.
fn ends_a_word(before: &[char]) -> bool {
    let word = before.iter().rev().take_while(|c| is_word(**c)).count();
    word > 1 || (word == 1 && !matches!(before[before.len() - 1], 'b' | 'c'))
}

fn block_comment(rest: &[char]) -> usize {
    let (mut depth, mut at) = (0_usize, 0);
    while at + 1 < rest.len() {
        match (rest[at], rest[at + 1]) {
            ('/', '*') => (depth, at) = (depth + 1, at + 2),
            ('*', '/') => (depth, at) = (depth - 1, at + 2),
            _ => at += 1,
        }
        if depth == 0 {
            return at;
        }
    }
    rest.len()
}

fn quoted(rest: &[char]) -> usize {
    let mut at = 1;
    while at < rest.len() {
        match rest[at] {
            '\\' => at += 2,
            '"' => return at + 1,
            _ => at += 1,
        }
    }
    rest.len()
}

fn raw(rest: &[char]) -> usize {
    let fence = rest[1..].iter().take_while(|c| **c == '#').count();
    if rest.get(1 + fence) != Some(&'"') {
        return 0;
    }
    let closes = |at: &usize| rest[*at] == '"' && rest[at + 1..].iter().take(fence).all(|c| *c == '#');
    let last = rest.len().saturating_sub(fence);
    (2 + fence..last).find(closes).map_or(rest.len(), |at| at + 1 + fence)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> String {
        let code = blank(text);
        tokens(&code).iter().map(|token| token.text).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn comments_and_literals_are_blank() {
        assert_eq!(words("a // b\nc /* d /* e */ f */ g"), "a c g");
        assert_eq!(words(r#"a("b \" c", 'd', '\'', '\n') 'e: loop"#), "a ( , , , ) ' e : loop");
        assert_eq!(words("r\"a\" br##\"b \"# c\"## d r#type for\"\""), "b d r # type for");
        assert_eq!(words("f(b'\\'', '{', \"}\")"), "f ( b , , )");
    }

    #[test]
    fn lines_stay_where_they_are() {
        let text = "a\n\"b\nc\" /*\n*/ d";
        assert_eq!(blank(text).lines().count(), text.lines().count());
        let code = blank(text);
        assert_eq!(tokens(&code).last(), Some(&Token { line: 4, text: "d" }));
    }

    #[test]
    fn test_code_is_known_by_path_by_mark_and_by_declaration() {
        let tree = Tree::planted(&[
            ("server/src/desk/mod.rs", "#[cfg(test)]\nmod suite;\nmod batch;\n"),
            ("server/src/desk/suite.rs", "fn a() {}"),
            ("server/src/desk/suite/rows.rs", "fn a() {}"),
            ("server/src/desk/batch.rs", "fn a() {}\n#[cfg(test)]\nmod tests {\n    fn b() {}\n}\nfn c() {}"),
            ("tests/src/lib.rs", "fn a() {}"),
            ("tests/tests/journey.rs", "fn a() {}"),
        ]);
        let sources = Source::all(&tree);
        let shipped = |path: &str| {
            let source = sources.iter().find(|s| s.path == path).unwrap();
            source.shipped().iter().map(|t| t.text).collect::<String>()
        };
        assert_eq!(shipped("server/src/desk/suite.rs"), "");
        assert_eq!(shipped("server/src/desk/suite/rows.rs"), "");
        assert_eq!(shipped("server/src/desk/batch.rs"), "fna(){}fnc(){}");
        assert_eq!(shipped("tests/src/lib.rs"), "fna(){}");
        assert_eq!(shipped("tests/tests/journey.rs"), "");
    }
}
