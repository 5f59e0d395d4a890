//! What a Cargo.toml says that the checks need: the package's name and what it depends on. Only the forms that this
//! workspace uses are read; an unknown form of one of our own crates is a violation of the layers, not a silence.

/// How something is depended on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Normal,
    Dev,
    Build,
}

/// One dependency.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dependency {
    pub name: String,
    pub kind: Kind,
    pub optional: bool,
    pub line: usize,
}

/// A package's name and dependencies.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Manifest {
    pub name: String,
    pub dependencies: Vec<Dependency>,
}

impl Manifest {
    pub fn read(text: &str) -> Self {
        let mut manifest = Self::default();
        let mut section = String::new();
        for (at, line) in text.lines().enumerate() {
            let line = line.trim();
            if let Some(header) = line.strip_prefix('[') {
                header.trim_end_matches(']').clone_into(&mut section);
                manifest.open(&section, at + 1);
            } else if let Some((key, value)) = line.split_once('=').filter(|_| !line.starts_with('#')) {
                manifest.entry(&section, key.trim(), value.trim(), at + 1);
            }
        }
        manifest
    }

    /// `[dependencies.name]` names its dependency in the header.
    fn open(&mut self, section: &str, line: usize) {
        if let Some((table, name)) = section.rsplit_once('.')
            && let Some(kind) = kind_of(table)
        {
            self.dependencies.push(Dependency { name: name.to_owned(), kind, optional: false, line });
        }
    }

    fn entry(&mut self, section: &str, key: &str, value: &str, line: usize) {
        if section == "package" && key == "name" {
            value.trim_matches('"').clone_into(&mut self.name);
        }
        if let Some(kind) = kind_of(section) {
            let name = key.split('.').next().unwrap_or(key).trim_matches('"').to_owned();
            let optional = value.contains("optional = true");
            self.dependencies.push(Dependency { name, kind, optional, line });
        }
    }
}

fn kind_of(section: &str) -> Option<Kind> {
    if section.starts_with("workspace") {
        return None;
    }
    let table = section.rsplit('.').next().unwrap_or(section);
    match table {
        "dependencies" => Some(Kind::Normal),
        "dev-dependencies" => Some(Kind::Dev),
        "build-dependencies" => Some(Kind::Build),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_in_use_is_read() {
        let text = "[package]\nname = \"x\"\n[dependencies]\na.workspace = true\n# b = 1\nc = { workspace = true, optional = true }\n[dev-dependencies]\nd = \"1\"\n[target.'cfg(unix)'.build-dependencies]\ne = \"1\"\n[dependencies.f]\nversion = \"1\"\n";
        let manifest = Manifest::read(text);
        assert_eq!(manifest.name, "x");
        let read: Vec<_> =
            manifest.dependencies.iter().map(|d| (d.name.as_str(), d.kind, d.optional, d.line)).collect();
        assert_eq!(
            read,
            [
                ("a", Kind::Normal, false, 4),
                ("c", Kind::Normal, true, 6),
                ("d", Kind::Dev, false, 8),
                ("e", Kind::Build, false, 10),
                ("f", Kind::Normal, false, 11),
            ]
        );
    }

    #[test]
    fn the_workspace_table_is_no_dependency() {
        assert!(Manifest::read("[workspace.dependencies]\na = \"1\"\n").dependencies.is_empty());
    }
}
