//! Which strip or bench the command line names, held against the one that the token is for.

use remise_core::ids::{BenchId, StripId};
use remise_link::LinkError;
use remise_link::view::Welcome;

/// The strip or the bench that was named on the command line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Named {
    /// After `--strip`.
    pub strip: Option<StripId>,
    /// After `--bench`.
    pub bench: Option<BenchId>,
}

impl Named {
    /// Whether the station may stand for what was named. A station that is bound to no strip and no bench may.
    ///
    /// # Errors
    /// [`LinkError::NotAllowed`], which names both, when the station is another strip's or bench's.
    pub fn fits(self, welcome: &Welcome) -> Result<(), LinkError> {
        let strip = self.strip.zip(welcome.strip).filter(|(named, has)| named != has);
        let bench = self.bench.zip(welcome.bench).filter(|(named, has)| named != has);
        let other = strip.map(|(named, has)| ("strip", named.0, has.0));
        let Some((what, named, has)) = other.or(bench.map(|(named, has)| ("bench", named.0, has.0))) else {
            return Ok(());
        };
        Err(LinkError::NotAllowed {
            message: format!("{what} {named} was named, and the token is that of {what} {has}"),
            hint: format!(
                "Put the token of {what} {named} into REMISE_TOKEN, or leave out `--{what} {named}` to be {what} {has}."
            ),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_named_must_not_be_another_than_the_tokens() {
        let strip = |id: Option<u16>| Named { strip: id.map(StripId), bench: None };
        let bench = |id: Option<u16>| Named { strip: None, bench: id.map(BenchId) };
        let of_strip = Welcome { strip: Some(StripId(3)), ..Welcome::default() };
        let of_bench = Welcome { bench: Some(BenchId(2)), ..Welcome::default() };
        let free = Welcome::default();
        for (named, welcome) in [
            (strip(Some(3)), &of_strip),
            (strip(None), &of_strip),
            (strip(Some(4)), &free),
            (bench(Some(2)), &of_bench),
            (bench(None), &of_bench),
        ] {
            assert_eq!(named.fits(welcome), Ok(()), "{named:?}");
        }
        for (named, welcome, says) in [
            (strip(Some(4)), &of_strip, "strip 4 was named, and the token is that of strip 3"),
            (bench(Some(1)), &of_bench, "bench 1 was named, and the token is that of bench 2"),
        ] {
            assert_eq!(named.fits(welcome).map_err(|error| error.to_string()), Err(says.to_owned()));
        }
    }
}
