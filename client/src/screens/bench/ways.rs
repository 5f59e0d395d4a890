//! Lasting repair or stop-gap, side by side below the chosen fault: what each costs this fencer. The armourer decides.

use ratatui::text::Line;
use remise_core::gear::Fault;
use remise_core::lasting::{Circumstances, Cost, Estimates, Returns, SPARED_AFTER_H, Way, Weighed, weigh};
use remise_core::time::US_PER_MIN;
use remise_link::view::JobView;

use crate::screens::board;
use crate::screens::paint::{Pane, line};
use crate::screens::state::State;
use crate::screens::text::cut;

/// Columns before a line.
const INDENT: usize = 6;

/// Two lines where both ways exist and a time is wanted; otherwise none.
pub fn lines(state: &State, job: &JobView, fault: &Fault, pane: Pane) -> Vec<Line<'static>> {
    let Some(weighed) = weighed(state, job, fault) else { return Vec::new() };
    let less = weighed.for_stop_gap();
    let row = |name: &str, way: &Way, cost: &Cost, less: bool| {
        let mark = if less { " ← costs less*" } else { "" };
        let room = pane.columns.saturating_sub(INDENT + 2 + mark.chars().count());
        let text = format!("{}{}{mark}", " ".repeat(INDENT), cut(&sentence(name, way, cost), room));
        line(text, if less { pane.theme.strong() } else { pane.theme.quiet() })
    };
    vec![
        row("lasting", &weighed.ways.lasting, &weighed.lasting, !less),
        row("stop-gap", &weighed.ways.stop_gap, &weighed.stop_gap, less),
    ]
}

fn weighed(state: &State, job: &JobView, fault: &Fault) -> Option<Weighed<'static>> {
    let walk = board::walk_min(state.venue.as_ref(), job.back_to);
    let left = job.wanted_by?.plus_min(-walk).0 - state.clock.now().0;
    let now = Circumstances {
        need: job.need,
        left_min: left as f64 / US_PER_MIN as f64,
        to_fence_h: SPARED_AFTER_H,
        stop_gaps: Returns::default(),
    };
    weigh(Estimates::built_in(), fault.id, &now)
}

fn sentence(name: &str, way: &Way, cost: &Cost) -> String {
    let late = if cost.late_min >= 0.5 { format!(", {:.0} min late", cost.late_min) } else { String::new() };
    let fails = (100.0 * cost.fails).round();
    let fails = if fails >= 1.0 { format!(", fails again {fails:.0} %") } else { String::new() };
    format!("{name}: {}, {:.0} min{late}{fails}", way.what, cost.ready_min)
}
