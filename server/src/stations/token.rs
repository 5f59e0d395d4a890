//! Bearer tokens: 32 random bytes, shown once as 64 hexadecimal digits. The server keeps their SHA-256 and compares
//! it in constant time. A random token of that length needs no slow hash: there is nothing to guess.

use std::fmt;

use rand::TryRng as _;
use rand::rngs::{SysError, SysRng};
use sha2::{Digest as _, Sha256};
use subtle::{Choice, ConstantTimeEq as _};

/// Digits of a token as text.
const DIGITS: usize = 64;

/// A token. Its text is printed once and kept nowhere; `Debug` does not show it.
#[derive(Clone, PartialEq, Eq)]
pub struct Token([u8; 32]);

/// SHA-256 of a token.
#[derive(Clone, Copy)]
pub struct TokenHash([u8; 32]);

impl Token {
    /// A new one, from the operating system's random source. Errors when that has nothing to give.
    pub fn fresh() -> Result<Self, SysError> {
        let mut bytes = [0; 32];
        SysRng.try_fill_bytes(&mut bytes)?;
        Ok(Self(bytes))
    }

    /// Reads a token's text: 64 hexadecimal digits of either case, blanks around them ignored.
    pub fn parse(text: &str) -> Option<Self> {
        unhex(text.trim()).map(Self)
    }

    /// Its text.
    pub fn reveal(&self) -> String {
        hex(&self.0)
    }

    /// What the server keeps.
    pub fn hash(&self) -> TokenHash {
        TokenHash(Sha256::digest(self.0).into())
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(hidden)")
    }
}

impl TokenHash {
    /// Reads it from `stations.toml`.
    pub fn parse(text: &str) -> Option<Self> {
        unhex(text).map(Self)
    }

    /// As `stations.toml` keeps it.
    pub fn to_hex(self) -> String {
        hex(&self.0)
    }

    /// Compares in constant time.
    pub fn same(&self, other: &Self) -> Choice {
        self.0.ct_eq(&other.0)
    }
}

impl fmt::Debug for TokenHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("TokenHash(hidden)")
    }
}

fn hex(bytes: &[u8]) -> String {
    const SYMBOLS: &[u8; 16] = b"0123456789abcdef";
    bytes
        .iter()
        .flat_map(|byte| [SYMBOLS[usize::from(byte >> 4)], SYMBOLS[usize::from(byte & 15)]])
        .map(char::from)
        .collect()
}

fn unhex(text: &str) -> Option<[u8; 32]> {
    let digits = text.as_bytes();
    if digits.len() != DIGITS {
        return None;
    }
    let mut bytes = [0; 32];
    for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
        let high = char::from(pair[0]).to_digit(16)?;
        let low = char::from(pair[1]).to_digit(16)?;
        *byte = u8::try_from(high * 16 + low).ok()?;
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_token_reads_back_and_no_two_are_alike() {
        let (a, b) = (Token::fresh().unwrap(), Token::fresh().unwrap());
        assert_eq!(Token::parse(&format!(" {}\n", a.reveal().to_uppercase())), Some(a.clone()));
        assert_ne!(a.reveal(), b.reveal());
        assert!(bool::from(a.hash().same(&Token::parse(&a.reveal()).unwrap().hash())));
        assert!(!bool::from(a.hash().same(&b.hash())));
    }

    /// Held against the one-block example of FIPS 180-4, `SHA-256("abc")`, by way of the same hash function; a
    /// token's own value is the digest of its 32 bytes, here of 32 zero bytes (value computed with coreutils
    /// `sha256sum`).
    #[test]
    fn the_hash_is_sha_256() {
        assert_eq!(
            hex(&Sha256::digest(b"abc")),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        let zero = Token::parse(&"0".repeat(64)).unwrap();
        assert_eq!(zero.hash().to_hex(), "66687aadf862bd776c8fc18b8e9f8e20089714856ee233b3902a591d0d5f2925");
    }

    #[test]
    fn what_is_no_token_is_refused() {
        for text in ["", "00", &"g".repeat(64), &"0".repeat(63), &"0".repeat(65), &"é".repeat(32)] {
            assert!(Token::parse(text).is_none(), "{text}");
        }
    }

    #[test]
    fn logs_do_not_show_it() {
        let token = Token::fresh().unwrap();
        assert!(!format!("{token:?} {:?}", token.hash()).contains(&token.reveal()[..8]));
    }
}
