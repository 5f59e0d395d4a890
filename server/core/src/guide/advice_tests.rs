//! What the guide says of cases that an armourer knows the answer to.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::circuit::usual_weapon;
use crate::gear::ItemKind;
use crate::guide::Estimates;

fn guide(kind: ItemKind) -> Guide<'static> {
    Guide::new(kind, usual_weapon(kind), Estimates::built_in()).unwrap()
}

fn case(guide: &Guide, complaint: Complaint, findings: &[&str]) -> Case {
    let read = |typed: &&str| Finding::parse(typed, guide.kind, guide.weapon).unwrap();
    Case { findings: findings.iter().map(read).collect(), ..Case::new(complaint) }
}

fn likeliest(complaint: Complaint, findings: &[&str]) -> &'static str {
    let guide = guide(ItemKind::Foil);
    guide.ranked(&case(&guide, complaint, findings))[0].fault().id
}

#[test]
fn probabilities_sum_to_one_after_whatever() {
    for kind in ItemKind::ALL {
        let guide = guide(kind);
        for complaint in Complaint::for_kind(kind) {
            let sum: f64 = guide.probabilities(&Case::new(*complaint)).iter().sum();
            assert!((sum - 1.0).abs() < 1e-9, "{kind:?} {complaint:?}");
            assert!(guide.next(&Case::new(*complaint), Manner::Quickest).is_some());
        }
    }
}

/// Common practice, no source: these cover 90 to 95 % of the white lights that come and go on a foil.
#[test]
fn common_causes_cover_nine_tenths_of_white_lights_that_come_and_go() {
    let common = [
        "foil_point_dirty",
        "foil_barrel_loose",
        "foil_barrel_cup_crushed",
        "foil_wire_broken",
        "foil_wire_bare",
        "foil_wire_bare_patched",
        "foil_socket_nut_loose",
        "foil_socket_worn",
    ];
    let guide = guide(ItemKind::Foil);
    let ranked = guide.ranked(&Case::new(Complaint::WhiteOnOff));
    let covered: f64 =
        ranked.iter().filter(|it| common.contains(&it.fault().id)).map(|it| it.probability).sum();
    // A complaint may be mistaken, which moves up to a twentieth to the faults that do not give it.
    assert!((0.85..=0.95).contains(&covered), "{covered}");
}

/// Common practice, no source: a light that changes when the button is turned but not pressed points to dirt, when the
/// barrel is twisted to a loose barrel.
#[test]
fn what_is_stirred_tells_where_to_look() {
    assert_eq!(likeliest(Complaint::WhiteOnOff, &["turn-button=flicker"]), "foil_point_dirty");
    assert_eq!(
        likeliest(Complaint::WhiteOnOff, &["twist-barrel=flicker", "turn-button=on"]),
        "foil_barrel_loose"
    );
    assert_eq!(
        likeliest(Complaint::WhiteOnOff, &["bend-blade=flicker", "turn-button=on"]),
        "foil_wire_broken"
    );
    assert_eq!(
        likeliest(Complaint::WhiteOnOff, &["wiggle-cord=flicker", "pull-socket=flicker"]),
        "foil_socket_nut_loose"
    );
    assert_eq!(likeliest(Complaint::WhiteSteady, &["rest=off"]), "foil_wire_broken");
}

/// Common practice, no source: the test lamp is on for a foil at rest with nothing pressed; it goes out when the point is
/// pressed. So neither tells of a fault that does not show then.
#[test]
fn what_a_sound_foil_shows_leaves_a_dirty_point_first() {
    assert_eq!(likeliest(Complaint::WhiteOnOff, &["rest=on", "press=off"]), "foil_point_dirty");
    let guide = guide(ItemKind::Foil);
    let broken = |findings: &[&str]| {
        let ranked = guide.ranked(&case(&guide, Complaint::WhiteSteady, findings));
        ranked.iter().find(|it| it.fault().id == "foil_wire_broken").unwrap().probability
    };
    assert!(broken(&["rest=off"]) > broken(&[]) && broken(&["rest=on"]) < broken(&[]));
}

#[test]
fn findings_come_in_any_order_and_can_be_taken_back() {
    let guide = guide(ItemKind::Foil);
    let all = ["turn-button=on", "bend-blade=flicker?", "foil_spring_weak=absent", "rest@body=low"];
    let mut turned = all;
    turned.reverse();
    let p = |findings: &[&str]| guide.probabilities(&case(&guide, Complaint::WhiteOnOff, findings));
    for (a, b) in p(&all).iter().zip(p(&turned)) {
        assert!((a - b).abs() < 1e-12);
    }
    let taken_back = case(&guide, Complaint::WhiteOnOff, &all[..3]);
    let mut there = case(&guide, Complaint::WhiteOnOff, &all);
    there.findings.pop();
    assert_eq!(guide.probabilities(&there), guide.probabilities(&taken_back));
}

#[test]
fn an_unsure_finding_counts_less_and_one_that_could_not_be_told_nothing() {
    let guide = guide(ItemKind::Foil);
    let dirty = |findings: &[&str]| {
        let ranked = guide.ranked(&case(&guide, Complaint::WhiteOnOff, findings));
        ranked.iter().find(|it| it.fault().id == "foil_point_dirty").unwrap().probability
    };
    let (before, unsure, sure) =
        (dirty(&[]), dirty(&["turn-button=flicker?"]), dirty(&["turn-button=flicker"]));
    assert!(before < unsure && unsure < sure, "{before} {unsure} {sure}");
    assert!((dirty(&["turn-button=unsure"]) - before).abs() < 1e-12);
    let untold = case(&guide, Complaint::WhiteOnOff, &["turn-button=unsure"]);
    assert_ne!(guide.next(&untold, Manner::Quickest).unwrap().code, "turn-button");
}

