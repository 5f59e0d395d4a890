//! What moves would change.

use remise_core::ids::Seq;
use remise_core::time::{Span, Stamp};
use remise_proto::v1;

use super::job::{job, ready_by};
use super::parts::{list, opt_bench, opt_stamp, opt_text};
use super::{BadField, Read};
use crate::error::shown;
use crate::view::{Fate, MovedJob, PlanSums, WhatIf};

const MISSING: &str = "it is missing";

/// What moves would change.
pub(crate) fn what_if(raw: &v1::WhatIfReport) -> Read<WhatIf> {
    Ok(WhatIf {
        covers_up_to: Seq(raw.covers_up_to),
        at: Stamp(raw.at_us),
        moved: list("moved", &raw.moved, moved)?,
        before: sums("before", raw.before)?,
        after: sums("after", raw.after)?,
        advice: raw.advice.iter().map(|line| shown(line)).collect(),
    })
}

fn moved(raw: &v1::MovedJob) -> Read<MovedJob> {
    let view = raw.job.as_ref().ok_or_else(|| BadField::new("job", MISSING))?;
    Ok(MovedJob {
        job: job(view)?,
        before: fate("before", raw.before.as_ref())?,
        after: fate("after", raw.after.as_ref())?,
    })
}

fn fate(field: &str, raw: Option<&v1::JobFate>) -> Read<Fate> {
    let raw = raw.ok_or_else(|| BadField::new(field, MISSING))?;
    Ok(Fate {
        bench: opt_bench("bench", raw.bench).map_err(|bad| bad.within(field))?,
        starts: opt_stamp(raw.starts_us),
        ready: ready_by("ready", raw.ready).map_err(|bad| bad.within(field))?,
        late: Span(raw.late_us.max(0)),
        unplaced: opt_text(&raw.unplaced),
    })
}

fn sums(field: &str, raw: Option<v1::PlanSums>) -> Read<PlanSums> {
    let raw = raw.ok_or_else(|| BadField::new(field, MISSING))?;
    let v1::PlanSums { late, weighted_late_min, nowhere, held } = raw;
    Ok(PlanSums { late, weighted_late_min, nowhere, held })
}
