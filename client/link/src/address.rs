//! Where the server is and who is asking.

use std::fmt;

use remise_core::ids::{BenchId, StripId};
use serde::Serialize;

use crate::error::LinkError;

/// Port that is taken when an address names none.
pub const DEFAULT_PORT: u16 = 18_300;

/// Longest address, in bytes.
const ADDRESS_MAX: usize = 256;
/// Longest token, in bytes.
const TOKEN_MAX: usize = 512;

/// Who a station is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Bound to one strip.
    Strip,
    /// The counter at the armoury's door.
    Counter,
    /// Bound to one bench.
    Bench,
    /// The head armourer.
    Head,
    /// Sees how things stand, without names. Changes nothing.
    Observer,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 5] = [Self::Strip, Self::Counter, Self::Bench, Self::Head, Self::Observer];

    /// Stable code: in metadata and on the command line.
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
}

/// A station's secret. Never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct Token(String);

impl Token {
    /// Takes a token as it was printed.
    ///
    /// # Errors
    /// [`LinkError::BadAddress`] when it cannot be a token.
    pub fn new(text: &str) -> Result<Self, LinkError> {
        let text = text.trim();
        let plain = text.bytes().all(|byte| byte.is_ascii_graphic());
        if text.is_empty() || text.len() > TOKEN_MAX || !plain {
            return Err(LinkError::bad_address("the token is not one that a server prints"));
        }
        Ok(Self(text.to_owned()))
    }

    pub(crate) fn secret(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(…)")
    }
}

/// Who is asking, for a server without stations, which believes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenStation {
    /// The role.
    pub role: Role,
    /// Any name.
    pub name: String,
    /// The strip, for a strip's station.
    pub strip: Option<StripId>,
    /// The bench, for a bench's station.
    pub bench: Option<BenchId>,
}

/// Where the server is and who is asking.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Address {
    /// `http://host:port`.
    pub uri: String,
    /// The station's token, for a server with stations.
    pub token: Option<Token>,
    /// Who is asking, for a server without stations.
    pub open: Option<OpenStation>,
}

impl Address {
    /// Reads `host`, `host:port` or `http://host:port`; the port is [`DEFAULT_PORT`] when left out.
    ///
    /// # Errors
    /// [`LinkError::BadAddress`] says what is wrong with it.
    pub fn parse(typed: &str) -> Result<Self, LinkError> {
        let typed = typed.trim().trim_end_matches('/');
        if typed.is_empty() || typed.len() > ADDRESS_MAX {
            return Err(LinkError::bad_address("the address is empty or far too long"));
        }
        if typed.starts_with("https://") {
            return Err(LinkError::bad_address(
                "this client cannot encrypt yet; use http:// inside one's own network",
            ));
        }
        let bare = typed.strip_prefix("http://").unwrap_or(typed);
        let allowed = |c: char| c.is_ascii_alphanumeric() || ".-_:[]%".contains(c);
        if !bare.chars().all(allowed) || bare.starts_with(':') {
            return Err(LinkError::bad_address(
                "an address looks like `hall-server:18300` or `192.0.2.7:18300`",
            ));
        }
        let uri =
            if has_port(bare)? { format!("http://{bare}") } else { format!("http://{bare}:{DEFAULT_PORT}") };
        Ok(Self { uri, token: None, open: None })
    }
}

/// Whether the address ends in a port, which must be one.
fn has_port(bare: &str) -> Result<bool, LinkError> {
    let after_host = bare.rsplit_once(']').map_or(bare, |(_, rest)| rest);
    match after_host.rsplit_once(':') {
        None => Ok(false),
        Some((_, port)) if port.parse::<u16>().is_ok_and(|port| port > 0) => Ok(true),
        Some(_) => Err(LinkError::bad_address("the port is a number from 1 to 65535")),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn an_address_is_completed() {
        for (typed, uri) in [
            ("hall", "http://hall:18300"),
            (" 192.0.2.7:9 ", "http://192.0.2.7:9"),
            ("http://hall:80/", "http://hall:80"),
            ("[::1]", "http://[::1]:18300"),
            ("[::1]:7", "http://[::1]:7"),
        ] {
            assert_eq!(Address::parse(typed).unwrap().uri, uri);
        }
    }

    #[test]
    fn nonsense_is_refused() {
        let long = "x".repeat(1_000_000);
        for typed in
            ["", ":9", "hall:0", "hall:70000", "a b", "https://hall", "hall/path", "\u{1b}[2J", long.as_str()]
        {
            assert!(matches!(Address::parse(typed), Err(LinkError::BadAddress { .. })), "{}", typed.len());
        }
        assert!(Token::new("").is_err() && Token::new("a\nb").is_err() && Token::new(&long).is_err());
    }

    #[test]
    fn a_token_is_never_shown() {
        let token = Token::new("secret-word").unwrap();
        assert!(!format!("{token:?}").contains("secret"));
    }
}
