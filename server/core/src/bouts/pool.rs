//! Bout orders of pools of 4 to 12, as data. Each order says whether the rule book itself publishes it
//! (FIE Organisation Rules o.69-o.70: sizes 6 and 7) or custom does.

use std::ops::RangeInclusive;
use std::sync::LazyLock;

use super::BoutProblem;

/// Sizes for which an order is known.
pub const POOL_SIZES: RangeInclusive<u8> = 4..=12;

const DATA: &str = include_str!("../../data/bouts/pool-orders.txt");

static ORDERS: LazyLock<Vec<PoolOrder>> =
    LazyLock::new(|| parse(DATA).expect("the built-in pool orders are well formed; a test reads every row"));

/// What a bout order rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Printed in the rule book.
    Published,
    /// Agreed across public listings; no page of a rule book was seen.
    Customary,
}

impl Standing {
    /// Stable code, as in the data file.
    pub fn code(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Customary => "customary",
        }
    }
}

/// The order in which the bouts of a pool are fenced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PoolOrder {
    /// Fencers in the pool.
    pub size: u8,
    /// Name of the order, unique for the size.
    pub variant: &'static str,
    /// What the order rests on.
    pub standing: Standing,
    /// The bouts: the place named first, then the other.
    pub bouts: Vec<(u8, u8)>,
}

/// Every order, by size; the usual one of a size first.
pub fn pool_orders() -> &'static [PoolOrder] {
    &ORDERS
}

/// The order that is taken when none is named: the published one where there is one.
pub fn default_order(size: u8) -> Option<&'static PoolOrder> {
    pool_orders().iter().find(|order| order.size == size)
}

/// The names of the orders known for a size, the usual one first. Empty outside 4 to 12.
pub fn variants(size: u8) -> Vec<&'static str> {
    pool_orders().iter().filter(|order| order.size == size).map(|order| order.variant).collect()
}

/// The order of that name, or the usual one of the size.
pub fn pool_order(size: u8, variant: Option<&str>) -> Result<&'static PoolOrder, BoutProblem> {
    let usual = default_order(size).ok_or(BoutProblem::PoolSize(u16::from(size)))?;
    let Some(name) = variant else { return Ok(usual) };
    pool_orders()
        .iter()
        .find(|order| order.size == size && order.variant == name)
        .ok_or_else(|| BoutProblem::Variant { size, known: variants(size) })
}

fn parse(text: &'static str) -> Option<Vec<PoolOrder>> {
    text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')).map(parse_line).collect()
}

fn parse_line(line: &'static str) -> Option<PoolOrder> {
    let mut words = line.split(' ');
    let size = words.next()?.parse().ok()?;
    let variant = words.next()?;
    let standing = match words.next()? {
        "published" => Standing::Published,
        "customary" => Standing::Customary,
        _ => return None,
    };
    let bouts = words.map(parse_bout).collect::<Option<Vec<_>>>()?;
    Some(PoolOrder { size, variant, standing, bouts })
}

fn parse_bout(word: &str) -> Option<(u8, u8)> {
    let (left, right) = word.split_once('-')?;
    Some((left.parse().ok()?, right.parse().ok()?))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::collections::BTreeSet;

    use super::*;

    const REFERENCE: &str =
        include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/pool-orders.csv"));

    /// Held against tests/reference/pool-orders.csv, every row in both directions.
    #[test]
    fn every_row_of_the_reference_is_in_the_data_and_no_other() {
        let mut rows = 0;
        for line in REFERENCE.lines().skip(1) {
            let cells: Vec<&str> = line.splitn(7, ',').collect();
            let order = pool_order(cells[0].parse().unwrap(), Some(cells[1])).unwrap();
            assert_eq!(order.standing.code(), cells[2], "{line}");
            let number: usize = cells[3].parse().unwrap();
            let bout = (cells[4].parse().unwrap(), cells[5].parse().unwrap());
            assert_eq!(order.bouts[number - 1], bout, "{line}");
            rows += 1;
        }
        assert_eq!(rows, pool_orders().iter().map(|order| order.bouts.len()).sum::<usize>());
        assert_eq!(rows, 435);
    }

    /// Arithmetic of a round robin: each pair once, n(n-1)/2 bouts.
    #[test]
    fn each_pair_meets_once() {
        for order in pool_orders() {
            let size = usize::from(order.size);
            let pairs: BTreeSet<(u8, u8)> = order.bouts.iter().map(|&(l, r)| (l.min(r), l.max(r))).collect();
            assert_eq!(order.bouts.len(), size * (size - 1) / 2, "{} {}", order.size, order.variant);
            assert_eq!(pairs.len(), order.bouts.len(), "{} {}", order.size, order.variant);
            assert!(pairs.iter().all(|&(low, high)| 1 <= low && low < high && high <= order.size));
        }
    }

    /// FIE Organisation Rules o.67-o.69: the rule book prints the orders of 6 and 7.
    #[test]
    fn the_published_order_is_the_usual_one_where_there_is_one() {
        for size in POOL_SIZES {
            let usual = default_order(size).unwrap();
            let published = pool_orders().iter().any(|o| o.size == size && o.standing == Standing::Published);
            assert_eq!(usual.standing == Standing::Published, published, "{size}");
            assert_eq!(published, size == 6 || size == 7, "{size}");
        }
        assert_eq!(&default_order(6).unwrap().bouts[..3], [(1, 2), (4, 3), (6, 5)]);
    }

    #[test]
    fn unknown_sizes_and_orders_are_refused_without_repeating_them() {
        assert_eq!(pool_order(3, None), Err(BoutProblem::PoolSize(3)));
        assert_eq!(pool_order(13, Some("fie")), Err(BoutProblem::PoolSize(13)));
        let huge = "x\u{1b}".repeat(5_000_000);
        let said = pool_order(6, Some(&huge)).unwrap_err().to_string();
        assert!(said.contains("fie, usa, fie-2-same-nation") && said.len() < 300, "{said}");
    }

    #[test]
    fn a_damaged_data_line_is_noticed() {
        assert_eq!(parse("4 standard customary 1-4 2+3\n"), None);
        assert_eq!(parse("4 standard hearsay 1-4\n"), None);
    }
}
