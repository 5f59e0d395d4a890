//! Whole files, good and bad. Places are held against counting by hand in the file beside them.

#![allow(clippy::unwrap_used)]

mod table;

use proptest::prelude::*;
use remise_core::gear::{Weapon, Work};
use remise_core::ids::{BenchId, StripId};
use remise_core::time::Window;

use super::local::{local, parse_local};
use super::*;

fn lines(problems: &[Problem]) -> String {
    problems.iter().fold(String::new(), |text, problem| text + &problem.to_string() + "\n")
}

#[test]
fn the_example_has_no_problem_and_no_warning() {
    let tournament = parse(example().as_bytes()).map_err(|problems| lines(&problems)).unwrap();
    assert_eq!(lines(&tournament.warnings), "");
    let venue = &tournament.venue;
    assert_eq!((venue.days.len(), venue.strips.len(), venue.benches.len()), (2, 12, 4));
    assert_eq!((venue.competitions.len(), tournament.armourers.len()), (6, 4));
    assert_eq!((venue.edition.as_str(), venue.margin_min), ("fie-2026", 5));
    assert!(venue.benches.iter().all(|bench| bench.armourer.is_none()));
    assert_eq!(venue.benches.iter().filter(|bench| bench.roving).count(), 1);
    assert_eq!(venue.strip(StripId(11)).unwrap().name, "Amber");
    assert_eq!(venue.strip(StripId(2)).unwrap().name, "2");
}

// Held against: the example read by eye; Vienna is at UTC+2 in May.
#[test]
fn the_example_means_what_it_says() {
    let tournament = parse(example().as_bytes()).unwrap();
    let venue = &tournament.venue;
    let at = |text: &str| parse_local(text, &local(venue)).unwrap();
    let window = |from: &str, to: &str| Window { from: at(from), to: at(to) };
    assert_eq!(venue.days[0], window("2026-05-02T07:30+02:00", "2026-05-02T20:00+02:00"));
    let cloth = venue.bench(BenchId(3)).unwrap();
    assert_eq!(
        cloth.open,
        [
            window("2026-05-02T08:00", "2026-05-02T12:30"),
            window("2026-05-02T13:00", "2026-05-02T19:00"),
            window("2026-05-03T09:00", "2026-05-03T12:30"),
            window("2026-05-03T13:15", "2026-05-03T17:00"),
        ]
    );
    assert!(cloth.can(Work::Cloth) && !cloth.can(Work::Point));
    assert_eq!(tournament.armourers[&BenchId(3)], "Ilario");
    let epee = &venue.competitions[1];
    assert_eq!((epee.weapon, epee.starts, epee.entries), (Weapon::Epee, at("2026-05-02T09:00"), 48));
    assert_eq!(epee.pools.unwrap().size, 6);
    assert_eq!(epee.tableau.unwrap().size, 64);
    assert_eq!(venue.competitions[5].teams.unwrap().relay_min, 4);
}

#[test]
fn a_broken_file_tells_all_its_problems_in_order() {
    let problems = parse(include_bytes!("broken.toml")).unwrap_err();
    assert_eq!(lines(&problems), include_str!("broken.txt"));
    assert!(problems.is_sorted_by_key(|problem| (problem.line, problem.column)));
}

#[test]
fn huge_and_foreign_files_are_refused_at_once() {
    let huge = vec![b'#'; 10_000_000];
    assert!(lines(&parse(&huge).unwrap_err()).starts_with("1:1: the file is larger than 1 MiB; "));
    let latin = parse(b"name = \"x\"\ncounter = \"\xe9\"\n").unwrap_err();
    assert_eq!(lines(&latin), "2:12: this is not UTF-8 text; save the file as UTF-8\n");
    let many = "[[strips]]\n".repeat(90_000);
    let problems = parse(many.as_bytes()).unwrap_err();
    assert!(lines(&problems).contains("there are 90000 `strips`; at most 200 are allowed"));
    let deep = format!("name = {}", "[".repeat(100_000));
    assert_eq!(parse(deep.as_bytes()).unwrap_err().len(), 1);
}

