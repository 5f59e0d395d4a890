//! Stations: who may do what. A station is a device with a role: a strip's laptop, the counter, a bench, the head
//! armourer's tablet, an observer's screen. It shows a bearer token with every call; the server keeps only the
//! token's SHA-256.

mod book;
mod scope;
mod table;
mod token;

use std::sync::Arc;

use remise_core::ids::{BenchId, StripId};

pub use book::{StationBook, StationError};
pub use scope::{OutOfScope, check as check_scope, find as find_job, sees_job};
pub use table::{RPCS, Row, may, row};
pub use token::{Token, TokenHash};

/// What a station is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// At one strip.
    Strip,
    /// The counter at the armoury's door.
    Counter,
    /// At one bench.
    Bench,
    /// The head armourer.
    Head,
    /// Looks on, without names.
    Observer,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 5] = [Self::Strip, Self::Counter, Self::Bench, Self::Head, Self::Observer];

    /// Stable code: in `stations.toml`, in metadata, on the command line.
    pub fn code(self) -> &'static str {
        match self {
            Self::Strip => "strip",
            Self::Counter => "counter",
            Self::Bench => "bench",
            Self::Head => "head",
            Self::Observer => "observer",
        }
    }

    /// The role with that code.
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.code() == code)
    }

    /// Whether it may read the names of people and what was written by hand.
    pub fn sees_names(self) -> bool {
        self != Self::Observer
    }
}

/// A station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Station {
    /// Its name, unique on the server.
    pub name: Arc<str>,
    /// What it is for.
    pub role: Role,
    /// The strip that it is bound to, for [`Role::Strip`].
    pub strip: Option<StripId>,
    /// The bench that it is bound to, for [`Role::Bench`].
    pub bench: Option<BenchId>,
}

impl Station {
    /// Checks that role and binding fit: a strip names its strip, a bench its bench, the others neither.
    pub fn new(
        name: &str,
        role: Role,
        strip: Option<StripId>,
        bench: Option<BenchId>,
    ) -> Result<Self, StationError> {
        let name = remise_core::text::name(name).map_err(|why| StationError::BadName { why })?;
        let fits = match role {
            Role::Strip => strip.is_some_and(|id| id.0 > 0) && bench.is_none(),
            Role::Bench => bench.is_some_and(|id| id.0 > 0) && strip.is_none(),
            _ => strip.is_none() && bench.is_none(),
        };
        if !fits {
            return Err(StationError::BadBinding { role });
        }
        Ok(Self { name: name.into(), role, strip, bench })
    }
}

/// How callers are let in.
#[derive(Clone, Debug)]
pub enum Access {
    /// No stations are defined and the server listens on loopback only: everybody is let in, with the role that
    /// the call's metadata names.
    Open,
    /// Only with a token from the book.
    Book(Arc<StationBook>),
}

impl Access {
    /// Whether a station that was let in may stay: it has not been removed or changed since.
    pub fn still_knows(&self, station: &Station) -> bool {
        match self {
            Self::Open => true,
            Self::Book(book) => book.knows(station),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_station_is_bound_as_its_role_says() {
        assert!(Station::new("strip 7", Role::Strip, Some(StripId(7)), None).is_ok());
        for (role, strip, bench) in [
            (Role::Strip, None, None),
            (Role::Strip, Some(StripId(0)), None),
            (Role::Strip, Some(StripId(7)), Some(BenchId(1))),
            (Role::Bench, None, None),
            (Role::Bench, Some(StripId(7)), None),
            (Role::Head, None, Some(BenchId(1))),
            (Role::Observer, Some(StripId(1)), None),
        ] {
            let refused = Station::new("x", role, strip, bench).unwrap_err();
            assert!(matches!(refused, StationError::BadBinding { .. }), "{role:?} {strip:?} {bench:?}");
        }
    }

    #[test]
    fn role_codes_read_back() {
        for role in Role::ALL {
            assert_eq!(Role::from_code(role.code()), Some(role));
        }
        assert_eq!(Role::from_code("HEAD"), None);
    }
}
