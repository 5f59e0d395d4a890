//! Who may depend on whom. The table is exact: a dependency that it does not name is refused, and a line of it that
//! no Cargo.toml needs any more is refused too.

use std::collections::BTreeSet;

use super::Violation;
use super::manifest::{Dependency, Kind, Manifest};
use super::tree::{Text, Tree};

/// Each crate of ours with the crates of ours that it depends on.
///
/// The rehearsal also uses the core's own words (kinds, complaints, times); everything else follows from the rule that
/// wire and core meet only in the server and in the link.
pub const TABLE: &[(&str, &[&str])] = &[
    ("remise-proto", &[]),
    ("remise-core", &[]),
    ("remise-checker", &[]),
    ("remise-server", &["remise-core", "remise-proto"]),
    ("remise-link", &["remise-core", "remise-proto"]),
    ("remise-rehearsal", &["remise-checker", "remise-core", "remise-link", "remise-server"]),
    ("remise", &["remise-core", "remise-link", "remise-rehearsal"]),
    (
        "remise-tests",
        &[
            "remise",
            "remise-checker",
            "remise-core",
            "remise-link",
            "remise-proto",
            "remise-rehearsal",
            "remise-server",
        ],
    ),
];

/// A dependency that must stay optional: the client is useful without it.
const OPTIONAL: &[(&str, &str)] = &[("remise", "remise-rehearsal")];

/// Crates that may use these others' crates and no more, tests apart.
const ONLY: &[(&str, &[&str])] = &[
    ("remise-core", &["imbl", "serde", "serde_json", "statrs", "strsim", "thiserror"]),
    ("remise-checker", &["serde", "serde_json", "sha2", "thiserror"]),
    ("remise-proto", &["prost", "prost-types", "protox", "tonic", "tonic-prost", "tonic-prost-build"]),
];

/// Others' crates that only these of ours may use: terminals, and the store.
const KEPT: &[(&str, &[&str])] = &[
    ("ratatui", &["remise", "remise-tests"]),
    ("crossterm", &["remise", "remise-tests"]),
    ("rusqlite", &["remise-server", "remise-tests"]),
];

/// Breaches of the table.
pub fn check(tree: &Tree) -> Vec<Violation> {
    let files = tree.files.iter().filter(|file| file.path.ends_with("/Cargo.toml"));
    files.flat_map(check_one).collect()
}

fn check_one(file: &Text) -> Vec<Violation> {
    let manifest = Manifest::read(&file.text);
    let Some((_, allowed)) = TABLE.iter().find(|(name, _)| *name == manifest.name) else {
        return vec![Violation::new(
            &file.path,
            1,
            format!("`{}` is not in the table of layers", manifest.name),
        )];
    };
    let mut found = Vec::new();
    for dependency in &manifest.dependencies {
        let what = ours(&manifest.name, dependency, allowed).or_else(|| others(&manifest.name, dependency));
        found.extend(what.map(|what| Violation::new(&file.path, dependency.line, what)));
    }
    let used: BTreeSet<_> = manifest.dependencies.iter().map(|d| d.name.as_str()).collect();
    let unused = allowed.iter().filter(|name| !used.contains(**name));
    found.extend(unused.map(|name| {
        Violation::new(
            &file.path,
            1,
            format!("`{name}` is in the table of layers but not used: shorten the table"),
        )
    }));
    found
}

fn ours(package: &str, dependency: &Dependency, allowed: &[&str]) -> Option<String> {
    let name = dependency.name.as_str();
    if name != "remise" && !name.starts_with("remise-") {
        return None;
    }
    if !allowed.contains(&name) {
        return Some(format!("`{package}` must not depend on `{name}` ({:?})", dependency.kind));
    }
    let loose =
        OPTIONAL.contains(&(package, name)) && dependency.kind == Kind::Normal && !dependency.optional;
    loose.then(|| format!("`{name}` must be optional here"))
}

fn others(package: &str, dependency: &Dependency) -> Option<String> {
    let name = dependency.name.as_str();
    if dependency.kind == Kind::Dev {
        return None;
    }
    let beyond = ONLY.iter().any(|(crate_, only)| *crate_ == package && !only.contains(&name));
    let kept = KEPT.iter().any(|(crate_, by)| *crate_ == name && !by.contains(&package));
    (beyond || kept).then(|| format!("`{package}` must not use `{name}`"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(package: &str, dependencies: &str) -> Vec<String> {
        let text = format!("[package]\nname = \"{package}\"\n{dependencies}");
        let tree = Tree::planted(&[("x/Cargo.toml", &text)]);
        check(&tree).into_iter().map(|v| v.what).collect()
    }

    #[test]
    fn the_table_is_exact() {
        let right = "[dependencies]\nremise-core.workspace = true\nremise-proto.workspace = true\n";
        assert!(told("remise-link", right).is_empty());
        let upward = format!("{right}[dev-dependencies]\nremise-server.workspace = true\n");
        assert_eq!(told("remise-link", &upward), ["`remise-link` must not depend on `remise-server` (Dev)"]);
        assert_eq!(told("remise-link", "[dependencies]\nremise-core.workspace = true\n").len(), 1);
        assert_eq!(told("remise-extra", ""), ["`remise-extra` is not in the table of layers"]);
    }

    #[test]
    fn the_rehearsal_stays_optional() {
        let client = |rehearsal: &str| {
            format!(
                "[dependencies]\nremise-core.workspace = true\nremise-link.workspace = true\nremise-rehearsal = {rehearsal}\n"
            )
        };
        assert!(told("remise", &client("{ workspace = true, optional = true }")).is_empty());
        assert_eq!(
            told("remise", &client("{ workspace = true }")),
            ["`remise-rehearsal` must be optional here"]
        );
    }

    #[test]
    fn the_core_stays_small_and_the_terminal_stays_in_the_client() {
        assert_eq!(
            told("remise-core", "[dependencies]\ntokio = \"1\"\n"),
            ["`remise-core` must not use `tokio`"]
        );
        assert!(told("remise-core", "[dev-dependencies]\nproptest = \"1\"\n").is_empty());
        let server =
            "[dependencies]\nremise-core.workspace = true\nremise-proto.workspace = true\nratatui = \"1\"\n";
        assert_eq!(told("remise-server", server), ["`remise-server` must not use `ratatui`"]);
    }

    #[test]
    fn no_layer_is_above_itself() {
        let mut below = BTreeSet::new();
        for (name, uses) in TABLE {
            assert!(uses.iter().all(|used| below.contains(used)), "{name} uses a crate of a later line");
            below.insert(*name);
        }
    }
}
