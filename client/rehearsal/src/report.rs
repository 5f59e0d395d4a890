//! The figures of a rehearsal: a contract that later versions are compared by.

use std::fmt::{self, Write as _};

use remise_checker::{Judgement, judge, lives};
use serde::Serialize;

use crate::play::Played;

/// The figures. A figure whose part does not exist is `null`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// Seed of the day.
    pub seed: u64,
    /// Jobs opened.
    pub jobs: u64,
    /// Handed back mended or found sound, or collected after they were ready.
    pub returned: u64,
    /// Found unfit for use.
    pub withdrawn: u64,
    /// Called off.
    pub called_off: u64,
    /// Found missing, and not found again.
    pub gone: u64,
    /// Neither ended nor waiting to be collected.
    pub open_at_end: u64,
    /// Waiting to be collected.
    pub uncollected: u64,
    /// Effects that were answered and are not in the journal, and items that nobody can account for.
    pub lost: u64,
    /// Moments at which a job was on two benches, or a bench held two.
    pub double_held: u64,
    /// Share of the jobs with a wanted-by that were back in time.
    pub on_time_share: Option<f64>,
    /// Mean lateness over all jobs with a wanted-by, weights by need.
    pub weighted_lateness_min: Option<f64>,
    /// Mean minutes from lying in the room until a bench took it up, over the jobs that one did.
    pub mean_wait_min: Option<f64>,
    /// Share of the first promises whose likely time was kept.
    pub promise_likely_share: Option<f64>,
    /// Share of the first promises whose safe time was kept.
    pub promise_safe_share: Option<f64>,
    /// Commands sent.
    pub commands: u64,
    /// Commands sent per second of play.
    pub commands_per_s: f64,
    /// 99 % of the plans took no longer.
    pub plan_ms_p99: Option<f64>,
    /// Events in the journal.
    pub events: u64,
    /// The newest hash of the journal's chain; unknown for somebody else's server.
    pub journal_sha256: Option<String>,
    /// Time that the play took.
    pub wall_s: f64,
}

/// Judges what was played. The checker reads the journal and the histories; nothing else counts.
pub fn figures(seed: u64, played: &Played) -> (Figures, Judgement) {
    let journal_sha256 = played.timed.then(|| hex(&remise_checker::journal_sha256(&played.rows)));
    let judged = judge(played.rows.iter().cloned(), &played.history, played.end);
    let wall_s = played.took.as_secs_f64();
    let timed = |figure: Option<f64>| figure.filter(|_| played.timed).map(rounded);
    let figures = Figures {
        seed,
        jobs: judged.jobs,
        returned: judged.returned,
        withdrawn: judged.withdrawn,
        called_off: judged.called_off,
        gone: judged.gone,
        open_at_end: judged.open_at_end,
        uncollected: judged.uncollected,
        lost: judged.lost,
        double_held: judged.double_held,
        on_time_share: timed(judged.on_time_share),
        weighted_lateness_min: timed(judged.weighted_lateness_min),
        mean_wait_min: timed(mean_wait_min(played)),
        promise_likely_share: timed(judged.promise_likely_share),
        promise_safe_share: timed(judged.promise_safe_share),
        commands: played.commands,
        commands_per_s: rounded(played.commands as f64 / wall_s.max(1e-9)),
        plan_ms_p99: played.plan_p99.map(|p99| rounded(p99.as_secs_f64() * 1e3)),
        events: judged.events,
        journal_sha256,
        wall_s: rounded(wall_s),
    };
    (figures, judged)
}

fn mean_wait_min(played: &Played) -> Option<f64> {
    let waits: Vec<f64> = lives(&played.rows).iter().filter_map(remise_checker::Life::wait_min).collect();
    (!waits.is_empty()).then(|| waits.iter().sum::<f64>() / waits.len() as f64)
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// To four places: enough to compare, short enough to read.
fn rounded(figure: f64) -> f64 {
    (figure * 1e4).round() / 1e4
}

impl fmt::Display for Figures {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let share = |share: Option<f64>| {
            share.map_or_else(|| "not known".to_owned(), |s| format!("{:.1} %", 100.0 * s))
        };
        writeln!(f, "seed {}: {} jobs", self.seed, self.jobs)?;
        writeln!(
            f,
            "  returned {}, withdrawn {}, called off {}, gone {}",
            self.returned, self.withdrawn, self.called_off, self.gone
        )?;
        writeln!(f, "  open at the end {}, never collected {}", self.open_at_end, self.uncollected)?;
        writeln!(f, "  lost {}, held twice {}", self.lost, self.double_held)?;
        writeln!(f, "  back in time {}", share(self.on_time_share))?;
        if let Some(minutes) = self.weighted_lateness_min {
            writeln!(f, "  mean lateness, weighted by need {minutes:.2} min")?;
        }
        if let Some(minutes) = self.mean_wait_min {
            writeln!(f, "  mean wait for a bench {minutes:.2} min")?;
        }
        writeln!(
            f,
            "  first promises kept: likely {}, safe {}",
            share(self.promise_likely_share),
            share(self.promise_safe_share)
        )?;
        write!(
            f,
            "  {} commands, {} events in {:.1} s; journal {}",
            self.commands,
            self.events,
            self.wall_s,
            self.journal_sha256.as_deref().map_or("not read", |hash| hash.get(..16).unwrap_or(hash))
        )
    }
}
