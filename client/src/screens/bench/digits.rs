//! A tag in digits five lines high, to be read from a step away.

/// Lines of a digit.
pub const HIGH: usize = 5;
/// Columns of a tag.
pub const WIDE: usize = 5 * 4;

const ROWS: [[&str; HIGH]; 10] = [
    ["███", "█ █", "█ █", "█ █", "███"],
    ["  █", "  █", "  █", "  █", "  █"],
    ["███", "  █", "███", "█  ", "███"],
    ["███", "  █", " ██", "  █", "███"],
    ["█ █", "█ █", "███", "  █", "  █"],
    ["███", "█  ", "███", "  █", "███"],
    ["███", "█  ", "███", "█ █", "███"],
    ["███", "  █", "  █", "  █", "  █"],
    ["███", "█ █", "███", "█ █", "███"],
    ["███", "█ █", "███", "  █", "███"],
];

/// The lines of a row of digits; anything else is left out.
pub fn tall(digits: &str) -> [String; HIGH] {
    let mut lines: [String; HIGH] = Default::default();
    for digit in digits.chars().filter_map(|c| c.to_digit(10)) {
        for (line, part) in lines.iter_mut().zip(ROWS[digit as usize]) {
            line.push_str(part);
            line.push(' ');
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_stand_side_by_side_and_differ() {
        assert_eq!(tall("12"), ["  █ ███ ", "  █   █ ", "  █ ███ ", "  █ █   ", "  █ ███ "]);
        assert!(tall("12345").iter().all(|line| line.chars().count() == WIDE));
        let distinct: std::collections::BTreeSet<_> = ROWS.iter().collect();
        assert_eq!(distinct.len(), 10);
    }
}
