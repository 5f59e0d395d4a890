//! The direct-elimination table: which seed stands on which line of the plan, and which bout a line is in.
//! The order is computed by doubling: each line of a table becomes a bout of the next larger one, between
//! that seed and the one that completes the pair to the table's size plus one.
//!
//! Source: the usual bout plan; FIE o.76 refers to a figure that was not seen. Bouts are called from the top
//! of the plan to the bottom (FIE Organisation Rules o.80, status A).

use super::BoutProblem;

/// Lines of the largest table.
pub const TABLE_MAX: u16 = 256;

/// The seeds of a table from the top line to the bottom one, for 2, 4, 8 … 256 lines.
pub fn seeds(table: u16) -> Result<Vec<u16>, BoutProblem> {
    check_table(table)?;
    let mut lines = vec![1];
    while lines.len() < usize::from(table) {
        lines = doubled(&lines);
    }
    Ok(lines)
}

/// One step of the rule. Upper lines keep their seed above, lower lines below, so that the best stay outside.
fn doubled(lines: &[u16]) -> Vec<u16> {
    let sum = lines.len() as u16 * 2 + 1;
    let pair = |(line, &seed): (usize, &u16)| {
        if line % 2 == 0 { [seed, sum - seed] } else { [sum - seed, seed] }
    };
    lines.iter().enumerate().flat_map(pair).collect()
}

/// Rounds from this table to the final: 6 for a table of 64.
pub fn rounds(table: u16) -> Result<u32, BoutProblem> {
    check_table(table)?;
    Ok(table.trailing_zeros())
}

/// Bouts in the round that this table begins.
pub fn bouts_in(table: u16) -> Result<u16, BoutProblem> {
    check_table(table)?;
    Ok(table / 2)
}

/// The seed on a line, counted from 1 at the top.
pub fn seed_at(table: u16, slot: u16) -> Result<u16, BoutProblem> {
    let lines = seeds(table)?;
    let index = slot.checked_sub(1).ok_or(BoutProblem::Slot { table, slot })?;
    lines.get(usize::from(index)).copied().ok_or(BoutProblem::Slot { table, slot })
}

/// The line of a seed, counted from 1 at the top.
pub fn slot_of_seed(table: u16, seed: u16) -> Result<u16, BoutProblem> {
    let lines = seeds(table)?;
    let index = lines.iter().position(|&s| s == seed).ok_or(BoutProblem::Seed { table, seed })?;
    Ok(index as u16 + 1)
}

/// The bout of a line, numbered from 1 at the top. Its winner has that number as the line in the next table.
pub fn bout_of_slot(table: u16, slot: u16) -> Result<u16, BoutProblem> {
    check_table(table)?;
    if slot == 0 || slot > table {
        return Err(BoutProblem::Slot { table, slot });
    }
    Ok(slot.div_ceil(2))
}

fn check_table(table: u16) -> Result<(), BoutProblem> {
    let fits = table.is_power_of_two() && (2..=TABLE_MAX).contains(&table);
    if fits { Ok(()) } else { Err(BoutProblem::TableSize(table)) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const REFERENCE: &str =
        include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/tableau.csv"));

    /// Held against tests/reference/tableau.csv, every row: line, seed, bout and side.
    #[test]
    fn the_computed_order_is_the_one_in_the_reference() {
        let mut rows = 0;
        for line in REFERENCE.lines().skip(1) {
            let cells: Vec<&str> = line.splitn(6, ',').collect();
            let number = |at: usize| cells[at].parse::<u16>().unwrap();
            let (table, slot, seed) = (number(0), number(1), number(2));
            assert_eq!(seed_at(table, slot), Ok(seed), "{line}");
            assert_eq!(slot_of_seed(table, seed), Ok(slot), "{line}");
            assert_eq!(bout_of_slot(table, slot), Ok(number(3)), "{line}");
            assert_eq!(cells[4], if slot % 2 == 1 { "upper" } else { "lower" }, "{line}");
            rows += 1;
        }
        assert_eq!(rows, 4 + 8 + 16 + 32 + 64 + 128 + 256);
    }

    /// Arithmetic of the plan: when the better seed always wins, seeds 1 and 2 meet in the final and the
    /// winners of each round stand in the order of the next smaller table.
    #[test]
    fn a_table_without_surprises_folds_into_the_next_smaller_one() {
        for table in [4, 8, 16, 32, 64, 128, 256] {
            let winners: Vec<u16> =
                seeds(table).unwrap().chunks(2).map(|pair| pair[0].min(pair[1])).collect();
            assert_eq!(winners, seeds(table / 2).unwrap(), "{table}");
        }
        assert_eq!(seeds(2), Ok(vec![1, 2]));
    }

    #[test]
    fn rounds_and_bouts_count_down_to_the_final() {
        assert_eq!((rounds(64), bouts_in(64)), (Ok(6), Ok(32)));
        assert_eq!((rounds(2), bouts_in(2)), (Ok(1), Ok(1)));
    }

    #[test]
    fn what_is_not_a_table_is_refused() {
        for table in [0, 1, 3, 48, 257, 512, u16::MAX] {
            assert_eq!(seeds(table), Err(BoutProblem::TableSize(table)));
        }
        assert_eq!(seed_at(8, 0), Err(BoutProblem::Slot { table: 8, slot: 0 }));
        assert_eq!(seed_at(8, 9), Err(BoutProblem::Slot { table: 8, slot: 9 }));
        assert_eq!(slot_of_seed(8, 9), Err(BoutProblem::Seed { table: 8, seed: 9 }));
        assert_eq!(bout_of_slot(8, u16::MAX), Err(BoutProblem::Slot { table: 8, slot: u16::MAX }));
    }
}
