//! The lines of a file of estimates: a word and what belongs to it, one a line; empty lines and those that begin with `#`
//! say nothing.

/// A line: its number from 1, its first word, and the rest.
pub(crate) type Line<'a> = (usize, &'a str, &'a str);

/// The lines that say something.
///
/// # Errors
/// The line and what is wrong: longer than `longest` bytes, or no text.
pub(crate) fn lines(bytes: &[u8], longest: usize) -> Result<Vec<Line<'_>>, (usize, &'static str)> {
    if bytes.len() > longest {
        return Err((1, "the file is longer than any estimates"));
    }
    let text = std::str::from_utf8(bytes).map_err(|_| (1, "the file is no text in UTF-8"))?;
    let says = |(_, line): &(usize, &str)| !line.is_empty() && !line.starts_with('#');
    let said = (1..).zip(text.lines().map(str::trim)).filter(says);
    Ok(said
        .map(|(number, line)| {
            let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
            (number, word, rest.trim())
        })
        .collect())
}
