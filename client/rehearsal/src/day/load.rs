//! How much a day asks of the benches: bench minutes demanded per bench minute open, in the busiest two hours.

use remise_core::time::{Span, Stamp, Window};
use remise_core::venue::Venue;

use super::plan::{CallOutPlan, Day, TrueState};

/// Bench time around every job, for the examination before and the proof after. Our own.
pub const AROUND_A_JOB: Span = Span::minutes(2);
/// The stretch that is looked at.
const STRETCH: Span = Span::minutes(120);
/// Stretches begin every five minutes.
const STEP: Span = Span::minutes(5);

/// The busiest two hours of a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Busiest {
    /// Which two hours; the whole day when it is shorter.
    pub window: Window,
    /// Bench minutes that hand-ins and call-outs of these hours ask for.
    pub demanded_min: f64,
    /// Bench minutes open in these hours.
    pub open_min: f64,
}

impl Busiest {
    /// Demanded per open minute.
    pub fn load(&self) -> f64 {
        self.demanded_min / self.open_min
    }
}

/// The busiest two hours, of all that begin on a multiple of five minutes after an opening and end by its close;
/// `None` when no bench is ever open.
///
/// A job counts whole in the hours in which it is handed in: its hands-on time and [`AROUND_A_JOB`]. A call-out
/// counts its time at the strip, the walk both ways, and the repair of what was swapped.
pub fn busiest_two_hours(day: &Day) -> Option<Busiest> {
    let venue = &day.tournament.venue;
    let mut ledger = Ledger::new(venue);
    for call in &day.call_outs {
        ledger.add(call.at, of_call(venue, call));
    }
    for hand_in in &day.hand_ins {
        ledger.add(hand_in.at, of_job(&hand_in.truth));
    }
    ledger.busiest()
}

/// The load of the busiest two hours; 0 when no bench is ever open.
pub fn busiest_two_hours_load(day: &Day) -> f64 {
    busiest_two_hours(day).map_or(0.0, |busiest| busiest.load())
}

/// Bench minutes that a job asks for.
pub(super) fn of_job(truth: &TrueState) -> f64 {
    (truth.labour.hands_on() + AROUND_A_JOB).as_min()
}

/// Bench minutes that a call-out asks for.
pub(super) fn of_call(venue: &Venue, call: &CallOutPlan) -> f64 {
    let walk = 2.0 * venue.walk_min(call.strip) as f64;
    call.at_strip.as_min() + walk + call.swapped.as_ref().map_or(0.0, |unit| of_job(&unit.truth))
}

/// Running totals of every stretch of two hours.
pub(super) struct Ledger {
    stretches: Vec<Busiest>,
}

impl Ledger {
    pub fn new(venue: &Venue) -> Self {
        let mut stretches = Vec::new();
        for day in &venue.days {
            let length = STRETCH.min(day.to.since(day.from));
            let mut from = day.from;
            while from + length <= day.to {
                let window = Window { from, to: from + length };
                let open_min = open_minutes(venue, window);
                if open_min > 0.0 {
                    stretches.push(Busiest { window, demanded_min: 0.0, open_min });
                }
                from = from + STEP;
            }
        }
        Self { stretches }
    }

    pub fn add(&mut self, at: Stamp, minutes: f64) {
        for stretch in self.stretches.iter_mut().filter(|stretch| stretch.window.contains(at)) {
            stretch.demanded_min += minutes;
        }
    }

    /// The greatest load among the stretches that hold `at`, if so many minutes were added there.
    pub fn load_with(&self, at: Stamp, minutes: f64) -> f64 {
        let around = self.stretches.iter().filter(|stretch| stretch.window.contains(at));
        around.map(|stretch| (stretch.demanded_min + minutes) / stretch.open_min).fold(0.0, f64::max)
    }

    /// Spreads minutes evenly over a window.
    pub fn spread(&mut self, window: Window, minutes: f64) {
        let length = window.to.since(window.from).as_min();
        for stretch in &mut self.stretches {
            let shared =
                window.to.min(stretch.window.to).since(window.from.max(stretch.window.from)).as_min();
            stretch.demanded_min += minutes * shared / length;
        }
    }

    /// The mean load of all stretches.
    pub fn mean(&self) -> f64 {
        let loads = self.stretches.iter().map(Busiest::load);
        loads.sum::<f64>() / self.stretches.len().max(1) as f64
    }

    pub fn busiest(&self) -> Option<Busiest> {
        self.stretches.iter().copied().max_by(|a, b| a.load().total_cmp(&b.load()))
    }
}

fn open_minutes(venue: &Venue, window: Window) -> f64 {
    let hours = venue.benches.iter().flat_map(|bench| &bench.open);
    hours.map(|open| open.to.min(window.to).since(open.from.max(window.from)).as_min()).sum()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::day::{DayOptions, Labour, Outcome, invented};

    fn job(hands_on: i64) -> TrueState {
        let labour = Labour::of(Span::minutes(hands_on), Span::ZERO);
        TrueState { fault: None, labour, outcome: Outcome::NoFault }
    }

    /// Worked by hand: five benches are open 600 minutes in the first two hours; from 10:00 to 12:00 bench 1 is
    /// away for half an hour.
    #[test]
    fn open_minutes_leave_breaks_out() {
        let venue = invented(&DayOptions::default()).unwrap().venue;
        let from = venue.days[0].from;
        let two_hours = |minutes| Window { from: from.plus_min(minutes), to: from.plus_min(minutes + 120) };
        assert!((open_minutes(&venue, two_hours(0)) - 600.0).abs() < 1e-9);
        assert!((open_minutes(&venue, two_hours(120)) - 570.0).abs() < 1e-9);
    }

    /// Worked by hand: jobs of 58 + 2 and 118 + 2 minutes within two hours on five benches are 180 / 600.
    #[test]
    fn the_busiest_two_hours_hold_both_jobs() {
        let venue = invented(&DayOptions::default()).unwrap().venue;
        let mut ledger = Ledger::new(&venue);
        let at = |minutes| venue.days[0].from.plus_min(minutes);
        ledger.add(at(10), of_job(&job(58)));
        assert!((ledger.load_with(at(100), of_job(&job(118))) - 0.3).abs() < 1e-9);
        ledger.add(at(100), of_job(&job(118)));
        ledger.add(at(400), of_job(&job(118)));
        let busiest = ledger.busiest().unwrap();
        assert!((busiest.load() - 0.3).abs() < 1e-9);
        assert!(busiest.window.contains(at(10)) && busiest.window.contains(at(100)));
    }
}
