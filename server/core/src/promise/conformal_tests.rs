//! Every row of the reference series, and the bounds on the share of misses against adversaries.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::*;

/// 600 rows without the edge cases, numbered from 0.
const SERIES: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/planning/conformal-series.csv"));
/// Six series that reach every edge case, numbered from 1.
const EDGES: &str = include_str!(concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../tests/reference/planning/conformal-series-edges.csv"
));

/// Quotes one after another, each outcome known before the next.
struct Run {
    steering: Steering,
    window: usize,
    scores: Vec<i64>,
    outcomes: Outcomes,
}

impl Run {
    fn new(alpha: f64, gamma: f64, start: f64, window: usize) -> Self {
        let steering = Steering { alpha, gamma, start };
        Self { steering, window, scores: Vec::new(), outcomes: Outcomes::default() }
    }

    fn alpha_t(&self) -> f64 {
        self.steering.alpha_t(self.outcomes)
    }

    fn bound(&self) -> Bound {
        let mut recent = self.scores[self.scores.len().saturating_sub(self.window)..].to_vec();
        recent.sort_unstable();
        bound(self.alpha_t(), &recent)
    }

    /// Takes in a score; whether it was a miss.
    fn take(&mut self, bound: Bound, score: i64) -> bool {
        let miss = bound.is_missed_by(score);
        self.outcomes.resolved += 1;
        self.outcomes.misses += u64::from(miss);
        self.scores.push(score);
        miss
    }

    fn off(&self) -> f64 {
        (self.outcomes.misses as f64 / self.outcomes.resolved as f64 - self.steering.alpha).abs()
    }
}

/// Scores have at most six decimals: kept as whole millionths.
fn millionths(text: &str) -> i64 {
    (text.parse::<f64>().unwrap() * 1e6).round() as i64
}

fn said(text: &str) -> Bound {
    match text {
        "inf" => Bound::Everything,
        "-inf" => Bound::Nothing,
        score => Bound::Score(millionths(score)),
    }
}

fn hold(run: &mut Run, row: &str, score: &str, alpha_t: &str, bound: &str, miss: &str) {
    assert!((run.alpha_t() - alpha_t.parse::<f64>().unwrap()).abs() < 1e-9, "alpha_t in {row}");
    let ours = run.bound();
    assert_eq!(ours, said(bound), "bound in {row}");
    assert_eq!(run.take(ours, millionths(score)), miss == "1", "miss in {row}");
}

#[test]
fn the_plain_series_comes_out_number_by_number() {
    let mut run = Run::new(0.1, 0.02, 0.1, 100);
    for row in SERIES.lines().skip(1) {
        let [_, score, alpha_t, bound, miss] = row.split(',').collect::<Vec<_>>()[..] else {
            panic!("{row}")
        };
        hold(&mut run, row, score, alpha_t, bound, miss);
    }
    assert_eq!(run.outcomes, Outcomes { resolved: 600, misses: 57 });
    assert!((run.steering.farthest(600, 1) - 0.0767).abs() < 1e-4);
    assert!(run.off() <= run.steering.farthest(600, 1));
}

#[test]
fn the_series_of_edge_cases_come_out_number_by_number() {
    let (mut series, mut run, mut rows) = (String::new(), Run::new(0.1, 0.01, 0.1, 1), 0);
    for row in EDGES.lines().skip(1) {
        let fields: Vec<_> = row.split(',').collect();
        let number = |at: usize| fields[at].parse::<f64>().unwrap();
        if series != fields[0] {
            fields[0].clone_into(&mut series);
            run = Run::new(number(1), number(2), number(8), number(3) as usize);
        }
        assert_eq!(run.scores.len().min(run.window), number(5) as usize, "n in {row}");
        hold(&mut run, row, fields[6], fields[8], fields[11], fields[12]);
        rows += 1;
    }
    assert_eq!(rows, 570);
}

/// How an adversary who sees the bound answers.
#[derive(Clone, Copy, Debug)]
enum Answer {
    JustAbove,
    JustBelow,
    Value(i64),
}

fn answers(most: usize) -> impl Strategy<Value = Vec<Answer>> {
    let one = prop_oneof![
        Just(Answer::JustAbove),
        Just(Answer::JustBelow),
        (-1_000_i64..1_000).prop_map(Answer::Value)
    ];
    proptest::collection::vec(one, 1..most)
}

