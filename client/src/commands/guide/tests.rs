//! What `remise guide` prints, what it asks, and what it refuses.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::commands::run;
use crate::commands::tests::argv;
use crate::exit;

/// Exit code, output and messages.
fn guided(line: &str) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = run(argv(&format!("guide {line}")), &mut out, &mut err);
    (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

fn json(line: &str) -> serde_json::Value {
    let (code, out, err) = guided(&format!("{line} --json"));
    assert_eq!((code, err.as_str()), (exit::DONE, ""), "{line}");
    serde_json::from_str(&out).unwrap()
}

#[test]
fn findings_lead_to_ranked_causes_and_the_next_check() {
    let (code, text, err) = guided("foil --complaint white_on_off --seen turn-button=flicker");
    assert_eq!((code, err.as_str()), (exit::DONE, ""));
    assert!(text.contains("turn the button without pressing it: test lamp flicker"), "{text}");
    assert!(text.contains("(foil_point_dirty)") && text.contains("\nNext: "), "{text}");
    assert!(text.contains("! Tips and springs fly") && text.contains("estimates of ours"), "{text}");
    let told = json("foil --complaint white_on_off --seen turn-button=flicker");
    assert_eq!(told["causes"][0]["fault"], "foil_point_dirty");
    assert_eq!(told["causes"].as_array().unwrap().len(), 24);
    let sum: f64 =
        told["causes"].as_array().unwrap().iter().map(|it| it["probability"].as_f64().unwrap()).sum();
    assert!((sum - 1.0).abs() < 1e-9);
    assert!(told["next"]["check"].is_string() && told["next"]["expected_min"].as_f64().unwrap() > 0.0);
    assert_eq!(json("foil --complaint white_on_off --walk")["next"]["check"], "rest");
}

#[test]
fn every_kind_and_complaint_is_guided() {
    for kind in ItemKind::ALL {
        let complaint = Complaint::for_kind(kind)[0].code();
        assert!(json(&format!("{} --complaint {complaint}", kind.code()))["next"]["check"].is_string());
    }
    assert_eq!(json("body_cord_bayonet --with sabre --complaint white_steady")["item"]["weapon"], "sabre");
}

#[test]
fn history_and_estimates_of_ones_own_count() {
    let p = |line: &str| {
        let told = json(line);
        let causes = told["causes"].as_array().unwrap();
        causes.iter().find(|it| it["fault"] == "foil_socket_worn").unwrap()["probability"].as_f64().unwrap()
    };
    let plain = p("foil --complaint white_on_off");
    assert!(p("foil --complaint white_on_off --history foil_socket_worn=3") > 2.0 * plain);
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("own.txt");
    let built_in = include_str!("../../../../server/core/data/guide/estimates.txt");
    std::fs::write(&path, built_in.replace("cause foil_socket_worn 30", "cause foil_socket_worn 300"))
        .unwrap();
    let line = format!("foil --complaint white_on_off --estimates {}", path.display());
    assert!(p(&line) > 3.0 * plain);
    std::fs::write(&path, built_in.replace("unsure 0.5", "unsure half")).unwrap();
    let (code, _, err) = guided(&line);
    assert_eq!(code, exit::USAGE);
    let number = 1 + built_in.lines().position(|line| line == "unsure 0.5").unwrap();
    assert!(err.contains(&format!("own.txt: line {number}: that is no chance")), "{err}");
}

#[test]
fn bad_input_gets_a_friendly_refusal() {
    for (line, says) in [
        ("foil --complaint white_onoff", "did you mean `white_on_off`?"),
        ("foil --complaint guard_lights", "Known: white_on_off"),
        ("foil --seen turn-buton=flicker", "did you mean `turn-button`?"),
        ("foil --seen foil_point_dirty=rusty", "present, absent, mended, unsure"),
        ("foil --seen epee_point_dirty=absent", "no fault of this kind"),
        ("foil --history foil_point=2", "no fault `foil_point`"),
        ("foil --history foil_point_dirty=-2", "above 0"),
        ("foil --history foil_point_dirty", "FAULT=TIMES"),
        ("foil --with sabre", "is not used with sabre"),
        ("foil --estimates nowhere.txt", "nowhere.txt"),
        ("trebuchet", ""),
    ] {
        let (code, out, err) = guided(line);
        assert_eq!((code, out.as_str()), (exit::USAGE, ""), "{line}");
        assert!(err.contains(says), "{line}: {err}");
    }
    let huge = "x".repeat(200_000);
    for line in [
        format!("foil --complaint {huge}"),
        format!("foil --seen {huge}=on"),
        format!("foil --history {huge}=2"),
    ] {
        let (code, _, err) = guided(&line);
        assert!(code == exit::USAGE && err.len() < 2000, "{}", err.len());
    }
}

/// Plays a diagnosis with these lines typed.
fn asked(typed: &str, complaint: Option<&str>) -> String {
    let area = GuideArea {
        kind: ItemKind::Foil,
        complaint: complaint.map(str::to_owned),
        seen: Vec::new(),
        history: Vec::new(),
        walk: false,
        all: false,
        with: None,
        estimates: None,
    };
    let mut asked = area.asked(Estimates::built_in()).unwrap();
    let mut out = Vec::new();
    ask::ask(&mut asked, complaint.is_none(), &mut typed.as_bytes(), &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn a_diagnosis_by_questions_ends_when_the_cause_was_seen() {
    let text = asked("9x\n1\nturn-button=flicker\nfoil_point_dirty=present\n", None);
    assert!(text.contains("What was reported?") && text.contains("A number from 1 to 9"), "{text}");
    assert!(text.contains("\nFound.") && text.ends_with("they go first\n"), "{text}");
}

#[test]
fn answers_can_be_unsure_or_taken_back_and_the_end_of_input_ends_it() {
    let text = asked("b\n1?\nu\nb\nl\nnonsense\nrest=purple\n", Some("white_on_off"));
    assert!(text.contains("Nothing to take back.") && text.contains("Taken back: "), "{text}");
    assert!(text.contains("other causes together") && text.contains("or a finding such as"), "{text}");
    assert!(text.contains("no instrument shows `purple`") && !text.contains("Found."), "{text}");
}
