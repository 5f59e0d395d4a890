//! How a check is called beside the item that it belongs to: `resistance` for `foil_resistance`, and by the gauge, weight
//! or punch where one decides: `gauge-1.5`, `weight-500`, `punch-12`.

use super::{Asks, Check};

/// What a code may begin with that only says what kind of item it is; what begins like a shorter one stands before it.
const SUBJECTS: [&str; 15] = [
    "body_cord_",
    "mask_cord_",
    "floor_cable_",
    "sabre_glove_",
    "foil_jacket_",
    "sabre_jacket_",
    "sabre_mask_",
    "foil_",
    "epee_",
    "sabre_",
    "cord_",
    "mask_",
    "jacket_",
    "reel_",
    "box_",
];

impl Check {
    /// Its short name, lower case with hyphens; unique among the checks of one kind of item in one edition.
    pub fn called(&self) -> String {
        let by_tool = if let Asks::Gauge(tool) = &self.asks { sized(tool) } else { None };
        by_tool.unwrap_or_else(|| {
            let short = SUBJECTS.iter().find_map(|subject| self.code.strip_prefix(subject));
            short.unwrap_or(&self.code).replace('_', "-")
        })
    }
}

/// `gauge-1.5` of `1.5 mm gauge`: a number, its unit, and what has that size.
fn sized(tool: &str) -> Option<String> {
    let mut words = tool.split(' ');
    let (size, _unit, noun) = (words.next()?, words.next()?, words.next()?);
    let is_number = size.starts_with(|c: char| c.is_ascii_digit())
        && size.chars().all(|c| c.is_ascii_digit() || c == '.');
    (is_number && words.next().is_none()).then(|| format!("{noun}-{size}"))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::collections::BTreeSet;

    use crate::gear::ItemKind;
    use crate::rules::{edition, editions};

    #[test]
    fn no_two_checks_of_a_kind_are_called_the_same() {
        for edition in editions() {
            for kind in ItemKind::ALL {
                let mut seen = BTreeSet::new();
                for check in edition.checks.iter().filter(|check| check.kinds.contains(&kind)) {
                    let name = check.called();
                    assert!(
                        name.chars()
                            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "-.".contains(c))
                    );
                    assert!(seen.insert(name.clone()), "{kind:?}: {name}");
                }
            }
        }
    }

    #[test]
    fn a_check_is_called_by_its_tool_or_without_its_item() {
        let called = |code: &str| edition("fie-2026").unwrap().check(code).unwrap().called();
        for (code, name) in [
            ("foil_resistance", "resistance"),
            ("foil_point_weight", "weight-500"),
            ("epee_travel_total", "gauge-1.5"),
            ("epee_travel_after", "gauge-0.5"),
            ("sabre_guard_gauge", "guard-gauge"),
            ("mask_punch", "punch-12"),
            ("body_cord_resistance", "resistance"),
            ("cord_steady_bend", "steady-bend"),
            ("floor_cable_steady", "steady"),
            ("tip_screws", "tip-screws"),
        ] {
            assert_eq!(called(code), name, "{code}");
        }
    }
}