fn score(answer: Answer, bound: Bound) -> i64 {
    match (answer, bound) {
        (Answer::JustAbove, Bound::Score(bound)) => bound + 1,
        (Answer::JustBelow, Bound::Score(bound)) => bound,
        (Answer::JustAbove, _) => i64::MAX / 2,
        (Answer::JustBelow, _) => i64::MIN / 2,
        (Answer::Value(value), _) => value,
    }
}

fn steering() -> impl Strategy<Value = Steering> {
    (0.02_f64..0.98, 0.005_f64..0.2, 0.0_f64..=1.0).prop_map(|(alpha, gamma, start)| Steering {
        alpha,
        gamma,
        start,
    })
}

proptest! {
    /// Gibbs and Candès 2021, Proposition 4.1: for every sequence of scores and at every length.
    #[test]
    fn no_adversary_moves_the_share_of_misses_beyond_the_bound(
        steering in steering(), window in 1_usize..60, answers in answers(300)
    ) {
        let mut run = Run { steering, window, scores: Vec::new(), outcomes: Outcomes::default() };
        for answer in answers {
            let bound = run.bound();
            run.take(bound, score(answer, bound));
            prop_assert!(run.off() <= steering.farthest(run.outcomes.resolved, 1) + 1e-9);
            let alpha_t = run.alpha_t();
            prop_assert!(alpha_t >= -steering.gamma - 1e-9 && alpha_t <= 1.0 + steering.gamma + 1e-9);
        }
    }

    /// The wider bound for outcomes that come late, in any order. Our own derivation; no source.
    #[test]
    fn with_so_many_open_the_wider_bound_holds(
        steering in steering(), window in 1_usize..60, most in 1_usize..12,
        answers in answers(300), order in proptest::collection::vec(any::<prop::sample::Index>(), 300)
    ) {
        let mut run = Run { steering, window, scores: Vec::new(), outcomes: Outcomes::default() };
        let mut open: Vec<Bound> = Vec::new();
        for (answer, which) in answers.iter().zip(order) {
            while open.len() < most {
                open.push(run.bound());
            }
            let bound = open.swap_remove(which.index(open.len()));
            run.take(bound, score(*answer, bound));
            let farthest = steering.farthest(run.outcomes.resolved, most as u64);
            prop_assert!(run.off() <= farthest + 1e-9, "{} > {farthest}", run.off());
        }
    }

    /// What can be said is finite; against scores within limits the share is steered all the same.
    #[test]
    fn sayable_bounds_keep_a_guarantee_against_scores_within_limits(
        steering in steering(), answers in answers(300), step in 50_i64..500
    ) {
        let mut scores = vec![-1_000, 1_000, 0];
        let mut outcomes = Outcomes::default();
        let spread = 2_000 / step as u64 + 2;
        for answer in answers {
            let mut sorted = scores.clone();
            sorted.sort_unstable();
            let bound = sayable(steering, steering.alpha_t(outcomes), &sorted, step);
            let score = score(answer, Bound::Score(bound)).clamp(-1_000, 1_000);
            outcomes.resolved += 1;
            outcomes.misses += u64::from(score > bound);
            scores.push(score);
            let off = (outcomes.misses as f64 / outcomes.resolved as f64 - steering.alpha).abs();
            prop_assert!(off <= steering.farthest(outcomes.resolved, 1 + spread) + 1e-9);
        }
    }
}

/// Worked by hand. Common sense, no source.
#[test]
fn a_sayable_bound_grows_by_a_step_for_every_gamma_beyond() {
    let steering = Steering { alpha: 0.1, gamma: 0.02, start: 0.1 };
    let scores = [-200, 0, 900];
    assert_eq!(sayable(steering, 0.5, &scores, 250), 0);
    assert_eq!(sayable(steering, 0.1, &scores, 250), 1_150, "the rank lies beyond what was seen");
    assert_eq!(sayable(steering, -0.04, &scores, 250), 1_650);
    assert_eq!(sayable(steering, 1.02, &scores, 250), -700);
    assert_eq!(sayable(steering, -0.04, &[], 250), 0, "nothing was ever seen");
}
