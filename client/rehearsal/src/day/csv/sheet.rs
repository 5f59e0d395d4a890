//! The file as lines of fields: encoding, separator, quotation marks, the first line that names the columns.
//!
//! Every line is taken apart on its own. A field never runs over a line's end here, so an unclosed quotation mark
//! spoils one line and not all that follow it.

use remise_server::tournament::{shown, suggest};

use super::problem::{Column, LineProblem};
use super::{BYTES_MAX, FIELD_MAX, LINES_MAX};

/// Longest line, in bytes: all fields full of the longest characters, and as much again for quotation marks.
const LINE_BYTES_MAX: usize = 32 << 10;

/// The lines below the first, each with its number and its fields, and where each column stands.
pub(super) struct Sheet<'f> {
    lines: Vec<(usize, &'f str)>,
    separator: u8,
    width: usize,
    /// By [`Column::ALL`]; `None` for a missing column.
    places: Vec<Option<usize>>,
}

/// The fields of one line by column.
pub(super) struct Row {
    pub line: usize,
    fields: Vec<String>,
    places: Vec<Option<usize>>,
}

impl Row {
    /// The trimmed field of a column; `None` when the file has no such column.
    pub fn field(&self, column: Column) -> Option<&str> {
        let place = self.places.get(column as usize).copied().flatten()?;
        self.fields.get(place).map(|field| field.trim())
    }
}

impl<'f> Sheet<'f> {
    /// Opens the file and reads its first line. What is wrong with that is noted; `None` when nothing can be read.
    pub fn open(bytes: &'f [u8], problems: &mut Vec<LineProblem>) -> Option<Self> {
        let text = match decode(bytes) {
            Ok(text) => text,
            Err(problem) => {
                problems.push(problem);
                return None;
            }
        };
        let mut lines = (1..).zip(text.split('\n').map(|line| line.strip_suffix('\r').unwrap_or(line)));
        let (mut number, mut first) = lines.next()?;
        let told = told_separator(first);
        if told.is_some() {
            (number, first) = lines.next().unwrap_or((2, ""));
        }
        let separator = told.unwrap_or_else(|| likely_separator(first));
        let lines: Vec<(usize, &str)> =
            lines.filter(|(_, line)| !is_blank(line, separator)).take(LINES_MAX + 1).collect();
        if let Some((line, _)) = lines.get(LINES_MAX) {
            let why = format!("there are more than {LINES_MAX} lines; play the log in parts");
            problems.push(LineProblem { line: *line, column: Column::File, why });
            return None;
        }
        let names = fields(number, first, separator, problems)?;
        let places = places(number, &names, problems);
        Some(Self { lines, separator, width: names.len(), places })
    }

    /// Every line that has its fields in order; what is wrong with the others is noted.
    pub fn rows(&self, problems: &mut Vec<LineProblem>) -> Vec<Row> {
        let mut rows = Vec::new();
        for (line, text) in &self.lines {
            let Some(fields) = fields(*line, text, self.separator, problems) else { continue };
            if fields.len() == self.width {
                rows.push(Row { line: *line, fields, places: self.places.clone() });
            } else {
                let why = format!("it has {} fields; the first line has {}", fields.len(), self.width);
                problems.push(LineProblem { line: *line, column: Column::Line, why });
            }
        }
        rows
    }
}

fn decode(bytes: &[u8]) -> Result<&str, LineProblem> {
    let problem = |line, why: &str| LineProblem { line, column: Column::File, why: why.to_owned() };
    if bytes.len() > BYTES_MAX {
        return Err(problem(1, "the file is larger than 16 MiB; play the log in parts"));
    }
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        return Err(problem(1, "the file is UTF-16; save it as CSV in UTF-8"));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.trim_ascii().is_empty() {
        return Err(problem(1, "the file is empty; its first line must name the columns"));
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let line = bytes[..error.valid_up_to()].split(|byte| *byte == b'\n').count();
        problem(line, &format!("line {line} is not UTF-8 text; save the file as CSV in UTF-8"))
    })
}

/// `sep=;`, as one spreadsheet writes it above the columns.
fn told_separator(line: &str) -> Option<u8> {
    match line.trim().strip_prefix("sep=")?.as_bytes() {
        [one @ (b',' | b';')] => Some(*one),
        [] => Some(b'\t'),
        _ => None,
    }
}

/// What stands most often in the first line.
fn likely_separator(line: &str) -> u8 {
    let count = |separator: u8| line.bytes().filter(|byte| *byte == separator).count();
    // The last of equals wins, so the comma comes last.
    [b'\t', b';', b','].into_iter().max_by_key(|separator| count(*separator)).unwrap_or(b',')
}

fn is_blank(line: &str, separator: u8) -> bool {
    line.bytes().all(|byte| byte == separator || byte.is_ascii_whitespace())
}

/// Takes one line apart and refuses fields that are too long or hold control characters.
fn fields(line: usize, text: &str, separator: u8, problems: &mut Vec<LineProblem>) -> Option<Vec<String>> {
    let mut note = |why: String| problems.push(LineProblem { line, column: Column::Line, why });
    if text.len() > LINE_BYTES_MAX {
        note(format!("it is longer than {LINE_BYTES_MAX} bytes: `{}`", shown(text)));
        return None;
    }
    if text.matches('"').count() % 2 == 1 {
        note("a quotation mark is not closed; double a mark that belongs to the text".to_owned());
        return None;
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .buffer_capacity(text.len().clamp(64, 1 << 16))
        .from_reader(text.as_bytes());
    let mut record = csv::StringRecord::new();
    match reader.read_record(&mut record) {
        Ok(true) => {}
        Ok(false) => return Some(Vec::new()),
        Err(_) => {
            note("it cannot be read as separated fields".to_owned());
            return None;
        }
    }
    let mut sound = true;
    for (place, field) in (1..).zip(&record) {
        if let Some(why) = unfit(field) {
            note(format!("field {place} {why}: `{}`", shown(field)));
            sound = false;
        }
    }
    sound.then(|| record.iter().map(str::to_owned).collect())
}

fn unfit(field: &str) -> Option<String> {
    // The byte bound first: a field of megabytes is not walked.
    if field.len() > FIELD_MAX * 4 || field.chars().count() > FIELD_MAX {
        return Some(format!("is longer than {FIELD_MAX} characters"));
    }
    let control = field.chars().find(|c| c.is_control())?;
    Some(format!("contains a control character (U+{:04X})", control as u32))
}

/// Where each column stands. Unknown and doubled columns and missing ones are noted.
fn places(line: usize, names: &[String], problems: &mut Vec<LineProblem>) -> Vec<Option<usize>> {
    let known: Vec<&str> = Column::ALL.iter().map(|column| column.code()).collect();
    let mut note = |why: String| problems.push(LineProblem { line, column: Column::Header, why });
    let mut places = vec![None; known.len()];
    for (place, name) in names.iter().enumerate() {
        let name = name.trim().to_lowercase();
        match known.iter().position(|code| *code == name) {
            None if name.is_empty() => note(format!("column {} has no name", place + 1)),
            None => note(format!("unknown column `{}`; {}", shown(&name), suggest::hint(&name, &known))),
            Some(column) if places[column].is_some() => note(format!("column `{name}` stands here twice")),
            Some(column) => places[column] = Some(place),
        }
    }
    for (code, _) in known.iter().zip(&places).filter(|(_, place)| place.is_none()) {
        note(format!("column `{code}` is missing"));
    }
    places
}
