//! The guides for people are true: each file that README.md or DEVELOPERS.md names exists, and each test that an
//! invariant names is in the file that it names.
//!
//! A file is named as `` `server/src/house.rs` `` and a test as `` `server/src/desk/tests.rs::name_of_the_test` ``.

use super::Violation;
use super::tree::{Text, Tree};

/// The guides, and endings of the files that they may name.
const GUIDES: &[&str] = &["README.md", "DEVELOPERS.md"];
const ENDINGS: &[&str] = &[".rs", ".proto", ".toml", ".txt", ".csv", ".md"];

/// Names that lead nowhere.
pub fn check(tree: &Tree) -> Vec<Violation> {
    GUIDES.iter().filter_map(|guide| tree.get(guide)).flat_map(|guide| check_one(tree, guide)).collect()
}

fn check_one(tree: &Tree, guide: &Text) -> Vec<Violation> {
    let mut found = Vec::new();
    for (at, line) in guide.text.lines().enumerate() {
        for named in line.split('`').skip(1).step_by(2) {
            found.extend(wrong(tree, named).map(|what| Violation::new(&guide.path, at + 1, what)));
        }
    }
    found
}

fn wrong(tree: &Tree, named: &str) -> Option<String> {
    let (path, test) = named.split_once("::").map_or((named, None), |(path, test)| (path, Some(test)));
    let is_path = path.contains('/') && !path.contains([' ', '*', '<', '{', '…']);
    if !is_path || !ENDINGS.iter().any(|ending| path.ends_with(ending)) {
        return None;
    }
    let Some(file) = tree.get(path) else { return Some(format!("there is no file `{path}`")) };
    let test = test?;
    let known = file.text.split(|c: char| !c.is_alphanumeric() && c != '_').any(|word| word == test);
    (!known).then(|| format!("`{path}` has no test `{test}`"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_nowhere_are_caught() {
        let guide =
            "See `a/b.rs`, `a/gone.rs`, `a/b.rs::it_works`, `a/b.rs::it_is_gone`, `cargo test`, `a/*.rs`.\n";
        let tree = Tree::planted(&[("DEVELOPERS.md", guide), ("a/b.rs", "fn it_works() {}")]);
        let told: Vec<_> = check(&tree).into_iter().map(|v| v.what).collect();
        assert_eq!(told, ["there is no file `a/gone.rs`", "`a/b.rs` has no test `it_is_gone`"]);
    }
}
