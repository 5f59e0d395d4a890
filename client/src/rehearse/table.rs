//! The answer to "how many benches do I need?": a row for each number of benches, and one sentence.

use std::fmt;

use remise_rehearsal::pool::Mean;
use remise_rehearsal::report::Figures;
use serde::Serialize;

/// One more bench adds little when it brings no more than this share of the items back in time that were late
/// before. Our own choice.
const LITTLE: f64 = 0.02;

/// What came of one day.
#[derive(Clone, Debug)]
pub(super) struct Outcome {
    /// How many benches there were.
    pub benches: usize,
    /// Seed of the day.
    pub seed: u64,
    /// Work asked of the benches in the busiest two hours, 1 being all that they can do.
    pub load: f64,
    /// What is wrong with the journal, in words.
    pub faults: Vec<String>,
    /// Its figures.
    pub figures: Figures,
}

/// What came of all days with one number of benches.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Row {
    /// How many benches.
    pub benches: usize,
    /// Days played.
    pub days: usize,
    /// Jobs of all days together.
    pub jobs: u64,
    /// Share of what was wanted by a time that was back in time.
    pub on_time_share: Option<Mean>,
    /// Minutes from lying in the room until a bench took it up.
    pub mean_wait_min: Option<Mean>,
    /// Minutes late, weighted by need.
    pub weighted_lateness_min: Option<Mean>,
    /// Load of the busiest two hours, mean over the days.
    pub busiest_two_hours_load: Option<f64>,
    /// As in the figures of a day, all days together.
    pub lost: u64,
    /// The same.
    pub double_held: u64,
    /// The same.
    pub open_at_end: u64,
    #[serde(skip)]
    on_time: Vec<f64>,
}

/// The whole answer.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Table {
    /// What was played.
    pub title: String,
    /// The seeds of the days.
    pub seeds: Vec<u64>,
    /// A row for each number of benches, ascending.
    pub rows: Vec<Row>,
    /// The number of benches beyond which more add little; nothing when the most that were tried still helped, or only
    /// one number was.
    pub enough: Option<usize>,
    /// The answer in a sentence.
    pub answer: String,
    #[serde(skip)]
    faults: Vec<String>,
}

impl Table {
    /// Puts the days together; outcomes come number of benches by number of benches.
    pub fn of(seeds: Vec<u64>, outcomes: &[Outcome], title: String) -> Self {
        let rows: Vec<Row> = outcomes.chunk_by(|a, b| a.benches == b.benches).filter_map(Row::of).collect();
        let enough = enough(&rows);
        let answer = answer(&rows, enough);
        let faults = outcomes
            .iter()
            .flat_map(|day| day.faults.iter().map(|fault| format!("seed {}: {fault}", day.seed)))
            .collect();
        let enough =
            enough.filter(|at| at + 1 < rows.len()).and_then(|at| rows.get(at)).map(|row| row.benches);
        Self { title, seeds, rows, enough, answer, faults }
    }

    /// What is wrong with the journals.
    pub fn faults(&self) -> &[String] {
        &self.faults
    }

    /// Nothing was lost and nothing held twice.
    pub fn is_sound(&self) -> bool {
        self.rows.iter().all(|row| row.lost == 0 && row.double_held == 0)
    }
}

impl Row {
    fn of(days: &[Outcome]) -> Option<Self> {
        let values = |of: fn(&Figures) -> Option<f64>| -> Vec<f64> {
            days.iter().filter_map(|day| of(&day.figures)).collect()
        };
        let sum = |of: fn(&Figures) -> u64| days.iter().map(|day| of(&day.figures)).sum();
        let loads: Vec<f64> = days.iter().map(|day| day.load).collect();
        let on_time = values(|figures| figures.on_time_share);
        Some(Self {
            benches: days.first()?.benches,
            days: days.len(),
            jobs: sum(|figures| figures.jobs),
            on_time_share: Mean::of(&on_time),
            mean_wait_min: Mean::of(&values(|figures| figures.mean_wait_min)),
            weighted_lateness_min: Mean::of(&values(|figures| figures.weighted_lateness_min)),
            busiest_two_hours_load: Mean::of(&loads).map(|load| load.mean),
            lost: sum(|figures| figures.lost),
            double_held: sum(|figures| figures.double_held),
            open_at_end: sum(|figures| figures.open_at_end),
            on_time,
        })
    }
}

