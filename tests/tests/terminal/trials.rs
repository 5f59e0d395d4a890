//! What-if at a terminal: the command asks before it does anything, and the head's screen goes back to its form.

use remise_tests::hall::Hall;

use super::pty::Screen;
use super::{CLIENT, PROGRAMS, screen};

/// Whether the board says that a bench is open.
fn is_open(hall: &Hall, bench: u64) -> bool {
    let board = hall.client("head room");
    let benches = board["board"]["benches"].as_array().unwrap_or_else(|| panic!("{board}"));
    benches.iter().find(|one| one["bench"] == bench).unwrap_or_else(|| panic!("{board}"))["open"] == true
}

fn asked(hall: &Hall) -> Screen {
    let words = ["head", "what-if", "--move", "close-bench 1", "--server", hall.address()];
    let mut screen = Screen::start(CLIENT, &words);
    screen.shows("Do it? [y/N]");
    screen
}

#[test]
fn a_move_that_was_tried_is_done_after_a_clear_yes_only() {
    let hall = Hall::open(PROGRAMS);
    let _ = hall.client("head open-bench 1");
    for answer in ["\n", "n\n", "maybe\n"] {
        let mut screen = asked(&hall);
        screen.types(answer);
        screen.shows("Nothing was done.");
        assert_eq!(screen.ends(), 0);
        assert!(is_open(&hall, 1), "{answer:?}");
    }
    let mut screen = asked(&hall);
    screen.types("y\n");
    assert_eq!(screen.ends(), 0);
    assert!(!is_open(&hall, 1));
}

/// While the question stands, somebody else does what the second move would: the first is done and said to be, the
/// second is refused, the third is not tried.
#[test]
fn moves_that_are_refused_midway_say_what_was_done() {
    let hall = Hall::open(PROGRAMS);
    let _ = hall.client("head open-bench 2");
    let words =
        ["head", "what-if", "--move", "open-bench 1", "--move", "close-bench 2", "--move", "open-bench 3"];
    let mut screen = Screen::start(CLIENT, &[&words[..], &["--server", hall.address()]].concat());
    screen.shows("Do it? [y/N]");
    let _ = hall.client("head close-bench 2");
    screen.types("y\n");
    screen.shows("move 2: ");
    screen.shows("done before it: Bench 1 is open.");
    screen.shows("What was done before stays done; the moves after it were not tried.");
    assert_eq!(screen.ends(), 1);
    assert!(is_open(&hall, 1) && !is_open(&hall, 2) && !is_open(&hall, 3));
}

#[test]
fn the_heads_form_is_tried_and_then_sent() {
    let hall = Hall::open(PROGRAMS);
    let _ = hall.client("head open-bench 1");
    let mut screen = screen(&hall, &["head"]);
    screen.types("S");
    screen.shows("Close ");
    screen.types("\u{14}");
    screen.shows("NOTHING IS DONE YET");
    assert!(is_open(&hall, 1));
    screen.types("\u{1b}");
    screen.shows("Empty: now.");
    screen.types("\r");
    screen.shows("CLOSED");
    assert!(!is_open(&hall, 1));
}
