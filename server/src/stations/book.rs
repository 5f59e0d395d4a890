//! The book of stations: `stations.toml` in the server's data directory. Readable and writable for its owner only,
//! replaced as a whole, and read again whenever it has changed, so that a lost laptop is shut out at once.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Arc, RwLock};
use std::time::SystemTime;

use remise_core::ids::{BenchId, StripId};
use remise_core::text::TextProblem;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{Role, Station, Token, TokenHash};

/// Most stations in one book.
const STATIONS_MAX: usize = 1000;

/// Why the book could not be read or changed.
#[derive(Debug, Error)]
pub enum StationError {
    /// The file could not be read or written.
    #[error("{path}: {source}; the stations are unchanged")]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file is not what it should be.
    #[error("{path}: {why}; the file was not changed: correct it, or remove it and add the stations again")]
    Malformed {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// A station of that name exists.
    #[error("there is already a station `{0}`; choose another name, or remove that one first")]
    NameTaken(String),
    /// No station has that name.
    #[error("there is no station `{0}`; `stations list` shows them")]
    NoSuchStation(String),
    /// The name was refused.
    #[error("the station's name was refused: {why}; choose a short name in one line")]
    BadName {
        /// What is wrong with it.
        why: TextProblem,
    },
    /// Role and binding do not fit.
    #[error("a station of role {} {}", .role.code(), binding_hint(*.role))]
    BadBinding {
        /// The role.
        role: Role,
    },
    /// Too many stations.
    #[error("a server has at most {STATIONS_MAX} stations; remove some first")]
    TooMany,
    /// The system has no random numbers to give.
    #[error("the system gave no random numbers, so no token was made: {0}; nothing was changed, try again")]
    NoRandom(String),
}

fn binding_hint(role: Role) -> &'static str {
    match role {
        Role::Strip => "names its strip, from 1, and no bench: --strip N",
        Role::Bench => "names its bench, from 1, and no strip: --bench N",
        _ => "names neither a strip nor a bench",
    }
}

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BookFile {
    #[serde(default)]
    station: Vec<Entry>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    name: String,
    role: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    strip: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bench: Option<u16>,
    token_sha256: String,
}

#[derive(Clone, Debug)]
struct Known {
    station: Station,
    hash: TokenHash,
}

/// What tells one state of the file from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Mark {
    len: u64,
    modified: Option<SystemTime>,
    inode: u64,
}

#[derive(Clone, Debug)]
struct Loaded {
    mark: Option<Mark>,
    known: Arc<[Known]>,
}

/// The book of stations.
#[derive(Debug)]
pub struct StationBook {
    path: PathBuf,
    loaded: RwLock<Loaded>,
}

impl StationBook {
    /// Reads `DIR/stations.toml`; a file that is not there is an empty book.
    pub fn load(dir: &Path) -> Result<Self, StationError> {
        let path = dir.join("stations.toml");
        let loaded = read(&path)?;
        Ok(Self { path, loaded: RwLock::new(loaded) })
    }

    /// Whether no station is defined.
    pub fn is_empty(&self) -> bool {
        self.current().is_empty()
    }

    /// Every station, by name.
    pub fn list(&self) -> Vec<Station> {
        let mut all: Vec<_> = self.current().iter().map(|known| known.station.clone()).collect();
        all.sort_by(|a, b| a.name.cmp(&b.name));
        all
    }

    /// Adds a station and returns its token, which is shown this once and kept nowhere.
    pub fn add(&self, station: &Station) -> Result<Token, StationError> {
        let token = Token::fresh().map_err(|why| StationError::NoRandom(why.to_string()))?;
        self.change(|known| {
            if known.iter().any(|other| same_name(&other.station.name, &station.name)) {
                return Err(StationError::NameTaken(station.name.to_string()));
            }
            if known.len() >= STATIONS_MAX {
                return Err(StationError::TooMany);
            }
            known.push(Known { station: station.clone(), hash: token.hash() });
            Ok(())
        })?;
        Ok(token)
    }

    /// Removes a station: its token is worth nothing from now on.
    pub fn remove(&self, name: &str) -> Result<(), StationError> {
        self.change(|known| {
            let before = known.len();
            known.retain(|other| !same_name(&other.station.name, name));
            if known.len() == before { Err(StationError::NoSuchStation(name.to_owned())) } else { Ok(()) }
        })
    }