/// Would run for hours if any list were compared with itself or any line counted again for each problem.
#[test]
fn floods_in_one_line_are_refused_in_time() {
    let flood = |entry: &dyn Fn(usize) -> String| (0..60_000).map(entry).collect::<Vec<_>>().join(", ");
    let keys = format!("strips = [{{ {} }}]", flood(&|i| format!("k{i} = 1")));
    let problems = parse(keys.as_bytes()).unwrap_err();
    assert!(problems.len() > 60_000);
    assert!(problems.iter().any(|problem| problem.what == "unknown key `k59999`"));
    let strips = format!("competitions = [{{ strips = [{}] }}]", flood(&|i| i.to_string()));
    let text = lines(&parse(strips.as_bytes()).unwrap_err());
    assert!(text.contains("1:28: `strips` has 60000 entries; at most 200 are allowed"), "{text}");
    let breaks = format!("benches = [{{ breaks = [{}] }}]", flood(&|_| "\"12:00-12:30\"".to_owned()));
    let text = lines(&parse(breaks.as_bytes()).unwrap_err());
    assert!(text.contains("1:23: `breaks` has 60000 entries; at most 24 are allowed"), "{text}");
    let hours = format!("benches = [{{ hours = {{ {} }} }}]", flood(&|i| format!("d{i} = 1")));
    let text = lines(&parse(hours.as_bytes()).unwrap_err());
    assert!(text.contains("1:22: `hours` has 60000 entries; at most 10 are allowed"), "{text}");
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_are_no_problem() {
    let text = format!("\u{feff}{}", example().replace('\n', "\r\n"));
    assert_eq!(parse(text.as_bytes()), parse(example().as_bytes()));
}

#[test]
fn editions_are_the_callers() {
    assert!(parse_with(example().as_bytes(), &["fie-2026", "fie-2025"]).is_ok());
    let problems = parse_with(example().as_bytes(), &["fie-2025"]).unwrap_err();
    assert!(lines(&problems).contains("unknown rules edition `fie-2026`; did you mean `fie-2025`?"));
}

#[test]
fn warnings_do_not_refuse() {
    let text = example()
        .replace(r#""cloth", "mask"]"#, r#""mask"]"#)
        .replace("\"Tamsin\"", "\"jorun\"")
        .replace("entries = 42", "entries = 30");
    let warnings = lines(&parse(text.as_bytes()).unwrap().warnings);
    assert_eq!(warnings.lines().count(), 3, "{warnings}");
    assert!(warnings.contains("no bench can do `cloth`"));
    assert!(warnings.contains("`jorun` also works at bench 1"));
    assert!(warnings.contains("30 entries leave the first round of a tableau of 64 without a bout"));
}

/// Each problem must name a place within the file, and a refusal must have a reason.
fn holds(bytes: &[u8]) {
    let Err(problems) = parse(bytes) else { return };
    assert!(!problems.is_empty());
    for problem in problems {
        assert!(problem.line >= 1 && problem.column >= 1);
        assert!(problem.line <= bytes.split(|b| *b == b'\n').count());
        let text = problem.to_string();
        assert!(!text.chars().any(char::is_control), "{text:?}");
        assert!(text.len() < 2_000, "{text}");
    }
}

/// Words that are likely to hurt when they stand where another stood.
const WORDS: [&str; 18] = [
    "0",
    "-1",
    "99999999999",
    "1.5",
    "true",
    "\"\"",
    "\"\\u001b[2J\"",
    "[]",
    "[[]]",
    "{}",
    "{ size = 0 }",
    "2026-10-25T02:30:00",
    "2026-03-29",
    "\"18:00-02:30\"",
    "\"all\"",
    "[\"12:00-12:30\"]",
    "nan",
    "\"é\\u202e\"",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn arbitrary_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        holds(&bytes);
    }

    #[test]
    fn arbitrary_text_never_panics(text in "[a-z0-9 =\\[\\]{}\"'.:#\\n\u{e9}\u{1b}-]{0,300}") {
        holds(text.as_bytes());
    }

    #[test]
    fn an_example_with_other_bytes_never_panics(
        at in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)
    ) {
        let mut bytes = example().as_bytes().to_vec();
        for (index, byte) in at {
            let place = index.index(bytes.len());
            bytes[place] = byte;
        }
        holds(&bytes);
    }

    #[test]
    fn an_example_with_other_values_never_panics(
        swaps in proptest::collection::vec((any::<prop::sample::Index>(), 0..WORDS.len()), 1..8)
    ) {
        let mut rows: Vec<String> = example().lines().map(str::to_owned).collect();
        let set: Vec<usize> = (0..rows.len()).filter(|row| rows[*row].contains(" = ") && !rows[*row].starts_with('#')).collect();
        for (index, word) in swaps {
            let row = set[index.index(set.len())];
            let key = rows[row].split(" = ").next().unwrap().to_owned();
            rows[row] = format!("{key} = {}", WORDS[word]);
        }
        holds(rows.join("\n").as_bytes());
    }

    #[test]
    fn an_example_with_lines_left_out_never_panics(
        out in proptest::collection::vec(any::<prop::sample::Index>(), 1..8)
    ) {
        let mut rows: Vec<&str> = example().lines().collect();
        for index in out {
            rows.remove(index.index(rows.len()));
        }
        holds(rows.join("\n").as_bytes());
    }
}
