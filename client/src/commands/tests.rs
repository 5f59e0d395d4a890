//! Every action as it is typed, what it comes down to, and what goes to which stream.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use remise_core::armoury::{Command, Correction, HandIn, JobRef, Lasting, Need, Place, Spot, Wanted, Whose};
use remise_core::bouts::BoutPlace;
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, JobId, Seq, StripId};
use remise_core::rules::Answer;
use remise_core::tag::Tag;
use remise_core::time::Stamp;
use remise_link::view::Welcome;
use remise_link::{Request, Role, command_name};

use super::setting::Setting;
use super::todo::Todo;
use super::*;

/// 2026-05-02T10:00:00Z.
const NOW: Stamp = Stamp(1_777_716_000_000_000);

/// Splits as a shell does, as far as these tests need it.
pub(super) fn argv(line: &str) -> Vec<OsString> {
    let mut words = vec![OsString::from("remise")];
    for (index, part) in line.split('"').enumerate() {
        if index % 2 == 1 {
            words.push(part.into());
        } else {
            words.extend(part.split_whitespace().map(OsString::from));
        }
    }
    words
}

fn cli(line: &str) -> Cli {
    Cli::try_parse_from(argv(line)).unwrap_or_else(|error| panic!("{line}\n{error}"))
}

fn todo(line: &str) -> Result<Todo, Failure> {
    let cli = cli(line);
    let (strip, bench) = match &cli.area {
        Area::Strip(area) => (area.strip, None),
        Area::Bench(area) => (None, area.bench),
        _ => (None, None),
    };
    let welcome = Welcome { zone: "Etc/UTC".into(), now: NOW, ..Welcome::default() };
    let mut setting = Setting::new(&welcome, strip, bench, matches!(cli.area, Area::Counter(_)));
    setting.edition = "fie-2026".into();
    online::todo(&cli.area, &setting)
}

fn command(line: &str) -> Command {
    match todo(line) {
        Ok(Todo::Send(command)) => *command,
        other => panic!("{line}: {other:?}"),
    }
}

fn hand_in(line: &str) -> HandIn {
    let Command::HandIn(hand_in) = command(line) else { panic!("{line}: no hand-in") };
    hand_in
}

#[test]
fn the_command_line_is_sound() {
    Cli::command().debug_assert();
}

/// One line for every action that changes something.
const CHANGES: &[(&str, &str)] = &[
    (
        "strip hand-in --strip 3 --fencer \"Ida Test\" --item foil --complaint no_light --need one_left",
        "hand_in",
    ),
    ("strip claim --job 17 --fencer \"Ida Test\"", "claim"),
    ("strip fencer-out \"Ida Test\"", "fencer_out"),
    ("strip fencer-in \"Ida Test\"", "fencer_in"),
    ("strip lend --fencer \"Ida Test\" --item epee", "lend"),
    ("strip loan-back --fencer \"Ida Test\" --item epee", "loan_back"),
    ("strip call-out --strip 3 --note \"both lights on\"", "call_out"),
    ("strip confirm 40", "confirm_notice"),
    ("strip hand-back --job 17 --to \"Ida Test\"", "hand_back"),
    ("strip back-to --job 17 --to counter", "back_to"),
    ("strip want-by --job 17 --wanted 14:20", "want_by"),
    ("strip set-need --job 17 --need out", "set_need"),
    ("strip call-off --job 17 --reason \"new one bought\"", "call_off"),
    ("strip confiscate --job 17 --note \"by the referee\"", "confiscate"),
    ("counter scan --tag 12340", "scan_in"),
    ("counter missing --tag 12340", "missing"),
    ("counter found --tag 12340 --place ready-shelf", "found_again"),
    ("counter collected-unseen --tag 12340", "collected_unseen"),
    ("counter count --place counter", "count"),
    ("counter hold --tag 12340 --reason part_missing", "hold"),
    ("counter release --tag 12340", "release"),
    ("counter end-owed 8 --how declined", "end_owed"),
    ("counter correct --job 17 --right-bench 2", "correct"),
    ("counter exchange-tags 12340 00013", "exchange_tags"),
    ("bench take --bench 2 --tag 12340", "take"),
    ("bench put-back --job 17 --note \"no wire left\"", "put_back"),
    ("bench pass-on --job 17 --to 3", "pass_on"),
    ("bench interrupt --bench 2", "interrupt"),
    ("bench resume --bench 2", "resume"),
    ("bench away --bench 2 --until +15", "go_away"),
    ("bench back --bench 2", "come_back"),
    ("bench arrive 5", "reach_strip"),
    ("bench run-again 5 --swapped reel --stock \"reel 9\"", "run_again"),
    ("bench finding --job 17 --fault foil_tip_dirty --showed absent", "find"),
    ("bench saw --job 17 --seen turn-button=flicker", "see"),
    ("bench repair --job 17 --work point --lasting", "repair"),
    ("bench cure --job 17 --until +10", "cure"),
    ("bench dry --job 17", "dry_now"),
    ("bench no-fault --job 17", "no_fault_found"),
    ("bench elsewhere --job 17 --place \"the reel of strip 3\"", "fault_elsewhere"),
    ("bench prove --job 17 --check foil_resistance --reading pass", "prove"),
    ("bench ready --job 17", "ready"),
    ("bench withdraw --job 17 --reason \"blade cracked\"", "withdraw"),
    ("head take-over --job 17 --to 3 --reason \"left lying\"", "take_over"),
    ("head ready-anyway --job 17 --reason \"final is called\"", "ready_anyway"),
    ("head release-confiscated --job 17 --note \"by the jury\"", "release_confiscated"),
    ("head pin --job 17 --bench 3", "pin"),
    ("head redirect 5 --bench 3", "redirect"),
    ("head open-bench 3", "open_bench"),
    ("head close-bench 3", "close_bench"),
    ("head close-bench 3 --at +60", "close_bench_at"),
    ("head close-day", "close_day"),
];

