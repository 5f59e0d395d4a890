//! Slips of the hand: which tag in use was meant by digits that are none.

use super::{TAG_DIGITS, Tag, typed_digits};

/// The tag that was meant, when exactly one live tag is one slip away from what was typed: one digit wrong, two
/// neighbours swapped, one digit missing or one too many. `None` when nothing or more than one fits, when the
/// text is no row of digits, and when it is a live tag itself.
pub fn did_you_mean(typed: &str, live: impl Iterator<Item = Tag>) -> Option<Tag> {
    let typed = typed_digits(typed).ok()?;
    if !(TAG_DIGITS - 1..=TAG_DIGITS + 1).contains(&typed.len()) {
        return None;
    }
    let mut meant = None;
    for tag in live {
        let digits = tag.digits();
        let near = one_slip(typed.as_bytes(), digits.as_bytes());
        let second = near && meant.is_some_and(|first| first != tag);
        if digits == typed || second {
            return None;
        }
        if near {
            meant = Some(tag);
        }
    }
    meant
}

fn one_slip(typed: &[u8], right: &[u8]) -> bool {
    if typed.len() == right.len() {
        one_wrong_or_swapped(typed, right)
    } else if typed.len() + 1 == right.len() {
        one_dropped(right, typed)
    } else {
        typed.len() == right.len() + 1 && one_dropped(typed, right)
    }
}

/// Of two rows of one length.
fn one_wrong_or_swapped(typed: &[u8], right: &[u8]) -> bool {
    let wrong: Vec<usize> = (0..right.len()).filter(|at| typed[*at] != right[*at]).collect();
    match wrong[..] {
        [_] => true,
        [a, b] => b == a + 1 && typed[a] == right[b] && typed[b] == right[a],
        _ => false,
    }
}

/// Whether `long` becomes `short` when one of its digits is dropped.
fn one_dropped(long: &[u8], short: &[u8]) -> bool {
    (0..long.len()).any(|at| long[..at] == short[..at] && long[at + 1..] == short[at..])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn tags(bodies: &[u16]) -> Vec<Tag> {
        bodies.iter().map(|body| Tag::issue(*body).unwrap()).collect()
    }

    fn meant(typed: &str, live: &[Tag]) -> Option<Tag> {
        did_you_mean(typed, live.iter().copied())
    }

    #[test]
    fn each_kind_of_slip_finds_the_only_tag_near() {
        let live = tags(&[1234, 9876]);
        let digits = live[0].digits();
        assert_eq!(digits, "12340", "MOD 11,10 by hand: 1234 has check digit 0");
        assert_eq!(meant("12347", &live), Some(live[0]), "one wrong");
        assert_eq!(meant("12430", &live), Some(live[0]), "two swapped");
        assert_eq!(meant("1240", &live), Some(live[0]), "one missing");
        assert_eq!(meant("12 3340-", &live), Some(live[0]), "one too many");
    }

    #[test]
    fn nothing_near_two_near_or_no_slip_at_all_gives_nothing() {
        let live = tags(&[1234, 9876]);
        assert_eq!(meant("55555", &live), None);
        assert_eq!(meant("21430", &live), None, "two swaps are two slips");
        assert_eq!(meant("32140", &live), None, "1 and 3 are no neighbours");
        assert_eq!(meant("12540", &live), Some(live[0]), "one wrong");
        assert_eq!(meant("12350", &live), Some(live[0]), "one wrong");
        assert_eq!(meant("12530", &live), None, "half a swap and a wrong digit are two slips");
        assert_eq!(meant("12450", &live), None, "and so the other way round");
        assert_eq!(meant("12340", &live), None, "it is live itself");
        assert_eq!(meant("123", &live), None);
        assert_eq!(meant("12a40", &live), None);
        assert_eq!(meant(&"1".repeat(1_000_000), &live), None);
        assert_eq!(meant("12347", &[]), None);
    }

    #[test]
    fn a_live_tag_is_never_taken_for_its_neighbour() {
        let every: Vec<Tag> = (1..=9999).map(|body| Tag::issue(body).unwrap()).collect();
        let first = every.iter().find_map(|tag| meant(&tag.digits(), &without(&every, *tag)).zip(Some(*tag)));
        let (near, typed) = first.unwrap();
        assert_eq!(meant(&typed.digits(), &[near, typed]), None, "{typed} is live, {near} is a swap away");
    }

    fn without(tags: &[Tag], left_out: Tag) -> Vec<Tag> {
        tags.iter().copied().filter(|tag| *tag != left_out).collect()
    }

    #[test]
    fn two_near_give_nothing_but_one_tag_twice_is_one() {
        let near = tags(&[1234, 1334]);
        let middle = "12347";
        assert_eq!(meant(middle, &near[..1]), Some(near[0]));
        let both: Vec<Tag> = (1..=9999)
            .filter_map(|body| Tag::issue(body).ok())
            .filter(|tag| one_slip(middle.as_bytes(), tag.digits().as_bytes()))
            .take(2)
            .collect();
        assert_eq!(both.len(), 2);
        assert_eq!(meant(middle, &both), None);
        assert_eq!(meant(middle, &[near[0], near[0]]), Some(near[0]));
    }

    /// Checked over every 37th tag: with all other tags out of use, a wrong digit leads back to the one meant.
    #[test]
    fn a_lone_tag_is_found_from_every_wrong_digit() {
        for tag in (1..=9999).step_by(37).map(|body| Tag::issue(body).unwrap()) {
            for at in 0..TAG_DIGITS {
                let mut digits = tag.digits().into_bytes();
                digits[at] = b'0' + (digits[at] - b'0' + 1) % 10;
                assert_eq!(meant(&String::from_utf8(digits).unwrap(), &[tag]), Some(tag));
            }
        }
    }
}
