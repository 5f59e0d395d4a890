//! The built-in estimates, and what is refused.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::*;
use crate::gear;

/// The shares are those of the fault table; each file says so, and this holds them together.
#[test]
fn every_fault_of_every_kind_stands_there_with_its_share() {
    for kind in ItemKind::ALL {
        let of = Estimates::built_in().of(kind).unwrap();
        assert_eq!(of.causes().count(), gear::faults(kind).count(), "{kind:?}");
        for cause in of.causes() {
            let table = f64::from(cause.fault.share_permille_estimate);
            assert!((cause.share_permille - table).abs() < 1e-9, "{}", cause.fault.id);
        }
    }
}

/// Common practice, no source: on a foil the point comes first, then the wire in the groove, then the socket.
#[test]
fn the_fixed_walk_of_a_foil() {
    let mut places: Vec<&str> = Vec::new();
    for line in &Estimates::built_in().of(ItemKind::Foil).unwrap().walk {
        let place = match line {
            Line::Stir(stir) => &stir.place,
            Line::Look(cause) => &cause.place,
        };
        if places.last() != Some(&place.as_str()) {
            places.push(place);
        }
    }
    assert_eq!(places, ["point", "wire in the groove", "socket", "blade"]);
}

/// Common practice, no source: the tape comes off before the barrel, the point apart before its inside.
#[test]
fn what_must_be_opened_first() {
    let foil = Estimates::built_in().of(ItemKind::Foil).unwrap();
    let opened = |fault: &str| {
        let cause = foil.causes().find(|cause| cause.fault.id == fault).unwrap();
        let mut codes = Vec::new();
        let mut at = cause.after;
        while let Some(step) = at {
            codes.push(foil.openings[step].code.as_str());
            at = foil.openings[step].after;
        }
        codes
    };
    assert_eq!(opened("foil_barrel_cup_crushed"), ["barrel_off", "tape_off"]);
    assert_eq!(opened("foil_barrel_loose"), ["tape_off"]);
    assert_eq!(opened("foil_point_dirty"), ["point_apart"]);
    assert_eq!(opened("foil_screw_lost"), [""; 0]);
}

#[test]
fn what_does_not_fit_is_named_with_its_line() {
    let good = super::BUILT_IN;
    let line_of = |text: &str, part: &str| 1 + text.lines().position(|line| line.contains(part)).unwrap();
    for (from, to, what) in [
        ("rates lamp   missed 0.10", "rates lamp   missed 1.10", "no chance"),
        ("rates meter ", "rates lamp ", "given before"),
        (
            "rates box    missed 0.20 fancied 0.03 misread 0.05",
            "rates box missed 0.2 fancied 0.3 misread 0.25",
            "below 0.5",
        ),
        ("unsure 0.5", "unshure 0.5", "no such word"),
        ("kind foil", "kind foyle", "no kind of item"),
        ("kind epee", "kind foil", "given before"),
        ("open tape_off 0.4", "open tape_off 400", "figure of minutes"),
        ("open barrel_off 2.5 after tape_off", "open barrel_off 2.5 after tea", "opened before"),
        ("stir turn-button lamp 0.2", "stir turn-knob lamp 0.2", "no action"),
        ("stir turn-button lamp 0.2", "stir hit-jacket lamp 0.2", "not done on the bench"),
        ("stir turn-button lamp 0.2", "stir rest lamp 0.2", "given before"),
        ("stir rest meter@wire 0.3", "stir rest meter@moon 0.3", "no such place"),
        ("cause foil_screw_lost 40", "cause foil_screw 40", "no fault"),
        ("cause foil_screw_lost 40", "cause epee_screw_lost 40", "cannot have"),
        ("cause foil_screw_lost 40", "cause foil_screw_lost 0", "no weight"),
        ("| sees 0.99 fancies 0.002", "| sees 0.4 fancies 0.002", "sees is above"),
        ("ways weak 3, broken 1", "ways weak 3", "a way of the fault is missing"),
        ("ways weak 3, broken 1", "ways weak 3, bent 1", "no such way"),
        (" | ways weak 3, broken 1", "", "ways are missing"),
        ("place point", "place", "some words"),
    ] {
        assert!(good.contains(from), "{from}");
        let bad = good.replacen(from, to, 1);
        let problem = parse(bad.as_bytes()).unwrap_err();
        assert!(problem.to_string().contains(what), "{to}: {problem}");
        let line = line_of(good, from);
        assert!(problem.line >= line && problem.line <= line + 20, "{to}: {problem}");
    }
    assert_eq!(parse(&vec![b'#'; (256 << 10) + 1]).unwrap_err().line, 1);
    assert_eq!(parse(&[0xff]).unwrap_err().line, 1);
    let without = good.lines().filter(|line| !line.starts_with("cause foil_screw_lost"));
    let problem = parse(without.collect::<Vec<_>>().join("\n").as_bytes()).unwrap_err();
    assert!(problem.to_string().contains("lacks a fault"), "{problem}");
    let cut = good.split("kind box").next().unwrap();
    assert!(parse(cut.as_bytes()).unwrap_err().to_string().contains("a kind of item is missing"));
}

proptest! {
    #[test]
    fn parsing_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = parse(&bytes);
    }

    #[test]
    fn parsing_what_was_spoilt_never_panics(at in 0_usize..20_000, byte in any::<u8>()) {
        let mut bytes = super::BUILT_IN.as_bytes().to_vec();
        let at = at % bytes.len();
        bytes[at] = byte;
        let _ = parse(&bytes);
    }
}