#[test]
fn every_command_can_be_typed() {
    let mut reached = BTreeSet::new();
    for (line, name) in CHANGES {
        assert_eq!(command_name(&command(line)), Some(*name), "{line}");
        reached.insert(*name);
    }
    assert_eq!(reached, Request::NAMES.iter().copied().collect());
}

#[test]
fn every_question_can_be_typed() {
    let job = JobRef::Job(JobId(17));
    let table = [
        ("strip board --strip 3", Todo::StripBoard(Spot::Strip(StripId(3)))),
        ("counter board", Todo::StripBoard(Spot::Counter)),
        ("bench board --bench 2", Todo::BenchBoard(BenchId(2))),
        ("head room", Todo::Room),
        ("head why --job 17", Todo::Why(job)),
        ("head night", Todo::Night),
        ("head promises", Todo::Promises),
        ("head venue", Todo::Venue),
        ("head find Ida", Todo::Find { text: "Ida".into(), limit: 50 }),
        ("bench job --job 17", Todo::Course(job)),
        ("journal read --from 7 --limit 9", Todo::Events { from: Seq(7), limit: 9 }),
        ("journal head", Todo::JournalHead),
        ("journal verify", Todo::Verify),
    ];
    for (line, expected) in table {
        assert_eq!(todo(line), Ok(expected), "{line}");
    }
}

#[test]
fn a_hand_in_is_read_whole() {
    let line = "strip --strip 3 hand-in --fencer \"Ida Test\" --item \"body cord, bayonet\" --complaint falls-out \
                --need none-left --tag 12340 --note \"left side\" --item-number 9 --wanted 14:20 --owner Bo \
                --bringer Cy --official Di --back-to counter --and mask_cord,hits_come_and_go,two_or_more,00013";
    let given = hand_in(line);
    assert_eq!(given.whose, Whose::Fencer("Ida Test".into()));
    assert_eq!((given.came_from, given.back_to), (Spot::Strip(StripId(3)), Spot::Counter));
    assert_eq!(given.wanted, Wanted::At(NOW.plus_min(260)));
    assert_eq!([given.owner, given.bringer, given.official].map(Option::unwrap), ["Bo", "Cy", "Di"]);
    assert!(!given.in_room);
    let [first, second] = &given.items[..] else { panic!("two items") };
    assert_eq!((first.kind, first.complaint), (ItemKind::BodyCordBayonet, Complaint::FallsOut));
    assert_eq!((first.need, first.tag), (Need::NoneLeft, Some(Tag::issue(1234).unwrap())));
    assert_eq!((first.note.as_deref(), first.item.unwrap().0), (Some("left side"), 9));
    assert_eq!(
        (second.kind, second.need, second.tag.unwrap().body()),
        (ItemKind::MaskCord, Need::TwoOrMore, 1)
    );
    let here = hand_in("counter hand-in --unknown --item reel --complaint slack --need strip_stopped");
    assert!(here.in_room && here.came_from == Spot::Counter && here.back_to == Spot::Counter);
    assert_eq!((here.whose, here.wanted), (Whose::Unknown, Wanted::Open));
}

#[test]
fn wanted_by_the_next_bout() {
    let with = |wanted: &str| {
        hand_in(&format!(
            "counter hand-in --fencer Ida --item foil --complaint other --need one_left {wanted}"
        ))
        .wanted
    };
    assert_eq!(
        with("--pool 7 --place 3 --bout 5 --bout-min 6 --order usa"),
        Wanted::Bout(BoutPlace::Pool {
            size: 7,
            variant: Some("usa".into()),
            place: 3,
            running_bout: 5,
            bout_min: 6
        })
    );
    assert_eq!(
        with("--table 64 --line 9 --bout 4 --bout-min 20 --strips 8 --entrants 50 --last-ended 09:30"),
        Wanted::Bout(BoutPlace::Tableau {
            table: 64,
            entrants: Some(50),
            slot: 9,
            running_bout: 4,
            parallel_strips: 8,
            bout_min: 20,
            last_bout_ended: Some(NOW.plus_min(-30)),
        })
    );
    assert_eq!(
        with("--relay 2 --fencer-no 5 --bout-min 7"),
        Wanted::Bout(BoutPlace::Relay { running_relay: 2, fencer_no: 5, relay_min: 7 })
    );
}

