//! How long a file and a function may be. A long one is read badly, and it grows; so the bound is hard, and the few
//! that exceed it are named with a reason and the size that they may not exceed.

use super::Violation;
use super::source::Source;
use super::spans;

/// Lines of a file, tests included.
pub const FILE_MOST: usize = 400;
/// Lines of a function outside tests, signature included.
pub const FUNCTION_MOST: usize = 40;

/// A file that is longer: its path, the lines that it may have, the reason.
pub type LongFile = (&'static str, usize, &'static str);
/// A function that is longer: its file, its name, the lines that it may have, the reason.
pub type LongFunction = (&'static str, &'static str, usize, &'static str);

/// The files that are longer.
pub const LONG_FILES: &[LongFile] = &[];

/// The functions that are longer.
pub const LONG_FUNCTIONS: &[LongFunction] =
    &[("server/src/wire/encode/lens.rs", "job", 50, "a message with a line for each field")];

/// Too long, or excepted without need.
pub fn check(sources: &[Source], files: &[LongFile], functions: &[LongFunction]) -> Vec<Violation> {
    let mut found = Vec::new();
    let mut needed_files = Vec::new();
    let mut needed_functions = Vec::new();
    for source in sources {
        let lines = source.text.lines().count();
        let exception = files.iter().find(|(path, ..)| *path == source.path);
        if lines > FILE_MOST {
            needed_files.extend(exception);
            let most = exception.map_or(FILE_MOST, |(_, most, _)| *most);
            found.extend(too_long(&source.path, most, "the file", lines, most));
        }
        for (name, span) in spans::functions(&source.tokens()) {
            if span.lines() <= FUNCTION_MOST || source.is_test_line(span.first) {
                continue;
            }
            let exception = functions.iter().find(|(path, n, ..)| *path == source.path && *n == name);
            needed_functions.extend(exception);
            let most = exception.map_or(FUNCTION_MOST, |(.., most, _)| *most);
            found.extend(too_long(&source.path, span.first, &format!("fn {name}"), span.lines(), most));
        }
    }
    found.extend(
        files.iter().filter(|e| !needed_files.contains(e)).map(|(path, ..)| needless(path, "the file")),
    );
    found.extend(
        functions
            .iter()
            .filter(|e| !needed_functions.contains(e))
            .map(|(path, name, ..)| needless(path, name)),
    );
    found
}

fn too_long(path: &str, line: usize, what: &str, lines: usize, most: usize) -> Option<Violation> {
    (lines > most)
        .then(|| Violation::new(path, line, format!("{what} has {lines} lines; {most} are allowed")))
}

fn needless(path: &str, what: &str) -> Violation {
    Violation::new(path, 1, format!("{what} no longer needs its exception in the tidy test: remove it there"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn function(name: &str, lines: usize) -> String {
        format!("fn {name}() {{\n{}}}\n", "    a();\n".repeat(lines - 2))
    }

    fn told(path: &str, text: &str, files: &[LongFile], functions: &[LongFunction]) -> Vec<String> {
        let sources = [Source::new(path, text)];
        check(&sources, files, functions).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn long_functions_are_caught_outside_tests() {
        let text = function("a", 40) + &function("b", 41);
        assert_eq!(told("x/src/x.rs", &text, &[], &[]), ["x/src/x.rs:41: fn b has 41 lines; 40 are allowed"]);
        assert!(told("x/src/tests.rs", &text, &[], &[]).is_empty());
    }

    #[test]
    fn long_files_are_caught_everywhere() {
        let long = "//\n".repeat(401);
        assert_eq!(told("x/src/tests.rs", &long, &[], &[]).len(), 1);
        assert!(told("x/src/x.rs", &long[3..], &[], &[]).is_empty());
    }

    #[test]
    fn exceptions_may_only_shrink() {
        let long = "//\n".repeat(500);
        assert!(told("x.rs", &long, &[("x.rs", 500, "")], &[]).is_empty());
        assert_eq!(told("x.rs", &long, &[("x.rs", 499, "")], &[]).len(), 1);
        assert_eq!(told("x.rs", "//", &[("x.rs", 500, "")], &[]).len(), 1);
        assert_eq!(told("x.rs", &function("b", 50), &[], &[("x.rs", "b", 50, "")]).len(), 0);
        assert_eq!(told("x.rs", &function("b", 51), &[], &[("x.rs", "b", 50, "")]).len(), 1);
        assert_eq!(told("x.rs", &function("b", 40), &[], &[("x.rs", "b", 50, "")]).len(), 1);
        assert_eq!(told("x.rs", "//", &[], &[("gone.rs", "b", 50, "")]).len(), 1);
    }
}