/// History is an argument: it multiplies the share of what it names and of nothing else.
#[test]
fn history_multiplies() {
    let guide = guide(ItemKind::Foil);
    let plain = Case::new(Complaint::WhiteOnOff);
    let told = Case { history: vec![("foil_socket_worn".to_owned(), 3.0)], ..plain.clone() };
    let odds = |case: &Case, fault: &str| {
        let p = guide.ranked(case).iter().find(|it| it.fault().id == fault).unwrap().probability;
        p / (1.0 - p)
    };
    let times = odds(&told, "foil_socket_worn") / odds(&plain, "foil_socket_worn");
    assert!((times - 3.0).abs() < 1e-9, "{times}");
    let why = guide.ranked(&told).into_iter().find(|it| it.fault().id == "foil_socket_worn").unwrap().why;
    assert!(why.contains("what was seen before here (3.0 times as often)"), "{why}");
}

#[test]
fn the_reason_names_what_raised_a_cause() {
    let guide = guide(ItemKind::Foil);
    let case = case(&guide, Complaint::WhiteOnOff, &["turn-button=flicker", "bend-blade=on"]);
    let ranked = guide.ranked(&case);
    assert!(ranked[0].why.contains("For it: the complaint") && ranked[0].why.contains("test lamp flicker"));
    let wire = ranked.iter().find(|it| it.fault().id == "foil_wire_broken").unwrap();
    assert!(wire.why.contains("Against it: turn the button"), "{}", wire.why);
}

/// Something absent that was mended: it is near to ruled out.
#[test]
fn what_was_mended_in_vain_is_not_first_any_more() {
    assert_ne!(likeliest(Complaint::WhiteOnOff, &["foil_point_dirty=mended"]), "foil_point_dirty");
}

/// Whoever has seen the fault has found it, whatever is commoner.
#[test]
fn what_was_seen_to_be_there_is_first() {
    for kind in ItemKind::ALL {
        let guide = guide(kind);
        for cause in guide.causes() {
            let offered = Complaint::for_kind(kind);
            let complaint = cause.fault.complaints.iter().find(|complaint| offered.contains(complaint));
            let there = Finding::sure(Found::Looked { fault: cause.fault, looked: Looked::Present });
            let case = Case { findings: vec![there], ..Case::new(*complaint.unwrap_or(&Complaint::Other)) };
            let ranked = guide.ranked(&case);
            assert_eq!(ranked[0].fault().id, cause.fault.id, "{kind:?} {}", ranked[0].probability);
        }
    }
}

#[test]
fn the_fixed_walk_goes_place_by_place_and_looks_where_something_showed() {
    let guide = guide(ItemKind::Foil);
    let walked = |showed: &dyn Fn(&str) -> &'static str, checks: usize| {
        let (mut case, mut codes) = (Case::new(Complaint::WhiteOnOff), Vec::new());
        for _ in 0..checks {
            let code = guide.next(&case, Manner::FixedWalk).unwrap().code;
            let finding = Finding::parse(&format!("{code}={}", showed(&code)), guide.kind, guide.weapon);
            case.findings.push(finding.unwrap());
            codes.push(code);
        }
        codes
    };
    let tells = |code: &str| if code.contains('_') { "absent" } else { "unsure" };
    let codes = walked(&tells, 40);
    let at = |code: &str| codes.iter().position(|it| it == code).unwrap();
    assert_eq!(codes[0], "rest");
    assert!(at("turn-button") < at("bend-blade") && at("bend-blade") < at("wiggle-cord"), "{codes:?}");
    assert!(
        at("wiggle-cord") < at("foil_point_dirty"),
        "nothing is opened before all was gone over: {codes:?}"
    );
    assert!(at("foil_socket_rust") < at("foil_tip_stuck_up"), "what fits the complaint first: {codes:?}");
    let flickers = |code: &str| if code == "turn-button" { "flicker" } else { tells(code) };
    let codes = walked(&flickers, 5);
    assert_eq!(codes[2..4], ["turn-button", "foil_spring_weak"]);
    assert_eq!(codes[4], "foil_point_dirty");
}

/// Findings of another item, and words that are none.
#[test]
fn what_cannot_be_a_finding_is_told() {
    for (typed, what) in [
        ("turn-buton=flicker", "did you mean `turn-button`"),
        ("turn-button", "is not ACTION=WHAT"),
        ("rest@bodi=low", "did you mean `body`"),
        ("foil_point_dirty=on", "present, absent, mended, unsure"),
        ("epee_point_dirty=absent", "no fault of this kind"),
        ("pull-cord=unsure", "not tried"),
        ("hit-jacket@body=white", "not used"),
        ("rest=\u{1b}[2J", "\\u{1b}"),
    ] {
        let problem = Finding::parse(typed, ItemKind::Foil, usual_weapon(ItemKind::Foil)).unwrap_err();
        assert!(problem.to_string().contains(what), "{typed}: {problem}");
    }
}
