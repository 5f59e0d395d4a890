//! `check FILE`: tells every problem of a tournament file.

use std::fs::File;
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::tournament::{self, BYTES_MAX, Problem, Tournament};

/// What `check` is given.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The tournament file; `-` reads the standard input.
    file: PathBuf,
    /// Write problems and warnings as one JSON array.
    #[arg(long)]
    json: bool,
}

/// One line of the findings as JSON.
#[derive(Serialize)]
struct Row<'p> {
    /// `problem` or `warning`.
    kind: &'static str,
    #[serde(flatten)]
    problem: &'p Problem,
}

/// Checks the file.
pub fn run(args: &Args, out: &mut dyn Write, err: &mut dyn Write) -> super::Done {
    let name = args.file.to_string_lossy();
    let name = escaped(&name);
    let bytes = match read(&args.file) {
        Ok(bytes) => bytes,
        Err(error) => {
            writeln!(err, "remise-server: {name} could not be read: {error}")?;
            return Ok(super::USAGE);
        }
    };
    let checked = tournament::parse(&bytes);
    let (problems, warnings) = match &checked {
        Ok(tournament) => (&[][..], &tournament.warnings[..]),
        Err(problems) => (&problems[..], &[][..]),
    };
    let verdict = if checked.is_ok() { super::OK } else { super::PROBLEMS };
    let written = if args.json {
        write_json(problems, warnings, out)
    } else {
        write_lines(&name, problems, warnings, out)
    };
    match written.and_then(|()| out.flush()) {
        // The reader has seen enough; the verdict stands.
        Err(error) if error.kind() == ErrorKind::BrokenPipe => return Ok(verdict),
        other => other?,
    }
    writeln!(err, "{}", summary(&name, &checked))?;
    Ok(verdict)
}

/// Reads no more than shows that the file is too large.
fn read(path: &Path) -> io::Result<Vec<u8>> {
    let limit = BYTES_MAX as u64 + 1;
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        io::stdin().lock().take(limit).read_to_end(&mut bytes)?;
    } else {
        File::open(path)?.take(limit).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

fn write_lines(
    name: &str,
    problems: &[Problem],
    warnings: &[Problem],
    out: &mut dyn Write,
) -> io::Result<()> {
    for problem in problems {
        writeln!(out, "{name}:{problem}")?;
    }
    for Problem { line, column, what, hint } in warnings {
        let hint = hint.as_ref().map(|hint| format!("; {hint}")).unwrap_or_default();
        writeln!(out, "{name}:{line}:{column}: warning: {what}{hint}")?;
    }
    Ok(())
}

fn write_json(problems: &[Problem], warnings: &[Problem], out: &mut dyn Write) -> io::Result<()> {
    let row = |kind| move |problem| Row { kind, problem };
    let rows: Vec<Row<'_>> =
        problems.iter().map(row("problem")).chain(warnings.iter().map(row("warning"))).collect();
    serde_json::to_writer(&mut *out, &rows)?;
    writeln!(out)
}

fn summary(name: &str, checked: &Result<Tournament, Vec<Problem>>) -> String {
    match checked {
        Ok(tournament) => {
            let venue = &tournament.venue;
            format!(
                "{name} is in order: {}, {}, {}, {}.",
                count(venue.days.len(), "day", "days"),
                count(venue.strips.len(), "strip", "strips"),
                count(venue.benches.len(), "bench", "benches"),
                count(venue.competitions.len(), "competition", "competitions"),
            )
        }
        Err(problems) => {
            format!(
                "{name} is refused: {}. Nothing was changed.",
                count(problems.len(), "problem", "problems")
            )
        }
    }
}

fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// A path with its control characters escaped, whole, so that an editor can jump to it.
fn escaped(path: &str) -> String {
    let escape = |c: char| if c.is_control() { c.escape_debug().to_string() } else { c.to_string() };
    path.chars().map(escape).collect()
}
