//! One change to a good file, one expected complaint: the table of what is refused.

#![allow(clippy::unwrap_used)]

use super::*;

/// A small good file; the table's cases change one piece of it. Lines are numbered for the places below.
const BASE: &str = r#"name = "Small"
time_zone = "Europe/Vienna"
counter = "Hatch"
rules = "fie-2026"
days = [{ date = 2026-05-02, hours = "08:00-18:00" }]
[[strips]]
number = 1
walk_min = 2
[[strips]]
number = 2
name = "Blue"
walk_min = 3
[[benches]]
number = 1
name = "Bench"
armourer = "Jorun"
works = "all"
hours = "08:00-17:00"
breaks = ["12:00-12:30"]
[[competitions]]
name = "Foil"
weapon = "foil"
starts = 2026-05-02T09:00:00
entries = 16
strips = [1, 2]
pools = { size = 6, bout_min = 5 }
tableau = { size = 16, bout_min = 20 }
"#;

fn changed(from: &str, to: &str) -> String {
    assert!(BASE.contains(from), "{from}");
    BASE.replacen(from, to, 1)
}

fn check(from: &str, to: &str, expected: &str) {
    let problems = parse(changed(from, to).as_bytes()).unwrap_err();
    assert_eq!(lines(&problems), format!("{expected}\n"), "{from} -> {to}");
}

fn accept(from: &str, to: &str) -> Tournament {
    parse(changed(from, to).as_bytes()).map_err(|problems| lines(&problems)).unwrap()
}

#[test]
fn the_base_is_good() {
    assert_eq!(accept("Small", "Small").warnings, []);
}

#[test]
fn keys() {
    check(
        "walk_min = 2",
        "walk_min = 2\nwalk_mins = 2",
        "9:1: unknown key `walk_mins`; did you mean `walk_min`?",
    );
    check("walk_min = 2\n", "", "6:1: missing key `walk_min`");
    check("counter = \"Hatch\"\n", "", "1:1: missing key `counter`");
    check("bout_min = 5", "bout_min = 5, x = 1", "26:35: unknown key `x`; known here: size, bout_min");
    check("name = \"Small\"", "name = 7", "1:8: `name` must be a text in quotes; found integer");
    check(
        "name = \"Small\"",
        "name = \"Small\"\n\"\\u001b[2J\" = 1",
        "2:1: unknown key `\\u{1b}[2J`; known here: name, time_zone, counter, rules, margin_min, days, strips, \
         benches, competitions",
    );
    check(
        "[[competitions]]\n",
        "[competitions]\n",
        "20:1: `competitions` must be a list of tables, each under `[[competitions]]`; found table",
    );
    check(
        "weapon = \"foil\"",
        "weapon = \"foil\"\nweapon = \"foil\"",
        "23:1: this is not TOML: duplicate key; the rest is checked when this is mended",
    );
}

#[test]
fn texts() {
    check("\"Small\"", "\"\"", "1:8: `name` is refused: it is empty");
    check("\"Small\"", "\"a\\u001b[2J\"", "1:8: `name` is refused: it contains a control character (U+001B)");
    check("\"Jorun\"", "\"a\\nb\"", "16:12: `armourer` is refused: it contains a control character (U+000A)");
    check("\"Blue\"", "\"a\\u202eb\"", "11:8: `name` is refused: it contains a control character (U+202E)");
    let long = format!("\"{}\"", "x".repeat(1_000_000));
    check("\"Hatch\"", &long, "3:11: `counter` is refused: it is longer than 80 characters");
    let unknown = format!("\"{}\"", "x".repeat(1_000_000));
    let expected = format!("4:9: unknown rules edition `{}…`; known here: fie-2026", "x".repeat(40));
    check("\"fie-2026\"", &unknown, &expected);
}

