//! The next check, held against brute force over all courses of checks on small cases.
#![allow(clippy::unwrap_used)]

use super::*;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// Expected minutes when every choice is the best one (`follow` false) or the guide's (`follow` true). Looks see what is
/// there and are not repeated, so that every course ends.
fn minutes(search: &Search, stand: &Stand, looked: u64, follow: bool) -> f64 {
    if stand.p.iter().sum::<f64>() < 1e-12 {
        return 0.0;
    }
    let share: f64 = stand.p.iter().sum();
    let normal = Stand { p: stand.p.iter().map(|p| p / share).collect(), ..stand.clone() };
    if follow {
        let (choice, _) = search.best(&normal).unwrap();
        return share * course(search, &normal, looked, choice, true);
    }
    let stirs = (0..search.stirs.len()).filter(|stir| stand.stirred >> stir & 1 == 0).map(Choice::Stir);
    let looks = (0..search.looks.len()).filter(|look| looked >> look & 1 == 0).map(Choice::Look);
    let all: Vec<Choice> = stirs.chain(looks).collect();
    let least = all.into_iter().map(|choice| course(search, &normal, looked, choice, false));
    share * least.fold(f64::INFINITY, f64::min)
}

fn course(search: &Search, stand: &Stand, looked: u64, choice: Choice, follow: bool) -> f64 {
    let go_on =
        |p: Vec<f64>, opened, stirred, looked| minutes(search, &Stand { p, opened, stirred }, looked, follow);
    match choice {
        Choice::Stir(stir) => {
            let step = &search.stirs[stir];
            let (minutes, opened) = search.minutes(step.minutes, step.after, stand.opened);
            let after = step.results.iter().map(|result| {
                let p = stand.p.iter().zip(result).map(|(p, l)| p * l).collect();
                go_on(p, opened, stand.stirred | 1 << stir, looked)
            });
            minutes + after.sum::<f64>()
        }
        Choice::Look(look) => {
            let step = &search.looks[look];
            let (minutes, opened) = search.minutes(step.minutes, step.after, stand.opened);
            let unseen = |(p, cause): (&f64, &usize)| if *cause == look { 0.0 } else { *p };
            let p = stand.p.iter().zip(&search.cause_of).map(unseen).collect();
            minutes + go_on(p, opened, stand.stirred, looked | 1 << look)
        }
    }
}

/// A case with `causes` looks and `stirs` stirs; some need something opened.
fn case(rng: &mut ChaCha8Rng, causes: usize, stirs: usize) -> (Search, Stand) {
    let opens = vec![
        OpenStep { minutes: rng.random_range(0.2..3.0), after: None },
        OpenStep { minutes: rng.random_range(0.2..3.0), after: Some(0) },
    ];
    let after = |rng: &mut ChaCha8Rng| [None, None, Some(0), Some(1)][rng.random_range(0..4)];
    let looks = (0..causes)
        .map(|rank| LookStep {
            minutes: rng.random_range(0.2..4.0),
            after: after(rng),
            sees: 1.0,
            fancies: 0.0,
            in_vain_min: 0.0,
            rank,
        })
        .collect();
    let stirs = (0..stirs)
        .map(|stir| {
            let flickers: Vec<f64> =
                (0..causes).map(|_| if rng.random_bool(0.4) { 0.9 } else { 0.03 }).collect();
            let steady = flickers.iter().map(|p| 1.0 - p).collect();
            let minutes = rng.random_range(0.1..0.6);
            StirStep { minutes, after: None, results: vec![flickers, steady], rank: causes + stir }
        })
        .collect();
    let raw: Vec<f64> = (0..causes).map(|_| rng.random_range(0.02..1.0)).collect();
    let sum: f64 = raw.iter().sum();
    let stand = Stand { p: raw.iter().map(|p| p / sum).collect(), opened: 0, stirred: 0 };
    (Search { cause_of: (0..causes).collect(), opens, looks, stirs }, stand)
}

/// Up to seven checks: every mixture of looks and stirs, all courses tried.
#[test]
fn small_cases_are_within_one_in_a_hundred_of_the_best() {
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    for (causes, stirs) in [(3, 1), (3, 2), (4, 1), (4, 2), (5, 1), (5, 2), (4, 3), (6, 1), (7, 0)] {
        for number in 0..8 {
            let (search, stand) = case(&mut rng, causes, stirs);
            let best = minutes(&search, &stand, 0, false);
            let ours = minutes(&search, &stand, 0, true);
            assert!(
                ours <= 1.01 * best + 1e-9 && ours >= best - 1e-9,
                "{causes} looks, {stirs} stirs, case {number}: {ours} for {best}"
            );
        }
    }
}

/// Without stirs and openings it is the order by p/c.
#[test]
fn plain_looks_follow_the_ratio() {
    let mut rng = ChaCha8Rng::seed_from_u64(8);
    for _ in 0..20 {
        let (mut search, mut stand) = case(&mut rng, 6, 0);
        search.looks.iter_mut().for_each(|look| look.after = None);
        let c: Vec<f64> = search.looks.iter().map(|look| look.minutes).collect();
        for expected in super::super::order::ratio_order(&stand.p.clone(), &c) {
            let (choice, _) = search.best(&stand).unwrap();
            assert_eq!(choice, Choice::Look(expected));
            stand.p[expected] = 0.0;
            super::super::bayes::normalise(&mut stand.p);
        }
    }
}

/// Two looks alike: the walk decides.
#[test]
fn the_fixed_walk_breaks_ties() {
    let mut rng = ChaCha8Rng::seed_from_u64(9);
    let (mut search, mut stand) = case(&mut rng, 3, 0);
    for look in &mut search.looks {
        (look.minutes, look.after) = (1.0, None);
    }
    stand.p = vec![1.0 / 3.0; 3];
    for order in [[0, 1, 2], [2, 0, 1], [1, 2, 0]] {
        for (look, rank) in search.looks.iter_mut().zip(order) {
            look.rank = rank;
        }
        let first = order.iter().position(|rank| *rank == 0).unwrap();
        assert_eq!(search.best(&stand).unwrap().0, Choice::Look(first));
    }
}
