//! Tags: every one of them, every single wrong digit, every swap of neighbours.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::*;

fn every_tag() -> impl Iterator<Item = Tag> {
    (1..=BODY_LAST).map(|body| Tag::issue(body).unwrap())
}

#[test]
fn every_tag_reads_back_from_its_digits_and_from_json() {
    for tag in every_tag() {
        assert_eq!(tag.digits().len(), TAG_DIGITS);
        assert_eq!(Tag::parse(&tag.digits()), Ok(tag));
    }
    let tag = Tag::issue(42).unwrap();
    let json = serde_json::to_string(&tag).unwrap();
    assert_eq!(serde_json::from_str::<Tag>(&json).unwrap(), tag);
    // MOD 11,10 worked by hand: 0042 has check digit 3.
    assert_eq!(json, "\"00423\"");
    assert!(serde_json::from_str::<Tag>("\"00421\"").is_err());
    assert!(serde_json::from_str::<Tag>("42").is_err());
}

#[test]
fn spaces_hyphens_and_a_scanners_line_end_are_skipped() {
    let tag = Tag::issue(1234).unwrap();
    for typed in ["12340", " 1234-0 ", "12340\r\n", "1 2 3 4 0\t", "1234\u{2011}0"] {
        assert_eq!(Tag::parse(typed), Ok(tag), "{typed:?}");
    }
}

#[test]
fn each_refusal_says_what_is_wrong() {
    assert_eq!(Tag::parse(" - "), Err(TagProblem::Empty));
    assert_eq!(Tag::parse("1234"), Err(TagProblem::Digits(4)));
    assert_eq!(Tag::parse("123456"), Err(TagProblem::Digits(6)));
    assert_eq!(Tag::parse("1234O"), Err(TagProblem::NotADigit('O')));
    assert_eq!(Tag::parse("１２３４０"), Err(TagProblem::NotADigit('１')));
    assert_eq!(Tag::parse("12345"), Err(TagProblem::Check));
    assert_eq!(Tag::parse(&"1".repeat(10_000_000)), Err(TagProblem::TooLong));
    let zero = format!("0000{}", System::Mod11_10.check("0000").unwrap());
    assert_eq!(Tag::parse(&zero), Err(TagProblem::Outside));
    assert_eq!((Tag::issue(0), Tag::issue(10_000)), (Err(TagProblem::Outside), Err(TagProblem::Outside)));
    assert!(
        TagProblem::NotADigit('\u{1b}').to_string().contains("\\u{1b}"),
        "escapes must not reach a screen"
    );
}

/// The standard's claim for its hybrid systems, checked over every tag.
#[test]
fn every_single_wrong_digit_is_caught() {
    for tag in every_tag() {
        let right = tag.digits().into_bytes();
        for (at, wrong) in (0..TAG_DIGITS).flat_map(|at| (b'0'..=b'9').map(move |wrong| (at, wrong))) {
            let mut typed = right.clone();
            typed[at] = wrong;
            let read = Tag::parse(std::str::from_utf8(&typed).unwrap());
            assert_eq!(read.is_ok(), typed == right, "{tag} typed with {} at {at}", wrong as char);
        }
    }
}

/// Counted over every tag: the share that the module's text states.
#[test]
fn nearly_every_swap_of_neighbours_is_caught() {
    let (mut swaps, mut caught) = (0_u32, 0_u32);
    for tag in every_tag() {
        let right = tag.digits().into_bytes();
        for at in (0..TAG_DIGITS - 1).filter(|at| right[*at] != right[at + 1]) {
            let mut typed = right.clone();
            typed.swap(at, at + 1);
            swaps += 1;
            caught += u32::from(Tag::parse(std::str::from_utf8(&typed).unwrap()).is_err());
        }
    }
    assert_eq!((caught, swaps), (35_199, 35_999));
}

proptest! {
    #[test]
    fn any_text_gets_an_answer(typed in any::<String>()) {
        if let Ok(tag) = Tag::parse(&typed) {
            prop_assert_eq!(Tag::parse(&tag.digits()), Ok(tag));
        }
    }

    #[test]
    fn rows_of_digits_are_read_only_when_they_are_a_tags_own(typed in "[0-9]{4,6}") {
        match Tag::parse(&typed) {
            Ok(tag) => prop_assert_eq!(tag.digits(), typed),
            Err(problem) => prop_assert!(!problem.to_string().is_empty()),
        }
    }
}