/// The first row from which no later one brings back much more in time.
fn enough(rows: &[Row]) -> Option<usize> {
    let share = |row: &Row| row.on_time_share.map(|share| share.mean);
    let best = rows.iter().filter_map(share).max_by(f64::total_cmp)?;
    rows.iter().position(|row| share(row).is_some_and(|share| share >= best - LITTLE))
}

fn answer(rows: &[Row], enough: Option<usize>) -> String {
    let Some((at, row)) = enough.and_then(|at| Some((at, rows.get(at)?))) else {
        return "Nothing was wanted by a time on these days, so they do not say how many benches are needed."
            .to_owned();
    };
    let share = row.on_time_share.map_or(0.0, |share| 100.0 * share.mean);
    let wait = row.mean_wait_min.map_or_else(String::new, |wait| {
        format!(", and an item waits {:.1} min for a bench in the mean", wait.mean)
    });
    let so = format!("With {} benches {share:.1} % are back in time{wait}", row.benches);
    match rows.get(at + 1) {
        Some(next) => {
            let more = Mean::of_differences(&row.on_time, &next.on_time).map(|more| more.times(100.0));
            let points = more.map_or_else(String::new, |more| format!(" ({} points)", signed(more)));
            format!("{so}; {} add little{points}.", next.benches)
        }
        None if rows.len() > 1 => {
            format!("{so}; each one more still helped, so more than {} may be worth a try.", row.benches)
        }
        None => format!("{so}."),
    }
}

fn signed(mean: Mean) -> String {
    match mean.half_width_95 {
        Some(half) => format!("{:+.1} ± {half:.1}", mean.mean),
        None => format!("{:+.1}", mean.mean),
    }
}

/// A mean and its interval, in a column.
fn cell(mean: Option<Mean>, factor: f64, unit: &str) -> String {
    match mean.map(|mean| mean.times(factor)) {
        Some(Mean { mean, half_width_95: Some(half) }) => format!("{mean:.1} ± {half:.1}{unit}"),
        Some(Mean { mean, .. }) => format!("{mean:.1}{unit}"),
        None => "not known".to_owned(),
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let seeds = match (self.seeds.first(), self.seeds.last()) {
            (Some(first), Some(last)) if first != last => format!("seeds {first} to {last}"),
            (Some(first), _) => format!("seed {first}"),
            _ => String::new(),
        };
        writeln!(f, "{}: {seeds}, the same days for each number of benches", self.title)?;
        writeln!(f, "mean over the days ± half of its 95 % confidence interval")?;
        let columns = ["benches", "back in time", "wait, min", "lateness, min", "busiest 2 h", "jobs a day"];
        let [benches, on_time, wait, late, load, jobs] = columns;
        writeln!(f, "{benches:>7} {on_time:>16} {wait:>14} {late:>14} {load:>12} {jobs:>11}")?;
        for row in &self.rows {
            let on_time = cell(row.on_time_share, 100.0, " %");
            let wait = cell(row.mean_wait_min, 1.0, "");
            let late = cell(row.weighted_lateness_min, 1.0, "");
            let load = row.busiest_two_hours_load.map_or_else(String::new, |load| format!("{load:.2}"));
            let jobs = row.jobs as f64 / row.days.max(1) as f64;
            let benches = row.benches;
            writeln!(f, "{benches:>7} {on_time:>16} {wait:>14} {late:>14} {load:>12} {jobs:>11.0}")?;
        }
        for row in self.rows.iter().filter(|row| row.lost + row.double_held + row.open_at_end > 0) {
            writeln!(
                f,
                "with {} benches: lost {}, held twice {}, open at the end {}",
                row.benches, row.lost, row.double_held, row.open_at_end
            )?;
        }
        write!(f, "{}", self.answer)
    }
}

#[cfg(test)]
#[path = "table_tests.rs"]
pub(super) mod tests;
