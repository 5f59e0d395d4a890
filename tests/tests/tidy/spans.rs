//! Where things begin and end in a file of tokens: functions, and what is compiled for tests only.

use super::source::Token;

/// Lines from `first` to `last`, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    pub first: usize,
    pub last: usize,
}

impl Span {
    pub fn holds(self, line: usize) -> bool {
        (self.first..=self.last).contains(&line)
    }

    pub fn lines(self) -> usize {
        self.last - self.first + 1
    }
}

/// Every function with a body: its name and its lines, signature included.
pub fn functions<'a>(tokens: &[Token<'a>]) -> Vec<(&'a str, Span)> {
    let named =
        |at: usize| tokens[at].text == "fn" && tokens.get(at + 1).is_some_and(|t| starts_a_word(t.text));
    let starts = (0..tokens.len()).filter(|at| named(*at));
    starts
        .filter_map(|at| {
            let end = item_end(tokens, at)?;
            let span = Span { first: tokens[at].line, last: tokens[end].line };
            (tokens[end].text == "}").then_some((tokens[at + 1].text, span))
        })
        .collect()
}

/// The lines of every item that is marked `#[cfg(test)]`, or `all(test, …)`.
pub fn test_spans(tokens: &[Token<'_>]) -> Vec<Span> {
    marks(tokens)
        .filter_map(|at| {
            let end = item_end(tokens, after_attributes(tokens, at))?;
            Some(Span { first: tokens[at].line, last: tokens[end].line })
        })
        .collect()
}

/// Paths, without ending, of the modules that are declared for tests only and live in files of their own.
pub fn test_modules(path: &str, tokens: &[Token<'_>]) -> Vec<String> {
    let stem = path.trim_end_matches(".rs");
    let (folder, name) = stem.rsplit_once('/').unwrap_or(("", stem));
    let home = if matches!(name, "mod" | "lib" | "main") { folder } else { stem };
    marks(tokens)
        .filter_map(|at| {
            let item = &tokens[after_attributes(tokens, at)..];
            let module = item.iter().take(6).position(|token| token.text == "mod")?;
            let name = item.get(module + 1)?;
            (item.get(module + 2)?.text == ";").then(|| format!("{home}/{}", name.text))
        })
        .collect()
}

fn starts_a_word(text: &str) -> bool {
    text.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// Where `#[cfg(test` or `#[cfg(all(test` begins.
fn marks(tokens: &[Token<'_>]) -> impl Iterator<Item = usize> {
    const SHAPES: [&[&str]; 2] =
        [&["#", "[", "cfg", "(", "test"], &["#", "[", "cfg", "(", "all", "(", "test"]];
    (0..tokens.len()).filter(|at| SHAPES.iter().any(|shape| follows(&tokens[*at..], shape)))
}

/// Whether the tokens begin with these texts.
pub fn follows(tokens: &[Token<'_>], texts: &[&str]) -> bool {
    tokens.len() >= texts.len() && tokens.iter().zip(texts).all(|(token, text)| token.text == *text)
}

fn after_attributes(tokens: &[Token<'_>], mut at: usize) -> usize {
    while follows(&tokens[at..], &["#", "["]) {
        let mut depth = 0;
        while at < tokens.len() {
            match tokens[at].text {
                "[" => depth += 1,
                "]" => depth -= 1,
                _ => {}
            }
            at += 1;
            if depth == 0 && tokens[at - 1].text == "]" {
                break;
            }
        }
    }
    at
}

/// The token that ends the item which begins here: its `;`, or the brace that closes its body.
fn item_end(tokens: &[Token<'_>], from: usize) -> Option<usize> {
    let (mut round, mut curly) = (0_i32, 0_i32);
    for (at, token) in tokens.iter().enumerate().skip(from) {
        match token.text {
            "(" | "[" => round += 1,
            ")" | "]" => round -= 1,
            "{" => curly += 1,
            "}" => curly -= 1,
            ";" if round == 0 && curly == 0 => return Some(at),
            _ => {}
        }
        if curly < 0 {
            return None;
        }
        if token.text == "}" && curly == 0 && round == 0 {
            return Some(at);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::super::source::Source;
    use super::*;

    #[test]
    fn functions_have_their_lines() {
        let text = "trait T { fn a(&self) -> [u8; 2]; }\nfn b(\n    f: fn(u8) -> u8,\n) -> u8\nwhere\n    u8: Copy,\n{\n    let x = { 1 };\n    \"}\";\n    x\n}\n";
        let source = Source::new("x/src/x.rs", text);
        assert_eq!(functions(&source.tokens()), [("b", Span { first: 2, last: 11 })]);
    }

    #[test]
    fn nested_functions_are_found_too() {
        let source = Source::new("x/src/x.rs", "fn a() {\n fn b() {\n }\n}");
        let names: Vec<_> =
            functions(&source.tokens()).into_iter().map(|(name, s)| (name, s.lines())).collect();
        assert_eq!(names, [("a", 4), ("b", 2)]);
    }

    #[test]
    fn test_items_end_where_they_end() {
        let text =
            "#[cfg(test)]\n#[path = \"x.rs\"]\nmod a;\nfn b() {}\n#[cfg(all(test, unix))]\nmod c {\n}\n";
        let source = Source::new("x/src/y.rs", text);
        let spans = test_spans(&source.tokens());
        assert_eq!(spans, [Span { first: 1, last: 3 }, Span { first: 5, last: 7 }]);
        assert_eq!(test_modules("x/src/y.rs", &source.tokens()), ["x/src/y/a"]);
        assert_eq!(test_modules("x/src/mod.rs", &source.tokens()), ["x/src/a"]);
    }
}
