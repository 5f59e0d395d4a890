//! For tests: reads the tables of `tests/reference`, as those files are written.
#![allow(clippy::unwrap_used)]

/// Splits a line of comma-separated values; quotes only around whole fields, as the files have them.
pub(crate) fn fields(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            _ => fields.last_mut().unwrap().push(c),
        }
    }
    fields
}