    /// The station that this token belongs to. Looks at every entry, whichever fits, in constant time each.
    pub fn authenticate(&self, token: &str) -> Option<Station> {
        let hash = Token::parse(token)?.hash();
        let mut found = None;
        for known in self.current().iter() {
            if bool::from(known.hash.same(&hash)) {
                found = Some(known.station.clone());
            }
        }
        found
    }

    /// Whether the book still has exactly this station.
    pub fn knows(&self, station: &Station) -> bool {
        self.current().iter().any(|known| known.station == *station)
    }

    /// What the file says now. When it cannot be read, what it said before still holds.
    fn current(&self) -> Arc<[Known]> {
        let now = mark(&self.path);
        {
            let loaded = self.loaded.read().unwrap_or_else(std::sync::PoisonError::into_inner);
            if loaded.mark == now {
                return Arc::clone(&loaded.known);
            }
        }
        let mut loaded = self.loaded.write().unwrap_or_else(std::sync::PoisonError::into_inner);
        match read(&self.path) {
            Ok(fresh) => *loaded = fresh,
            Err(why) => {
                tracing::error!(%why, "the book of stations cannot be read; the stations known so far stay");
                loaded.mark = now;
            }
        }
        Arc::clone(&loaded.known)
    }

    /// Changes the file under a lock that other processes respect.
    fn change(
        &self,
        edit: impl FnOnce(&mut Vec<Known>) -> Result<(), StationError>,
    ) -> Result<(), StationError> {
        let lock_path = self.path.with_extension("lock");
        let lock = private(&lock_path, false).map_err(|source| io_error(&lock_path, source))?;
        lock.lock().map_err(|source| io_error(&lock_path, source))?;
        let mut known = read(&self.path)?.known.to_vec();
        edit(&mut known)?;
        replace(&self.path, &known).map_err(|source| io_error(&self.path, source))?;
        *self.loaded.write().unwrap_or_else(std::sync::PoisonError::into_inner) = read(&self.path)?;
        Ok(())
    }
}

fn same_name(a: &str, b: &str) -> bool {
    remise_core::text::folded(a) == remise_core::text::folded(b)
}

fn io_error(path: &Path, source: io::Error) -> StationError {
    StationError::Io { path: path.to_owned(), source }
}

fn mark(path: &Path) -> Option<Mark> {
    let meta = fs::metadata(path).ok()?;
    #[cfg(unix)]
    let inode = std::os::unix::fs::MetadataExt::ino(&meta);
    #[cfg(not(unix))]
    let inode = 0;
    Some(Mark { len: meta.len(), modified: meta.modified().ok(), inode })
}

fn read(path: &Path) -> Result<Loaded, StationError> {
    let mark = mark(path);
    let text = match fs::read_to_string(path) {
        Ok(text) => text,
        Err(source) if source.kind() == io::ErrorKind::NotFound => String::new(),
        Err(source) => return Err(io_error(path, source)),
    };
    let malformed = |why: String| StationError::Malformed { path: path.to_owned(), why };
    let file: BookFile = toml::from_str(&text).map_err(|why| malformed(why.message().to_owned()))?;
    let mut known: Vec<Known> = Vec::with_capacity(file.station.len());
    for entry in &file.station {
        let entry =
            parse_entry(entry).map_err(|why| malformed(format!("station `{}`: {why}", entry.name)))?;
        if known.iter().any(|other| same_name(&other.station.name, &entry.station.name)) {
            return Err(malformed(format!("station `{}` is there twice", entry.station.name)));
        }
        known.push(entry);
    }
    Ok(Loaded { mark, known: known.into() })
}

fn parse_entry(entry: &Entry) -> Result<Known, String> {
    let role = Role::from_code(&entry.role).ok_or_else(|| format!("there is no role `{}`", entry.role))?;
    let hash = TokenHash::parse(&entry.token_sha256).ok_or("token_sha256 is not 64 hexadecimal digits")?;
    let station = Station::new(&entry.name, role, entry.strip.map(StripId), entry.bench.map(BenchId))
        .map_err(|why| why.to_string())?;
    Ok(Known { station, hash })
}

/// Opens a file that only its owner may read.
fn private(path: &Path, fresh: bool) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(fresh);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

