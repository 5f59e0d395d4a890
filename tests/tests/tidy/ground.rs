//! What lies at the top of the repository, and how many packages the whole is built from.

use super::Violation;
use super::tree::Tree;

/// What may lie at the top, besides dotfiles.
const TOP: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "client",
    "clippy.toml",
    "deny.toml",
    "deploy",
    "proto",
    "rustfmt.toml",
    "server",
    "tests",
];

/// Packages in Cargo.lock, ours included. Each is code that somebody must trust and wait for; raising this number is
/// a decision, so it is made here where it is seen.
pub const PACKAGES_MOST: usize = 375;

/// Strangers at the top, and too many packages.
pub fn check(tree: &Tree) -> Vec<Violation> {
    let stranger = |name: &&String| !name.starts_with('.') && !TOP.contains(&name.as_str());
    let mut found: Vec<_> = tree
        .top
        .iter()
        .filter(stranger)
        .map(|name| Violation::new(name, 1, "does not belong at the top of the repository"))
        .collect();
    if let Some(lock) = tree.get("Cargo.lock") {
        let packages = lock.text.lines().filter(|line| *line == "[[package]]").count();
        if packages > PACKAGES_MOST {
            let what =
                format!("{packages} packages; {PACKAGES_MOST} are allowed: drop one, or decide to raise it");
            found.push(Violation::new("Cargo.lock", 1, what));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strangers_are_caught() {
        let tree =
            Tree::planted(&[("README.md", ""), (".ci/run", ""), ("notes/a.md", ""), ("client/src/a.rs", "")]);
        let told: Vec<_> = check(&tree).into_iter().map(|v| v.path).collect();
        assert_eq!(told, ["notes"]);
    }

    #[test]
    fn one_package_too_many_is_caught() {
        let lock = |count: usize| "[[package]]\nname = \"a\"\n".repeat(count);
        assert!(check(&Tree::planted(&[("Cargo.lock", &lock(PACKAGES_MOST))])).is_empty());
        assert_eq!(check(&Tree::planted(&[("Cargo.lock", &lock(PACKAGES_MOST + 1))])).len(), 1);
    }
}
