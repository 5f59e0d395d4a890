//! Tests of reading and writing logs.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use remise_core::armoury::{Need, Spot, Wanted};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::StripId;
use remise_core::time::{Span, Stamp, Window};
use remise_server::tournament::Tournament;
use remise_server::tournament::local::{local, parse_local};

use super::write::wanted_by;
use super::*;
use crate::day::{Collection, Day, DayOptions, HandInPlan, Labour, Outcome, Quirks, TrueState};
use crate::day::{invented, invented_day};

const HEADER: &str = "at,strip,fencer,weapon,item,complaint,need,wanted_by,minutes\n";
const GOOD: &str =
    "2026-05-02T10:31,3,Zibulo Fenkaroo,foil,weapon,white_on_off,one_left,2026-05-02T11:00,5\n";

fn tournament() -> Tournament {
    invented(&DayOptions::default()).unwrap()
}

fn read(text: &str) -> Result<Day, Vec<LineProblem>> {
    parse(text.as_bytes(), &tournament(), 1)
}

fn problems(text: &str) -> Vec<(usize, Column, String)> {
    let problems = read(text).unwrap_err();
    problems.into_iter().map(|problem| (problem.line, problem.column, problem.why)).collect()
}

/// One problem, in that line and column, that says so.
fn refused(line: &str, column: Column, says: &str) {
    let found = problems(&format!("{HEADER}{GOOD}{line}\n"));
    assert_eq!(found.len(), 1, "{line}: {found:?}");
    assert_eq!((found[0].0, found[0].1), (3, column), "{line}: {found:?}");
    assert!(found[0].2.contains(says), "{line}: {}", found[0].2);
}

/// What the columns say of a hand-in.
fn said(day: &Day) -> Vec<impl PartialEq + std::fmt::Debug + use<>> {
    let line = |plan: &HandInPlan| {
        let minutes = plan.truth.labour.hands_on();
        let wanted = wanted_by(&day.tournament.venue, plan);
        let what = (plan.kind, plan.complaint, plan.need);
        (plan.at, plan.spot, plan.fencer.clone(), what, wanted, minutes)
    };
    day.hand_ins.iter().map(line).collect()
}

#[test]
fn a_good_line_is_read() {
    let day = read(&format!("{HEADER}{GOOD}")).unwrap();
    let plan = &day.hand_ins[0];
    let zone = local(&day.tournament.venue);
    assert_eq!(plan.at, parse_local("2026-05-02T10:31", &zone).unwrap());
    assert_eq!(plan.spot, Spot::Strip(StripId(3)));
    assert_eq!(plan.fencer.as_deref(), Some("Zibulo Fenkaroo"));
    assert_eq!((plan.kind, plan.complaint), (ItemKind::Foil, Complaint::WhiteOnOff));
    assert_eq!(plan.need, Need::OneLeft);
    assert_eq!(plan.wanted, Wanted::At(plan.at.plus_min(29)));
    assert_eq!(plan.truth.labour.hands_on(), Span::minutes(5));
    assert!(plan.truth.fault.is_some());
}

#[test]
fn the_form_that_spreadsheets_write_is_read_too() {
    let plain = read(&format!("{HEADER}{GOOD}")).unwrap();
    let semicolons = format!("{HEADER}{GOOD}").replace(',', ";");
    for text in [
        format!("\u{feff}{HEADER}{GOOD}").replace('\n', "\r\n"),
        semicolons.clone(),
        format!("sep=;\r\n{semicolons}"),
        format!("{HEADER}{GOOD}").replace(',', "\t"),
        format!("{semicolons};;;;;;;;\r\n\r\n"),
        semicolons.replace(";5\n", ";5,0\n"),
        format!("{HEADER}{GOOD}").replace("at,strip", "At, STRIP "),
        format!("{HEADER}{GOOD}").replace("Zibulo Fenkaroo", "\"Zibulo Fenkaroo\""),
    ] {
        assert_eq!(read(&text).unwrap(), plain, "{text}");
    }
}

#[test]
fn strips_go_by_name_or_number_and_the_counter_by_either_name() {
    let spot = |strip: &str| {
        let line = GOOD.replace(",3,", &format!(",{strip},"));
        read(&format!("{HEADER}{line}")).unwrap().hand_ins[0].spot
    };
    assert_eq!(spot("final"), Spot::Strip(StripId(16)));
    assert_eq!(spot("16"), Spot::Strip(StripId(16)));
    assert_eq!(spot("Counter"), Spot::Counter);
    assert_eq!(spot("hatch by the north stairs"), Spot::Counter);
}