/// Writes a new file beside the old one, syncs it, and puts it in the old one's place.
fn replace(path: &Path, known: &[Known]) -> io::Result<()> {
    let station = known
        .iter()
        .map(|known| Entry {
            name: known.station.name.to_string(),
            role: known.station.role.code().to_owned(),
            strip: known.station.strip.map(|id| id.0),
            bench: known.station.bench.map(|id| id.0),
            token_sha256: known.hash.to_hex(),
        })
        .collect();
    let text = toml::to_string(&BookFile { station }).map_err(io::Error::other)?;
    let beside = path.with_extension("new");
    match fs::remove_file(&beside) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => return Err(why),
        _ => {}
    }
    let mut file = private(&beside, true)?;
    file.write_all(b"# Stations of this server. Tokens are not kept, only their SHA-256.\n\n")?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    fs::rename(&beside, path)?;
    if let Some(dir) = path.parent().filter(|dir| !dir.as_os_str().is_empty()) {
        File::open(dir)?.sync_all()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn strip(name: &str) -> Station {
        Station::new(name, Role::Strip, Some(StripId(7)), None).unwrap()
    }

    #[test]
    fn a_token_opens_the_door_until_the_station_is_removed() {
        let dir = tempfile::tempdir().unwrap();
        let book = StationBook::load(dir.path()).unwrap();
        assert!(book.is_empty());
        let token = book.add(&strip("strip 7")).unwrap();
        assert_eq!(book.authenticate(&token.reveal()), Some(strip("strip 7")));
        assert_eq!(book.authenticate(&Token::fresh().unwrap().reveal()), None);
        assert_eq!(book.authenticate(&"x".repeat(10_000_000)), None);

        // Another process removes it; the server notices by itself.
        StationBook::load(dir.path()).unwrap().remove("Strip  7").unwrap();
        assert_eq!(book.authenticate(&token.reveal()), None);
        assert!(!book.knows(&strip("strip 7")));
    }

    #[test]
    fn the_file_keeps_no_token_and_is_private() {
        let dir = tempfile::tempdir().unwrap();
        let token = StationBook::load(dir.path()).unwrap().add(&strip("strip 7")).unwrap();
        let path = dir.path().join("stations.toml");
        assert!(!fs::read_to_string(&path).unwrap().contains(&token.reveal()));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
        }
    }

    #[test]
    fn names_are_unique_without_regard_to_case() {
        let dir = tempfile::tempdir().unwrap();
        let book = StationBook::load(dir.path()).unwrap();
        book.add(&strip("strip 7")).unwrap();
        assert!(matches!(book.add(&strip("STRIP 7")), Err(StationError::NameTaken(_))));
        assert!(matches!(book.remove("strip 8"), Err(StationError::NoSuchStation(_))));
        assert_eq!(book.list().len(), 1);
    }

    #[test]
    fn a_spoilt_file_is_refused_at_start_and_later_leaves_what_was_known() {
        let dir = tempfile::tempdir().unwrap();
        let book = StationBook::load(dir.path()).unwrap();
        let token = book.add(&strip("strip 7")).unwrap();
        fs::write(dir.path().join("stations.toml"), "[[station]]\nname = 1").unwrap();
        assert!(matches!(StationBook::load(dir.path()), Err(StationError::Malformed { .. })));
        assert!(book.authenticate(&token.reveal()).is_some());
        assert!(matches!(book.add(&strip("strip 9")), Err(StationError::Malformed { .. })));
    }

    #[test]
    fn wrong_roles_and_bindings_in_the_file_are_named() {
        let dir = tempfile::tempdir().unwrap();
        let hash = "0".repeat(64);
        for (entry, says) in [
            (format!("name='a'\nrole='king'\ntoken_sha256='{hash}'"), "no role `king`"),
            (format!("name='a'\nrole='strip'\ntoken_sha256='{hash}'"), "names its strip"),
            ("name='a'\nrole='head'\ntoken_sha256='00'".to_owned(), "64 hexadecimal"),
            (format!("name='a'\nrole='head'\nx=1\ntoken_sha256='{hash}'"), "unknown field"),
        ] {
            fs::write(dir.path().join("stations.toml"), format!("[[station]]\n{entry}\n")).unwrap();
            let why = StationBook::load(dir.path()).unwrap_err().to_string();
            assert!(why.contains(says), "{why}");
        }
    }
}
