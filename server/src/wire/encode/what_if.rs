//! What moves would change, job by job and in sums.

use remise_core::plan::WhatIf;
use remise_core::plan::whatif::{Fate, Moved, Sums};
use remise_proto::v1;

use super::lens::{self, Lens};

/// What the moves would change. The lens looks at the armoury without them.
pub fn what_if(lens: &Lens<'_>, what: &WhatIf) -> v1::WhatIfReport {
    v1::WhatIfReport {
        covers_up_to: what.head.0,
        at_us: what.at.0,
        moved: what.moved.iter().map(|one| moved(lens, one)).collect(),
        before: Some(sums(what.before)),
        after: Some(sums(what.after)),
        advice: what.advice.clone(),
    }
}

fn moved(lens: &Lens<'_>, one: &Moved) -> v1::MovedJob {
    v1::MovedJob {
        job: lens.room.job(one.job).map(|job| lens.job(job)),
        before: Some(fate(one.before)),
        after: Some(fate(one.after)),
    }
}

fn fate(fate: Fate) -> v1::JobFate {
    match fate {
        Fate::Placed { bench, start, likely, safe, late } => v1::JobFate {
            bench: bench.0.into(),
            starts_us: start.0,
            ready: Some(v1::ReadyBy { likely_us: likely.0, safe_us: safe.map_or(0, |at| at.0), said_us: 0 }),
            late_us: late.0,
            unplaced: String::new(),
        },
        Fate::Nowhere(why) => {
            v1::JobFate { unplaced: lens::why_unplaced(why).to_owned(), ..v1::JobFate::default() }
        }
        Fate::NoWork => v1::JobFate::default(),
    }
}

fn sums(sums: Sums) -> v1::PlanSums {
    let Sums { late, weighted_late_min, nowhere, held } = sums;
    v1::PlanSums { late, weighted_late_min, nowhere, held }
}
