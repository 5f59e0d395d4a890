//! A day on which repairs take longer, or shorter, than the table says: everything else stays what it was.

use remise_core::time::Span;

use super::plan::{Day, Labour};

/// The least factor.
pub const FASTEST: f64 = 0.25;
/// The greatest factor.
pub const SLOWEST: f64 = 4.0;
/// Work is measured in tenths of a minute.
const TENTH: Span = Span::seconds(6);

/// The same day with all hands-on work taking so many times as long, within [`FASTEST`] and [`SLOWEST`], rounded to
/// tenths of a minute. Curing, walks and the minutes around a job stay.
#[must_use]
pub fn slowed(mut day: Day, factor: f64) -> Day {
    let factor = factor.clamp(FASTEST, SLOWEST);
    for hand_in in &mut day.hand_ins {
        slow(&mut hand_in.truth.labour, factor);
    }
    for unit in day.call_outs.iter_mut().filter_map(|call| call.swapped.as_mut()) {
        slow(&mut unit.truth.labour, factor);
    }
    day
}

fn slow(labour: &mut Labour, factor: f64) {
    labour.before = times(labour.before, factor);
    labour.after = times(labour.after, factor);
}

/// Work that there was does not vanish.
fn times(work: Span, factor: f64) -> Span {
    let tenths = (work.0 as f64 / TENTH.0 as f64 * factor).round() as i64;
    if work > Span::ZERO { Span(tenths.max(1) * TENTH.0) } else { work }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::{DayOptions, invented_day};

    /// Worked by hand: 1.6 times 5.0 and 0.1 minutes are 8.0 and 0.2 (0.16 rounded up).
    #[test]
    fn only_the_work_takes_longer() {
        let minutes = |tenths: i64| Span::seconds(6 * tenths);
        assert_eq!([50, 1].map(|work| times(minutes(work), 1.6)), [80, 2].map(minutes));
        assert_eq!(times(Span::ZERO, 1.6), Span::ZERO);
        assert_eq!(times(minutes(1), FASTEST), minutes(1));

        let day = invented_day(&DayOptions::default()).unwrap();
        let mut slow = slowed(day.clone(), 1.6);
        assert_ne!(slow, day);
        assert_eq!(slowed(day.clone(), 1.0), day);
        for (slow, plain) in slow.hand_ins.iter_mut().zip(&day.hand_ins) {
            assert_eq!(slow.truth.labour.curing, plain.truth.labour.curing);
            slow.truth.labour = plain.truth.labour;
        }
        assert_eq!(slow.hand_ins, day.hand_ins);
    }
}
