//! Learning: what holds of every estimate. Where nothing else is said, a check is held against common sense; no source.
#![allow(clippy::unwrap_used)]

mod reference;

use proptest::prelude::*;

use super::*;

const SPREAD: Spread = Spread { likely_min: 5.0, sigma_ln: 0.366 };
const FAST: BenchId = BenchId(1);
const SLOW: BenchId = BenchId(2);
const NEW: BenchId = BenchId(3);

fn seen(bench: BenchId, minutes: f64) -> Observation {
    Observation {
        work: Work::Point,
        weapon: Some(Weapon::Foil),
        bench,
        hands_on: Span((minutes * 6e7).round() as i64),
        usual: Span::minutes(5),
        censored: false,
    }
}

fn expected(learned: &Learned, bench: Option<BenchId>) -> Predictive {
    learned.predict(Work::Point, Some(Weapon::Foil), bench, SPREAD)
}

/// Minutes spread about as the prior says around a middle, always the same ones.
fn some(count: usize, middle: f64) -> Vec<f64> {
    let at = |i: usize| ((i * 7) % 10) as f64 / 10.0 - 0.45;
    (0..count).map(|i| middle * at(i).exp()).collect()
}

fn taught(all: &[Observation]) -> Learned {
    let mut learned = Learned::default();
    for seen in all {
        learned.learn(seen);
    }
    learned
}

#[test]
fn without_observations_the_prior_stands() {
    let learned = Learned::default();
    assert!((learned.median_min(Work::Point, 5.0) - 5.0).abs() < 1e-9);
    for work in Work::ALL {
        let prior = learned.predict(work, None, Some(NEW), SPREAD);
        assert!((prior.median_min() - 5.0).abs() < 1e-9);
        let wide = prior.quantile_min(0.95) / prior.quantile_min(0.05);
        assert!((3.0..20.0).contains(&wide), "{work:?} {wide}");
    }
}

#[test]
fn many_observations_outweigh_the_prior() {
    let all: Vec<_> = some(500, 10.0).into_iter().map(|minutes| seen(FAST, minutes)).collect();
    let learned = taught(&all);
    for median in [
        learned.median_min(Work::Point, 5.0),
        expected(&learned, None).median_min(),
        expected(&learned, Some(FAST)).median_min(),
    ] {
        assert!((9.5..10.5).contains(&median), "{median}");
    }
}

/// The whole room is slower than we estimated: work not seen yet is expected to be slower too, though less.
#[test]
fn a_slow_room_is_slow_at_everything() {
    let all: Vec<_> = some(40, 8.0).into_iter().map(|minutes| seen(FAST, minutes)).collect();
    let other = taught(&all).predict(Work::Cloth, None, None, SPREAD).median_min();
    assert!((7.0..8.1).contains(&other), "{other}");
}

#[test]
fn a_slower_bench_gets_its_own_estimate_and_a_new_one_follows_the_others() {
    let mut all: Vec<_> = some(60, 5.0).into_iter().map(|minutes| seen(FAST, minutes)).collect();
    all.extend(some(10, 7.5).into_iter().map(|minutes| seen(SLOW, minutes)));
    let learned = taught(&all);
    let [fast, slow, new, pool] =
        [Some(FAST), Some(SLOW), Some(NEW), None].map(|bench| expected(&learned, bench).median_min());
    assert!(slow / fast > 1.3, "{slow} {fast}");
    assert!((new - pool).abs() < 1e-9, "{new} {pool}");
    assert!((5.0..5.6).contains(&new), "{new}");
}

#[test]
fn a_job_left_open_over_lunch_wrecks_nothing() {
    let mut learned =
        taught(&some(10, 5.0).into_iter().map(|minutes| seen(FAST, minutes)).collect::<Vec<_>>());
    let before = expected(&learned, Some(FAST));
    learned.learn(&seen(FAST, 600.0));
    let after = expected(&learned, Some(FAST));
    assert!(after.median_min() / before.median_min() < 1.2, "{before:?} {after:?}");
    assert!(after.quantile_min(0.9) / before.quantile_min(0.9) < 1.6, "{before:?} {after:?}");
    let mut longer = learned.clone();
    longer.unlearn(&seen(FAST, 600.0));
    longer.learn(&seen(FAST, 6_000.0));
    assert_eq!(longer, learned, "beyond the bound it does not matter how long");
}

#[test]
fn unfinished_work_takes_longer_than_it_was_in_hand() {
    let finished: Vec<_> = some(10, 5.0).into_iter().map(|minutes| seen(FAST, minutes)).collect();
    let base = expected(&taught(&finished), None).median_min();
    let with = |minutes: f64, censored| {
        let mut learned = taught(&finished);
        for _ in 0..5 {
            learned.learn(&Observation { censored, ..seen(FAST, minutes) });
        }
        expected(&learned, None).median_min()
    };
    assert!(with(6.0, true) > with(6.0, false), "longer than six minutes, not six");
    assert!(with(6.0, true) > base);
    assert!((with(0.5, true) / base - 1.0).abs() < 0.01, "hardly begun tells nothing");
    let all: Vec<_> = (0..5).map(|_| Observation { censored: true, ..seen(FAST, 15.0) }).collect();
    assert!(expected(&taught(&all), Some(FAST)).median_min() > 6.0, "also when nothing was ever finished");
}

