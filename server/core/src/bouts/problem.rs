//! What can be wrong with a statement of where a fencer stands in a competition.

use thiserror::Error;

/// Why no next bout can be worked out. Each text says what is wrong, that nothing was recorded, and what to
/// give instead. Text from outside is never repeated in it.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum BoutProblem {
    /// No order is known for a pool of that size.
    #[error("a pool has 4 to 12 fencers, not {0}; nothing was recorded. Give the size on the pool sheet")]
    PoolSize(u16),
    /// No order of that name is known for the size; the known ones.
    #[error(
        "no such bout order for a pool of {size}; nothing was recorded. Known orders: {}; or leave it out",
        known.join(", ")
    )]
    Variant {
        /// Fencers in the pool.
        size: u8,
        /// Orders known for it, the usual one first.
        known: Vec<&'static str>,
    },
    /// A place in the pool that does not exist.
    #[error(
        "a pool of {size} has places 1 to {size}, not {place}; nothing was recorded. Give the fencer's number on the pool sheet"
    )]
    PoolPlace {
        /// Fencers in the pool.
        size: u8,
        /// What was given.
        place: u8,
    },
    /// A bout number outside the order.
    #[error(
        "bouts are numbered 1 to {bouts} here, not {given}; nothing was recorded. Give the number of the bout that is running"
    )]
    RunningBout {
        /// Bouts in the pool, round or match.
        bouts: u16,
        /// What was given.
        given: u16,
    },
    /// A length of a bout outside 1 to 60 minutes.
    #[error(
        "a bout takes 1 to 60 minutes, not {0}; nothing was recorded. Give the usual minutes from call to call"
    )]
    BoutMinutes(u16),
    /// A table whose size is not 2, 4, 8 … 256.
    #[error(
        "a table has 2, 4, 8, 16, 32, 64, 128 or 256 lines, not {0}; nothing was recorded. Give the table of the round that is running"
    )]
    TableSize(u16),
    /// A line outside the table.
    #[error(
        "a table of {table} has lines 1 to {table}, not {slot}; nothing was recorded. Count the fencer's line from the top of the plan"
    )]
    Slot {
        /// Lines of the table.
        table: u16,
        /// What was given.
        slot: u16,
    },
    /// A seed outside the table.
    #[error(
        "a table of {table} has seeds 1 to {table}, not {seed}; nothing was recorded. Give the fencer's number in the plan"
    )]
    Seed {
        /// Lines of the table.
        table: u16,
        /// What was given.
        seed: u16,
    },
    /// A number of entrants that this table cannot have.
    #[error("a table of {table} is fenced by {} to {table}, not {entrants}; nothing was recorded. Leave the number out when the table is full", table / 2 + 1)]
    Entrants {
        /// Lines of the table.
        table: u16,
        /// What was given.
        entrants: u16,
    },
    /// The line named belongs to nobody.
    #[error(
        "line {0} of the plan is empty; nothing was recorded. Count the fencer's line from the top of the plan"
    )]
    EmptyLine(u16),
    /// The bout named as running is not fenced, for one of its lines is empty.
    #[error(
        "bout {0} is not fenced: one of its lines is empty; nothing was recorded. Give the number of a bout that is running"
    )]
    NotFenced(u16),
    /// A number of strips outside 1 to 64.
    #[error(
        "a round is fenced on 1 to 64 strips, not {0}; nothing was recorded. Give the strips in use for this round"
    )]
    Strips(u8),
    /// A fencer's number outside 1 to 6.
    #[error(
        "fencers of a team match are numbered 1 to 6, not {0}; nothing was recorded. Give the number on the score sheet"
    )]
    RelayFencer(u8),
    /// A margin over two hours.
    #[error(
        "the margin before a bout is 0 to 120 minutes, not {0}; nothing was recorded. The usual margin is 5"
    )]
    Margin(u16),
}