#[test]
fn bounds() {
    check("walk_min = 2", "walk_min = 61", "8:12: `walk_min` must be a whole number from 0 to 60; found 61");
    check(
        "walk_min = 2",
        "walk_min = 2.5",
        "8:12: `walk_min` must be a whole number from 0 to 60; found float",
    );
    check("entries = 16", "entries = 1", "24:11: `entries` must be a whole number from 2 to 512; found 1");
    check("bout_min = 20", "bout_min = 0", "27:35: `bout_min` must be a whole number from 1 to 60; found 0");
    check("size = 16", "size = 24", "27:20: a tableau has 4, 8, 16 … 256 places, not 24; write 32");
    check(
        "entries = 16\nstrips = [1, 2]\npools = { size = 6",
        "entries = 9\nstrips = [1, 2]\npools = { size = 4",
        "26:18: 9 fencers in pools of 4 leave a pool of 3; a pool needs at least 4: choose another size",
    );
}

#[test]
fn numbers_and_names_stand_once() {
    check(
        "number = 2\nname = \"Blue\"",
        "number = 1\nname = \"Blue\"",
        "10:10: strip number `1` stands in the file twice",
    );
    check("\"Blue\"", "\"1\"", "11:8: strip name `1` stands in the file twice");
    check("[1, 2]", "[1, 1]", "25:14: strip 1 stands here twice");
    check("[1, 2]", "[1, 9]", "25:14: there is no strip 9");
    check("[1, 2]", "[]", "25:10: a competition needs at least one strip");
    check("works = \"all\"", "works = [\"mask\", \"mask\"]", "17:18: kind of work `mask` stands here twice");
    check(
        "works = \"all\"",
        "works = [\"wire\"]",
        "17:10: unknown kind of work `wire`; known here: point, blade_wire, \
         socket_guard, blade, cord_ends, cord_continuity, sabre_contacts, cloth, mask, apparatus",
    );
    check(
        "works = \"all\"",
        "works = [\"blade_wires\"]",
        "17:10: unknown kind of work `blade_wires`; did you mean `blade_wire`?",
    );
    let twice = format!("{BASE}{}", &BASE[BASE.find("[[competitions]]").unwrap()..]);
    let problems = lines(&parse(twice.as_bytes()).unwrap_err());
    assert_eq!(problems, "29:8: competition `Foil` stands in the file twice\n");
}

#[test]
fn the_formats_of_a_competition() {
    check(
        "pools = { size = 6, bout_min = 5 }\ntableau = { size = 16, bout_min = 20 }\n",
        "",
        "20:1: this competition has no format; add `pools`, `tableau` or both, or `teams`",
    );
    check(
        "pools = { size = 6, bout_min = 5 }",
        "teams = { relay_min = 5 }",
        "26:9: `teams` stands beside `pools` or `tableau`; teams meet in a direct elimination of their own; leave \
         `pools` and `tableau` out",
    );
    check(
        "pools = { size = 6, bout_min = 5 }\ntableau = { size = 16",
        "tableau = { size = 8",
        "26:20: 16 entries have no place in a tableau of 8; take a larger tableau, or add pools that send some home",
    );
}

#[test]
fn dates_and_zones() {
    check(
        "Europe/Vienna",
        "Europe/Viena",
        "2:13: unknown time zone `Europe/Viena`; did you mean `Europe/Vienna`?",
    );
    check(
        "date = 2026-05-02",
        "date = \"2026-02-30\"",
        "5:18: `date` is refused: there is no such date in the years 2000 to 2099",
    );
    check(
        "date = 2026-05-02",
        "date = 1926-05-02",
        "5:18: `date` is refused: there is no such date in the years 2000 to 2099",
    );
    check("date = 2026-05-02", "date = \"2 May\"", "5:18: `date` is refused: write a date as 2026-05-02");
    check(
        "2026-05-02T09:00:00",
        "2026-05-02T19:00:00",
        "23:10: `starts` lies outside the hours of every day",
    );
    check(
        "2026-05-02T09:00:00",
        "\"9 o'clock\"",
        "23:10: `starts` is refused: it is not written as a local time such as 2026-05-02T10:31",
    );
    let one = "{ date = 2026-05-02, hours = \"08:00-18:00\" }";
    check(one, &format!("{one}, {one}"), "5:55: the day 2026-05-02 stands in the file twice");
    let night = "{ date = 2026-05-01, hours = \"20:00-09:00\" }";
    check(
        one,
        &format!("{one}, {night}"),
        "5:9: the day 2026-05-02 opens before the day 2026-05-01 has closed\n18:9: the bench is open outside the hours \
         of 2026-05-01",
    );
}

