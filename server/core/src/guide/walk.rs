//! The fixed walk: the order in which a good armourer goes over an item, whatever was reported. On a foil: the point, the
//! wire in the groove, the socket (common practice, no source); the file of estimates gives the order for every kind.
//!
//! At each place come its checks in the order of the file: the stirs, and the looks for which nothing has to be opened.
//! As soon as a stir there shows what a sound item does not show, the place's looks follow at once, and no more stirs.
//! Looks at what cannot give the complaint are passed over, and places that have nothing else. When all places have been
//! gone over, the looks that were left out follow in order, those that fit the complaint first, and then the walk of looks
//! begins again.

use super::ahead::Choice;
use super::estimates::{Cause, Line};
use super::finding::{Finding, Found};
use super::likelihood::result;
use super::model::{Case, Guide};
use crate::gear::{Complaint, complaint_chance};

/// What a sound item shows less often than that is not what a sound item shows.
const UNLIKE: f64 = 0.5;

impl Guide<'_> {
    /// The next check of the fixed walk; `None` when there is nothing to look at.
    pub(super) fn walk(&self, case: &Case) -> Option<Choice> {
        self.at_a_place(case).or_else(|| self.left_out(case))
    }

    fn at_a_place(&self, case: &Case) -> Option<Choice> {
        let lines = self.numbered();
        let mut places: Vec<&str> = lines.iter().map(|(line, _)| place(line)).collect();
        places.dedup();
        places.into_iter().find_map(|here| {
            let lines: Vec<_> = lines.iter().copied().filter(|(line, _)| place(line) == here).collect();
            let choice = |line: &(&Line, usize)| choice(line.0, line.1);
            let stirs = |line: &&(&Line, usize)| matches!(line.0, Line::Stir(_));
            let suspect = lines.iter().filter(stirs).any(|(_, number)| self.stir_showed(*number, case));
            let wanted = |line: &&(&Line, usize)| match line.0 {
                Line::Stir(stir) => !suspect && !case.findings.iter().any(|it| self.is_of(&it.found, stir)),
                Line::Look(cause) => {
                    let open = suspect || cause.after.is_none();
                    open && self.gives(cause, case) && self.looked(case, line.1) == 0
                }
            };
            let gives =
                |(line, _): &(&Line, usize)| matches!(line, Line::Look(cause) if self.gives(cause, case));
            if !lines.iter().any(gives) {
                return None;
            }
            lines.iter().find(wanted).map(choice)
        })
    }

    /// Stirs and looks, each with its number among its own.
    fn numbered(&self) -> Vec<(&Line, usize)> {
        let (mut looks, mut stirs) = (0, 0);
        let number = |line| {
            let count = if matches!(line, &Line::Stir(_)) { &mut stirs } else { &mut looks };
            *count += 1;
            (line, *count - 1)
        };
        self.of.walk.iter().map(number).collect()
    }

    /// Whether a cause gives the complaint at all, by the fault table.
    fn gives(&self, cause: &Cause, case: &Case) -> bool {
        case.complaint == Complaint::Other || complaint_chance(cause.fault, self.kind, case.complaint) > 0.0
    }

    /// The look that was done least often, those that fit the complaint first, in order.
    fn left_out(&self, case: &Case) -> Option<Choice> {
        let looks = self.causes().enumerate();
        let next = looks.min_by_key(|(number, cause)| (self.looked(case, *number), !self.gives(cause, case)));
        next.map(|(number, _)| Choice::Look(number))
    }

    /// How often a cause was looked at.
    fn looked(&self, case: &Case, look: usize) -> usize {
        let Some(cause) = self.causes().nth(look) else { return 0 };
        let of_it =
            |it: &&Finding| matches!(it.found, Found::Looked { fault, .. } if fault.id == cause.fault.id);
        case.findings.iter().filter(of_it).count()
    }

    /// Whether a stir showed what a sound item does not show.
    fn stir_showed(&self, number: usize, case: &Case) -> bool {
        let Some(stir) = self.stirs().nth(number) else { return false };
        let showed = |finding: &Finding| {
            let Found::Saw { seen, .. } = &finding.found else { return false };
            self.is_of(&finding.found, stir)
                && result(&seen.sight).is_some_and(|result| self.sound[number][result] < UNLIKE)
        };
        case.findings.iter().any(showed)
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
