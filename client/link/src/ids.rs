//! Request ids: UUID version 7 (RFC 9562), made and kept by the client before it sends, so that sending again
//! does nothing twice.

use std::fmt;
use std::str::FromStr;

use rand::Rng;
use remise_core::time::Stamp;
use serde::{Serialize, Serializer};
use thiserror::Error;
use uuid::{Builder, Uuid, Variant};

/// The client's number for one request.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RequestId([u8; 16]);

/// The text is no request id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("a request id is a UUID of version 7, as `--json` prints it")]
pub struct BadRequestId;

impl RequestId {
    /// As it goes over the wire.
    pub fn bytes(self) -> [u8; 16] {
        self.0
    }
}

impl fmt::Display for RequestId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        Uuid::from_bytes(self.0).hyphenated().fmt(f)
    }
}

impl FromStr for RequestId {
    type Err = BadRequestId;

    fn from_str(text: &str) -> Result<Self, BadRequestId> {
        let uuid = Uuid::try_parse(text.trim()).map_err(|_| BadRequestId)?;
        let fits = uuid.get_version_num() == 7 && uuid.get_variant() == Variant::RFC4122;
        if fits { Ok(Self(uuid.into_bytes())) } else { Err(BadRequestId) }
    }
}

impl Serialize for RequestId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// An id from a time and a source of randomness: the same two give the same id.
pub fn request_id(at: Stamp, rng: &mut (impl Rng + ?Sized)) -> RequestId {
    let millis = u64::try_from(at.0 / 1000).unwrap_or(0);
    let mut random = [0_u8; 10];
    rng.fill_bytes(&mut random);
    RequestId(Builder::from_unix_timestamp_millis(millis, &random).into_uuid().into_bytes())
}

/// An id from the time given and the thread's own source of randomness.
pub fn live_id(now: Stamp) -> RequestId {
    request_id(now, &mut rand::rng())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use rand::SeedableRng;
    use rand::rngs::SmallRng;

    use super::*;

    #[test]
    fn the_same_time_and_seed_give_the_same_id() {
        let make = || request_id(Stamp(1_790_000_000_123_456), &mut SmallRng::seed_from_u64(7));
        assert_eq!(make(), make());
        assert_ne!(make(), request_id(Stamp(1_790_000_000_123_456), &mut SmallRng::seed_from_u64(8)));
    }

    /// Held against RFC 9562, section 5.7: 48 bits of milliseconds, version 7, variant 0b10.
    #[test]
    fn the_layout_is_that_of_version_7() {
        let bytes = request_id(Stamp(0x0123_4567_89ab * 1000), &mut SmallRng::seed_from_u64(1)).bytes();
        assert_eq!(bytes[..6], [0x01, 0x23, 0x45, 0x67, 0x89, 0xab]);
        assert_eq!(bytes[6] >> 4, 7);
        assert_eq!(bytes[8] >> 6, 0b10);
    }

    #[test]
    fn its_text_is_read_back_and_others_are_refused() {
        let id = live_id(Stamp(1_790_000_000_000_000));
        assert_eq!(id.to_string().parse(), Ok(id));
        // The example of version 4 in RFC 9562, appendix A.3.
        assert_eq!("919108f7-52d1-4320-9bac-f847db4148a8".parse::<RequestId>(), Err(BadRequestId));
        assert_eq!("x".repeat(1_000_000).parse::<RequestId>(), Err(BadRequestId));
    }
}