#[test]
fn hours_and_breaks() {
    check(
        "08:00-17:00",
        "8-17",
        "18:9: `hours` are not hours: `8-17`; write a time as `08:00`, with two digits on each side",
    );
    check("08:00-17:00", "07:00-17:00", "18:9: the bench is open outside the hours of 2026-05-02");
    check("12:00-12:30", "17:00-17:30", "19:11: the break lies outside the bench's hours on 2026-05-02");
    check(
        "\"12:00-12:30\"",
        "\"12:00-12:30\", \"12:15-12:45\"",
        "19:26: the break overlaps another one on 2026-05-02",
    );
    check("12:00-12:30", "08:00-17:00", "19:11: the breaks leave no time on 2026-05-02");
    check("hours = \"08:00-17:00\"", "hours = {}", "13:1: this bench is never open");
    check(
        "hours = \"08:00-17:00\"",
        "hours = { 2026-05-02 = \"08:00-17:00\", 2026-05-09 = \"08:00-17:00\" }",
        "18:39: `2026-05-09` is none of the tournament's days; they are 2026-05-02",
    );
    check(
        "[\"12:00-12:30\"]",
        "\"12:00-12:30\"",
        "19:10: `breaks` must be a list such as [\"12:00-12:30\"], or a table of dates; found string",
    );
}

/// The base on another date, with a night's hours.
fn night(date: &str, hours: &str, starts: &str) -> String {
    BASE.replace("hours = \"08:00-18:00\"", &format!("hours = \"{hours}\""))
        .replace("hours = \"08:00-17:00\"\nbreaks = [\"12:00-12:30\"]\n", "")
        .replace("2026-05-02T09:00:00", starts)
        .replace("2026-05-02", date)
}

// Held against: the clocks change in the nights to 29 March and 25 October in 2026 (see `local`).
#[test]
fn gaps_and_folds_of_the_clock() {
    let refused = |date, hours, starts| lines(&parse(night(date, hours, starts).as_bytes()).unwrap_err());
    assert_eq!(
        refused("2026-10-24", "18:00-02:30", "2026-10-24T19:00:00"),
        "5:38: `hours`: 02:30: the clock goes back, so this time comes twice; write `02:30 first` or `02:30 second` \
         for the earlier or the later one\n"
    );
    assert_eq!(
        refused("2026-03-28", "18:00-02:30", "2026-03-28T19:00:00"),
        "5:38: `hours`: 02:30: the clock goes forward past this time, so it never comes; write a time before or \
         after the change\n"
    );
    assert_eq!(
        refused("2026-10-24", "18:00-04:00", "2026-10-25T02:30:00"),
        "21:10: `starts` is refused: the clock goes back, so this time comes twice; write \
         `2026-10-25T02:30:00+02:00` for the earlier one or `2026-10-25T02:30:00+01:00` for the later\n"
    );
    assert_eq!(
        refused("2026-03-28", "18:00-04:00", "2026-03-29T02:30:00"),
        "21:10: `starts` is refused: the clock goes forward past this time, so it never comes; write a time before \
         or after the change\n"
    );
    let told = night("2026-10-24", "18:00-02:30 second", "2026-10-25T02:15:00+01:00");
    let venue = parse(told.as_bytes()).map_err(|problems| lines(&problems)).unwrap().venue;
    assert_eq!(venue.days[0].to.since(venue.competitions[0].starts).ceil_min(), 15);
}

#[test]
fn a_break_after_midnight_belongs_to_the_evening_before() {
    let text = changed("08:00-18:00", "08:00-03:00").replace("08:00-17:00", "18:00-02:00");
    let text = text.replace("12:00-12:30", "00:30-01:00");
    let venue = parse(text.as_bytes()).map_err(|problems| lines(&problems)).unwrap().venue;
    let open: Vec<i64> = venue.benches[0].open.iter().map(|w| w.to.since(w.from).ceil_min()).collect();
    assert_eq!(open, [390, 60]);
}
