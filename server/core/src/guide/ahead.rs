//! The next check: fewest expected minutes until the cause is found.
//!
//! The cause is found when the look at it shows it. Stirs find nothing by themselves; they tell where to look. With
//! looks alone the order by p/c is best ([`super::order`]); V0 is its expected minutes:
//!
//! ```text
//! V0(p) = sum over looks in order of (share not found before) · (minutes + (1 - p) · fancies · repair in vain) + missed · sum of minutes
//! ```
//!
//! A stir is worth its minutes when what it tells saves more:
//!
//! ```text
//! Q(stir) = minutes + sum over results r of P(r) · V(p after r),   Q(look) = minutes + (1 - p · sees) · V(p after not seen)
//! V = the least of V0 and, as far as is looked ahead, every Q
//! ```
//!
//! Minutes include what has to be opened before and is not open yet. How far is looked ahead follows from how many
//! stirs are left, within a budget of evaluations of V0; so that small cases are looked through to the end.

use super::order::{Block, expected, join, ratio_order, sort};

/// Evaluations of V0 that one question may cost, about.
const BUDGET: f64 = 900.0;
/// How many of the best first stirs are looked at more deeply.
const DEEPER: usize = 4;
/// Deepest look ahead.
const DEEPEST: usize = 6;
/// Looks tried at each step.
const LOOKS: usize = 3;
/// After results rarer than this nothing more is looked ahead; what never happens costs nothing.
const RARE: f64 = 0.03;
const NEVER: f64 = 1e-9;
/// A stir whose results differ less between the causes, in the mean, is not followed at inner steps.
const TELLS: f64 = 0.01;
/// Causes that are rarer are left out of V0.
const FORGOTTEN: f64 = 1e-4;
/// Checks whose expected minutes differ by less are equal: the fixed walk decides.
const TIE_MIN: f64 = 1e-6;

/// Something to be opened once.
#[derive(Clone, Debug)]
pub(super) struct OpenStep {
    pub(super) minutes: f64,
    pub(super) after: Option<usize>,
}

/// The look that settles one cause.
#[derive(Clone, Debug)]
pub(super) struct LookStep {
    pub(super) minutes: f64,
    pub(super) after: Option<usize>,
    pub(super) sees: f64,
    pub(super) fancies: f64,
    /// Minutes of a repair in vain.
    pub(super) in_vain_min: f64,
    /// Place in the fixed walk.
    pub(super) rank: usize,
}

/// Something done with lamp or meter on.
#[derive(Clone, Debug)]
pub(super) struct StirStep {
    pub(super) minutes: f64,
    pub(super) after: Option<usize>,
    /// Chance of each result, by hypothesis.
    pub(super) results: Vec<Vec<f64>>,
    /// Place in the fixed walk.
    pub(super) rank: usize,
}

impl StirStep {
    /// Whether its results hang on the cause at all, as far as causes are still believed.
    fn tells(&self, p: &[f64]) -> bool {
        self.results.iter().any(|result| {
            let mean: f64 = p.iter().zip(result).map(|(p, l)| p * l).sum();
            let spread: f64 = p.iter().zip(result).map(|(p, l)| p * (l - mean).abs()).sum();
            spread > TELLS
        })
    }
}

/// A check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Choice {
    /// A stir, by number.
    Stir(usize),
    /// A look, by number; it is also the number of its cause.
    Look(usize),
}

/// Causes and checks of a kind of item.
#[derive(Clone, Debug)]
pub(super) struct Search {
    /// The cause of each hypothesis.
    pub(super) cause_of: Vec<usize>,
    /// Each after the one that it needs.
    pub(super) opens: Vec<OpenStep>,
    pub(super) looks: Vec<LookStep>,
    pub(super) stirs: Vec<StirStep>,
}

/// How it stands: what is believed, what is open, what was stirred.
#[derive(Clone, Debug)]
pub(super) struct Stand {
    /// Probability of each hypothesis.
    pub(super) p: Vec<f64>,
    pub(super) opened: u64,
    pub(super) stirred: u64,
}

/// Most causes of a kind: as many as a kind may have checks, see `guide/reading.rs`.
const CAUSES_MOST: usize = 64;

/// Room that is kept from one evaluation to the next.
struct Room {
    /// Blocks under each opening; in the last list those under none.
    lists: Vec<Vec<Block>>,
    /// Lists of probabilities that nothing stands on at the moment.
    spare: Vec<Vec<f64>>,
    /// The looks as they were ordered when the question came: a good start for ordering them again.
    order: Vec<usize>,
}