#[test]
fn readings_take_the_unit_of_their_check() {
    let prove =
        |reading: &str| todo(&format!("bench prove --job 17 --check foil_resistance --reading {reading}"));
    let answer = |reading: &str| match prove(reading) {
        Ok(Todo::Send(command)) => match *command {
            Command::Prove { answer, .. } => answer,
            other => panic!("{other:?}"),
        },
        other => panic!("{other:?}"),
    };
    assert_eq!(answer("1.8ohm"), Answer::Reading(1800));
    assert_eq!(answer("fail"), Answer::Failed);
    assert_eq!(prove("1.8kg").unwrap_err().exit, exit::USAGE);
    assert_eq!(prove("-3").unwrap_err().exit, exit::USAGE);
    let unknown = todo("bench prove --job 17 --check magic --reading pass").unwrap_err();
    assert!(unknown.message.contains("no such check"), "{}", unknown.message);
}

#[test]
fn corrections_counts_and_repairs() {
    let what = |line: &str| match command(line) {
        Command::Correct { what, .. } => what,
        other => panic!("{other:?}"),
    };
    assert_eq!(
        what("head correct --job 17 --right-kind epee --right-complaint no_light"),
        Correction::Kind { kind: ItemKind::Epee, complaint: Complaint::NoLight }
    );
    assert_eq!(
        what("head correct --job 17 --right-from 3 --right-back-to counter"),
        Correction::Spots { came_from: Spot::Strip(StripId(3)), back_to: Spot::Counter }
    );
    let Command::Count { place, tags } = command("head count --place ready-shelf 12340 000-13") else {
        panic!("no count")
    };
    assert_eq!((place, tags.len()), (Place::ReadyShelf, 2));
    let fault = remise_core::gear::faults(ItemKind::Foil).find(|fault| fault.work == Work::Point).unwrap();
    let line = format!("bench repair --job 17 --fault {} --stop-gap", fault.id);
    let Command::Repair { work, lasting, .. } = command(&line) else { panic!("no repair") };
    assert_eq!((work, lasting), (Work::Point, Lasting::StopGap));
}

/// What is wrong on the command line ends with code 2 before anything is sent.
#[test]
fn wrong_usage_is_refused() {
    for line in [
        "",
        "strip hand-in --fencer Ida --item foil --complaint no_light",
        "strip hand-in --fencer Ida --unknown --item foil --complaint no_light --need out",
        "strip hand-in --fencer Ida --item trebuchet --complaint no_light --need out",
        "strip hand-in --fencer Ida --item foil --complaint no_light --need out --pool 7",
        "strip hand-in --fencer Ida --item foil --complaint no_light --need out --wanted 14:20 --relay 3",
        "strip hand-in --fencer Ida --item foil --complaint no_light --need out --and foil",
        "strip hand-in --fencer \"a\u{1b}[2J\" --item foil --complaint no_light --need out",
        "bench take",
        "bench take --tag 12345",
        "bench take --tag 12340 --job 17",
        "bench take --job 0",
        "bench repair --job 17 --work point",
        "bench repair --job 17 --work point --lasting --stop-gap",
        "head correct --job 17",
        "head correct --job 17 --right-kind foil",
        "head correct --job 17 --right-bench 2 --wrong-repair 3",
        "head pin --job 17 --bench 70000",
        "journal read --limit 5000",
        "head room --request-id 919108f7-52d1-4320-9bac-f847db4148a8",
    ] {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        assert_eq!(run(argv(line), &mut out, &mut err), exit::USAGE, "{line}");
        assert!(out.is_empty() && !err.is_empty(), "{line}");
    }
    assert_eq!(todo("bench interrupt").unwrap_err().exit, exit::USAGE, "no bench is named");
    assert_eq!(todo("strip board").unwrap_err().exit, exit::USAGE, "no strip is named");
}

#[test]
fn an_open_server_is_told_who_is_asking_and_a_token_says_it_by_itself() {
    let open = |line: &str| cli(line).address().unwrap().open;
    let strip = open("strip board --strip 3").unwrap();
    assert_eq!((strip.role, strip.strip, strip.name.as_str()), (Role::Strip, Some(StripId(3)), "strip"));
    let bench = open("bench board --bench 2 --station \"by the window\"").unwrap();
    assert_eq!(
        (bench.role, bench.bench, bench.name.as_str()),
        (Role::Bench, Some(BenchId(2)), "by the window")
    );
    assert_eq!(open("counter board").unwrap().role, Role::Counter);
    assert_eq!(open("head room").unwrap().role, Role::Head);
    assert_eq!(open("strip board"), None, "a strip that is not named cannot be claimed");
    let with_token = cli("head room --token abc").address().unwrap();
    assert!(with_token.open.is_none() && with_token.token.is_some());
}
