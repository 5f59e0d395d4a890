//! `stations add`, `stations list`, `stations remove`: who may connect. They change `stations.toml` in the data
//! directory; a running server notices by itself.

use std::fmt::Write as _;
use std::path::Path;

use remise_core::ids::{BenchId, StripId};

use crate::stations::{Role, Station, StationBook, StationError, Token};

/// Adds a station and returns its token, to be shown this once.
pub fn add(
    dir: &Path,
    name: &str,
    role: Role,
    strip: Option<u16>,
    bench: Option<u16>,
) -> Result<Token, StationError> {
    let station = Station::new(name, role, strip.map(StripId), bench.map(BenchId))?;
    StationBook::load(dir)?.add(&station)
}

/// Removes a station.
pub fn remove(dir: &Path, name: &str) -> Result<(), StationError> {
    StationBook::load(dir)?.remove(name)
}

/// Every station, one a line: name, role and binding, apart by tabs.
pub fn list(dir: &Path) -> Result<String, StationError> {
    let mut lines = String::new();
    for station in StationBook::load(dir)?.list() {
        let _ = write!(lines, "{}\t{}", station.name, station.role.code());
        if let Some(strip) = station.strip {
            let _ = write!(lines, "\tstrip {strip}");
        }
        if let Some(bench) = station.bench {
            let _ = write!(lines, "\tbench {bench}");
        }
        lines.push('\n');
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn what_was_added_is_listed_until_it_is_removed() {
        let dir = tempfile::tempdir().unwrap();
        add(dir.path(), "bench 2", Role::Bench, None, Some(2)).unwrap();
        add(dir.path(), "strip 7", Role::Strip, Some(7), None).unwrap();
        add(dir.path(), "head", Role::Head, None, None).unwrap();
        assert_eq!(
            list(dir.path()).unwrap(),
            "bench 2\tbench\tbench 2\nhead\thead\nstrip 7\tstrip\tstrip 7\n"
        );
        remove(dir.path(), "strip 7").unwrap();
        assert_eq!(list(dir.path()).unwrap(), "bench 2\tbench\tbench 2\nhead\thead\n");
        assert!(add(dir.path(), "x\u{1b}[2J", Role::Head, None, None).is_err());
    }
}