impl Search {
    /// Minutes of a check that comes after an opening, with all that is not open yet, and what is open afterwards.
    pub(super) fn minutes(&self, minutes: f64, after: Option<usize>, opened: u64) -> (f64, u64) {
        let (mut sum, mut open, mut at) = (minutes, opened, after);
        while let Some(step) = at.filter(|step| open >> step & 1 == 0) {
            sum += self.opens[step].minutes;
            open |= 1 << step;
            at = self.opens[step].after;
        }
        (sum, open)
    }

    /// Probability of each cause.
    pub(super) fn causes(&self, p: &[f64]) -> Vec<f64> {
        let mut causes = vec![0.0; self.looks.len()];
        for (p, cause) in p.iter().zip(&self.cause_of) {
            causes[*cause] += p;
        }
        causes
    }

    /// The best next check, with its expected minutes to the end; `None` when there is nothing to look at.
    pub(super) fn best(&self, stand: &Stand) -> Option<(Choice, f64)> {
        let lists = vec![Vec::new(); self.opens.len() + 1];
        let mut room = Room { lists, spare: Vec::new(), order: self.order(stand) };
        let depth = self.depth(stand);
        let looks = self.firsts(stand, &mut room).into_iter().map(Choice::Look);
        let first = if depth > 1 { self.looks.len() } else { LOOKS };
        let looks: Vec<Choice> = looks.take(first).collect();
        let mut stirs: Vec<(Choice, f64)> = self
            .left(stand)
            .map(Choice::Stir)
            .map(|stir| (stir, self.q(stand, stir, 0, f64::INFINITY, &mut room)))
            .collect();
        stirs.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        stirs.truncate(if depth > 1 { self.stirs.len() } else { DEEPER });
        let mut least = f64::INFINITY;
        let mut all = Vec::new();
        for choice in looks.into_iter().chain(stirs.into_iter().map(|(stir, _)| stir)) {
            let q = self.q(stand, choice, depth, least + TIE_MIN, &mut room);
            least = least.min(q);
            all.push((choice, q));
        }
        let best = all.into_iter().filter(|(_, q)| *q <= least + TIE_MIN);
        best.min_by_key(|(choice, _)| self.rank(*choice))
    }

    /// The looks by probability per minute, openings left aside.
    fn order(&self, stand: &Stand) -> Vec<usize> {
        let minutes: Vec<f64> = self.looks.iter().map(|look| look.minutes).collect();
        ratio_order(&self.causes(&stand.p), &minutes)
    }

    fn rank(&self, choice: Choice) -> usize {
        match choice {
            Choice::Stir(stir) => self.stirs[stir].rank,
            Choice::Look(look) => self.looks[look].rank,
        }
    }

    fn left(&self, stand: &Stand) -> impl Iterator<Item = usize> {
        let stirred = stand.stirred;
        (0..self.stirs.len()).filter(move |stir| stirred >> stir & 1 == 0)
    }

    /// How many steps after the first are looked at.
    fn depth(&self, stand: &Stand) -> usize {
        let results = self.left(stand).map(|stir| self.stirs[stir].results.len()).sum::<usize>();
        let branches = (results + LOOKS) as f64;
        let first = branches + self.looks.len() as f64;
        let mut depth = 1;
        while depth < DEEPEST && first * branches.powi(depth as i32 + 1) <= BUDGET {
            depth += 1;
        }
        depth
    }

    /// Expected minutes to the end when this is done next and `depth` more steps are looked at. Once they are sure to be
    /// more than `most`, it stops, and what is returned is more than `most` too.
    fn q(&self, stand: &Stand, choice: Choice, depth: usize, most: f64, room: &mut Room) -> f64 {
        match choice {
            Choice::Stir(stir) => {
                let step = &self.stirs[stir];
                let (minutes, opened) = self.minutes(step.minutes, step.after, stand.opened);
                let stirred = stand.stirred | 1 << stir;
                let mut sum = minutes;
                for result in &step.results {
                    if sum > most {
                        break;
                    }
                    let p = stand.p.iter().zip(result).map(|(p, l)| p * l);
                    sum += self.after(p, opened, stirred, depth, room);
                }
                sum
            }
            Choice::Look(look) => {
                let step = &self.looks[look];
                let (minutes, opened) = self.minutes(step.minutes, step.after, stand.opened);
                let all = || stand.p.iter().zip(&self.cause_of);
                let own: f64 = all().filter(|(_, cause)| **cause == look).map(|(p, _)| p).sum();
                let missed = 1.0 - step.sees;
                let unseen = all().map(|(p, cause)| if *cause == look { p * missed } else { *p });
                let minutes = minutes + (1.0 - own) * step.fancies * step.in_vain_min;
                minutes + self.after(unseen, opened, stand.stirred, depth, room)
            }
        }
    }

