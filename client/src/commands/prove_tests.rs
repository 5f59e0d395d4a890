//! What `remise prove` says, held against the limits of tests/reference/standards.md as `core::rules` has them.
#![allow(clippy::unwrap_used)]

use remise_core::rules::Bound;

use super::*;
use crate::commands::run;
use crate::commands::tests::argv;

/// Exit code, output and messages.
fn prove(line: &str) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = run(argv(&format!("prove {line}")), &mut out, &mut err);
    (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

fn json(line: &str) -> (u8, Value) {
    let (code, out, _) = prove(&format!("{line} --json"));
    (code, serde_json::from_str(&out).unwrap())
}

/// A reading that wide of the limit, in smallest units, as it is typed.
fn typed(value: i64, unit: Unit) -> String {
    remise_core::rules::Reading { value, unit }.to_string().replace(' ', "")
}

/// The last value that keeps a bound and the first that does not, on every side that it has.
fn sides(bound: Bound) -> Vec<(i64, bool)> {
    match bound {
        Bound::LessThan(limit) => vec![(limit - 1, true), (limit, false)],
        Bound::AtMost(limit) => vec![(limit, true), (limit + 1, false)],
        Bound::MoreThan(limit) => vec![(limit, false), (limit + 1, true)],
        Bound::AtLeast(limit) => vec![(limit - 1, false), (limit, true)],
        Bound::Between(low, high) => vec![(low - 1, false), (low, true), (high, true), (high + 1, false)],
    }
}

#[test]
fn both_sides_of_every_boundary_of_every_edition() {
    let mut tried = 0;
    for edition in editions() {
        for check in &edition.checks {
            let Some(limit) = check.limit else { continue };
            for (value, pass) in sides(limit.bound) {
                let kind = check.kinds[0].code();
                let line = format!(
                    "{kind} --edition {} --{} {}",
                    edition.code,
                    check.called(),
                    typed(value, limit.unit)
                );
                let (code, said) = json(&line);
                let verdict = &said["verdicts"][0];
                assert_eq!(
                    (&verdict["check"], &verdict["pass"]),
                    (&json!(check.code), &json!(pass)),
                    "{line}"
                );
                assert_eq!(verdict["refuses"] == true, said["outcome"] == "failed", "{line}");
                let expected = match said["outcome"].as_str().unwrap() {
                    "failed" => exit::REFUSED,
                    "incomplete" => exit::UNFINISHED,
                    _ => exit::DONE,
                };
                assert_eq!(code, expected, "{line}");
                tried += 1;
            }
        }
    }
    assert!(tried > 80, "{tried}");
}

#[test]
fn an_item_alone_lists_what_is_to_be_proved() {
    let (code, text, err) = prove("epee");
    assert_eq!((code, err.as_str()), (exit::DONE, ""));
    for expected in
        ["--gauge-1.5", "--gauge-0.5", "t.68.3, m.19.4, m.42.e", "--weight-750", "at most 2 ohm", CLOSING]
    {
        assert!(text.contains(expected), "{expected}: {text}");
    }
    assert!(!text.contains("--mass"), "no blade was changed: {text}");
    assert!(prove("epee --after blade").1.contains("--mass"));
}

#[test]
fn it_is_proved_when_everything_that_was_touched_is_answered_and_nothing_fails() {
    let all = "body_cord_three_pin --resistance 0.9ohm --steady-bend pass --steady-wiggle pass --grip pass";
    let (code, text, _) = prove(all);
    assert_eq!(code, exit::DONE, "{text}");
    assert!(text.contains("Proved.") && text.contains("0.9 ohm: pass"), "{text}");
    let (code, text, _) = prove(&all.replace(" --grip pass", ""));
    assert_eq!(code, exit::UNFINISHED);
    assert!(text.contains("one check is still to be done") && text.contains("--grip"), "{text}");
    let (code, text, _) = prove(&all.replace("0.9ohm", "1.001ohm"));
    assert_eq!(code, exit::REFUSED);
    assert!(text.contains("NOT proved") && text.contains("1.001 ohm: fail"), "{text}");
}

/// A limit from memory is a hint: it is told, and refuses nothing by itself. The sabre's resistance is one.
#[test]
fn a_limit_from_memory_is_to_be_confirmed() {
    let (code, said) = json("sabre --resistance 1.5ohm");
    let verdict = &said["verdicts"][0];
    assert_eq!((&verdict["pass"], &verdict["to_be_confirmed"]), (&json!(false), &json!(true)), "{said}");
    assert_eq!((code, &said["outcome"]), (exit::UNFINISHED, &json!("incomplete")));
    let (code, text, _) = prove(
        "sabre --resistance 1.5ohm --steady-bend pass --steady-wiggle pass --steady-knock pass --insulation pass \
         --blade-sound pass",
    );
    assert_eq!(code, exit::DONE, "{text}");
    assert!(text.contains("look up the limit from memory") && text.contains("status M"), "{text}");
}

/// Scripts answer by the codes that `--json` gives.
#[test]
fn a_check_is_answered_by_its_code_too_and_only_once() {
    let (_, by_code) = json("foil --reading foil_resistance=1.8ohm --reading tip_screws=pass");
    let (_, by_option) = json("foil --resistance 1.8ohm --tip-screws pass");
    assert_eq!(by_code, by_option);
    assert_eq!(by_code["verdicts"][1]["reading"], "1.8 ohm", "{by_code}");
    for (line, expected) in [
        (
            "--reading foil_resistance=1.8ohm --resistance 1.8ohm",
            "foil_resistance: it is answered more than once",
        ),
        ("--reading tip_screws=pass --reading tip_screws=pass", "tip_screws: it is answered more than once"),
        ("--reading epee_travel_total=pass", "a foil has no check epee_travel_total"),
        ("--reading foil_resistance", "a check's code, =, and what it gave"),
        ("--reading foil/resistance=1", "before the = stands the code of a check"),
        ("--reading =pass", "before the = stands the code of a check"),
        ("--reading foil_resistance=1.8g", "does not belong to this check"),
        ("--reading foil_resistance=", "foil_resistance"),
    ] {
        let (code, out, err) = prove(&format!("foil {line}"));
        assert_eq!((code, out.as_str()), (exit::USAGE, ""), "{line}: {err}");
        assert!(err.contains(expected), "{line}: {err}");
    }
}

/// No option stands against what it takes, however long it is.
#[test]
fn what_an_option_takes_stands_apart_from_it() {
    for kind in remise_core::gear::ItemKind::ALL {
        let (_, text, _) = prove(kind.code());
        for line in text.lines().filter(|line| line.starts_with("  --")) {
            let (_, takes) = line.trim().split_once(' ').unwrap();
            assert!(takes.trim().starts_with("pass") || takes.trim().starts_with("a value in"), "{line}");
        }
    }
}

#[test]
fn what_cannot_be_meant_is_refused_and_told() {
    for (line, expected) in [
        ("foil --resistance 1.8g", "does not belong to this check"),
        ("foil --resistance=-1", "never below zero"),
        ("foil --resistance 9999999999", "impossibly large"),
        ("foil --resistance 1.8001", "too many decimals"),
        ("foil --steady-bend 1.8ohm", "answered with pass or fail"),
        ("foil --gauge-1.5 pass", "a foil has no check --gauge-1.5"),
        ("foil --edition fie-2062", "Did you mean fie-2026?"),
        ("foil --resistence 1.8ohm", "--resistance"),
        ("foil --all pass", "--all"),
        ("foil --resistance 1.8ohm --resistance 1.9ohm", "cannot be used multiple times"),
        ("cucumber", "cucumber"),
    ] {
        let (code, out, err) = prove(line);
        assert_eq!((code, out.as_str()), (exit::USAGE, ""), "{line}: {err}");
        assert!(err.to_lowercase().contains(&expected.to_lowercase()), "{line}: {err}");
    }
}
