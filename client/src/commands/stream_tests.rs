//! What goes to which stream: data, messages, help, JSON.
#![allow(clippy::unwrap_used)]

use super::tests::argv;
use super::*;

fn ran(line: &str) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = run(argv(line), &mut out, &mut err);
    (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

#[test]
fn json_is_exactly_one_object() {
    for (line, code) in [
        ("gear list --json", exit::DONE),
        ("gear list foil --json", exit::DONE),
        ("bench take --json", exit::USAGE),
        ("head room --json --server \"a b\"", exit::USAGE),
        // Nothing listens on port 1 of this machine in a test's surroundings.
        ("head room --json --server 127.0.0.1:1", exit::AWAY),
    ] {
        let (ran_code, out, err) = ran(line);
        assert_eq!(ran_code, code, "{line}: {err}");
        let object: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(object["ok"], Value::Bool(code == exit::DONE), "{line}");
        assert_eq!(err.is_empty(), code == exit::DONE, "{line}: messages go to the error stream");
        if code != exit::DONE {
            assert_eq!(object["exit"], code);
            assert!(
                object["reason"].is_string() && object["unharmed"].is_string() && object["hint"].is_string()
            );
        }
    }
}

#[test]
fn gear_is_listed_with_codes_sources_and_cautions() {
    let (_, out, _) = ran("gear list foil --json");
    let object: Value = serde_json::from_str(&out).unwrap();
    for list in ["complaints", "faults", "checks"] {
        let codes = object[list].as_array().unwrap();
        assert!(!codes.is_empty() && codes.iter().all(|entry| entry["code"].is_string()), "{list}");
    }
    let (_, text, _) = ran("gear list foil");
    for part in
        ["white_on_off", "foil_resistance", remise_core::rules::CLOSING, remise_core::gear::DEFERRING.text]
    {
        assert!(text.contains(part), "{part}");
    }
}

#[test]
fn help_leads_to_an_example_and_is_data() {
    for line in
        ["--help", "strip --help", "counter --help", "bench --help", "head --help", "strip hand-in --help"]
    {
        let (code, out, err) = ran(line);
        assert_eq!((code, err.as_str()), (exit::DONE, ""), "{line}");
        assert!(out.contains("Example") && out.contains("  remise "), "{line}");
    }
}

/// The examples in the help must work as they stand.
#[test]
fn every_example_in_the_help_can_be_typed() {
    let mut count = 0;
    for line in [
        "--help",
        "strip --help",
        "counter --help",
        "bench --help",
        "head --help",
        "journal --help",
        "gear --help",
        "strip hand-in --help",
        "counter scan --help",
        "bench repair --help",
    ] {
        let (_, help, _) = ran(line);
        let joined = help.replace("\\\n      ", "");
        for example in joined.lines().filter_map(|line| line.trim_start().strip_prefix("remise ")) {
            let example = example.split("   ").next().unwrap();
            assert!(Cli::try_parse_from(argv(example)).is_ok(), "{line}: remise {example}");
            count += 1;
        }
    }
    assert!(count >= 12, "only {count} examples were found");
}

struct Closed;

impl Write for Closed {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(ErrorKind::BrokenPipe.into())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_reader_who_has_gone_away_ends_it_quietly() {
    for line in ["gear list", "gear list --json", "--help", "completions bash"] {
        let mut err = Vec::new();
        assert_eq!(run(argv(line), &mut Closed, &mut err), exit::DONE, "{line}");
        assert!(err.is_empty(), "{line}");
    }
}

#[test]
fn completions_are_written_for_every_shell() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let (code, out, _) = ran(&format!("completions {shell}"));
        assert!(code == exit::DONE && out.contains("hand-in"), "{shell}");
    }
}
