//! Command lines, their streams and their exit codes.

#![allow(clippy::unwrap_used)]

use std::io::{self, ErrorKind, Write};

use super::*;

fn play(args: &[&str]) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let args = std::iter::once("remise-server").chain(args.iter().copied()).map(OsString::from);
    let code = run(args, &mut out, &mut err);
    (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

fn file(text: &str) -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    file
}

#[test]
fn the_written_example_is_in_order() {
    let (code, text, err) = play(&["example"]);
    assert_eq!((code, err.as_str()), (OK, ""));
    let file = file(&text);
    let (code, out, err) = play(&["check", file.path().to_str().unwrap()]);
    assert_eq!((code, out.as_str()), (OK, ""));
    assert!(err.ends_with("is in order: 2 days, 12 strips, 4 benches, 6 competitions.\n"), "{err}");
}

#[test]
fn problems_are_data_and_the_verdict_is_a_message() {
    let file = file("name = \"x\"\ncolour = 1\n");
    let path = file.path().to_str().unwrap();
    let (code, out, err) = play(&["check", path]);
    assert_eq!(code, PROBLEMS);
    assert!(out.contains(&format!("{path}:2:1: unknown key `colour`")), "{out}");
    assert_eq!(err, format!("{path} is refused: {} problems. Nothing was changed.\n", out.lines().count()));
}

#[test]
fn json_is_one_array_of_problems_or_warnings() {
    let bad = file("name = \"x\"\ncolour = 1\n");
    let (code, out, _) = play(&["check", "--json", bad.path().to_str().unwrap()]);
    let rows: serde_json::Value = serde_json::from_str(&out).unwrap();
    let colour = rows.as_array().unwrap().iter().find(|row| row["line"] == 2).unwrap();
    assert_eq!((code, &colour["kind"], &colour["column"]), (PROBLEMS, &"problem".into(), &1.into()));
    assert_eq!(colour["what"], "unknown key `colour`");
    let example = crate::tournament::example();
    let dubious = file(&example.replace("\"Tamsin\"", "\"Jorun\""));
    let (code, out, _) = play(&["check", "--json", dubious.path().to_str().unwrap()]);
    let rows: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((code, rows[0]["kind"].as_str(), rows.as_array().unwrap().len()), (OK, Some("warning"), 1));
    let (_, out, _) = play(&["check", "--json", file(example).path().to_str().unwrap()]);
    assert_eq!(out, "[]\n");
}

#[test]
fn a_wrong_command_line_is_told_on_the_error_stream() {
    let (code, out, err) = play(&["chek"]);
    assert_eq!((code, out.as_str()), (USAGE, ""));
    assert!(err.contains("chek"), "{err}");
    assert_eq!(play(&["check"]).0, USAGE);
    let (code, out, err) = play(&["check", "/nowhere/at/all.toml"]);
    assert_eq!((code, out.as_str()), (USAGE, ""));
    assert!(err.contains("could not be read"), "{err}");
    let (code, out, err) = play(&["--help"]);
    assert_eq!((code, err.as_str()), (OK, ""));
    assert!(out.contains("check") && out.contains("example"), "{out}");
}

/// A stream that fails.
struct Broken(ErrorKind);

impl Write for Broken {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(self.0.into())
    }

    fn flush(&mut self) -> io::Result<()> {
        Err(self.0.into())
    }
}

#[test]
fn a_closed_pipe_ends_quietly_and_a_full_disk_does_not() {
    let args = || ["remise-server", "example"].map(OsString::from);
    let mut err = Vec::new();
    assert_eq!((run(args(), &mut Broken(ErrorKind::BrokenPipe), &mut err), err.as_slice()), (OK, &b""[..]));
    let bad = file("colour = 1\n");
    let check = ["remise-server", "check", bad.path().to_str().unwrap()].map(OsString::from);
    assert_eq!(
        (run(check, &mut Broken(ErrorKind::BrokenPipe), &mut err), err.as_slice()),
        (PROBLEMS, &b""[..])
    );
    assert_eq!(run(args(), &mut Broken(ErrorKind::StorageFull), &mut err), USAGE);
    assert!(String::from_utf8(err).unwrap().contains("could not be written"));
}
