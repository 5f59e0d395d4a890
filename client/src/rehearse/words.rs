//! What the day taught: minutes of each kind of work, as expected before and as seen.

use std::io::{self, Write};

use remise_core::gear::Work;
use remise_rehearsal::play::Played;

/// Writes the table of what was learned; nothing when it is not known.
pub(super) fn learned(played: &Played, out: &mut dyn Write) -> io::Result<()> {
    let Some(learned) = &played.learned else { return Ok(()) };
    writeln!(out, "learned (hands-on minutes of a repair, middle value)")?;
    for work in Work::ALL {
        let seen = learned.seen(work);
        if let Some(median) = seen.median_min() {
            writeln!(out, "  {:<24} {:>4} repairs {:>7.1} min", work.short(), seen.count, median)?;
        }
    }
    Ok(())
}
