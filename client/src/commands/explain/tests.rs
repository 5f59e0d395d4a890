//! What `remise explain` prints, and what it refuses.
#![allow(clippy::unwrap_used)]

use crate::commands::run;
use crate::commands::tests::argv;
use crate::exit;

/// Exit code, output and messages.
fn explain(line: &str) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = run(argv(&format!("explain {line}")), &mut out, &mut err);
    (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

fn text(line: &str) -> String {
    let (code, out, err) = explain(line);
    assert_eq!((code, err.as_str()), (exit::DONE, ""), "{line}");
    out
}

fn json(line: &str) -> serde_json::Value {
    serde_json::from_str(&text(&format!("{line} --json"))).unwrap()
}

/// The line of an action, its cells apart.
fn cells(text: &str, action: &str) -> Vec<String> {
    let line =
        text.lines().find(|line| line.trim_start().starts_with(action)).unwrap_or_else(|| panic!("{text}"));
    line.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).map(str::to_owned).collect()
}

/// Common practice, no source, for the lamp; F2 and F21 of the lamp tables for the apparatus.
#[test]
fn two_instruments_stand_in_two_named_columns() {
    let text = text("foil --fault foil-dirty-or-rusty-point --all");
    assert!(text.contains("SCORING APPARATUS") && text.contains("TEST LAMP") && text.contains("OHMMETER"));
    assert_eq!(cells(&text, "rest")[1..3], ["none", "on"]);
    assert_eq!(cells(&text, "press ")[1..], ["white", "off", "open"]);
    assert_eq!(cells(&text, "turn-button")[1..3], ["white on and off", "flicker"]);
    assert!(text.contains("estimates"));
}

#[test]
fn only_what_differs_is_listed_unless_all_is_asked() {
    let short = text("foil --fault foil-loose-barrel");
    assert!(short.contains("twist-barrel") && !short.contains("stand-mass"));
    assert!(short.contains("show what a sound foil shows"));
    assert!(text("foil --fault foil-blade-cracked-or-broken").contains("by eye, hand or gauge"));
}

#[test]
fn a_fault_is_found_by_each_of_its_names() {
    for typed in ["foil-loose-barrel", "foil_barrel_loose", "FOIL_LOOSE_BARREL", "loose-barrel"] {
        assert!(text(&format!("foil --fault {typed}")).contains("foil-loose-barrel"), "{typed}");
    }
    let sabre = json("body_cord_bayonet --fault body-cord-wire-broken-near-a-plug --with sabre");
    assert_eq!(sabre["item"]["weapon"], "sabre");
    assert_eq!(sabre["faults"][0]["ways"][1]["rows"][0]["apparatus"]["own"]["white"], "on");
}

#[test]
fn every_listed_fault_can_be_explained() {
    for kind in remise_core::gear::ItemKind::ALL {
        let list = json(kind.code());
        for fault in list["faults"].as_array().unwrap() {
            let id = fault["id"].as_str().unwrap();
            assert_eq!(json(&format!("{} --fault {id}", kind.code()))["faults"][0]["id"], id);
        }
    }
}

#[test]
fn without_options_it_lists_faults_and_actions() {
    let list = json("epee");
    assert_eq!(list["faults"].as_array().unwrap().len(), 13);
    assert!(text("epee").contains("half-gauge"));
}

#[test]
fn what_was_seen_leads_to_causes() {
    let seen = json("foil --seen twist-barrel=flicker --seen bend-blade=on");
    let fit: Vec<&str> =
        seen["fit"].as_array().unwrap().iter().map(|fit| fit["id"].as_str().unwrap()).collect();
    assert_eq!(fit, ["foil-loose-barrel"]);
    assert_eq!(seen["sound_fits"], false);
    let text = text("foil --seen beat=white-on-off");
    assert!(text.contains("scoring apparatus white on and off") && text.contains("do not:"));
}

#[test]
fn a_drawing_is_written_with_the_fault_marked() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("foil.svg");
    let line = format!("foil --fault foil-wire-broken-in-the-groove --svg \"{}\"", file.display());
    assert!(text(&line).contains("Drawn into"));
    let svg = std::fs::read_to_string(&file).unwrap();
    assert!(svg.starts_with("<svg ") && svg.contains("FAULT: wire in the groove, line B: open"));
    let (code, out, err) = explain(&format!("foil --svg \"{}/no/such/folder.svg\"", folder.path().display()));
    assert_eq!(code, exit::BROKEN);
    assert!(out.is_empty() && err.contains("could not be written"), "{err}");
}

#[test]
fn bad_input_gets_a_friendly_refusal() {
    let refused = |line: &str, says: &str| {
        let (code, out, err) = explain(line);
        assert_eq!(code, exit::USAGE, "{line}");
        assert!(out.is_empty() && err.contains(says), "{line}: {err}");
    };
    refused("foil --fault foil-lose-barrel", "did you mean `foil-loose-barrel`?");
    refused("foil --fault lose-barrel", "did you mean `foil-loose-barrel`?");
    refused("foil --fault epee-dirty-point", "but of: epee");
    refused("foil --fault foil-loose-barrel --way sideways", "Known: on-its-thread");
    refused("foil --seen turn-buton=flicker", "did you mean `turn-button`?");
    refused("foil --seen turn-button", "is not ACTION=WHAT-WAS-SEEN");
    refused("foil --seen hit-jacket=on", "are not used for `hit-jacket`");
    refused("foil --seen half-gauge=none", "is not tried on this item");
    refused("foil --with sabre", "is not used with sabre");
    refused("trebuchet", "");
    refused("foil --seen rest=on --fault foil-loose-barrel", "cannot be used with");
    let huge = "x".repeat(200_000);
    refused(&format!("foil --fault {huge}"), "…");
    refused(&format!("foil --seen {huge}=on"), "longer than");
}
