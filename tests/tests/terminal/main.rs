//! Whatever ends or stops a screen, the terminal is given back: real programs in terminals of their own.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used)]

mod pty;
mod trials;

use pty::Screen;
use remise_tests::hall::{Hall, Programs};

const CLIENT: &str = env!("CARGO_BIN_EXE_as_client");
const PANICS: &str = env!("CARGO_BIN_EXE_as_screen");
const PROGRAMS: Programs = Programs { server: env!("CARGO_BIN_EXE_as_server"), client: CLIENT };

/// Signals that end a program, with the exit codes by which shells know them.
const ENDING: [(&str, u32); 4] = [("HUP", 129), ("INT", 130), ("QUIT", 131), ("TERM", 143)];

fn screen(hall: &Hall, words: &[&str]) -> Screen {
    let mut all = vec!["--server", hall.address()];
    let (area, rest) = words.split_first().unwrap();
    all.insert(0, area);
    all.extend(rest);
    let mut screen = Screen::start(CLIENT, &all);
    screen.shows("Up to date");
    assert!(screen.has_terminal());
    screen
}

/// An area whose server is away: nothing listens there.
const ALONE: &[&str] = &["strip", "--strip", "3", "--server", "127.0.0.1:1"];

/// A day that is not over before the test has pressed a key.
const LONG_DAY: &[&str] = &["rehearse", "--hours", "14", "--load", "0.9", "--benches", "8"];

#[test]
fn every_signal_that_ends_a_screen_gives_the_terminal_back() {
    let hall = Hall::open(PROGRAMS);
    let screens: [&[&str]; 4] =
        [&["strip", "--strip", "3"], &["counter"], &["bench", "--bench", "1"], &["head"]];
    for ((signal, code), words) in ENDING.iter().zip(screens) {
        let mut screen = screen(&hall, words);
        screen.signal(signal);
        assert_eq!(screen.ends(), *code, "{signal}");
        screen.is_given_back();
        screen.shows("told to end by signal");
    }
}

#[test]
fn a_signal_ends_a_screen_that_waits_for_its_server() {
    let mut screen = Screen::start(CLIENT, ALONE);
    screen.shows("SERVER AWAY");
    screen.signal("TERM");
    assert_eq!(screen.ends(), 143);
    screen.is_given_back();
}

#[test]
fn every_signal_that_ends_a_played_day_gives_the_terminal_back() {
    for (signal, code) in ENDING {
        let mut day = Screen::start(CLIENT, LONG_DAY);
        day.shows("an invented day");
        day.signal(signal);
        assert_eq!(day.ends(), code, "{signal}");
        day.is_given_back();
        day.shows("broken off");
    }
}

#[test]
fn keys_end_a_played_day() {
    for key in ["\u{3}", "q", "\u{1b}"] {
        let mut day = Screen::start(CLIENT, LONG_DAY);
        day.shows("an invented day");
        day.types(key);
        assert_eq!(day.ends(), 130, "{key:?}");
        day.is_given_back();
        day.shows("broken off");
    }
}

#[test]
fn a_stopped_screen_gives_the_terminal_back_and_takes_it_again() {
    let hall = Hall::open(PROGRAMS);
    let mut screen = screen(&hall, &["head"]);
    for _ in 0..2 {
        screen.signal("TSTP");
        screen.is_stopped();
        screen.is_given_back();
        assert!(!screen.text().contains("Up to date"), "the shell's screen is shown");
        screen.signal("CONT");
        screen.waits_for_keys();
        screen.shows("Up to date");
    }
    screen.types("?");
    screen.shows("Keys");
    screen.signal("TERM");
    assert_eq!(screen.ends(), 143);
    screen.is_given_back();
}

#[test]
fn a_screen_that_was_halted_unasked_is_drawn_anew() {
    let hall = Hall::open(PROGRAMS);
    let mut screen = screen(&hall, &["head"]);
    screen.signal("STOP");
    screen.is_stopped();
    screen.overwrite();
    assert!(!screen.text().contains("Up to date"));
    screen.signal("CONT");
    screen.shows("Up to date");
    screen.waits_for_keys();
}

#[test]
fn a_panic_in_any_thread_ends_the_screen_and_its_message_can_be_read() {
    let hall = Hall::open(PROGRAMS);
    let mut screen = Screen::start(PANICS, &["thread", "head", "--server", hall.address()]);
    screen.shows("Up to date");
    assert_eq!(screen.ends(), 5);
    screen.is_given_back();
    screen.shows("planted");
    screen.shows("cannot be used");
}

#[test]
fn a_panic_while_drawing_gives_the_terminal_back_before_its_message() {
    let mut screen = Screen::start(PANICS, &["drawing"]);
    assert_eq!(screen.ends(), 101, "as any program of this language that panics");
    screen.is_given_back();
    screen.shows("planted");
}

#[test]
fn a_program_whose_terminal_is_gone_ends_whether_it_is_told_or_not() {
    let hall = Hall::open(PROGRAMS);
    let bench = ["bench", "--server", hall.address(), "--bench", "1"];
    for told in [true, false] {
        for (words, shows) in [(&bench[..], "Up to date"), (LONG_DAY, "an invented day")] {
            let mut screen = Screen::with(CLIENT, words, told);
            screen.shows(shows);
            screen.vanish();
            assert_eq!(screen.ends(), 129, "as by a hang-up: {words:?}, told: {told}");
        }
    }
}

#[test]
fn a_quit_screen_gives_the_terminal_back() {
    let hall = Hall::open(PROGRAMS);
    let mut screen = screen(&hall, &["strip", "--strip", "3"]);
    screen.types("\u{3}");
    screen.shows("Quit?");
    screen.types("y");
    assert_eq!(screen.ends(), 0);
    screen.is_given_back();
}

#[test]
fn what_a_scanner_types_is_one_thing_even_over_the_help() {
    let hall = Hall::open(PROGRAMS);
    hall.client(
        "strip hand-in --strip 3 --fencer \"Ilka Varro\" --item foil --complaint white_on_off --need one_left",
    );
    let mut counter = screen(&hall, &["counter"]);
    counter.shows("Ilka Varro");
    counter.types("?");
    counter.shows("Keys");
    counter.types("00013\r");
    counter.shows("Tag 00013 is on no item here");
    counter.types("\r");
    counter.shows("tag 00013 tied");
}
