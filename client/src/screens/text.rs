//! Text in columns: cut, padded and broken by display width, so that wide letters never shift a table.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Columns that a text takes.
pub fn width(text: &str) -> usize {
    text.width()
}

/// The text, shortened to that many columns; a mark at the end says that something is missing.
pub fn cut(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    if columns == 0 {
        return String::new();
    }
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        let w = c.width().unwrap_or(0);
        if used + w > columns - 1 {
            break;
        }
        used += w;
        out.push(c);
    }
    out.push('…');
    out
}

/// The text in exactly that many columns: cut, or filled with spaces.
pub fn pad(text: &str, columns: usize) -> String {
    let mut out = cut(text, columns);
    let missing = columns.saturating_sub(width(&out));
    out.extend(std::iter::repeat_n(' ', missing));
    out
}

/// The text in lines of at most that many columns, broken between words where it can be.
pub fn wrap(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let gap = usize::from(!line.is_empty());
        if width(&line) + gap + width(word) > columns && !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        } else if gap == 1 {
            line.push(' ');
        }
        push_word(&mut lines, &mut line, word, columns);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// A word that is longer than a line is broken where the line ends.
fn push_word(lines: &mut Vec<String>, line: &mut String, word: &str, columns: usize) {
    for c in word.chars() {
        if width(line) + c.width().unwrap_or(0) > columns && !line.is_empty() {
            lines.push(std::mem::take(line));
        }
        line.push(c);
    }
}

/// The first letter as a capital.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cutting_counts_columns_and_not_letters() {
        for (text, columns, expected) in [
            ("épée", 4, "épée"),
            ("épée", 3, "ép…"),
            ("剣士さん", 8, "剣士さん"),
            ("剣士さん", 6, "剣士…"),
            ("剣士", 1, "…"),
            ("abc", 0, ""),
        ] {
            assert_eq!(cut(text, columns), expected);
            assert!(width(&cut(text, columns)) <= columns);
        }
        assert_eq!(pad("剣士さん", 6), "剣士… ");
    }

    #[test]
    fn lines_break_between_words_and_long_words_anywhere() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefgh ij", 4), ["abcd", "efgh", "ij"]);
        assert_eq!(wrap("", 4), [""]);
        assert_eq!(capital("épée"), "Épée");
    }
}