#[test]
fn each_kind_of_mistake_is_named_with_its_line_and_column() {
    let with = |from: &str, to: &str| GOOD.trim_end().replace(from, to);
    refused(&with("2026-05-02T10:31,", "2.5.2026 10:31,"), Column::At, "not written as a local time");
    refused(&with("2026-05-02T10:31,", ","), Column::At, "it is empty");
    refused(&with("2026-05-02T10:31,", "2026-05-03T10:31,"), Column::At, "outside the hours of every day");
    refused(&with("2026-05-02T10:31,", "9999-05-02T10:31,"), Column::At, "2000 to 2099");
    refused(&with(",3,", ",17,"), Column::Strip, "no strip `17`");
    refused(&with(",3,", ",finale,"), Column::Strip, "did you mean `Final`?");
    refused(&with("Zibulo", "Zib\u{202e}ulo"), Column::Fencer, "control character (U+202E)");
    refused(&with(",foil,", ",foli,"), Column::Weapon, "did you mean `foil`?");
    refused(&with(",weapon,", ",trident,"), Column::Item, "not a known item");
    refused(&with("white_on_off", "mesh_damaged"), Column::Complaint, "not handed in for");
    refused(&with("one_left", "one_lift"), Column::Need, "did you mean `one_left`?");
    refused(&with("one_left", "strip_stopped"), Column::Need, "is for apparatus");
    refused(&with("T11:00", "T10:00"), Column::WantedBy, "before the hand-in");
    refused(&with("T11:00", "T11:00+19:00"), Column::WantedBy, "no such date or time");
    refused(&with(",5", ",five"), Column::Minutes, "no number of minutes");
    refused(&with(",5", ",601"), Column::Minutes, "up to 600");
    refused(&with(",5", ",5,9"), Column::Line, "it has 10 fields; the first line has 9");
    refused(&with("Zibulo", "\"Zibulo"), Column::Line, "quotation mark is not closed");
    refused(&with("Zibulo", "Zib\u{1b}[2Julo"), Column::Line, "control character (U+001B)");
    refused(&with("Zibulo", &"x".repeat(401)), Column::Line, "longer than 400 characters");
    refused(&with("Zibulo", &"x".repeat(10_000_000)), Column::Line, "longer than 32768 bytes");
}

#[test]
fn everything_is_named_at_once_and_in_order() {
    let text =
        format!("{HEADER}never,99,,none,mask,other,none_left,,x\n{GOOD}{},\n\n{}", GOOD.trim(), "a,b\n");
    let found: Vec<(usize, Column)> =
        problems(&text).into_iter().map(|(line, column, _)| (line, column)).collect();
    let first = [Column::At, Column::Strip, Column::Minutes].map(|column| (2, column));
    assert_eq!(found, [&first[..], &[(4, Column::Line), (6, Column::Line)]].concat());
}

#[test]
fn columns_may_stand_in_any_order_and_are_all_needed() {
    let found = problems("strip,at,fencer,weapons,item,complaint,need,wanted_by,strip\n");
    let whys: Vec<&str> = found.iter().map(|(_, _, why)| why.as_str()).collect();
    assert!(found.iter().all(|(line, column, _)| (*line, *column) == (1, Column::Header)));
    assert!(whys.contains(&"unknown column `weapons`; did you mean `weapon`?"), "{whys:?}");
    assert!(whys.contains(&"column `strip` stands here twice"), "{whys:?}");
    assert!(whys.contains(&"column `weapon` is missing"), "{whys:?}");
    assert!(whys.contains(&"column `minutes` is missing"), "{whys:?}");
    let turned = "minutes,wanted_by,need,complaint,item,weapon,fencer,strip,at\n\
                  5,2026-05-02T11:00,one_left,white_on_off,weapon,foil,Zibulo Fenkaroo,3,2026-05-02T10:31\n";
    assert_eq!(read(turned).unwrap(), read(&format!("{HEADER}{GOOD}")).unwrap());
}

#[test]
fn files_that_are_no_log_are_refused_as_a_whole() {
    let one = |bytes: &[u8], says: &str| {
        let found = parse(bytes, &tournament(), 1).unwrap_err();
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].column, Column::File);
        assert!(found[0].why.contains(says), "{found:?}");
    };
    one(b"", "is empty");
    one(b"\xff\xfea\0t\0", "UTF-16");
    one(b"at,strip\n1\n\xff", "line 3 is not UTF-8");
    one(&vec![b'x'; BYTES_MAX + 1], "larger than 16 MiB");
    one(format!("{HEADER}{}", GOOD.repeat(LINES_MAX + 1)).as_bytes(), "more than 20000 lines");
    assert!(read(HEADER).unwrap().hand_ins.is_empty());
}

