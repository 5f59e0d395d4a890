//! The repository's text files, read once. What git does not keep (`target`) and what is not text is left out.

use std::fs;
use std::path::Path;

/// A text file. Paths are relative to the top, with forward slashes.
pub struct Text {
    pub path: String,
    pub text: String,
}

/// All text files, sorted by path, and the names of what lies at the top.
pub struct Tree {
    pub files: Vec<Text>,
    pub top: Vec<String>,
}

impl Tree {
    pub fn read(root: &Path) -> Self {
        let mut files = Vec::new();
        gather(root, "", &mut files);
        files.sort_by(|a, b| a.path.cmp(&b.path));
        let mut top: Vec<_> =
            fs::read_dir(root).unwrap().map(|entry| name_of(&entry.unwrap())).filter(|n| kept(n)).collect();
        top.sort();
        Self { files, top }
    }

    pub fn get(&self, path: &str) -> Option<&Text> {
        self.files.iter().find(|file| file.path == path)
    }

    /// A tree that exists only in a test.
    pub fn planted(files: &[(&str, &str)]) -> Self {
        let text = |(path, text): &(&str, &str)| Text { path: (*path).into(), text: (*text).into() };
        let mut top: Vec<String> =
            files.iter().map(|(path, _)| path.split('/').next().unwrap_or(path).to_owned()).collect();
        top.sort();
        top.dedup();
        Self { files: files.iter().map(text).collect(), top }
    }
}

fn name_of(entry: &fs::DirEntry) -> String {
    entry.file_name().to_string_lossy().into_owned()
}

fn kept(name: &str) -> bool {
    !matches!(name, "target" | ".git")
}

fn gather(dir: &Path, prefix: &str, files: &mut Vec<Text>) {
    for entry in fs::read_dir(dir).unwrap() {
        let entry = entry.unwrap();
        let name = name_of(&entry);
        if !kept(&name) {
            continue;
        }
        let path = format!("{prefix}{name}");
        if entry.file_type().unwrap().is_dir() {
            gather(&entry.path(), &format!("{path}/"), files);
        } else if let Ok(text) = fs::read_to_string(entry.path()) {
            files.push(Text { path, text });
        }
    }
}