#[test]
fn faults_of_one_kind_of_work_teach_each_other() {
    let all: Vec<_> =
        (0..100).map(|_| Observation { usual: Span::minutes(35), ..seen(FAST, 70.0) }).collect();
    let median = expected(&taught(&all), None).median_min();
    assert!((9.0..10.1).contains(&median), "{median}");
    let wide = Spread { sigma_ln: 0.8, ..SPREAD };
    let learned = taught(&all);
    let safe = |spread| learned.predict(Work::Point, Some(Weapon::Foil), None, spread).quantile_min(0.9);
    assert!(safe(wide) > safe(SPREAD));
}

#[test]
fn what_a_repair_usually_takes_comes_from_its_fault_or_its_kind_of_work() {
    let fault = crate::gear::faults(crate::gear::ItemKind::Foil).next().unwrap();
    let named = usual(crate::gear::ItemKind::Foil, fault.work, Some(fault.id));
    assert_eq!(named, Span::minutes(i64::from(fault.minutes.likely)));
    for kind in crate::gear::ItemKind::ALL {
        for work in Work::ALL {
            let min = usual(kind, work, None).as_min();
            assert!((1.0..90.0).contains(&min), "{kind:?} {work:?} {min}");
        }
    }
}

/// The draws of a Monte Carlo against the exact quantile, for as few degrees of freedom as any belief has.
#[test]
fn quick_draws_are_within_a_hundredth() {
    for dof in [8.0, 9.0, 12.5, 20.0, 60.0, 1000.0] {
        let next = Predictive { centre_ln: 1.6, scale_ln: 0.5, dof };
        for i in 1..1000 {
            let p = f64::from(i) / 1000.0;
            let off = next.draw_min(p) / next.quantile_min(p) - 1.0;
            assert!(off.abs() < 0.01, "dof {dof}, p {p}: {off}");
        }
        assert!(next.draw_min(0.0) > 0.0 && next.draw_min(1.0).is_finite());
    }
    assert!(Learned::default().predict(Work::Mask, None, None, SPREAD).dof >= 8.0);
}

fn anything() -> impl Strategy<Value = Observation> {
    let weapon = prop_oneof![Just(None), Just(Some(Weapon::Foil)), Just(Some(Weapon::Sabre))];
    (0..Work::ALL.len(), weapon, 1..4_u16, 0..7_200_i64, 1..40_i64, any::<bool>()).prop_map(
        |(work, weapon, bench, seconds, usual, censored)| Observation {
            work: Work::ALL[work],
            weapon,
            bench: BenchId(bench),
            hands_on: Span::seconds(seconds),
            usual: Span::minutes(usual),
            censored,
        },
    )
}

proptest! {
    /// Whatever was learned and taken out again, in whatever order, leaves no trace.
    #[test]
    fn what_is_unlearned_leaves_no_trace(
        stay in prop::collection::vec(anything(), 0..20),
        go in prop::collection::vec(anything(), 0..20),
    ) {
        let plain = taught(&stay);
        let mut learned = Learned::default();
        for seen in go.iter().chain(&stay) {
            learned.learn(seen);
        }
        for seen in go.iter().rev() {
            learned.unlearn(seen);
        }
        prop_assert_eq!(&learned, &plain);
        let backwards: Vec<_> = stay.iter().rev().copied().collect();
        prop_assert_eq!(&taught(&backwards), &plain, "the order does not matter");
        let json = serde_json::to_vec(&plain).unwrap();
        prop_assert_eq!(&serde_json::from_slice::<Learned>(&json).unwrap(), &plain, "a snapshot keeps it");
    }

    /// Whatever was learned, what is expected is a sound figure.
    #[test]
    fn every_expectation_is_sound(all in prop::collection::vec(anything(), 0..60)) {
        let learned = taught(&all);
        for work in Work::ALL {
            for bench in [None, Some(FAST), Some(NEW)] {
                let next = learned.predict(work, None, bench, SPREAD);
                let (low, mid, high) = (next.quantile_min(0.1), next.median_min(), next.quantile_min(0.9));
                prop_assert!(0.2 < low && low < mid && mid < high && high < 2_000.0, "{next:?}");
                prop_assert!(next.dof >= 8.0);
            }
        }
    }
}

/// A snapshot of the older shape is refused, so that the whole journal is read instead.
#[test]
fn an_older_snapshot_is_not_mistaken() {
    assert!(serde_json::from_str::<Learned>(r#"{"by_work":{}}"#).is_err());
}