    /// The share of a result times what is to come after it; the chances sum to that share.
    fn after(
        &self,
        chances: impl Iterator<Item = f64>,
        opened: u64,
        stirred: u64,
        depth: usize,
        room: &mut Room,
    ) -> f64 {
        let mut p = room.spare.pop().unwrap_or_default();
        p.clear();
        p.extend(chances);
        let share: f64 = p.iter().sum();
        let depth = if share < RARE { 0 } else { depth };
        let mut stand = Stand { p, opened, stirred };
        let mut minutes = 0.0;
        if share >= NEVER {
            for p in &mut stand.p {
                *p /= share;
            }
            minutes = share * self.value(&stand, depth, room);
        }
        room.spare.push(stand.p);
        minutes
    }

    /// Expected minutes to the end, `depth` steps looked at.
    fn value(&self, stand: &Stand, depth: usize, room: &mut Room) -> f64 {
        let mut least = self.by_looks(stand, room);
        if depth == 0 {
            return least;
        }
        for stir in self.left(stand) {
            // What it costs alone is more than all that is to come, or it tells nothing.
            if self.stirs[stir].minutes < least && self.stirs[stir].tells(&stand.p) {
                least = least.min(self.q(stand, Choice::Stir(stir), depth - 1, least, room));
            }
        }
        if depth > 1 {
            let firsts = self.firsts(stand, room);
            for look in firsts.into_iter().take(LOOKS) {
                least = least.min(self.q(stand, Choice::Look(look), depth - 1, least, room));
            }
        }
        least
    }

    /// V0: expected minutes by looks alone.
    fn by_looks(&self, stand: &Stand, room: &mut Room) -> f64 {
        let again: f64 = self.blocks(stand, room);
        let Some(root) = room.lists.last() else { return 0.0 };
        let (minutes, missed) = expected(root, 1.0);
        minutes + missed.max(0.0) * again
    }

    /// The looks that may come first, the best first.
    fn firsts(&self, stand: &Stand, room: &mut Room) -> Vec<usize> {
        self.blocks(stand, room);
        room.lists
            .last()
            .map(|root| root.iter().filter_map(|block| block.first).collect())
            .unwrap_or_default()
    }

    /// Sorts all looks into blocks, the last list; returns the minutes of all looks.
    fn blocks(&self, stand: &Stand, room: &mut Room) -> f64 {
        let Room { lists, order, .. } = room;
        lists.iter_mut().for_each(Vec::clear);
        let mut causes = [0.0; CAUSES_MOST];
        for (p, cause) in stand.p.iter().zip(&self.cause_of) {
            causes[*cause] += p;
        }
        let root = self.opens.len();
        let under = |after: Option<usize>| after.filter(|step| stand.opened >> step & 1 == 0).unwrap_or(root);
        let (mut all, mut minutes) = (0.0, [0.0; CAUSES_MOST]);
        for ((look, p), minutes) in self.looks.iter().zip(&causes).zip(&mut minutes) {
            *minutes = look.minutes + (1.0 - p) * look.fancies * look.in_vain_min;
            all += *minutes;
        }
        for number in order.iter().copied().filter(|number| causes[*number] >= FORGOTTEN) {
            let look = &self.looks[number];
            let gain = causes[number] * look.sees;
            lists[under(look.after)].push(Block::one(gain, minutes[number], Some(number)));
        }
        for (number, open) in self.opens.iter().enumerate().rev() {
            if lists[number].is_empty() {
                continue;
            }
            let mut below = std::mem::take(&mut lists[number]);
            join(Block::one(0.0, open.minutes, None), &mut below);
            lists[under(open.after)].append(&mut below);
            // The room is kept for the next evaluation.
            lists[number] = below;
        }
        sort(&mut lists[root]);
        all
    }
}

#[cfg(test)]
#[path = "ahead_tests.rs"]
mod tests;
