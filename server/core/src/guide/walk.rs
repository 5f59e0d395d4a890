//! The fixed walk: the order in which a good armourer goes over an item, whatever was reported. On a foil: the point, the
//! wire in the groove, the socket (common practice, no source); the file of estimates gives the order for every kind.
//!
//! At each place come the stirs, and the looks for which nothing has to be opened, in the order of the file; if a stir
//! there showed what a sound item does not show, the place's other looks follow. When all places have been gone over, all
//! looks that were left out follow in order, and then the walk of looks begins again.

use super::ahead::Choice;
use super::estimates::{Line, Stir};
use super::finding::{Finding, Found};
use super::likelihood::Shown;
use super::model::{Case, Guide};
use crate::circuit::SOUND;

impl Guide<'_> {
    /// The next check of the fixed walk; `None` when there is nothing to look at.
    pub(super) fn walk(&self, case: &Case) -> Option<Choice> {
        self.at_a_place(case).or_else(|| self.left_out(case))
    }

    fn at_a_place(&self, case: &Case) -> Option<Choice> {
        let mut places: Vec<&str> = Vec::new();
        for line in &self.of.walk {
            if !places.contains(&place(line)) {
                places.push(place(line));
            }
        }
        let (mut looks, mut stirs) = (0, 0);
        let mut numbered = Vec::new();
        for line in &self.of.walk {
            let count = if matches!(line, Line::Stir(_)) { &mut stirs } else { &mut looks };
            numbered.push((line, *count));
            *count += 1;
        }
        places.into_iter().find_map(|here| {
            let lines: Vec<_> = numbered.iter().filter(|(line, _)| place(line) == here).collect();
            let suspect = lines.iter().any(|(line, _)| self.stir_showed(line, case));
            let open = |(line, number): &&(&Line, usize)| match line {
                Line::Stir(stir) => !case.findings.iter().any(|it| self.is_of(&it.found, stir)),
                Line::Look(cause) => cause.after.is_none() && looked(self, case, *number) == 0,
            };
            let rest = |(line, number): &&(&Line, usize)| {
                suspect && matches!(line, Line::Look(_)) && looked(self, case, *number) == 0
            };
            let next = lines.iter().copied().find(open).or_else(|| lines.iter().copied().find(rest));
            next.map(|(line, number)| choice(line, *number))
        })
    }

    /// The look that was done least often, in order.
    fn left_out(&self, case: &Case) -> Option<Choice> {
        (0..self.search.looks.len()).min_by_key(|look| looked(self, case, *look)).map(Choice::Look)
    }

    fn stir_showed(&self, line: &Line, case: &Case) -> bool {
        let Line::Stir(stir) = line else { return false };
        case.findings.iter().any(|finding| self.is_of(&finding.found, stir) && self.not_sound(stir, finding))
    }

    /// Whether that is not what a sound item shows.
    fn not_sound(&self, stir: &Stir, finding: &Finding) -> bool {
        let Found::Saw { seen, place } = &finding.found else { return false };
        let sound = Shown::of(self.kind, self.weapon, &SOUND, stir.action);
        let probe = place.map_or(0, |code| self.probe_of(code));
        sound.sight(&seen.sight, probe, self.estimates) < 0.5
    }
}

fn place(line: &Line) -> &str {
    match line {
        Line::Stir(stir) => &stir.place,
        Line::Look(cause) => &cause.place,
    }
}

fn choice(line: &Line, number: usize) -> Choice {
    match line {
        Line::Stir(_) => Choice::Stir(number),
        Line::Look(_) => Choice::Look(number),
    }
}

/// How often a cause was looked at.
fn looked(guide: &Guide, case: &Case, look: usize) -> usize {
    let Some(cause) = guide.causes().nth(look) else { return 0 };
    let of_it = |it: &&Finding| matches!(it.found, Found::Looked { fault, .. } if fault.id == cause.fault.id);
    case.findings.iter().filter(of_it).count()
}