/// Held against the EU's summer time: on 2026-03-29 the clock goes from 02:00 to 03:00, on 2026-10-25 it goes from
/// 03:00 back to 02:00.
#[test]
fn gaps_and_folds_of_the_clock_are_refused_with_the_reason() {
    let mut nights = tournament();
    let zone = local(&nights.venue);
    let at = |text| parse_local(text, &zone).unwrap();
    nights.venue.days = vec![
        Window { from: at("2026-03-28T20:00"), to: at("2026-03-29T06:00") },
        Window { from: at("2026-10-24T20:00"), to: at("2026-10-25T06:00") },
    ];
    let line = |time: &str| format!("{HEADER}{time},3,,foil,weapon,other,one_left,,\n");
    let why = |time: &str| parse(line(time).as_bytes(), &nights, 1).unwrap_err().remove(0).why;
    assert!(why("2026-03-29T02:30").contains("never comes"));
    assert!(why("2026-10-25T02:30").contains("`2026-10-25T02:30+02:00` for the earlier"));
    for time in ["2026-10-25T02:30+02:00", "2026-10-25T02:30+01:00", "2026-10-25T03:30"] {
        let day = parse(line(time).as_bytes(), &nights, 1).unwrap();
        let again = parse(write(&day).as_bytes(), &nights, 1).unwrap();
        assert_eq!(said(&again), said(&day), "{time}");
    }
}

#[test]
fn an_invented_day_survives_being_written_and_read() {
    for seed in 1..=5 {
        let day = invented_day(&DayOptions { seed, ..DayOptions::default() }).unwrap();
        let again = parse(write(&day).as_bytes(), &day.tournament, seed).unwrap();
        assert_eq!(said(&again), said(&day));
        assert_eq!(write(&again), write(&day));
    }
}

#[test]
fn what_a_line_does_not_say_does_not_depend_on_the_lines_before() {
    let open = GOOD.replace(",5\n", ",\n");
    let noted = read(&format!("{HEADER}{GOOD}{open}")).unwrap();
    let drawn = read(&format!("{HEADER}{open}{open}")).unwrap();
    assert_eq!(noted.hand_ins[1], drawn.hand_ins[1]);
    assert_ne!(drawn.hand_ins[0].truth, drawn.hand_ins[1].truth);
}

/// Common practice, no source: three quarters of an hour on a foil that shows white is a rewiring.
#[test]
fn minutes_that_were_noted_tell_the_fault() {
    let long = GOOD.replace(",5\n", ",45\n").repeat(200);
    let day = read(&format!("{HEADER}{long}")).unwrap();
    let wired = |plan: &&HandInPlan| {
        let fault = plan.truth.fault.and_then(remise_core::gear::fault);
        fault.is_some_and(|fault| fault.work == remise_core::gear::Work::BladeWire)
    };
    assert!(day.hand_ins.iter().filter(wired).count() > 180);
}

prop_compose! {
    fn any_plan()(
        second in 0_i64..36_000, strip in 0_u16..=16, fencer in "(\\PC{1,40})?", kind in 0..ItemKind::ALL.len(),
        complaint in any::<prop::sample::Index>(), need in 0..Need::ALL.len(),
        wanted in proptest::option::of(0_i64..86_400), hundredths in 1_i64..=60_000,
    ) -> HandInPlan {
        let kind = ItemKind::ALL[kind];
        let need = Need::ALL[need];
        let at = Stamp(1_777_701_600_000_000) + Span::seconds(second);
        let labour = Labour::of(Span(600_000 * hundredths), Span::ZERO);
        HandInPlan {
            at,
            spot: if strip == 0 { Spot::Counter } else { Spot::Strip(StripId(strip)) },
            fencer: remise_core::text::name(&fencer).ok(),
            official: None,
            kind,
            complaint: *complaint.get(Complaint::for_kind(kind)),
            need: if need == Need::StripStopped && !kind.is_apparatus() { Need::NoneLeft } else { need },
            wanted: wanted.map_or(Wanted::Open, |later| Wanted::At(at + Span::seconds(later))),
            truth: TrueState { fault: None, labour, outcome: Outcome::NoFault },
            call_off: None,
            quirks: Quirks {
                scan_after: Span::ZERO,
                confirm_after: Span::ZERO,
                collect_after: Span::ZERO,
                collection: Collection::HandedBack,
            },
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_written_is_read_again(plans in proptest::collection::vec(any_plan(), 0..12), seed in any::<u64>()) {
        let mut hand_ins = plans;
        hand_ins.sort_by_key(|plan| plan.at);
        let day = Day { tournament: tournament(), hand_ins, call_outs: Vec::new(), swaps: Vec::new() };
        let again = parse(write(&day).as_bytes(), &day.tournament, seed).unwrap();
        prop_assert_eq!(said(&again), said(&day));
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        if let Err(problems) = parse(&bytes, &tournament(), 1) {
            prop_assert!(!problems.is_empty());
        }
    }

    #[test]
    fn any_fields_are_read_or_refused_without_control_characters(
        fields in proptest::collection::vec("(\\PC|[\u{0}-\u{1f}\u{202a}-\u{202e}\",;]){0,12}", 9),
    ) {
        let text = format!("{HEADER}{}\n", fields.join(","));
        for problem in read(&text).err().unwrap_or_default() {
            let shown = problem.to_string();
            prop_assert!(!shown.chars().any(|c| c.is_control() || ('\u{202a}'..='\u{202e}').contains(&c)), "{shown:?}");
        }
    }
}
