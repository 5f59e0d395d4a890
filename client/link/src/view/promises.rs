//! How the first promises were kept, read from a board's tally.

use remise_core::armoury::Need;
use serde::Serialize;

use super::board::{Board, CountLine};

/// What became of the first promises of one class of need.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PromisesKept {
    /// The class; none for all together.
    pub need: Option<Need>,
    /// Jobs that were promised a time.
    pub promised: u64,
    /// Ended by the likely time.
    pub likely_kept: u64,
    /// Ended later, or open still after it.
    pub likely_missed: u64,
    /// Ended by the safe time.
    pub safe_kept: u64,
    /// Ended later, or open still after it.
    pub safe_missed: u64,
}

impl Board {
    /// How the first promises were kept: all together first, then by need; empty when nothing was promised, or when the
    /// server is too old to say.
    pub fn promises(&self) -> Vec<PromisesKept> {
        let lines = self.tally.as_deref().unwrap_or_default();
        let number = |of: &str, code: &str| {
            let line = |line: &&CountLine| line.of == of && line.code == code;
            lines.iter().find(line).map_or(0, |line| line.number)
        };
        let classes = std::iter::once(("all", None)).chain(Need::ALL.iter().map(|n| (n.code(), Some(*n))));
        classes
            .map(|(code, need)| PromisesKept {
                need,
                promised: number("promised", code),
                likely_kept: number("likely_kept", code),
                likely_missed: number("likely_missed", code),
                safe_kept: number("safe_kept", code),
                safe_missed: number("safe_missed", code),
            })
            .filter(|class| class.promised > 0)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Held against the names in `view.proto`.
    #[test]
    fn the_tally_says_how_promises_were_kept() {
        let line =
            |of: &str, code: &str, number| CountLine { of: of.to_owned(), code: code.to_owned(), number };
        let tally = vec![
            line("ever", "opened", 9),
            line("promised", "all", 7),
            line("likely_kept", "all", 3),
            line("safe_missed", "all", 1),
            line("promised", "none_left", 2),
            line("safe_kept", "none_left", 2),
        ];
        let kept = Board { tally: Some(tally), ..Board::default() }.promises();
        let of = |need| kept.iter().find(|class| class.need == need).cloned();
        assert_eq!(kept.len(), 2, "{kept:?}");
        assert_eq!(of(None).map(|all| (all.promised, all.likely_kept, all.safe_missed)), Some((7, 3, 1)));
        assert_eq!(of(Some(Need::NoneLeft)).map(|class| class.safe_kept), Some(2));
        assert!(Board::default().promises().is_empty(), "an older server");
    }
}
