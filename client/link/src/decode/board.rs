//! Boards, plans, the night's list and searches.

use remise_core::ids::{CallId, ItemId, JobId, OwedId, Seq};
use remise_core::time::Stamp;
use remise_proto::v1;

use super::job::{job, ready_by};
use super::parts::{
    bench, item_kind, list, number, opt_number, opt_stamp, opt_tag, opt_text, stamp, strip, text, work,
};
use super::{BadField, Read};
use crate::error::shown;
use crate::view::{
    BenchView, Board, CallState, CallView, CountLine, Found, Lane, LaneSlot, NightList, OwedView, Plan,
    PlannerView, Unplaced,
};

/// A board or a change of one.
pub(crate) fn board(raw: &v1::Board) -> Read<Board> {
    let removed = raw.removed.iter().map(|gone| number("removed", *gone).map(JobId)).collect::<Read<_>>()?;
    Ok(Board {
        covers_up_to: Seq(raw.covers_up_to),
        at: Stamp(raw.at_us),
        full: raw.full,
        jobs: list("jobs", &raw.jobs, job)?,
        removed,
        benches: raw.benches.as_ref().map(|part| list("benches", &part.benches, bench_view)).transpose()?,
        calls: raw.calls.as_ref().map(|part| list("calls", &part.calls, call)).transpose()?,
        lanes: raw.lanes.as_ref().map(|part| list("lanes", &part.lanes, lane)).transpose()?,
        owed: raw.owed.as_ref().map(|part| list("owed", &part.owed, owed)).transpose()?,
        tally: raw.tally.as_ref().map(|part| list("tally", &part.lines, count_line)).transpose()?,
        planner: raw.planner.as_ref().map(planner).transpose()?,
    })
}

fn bench_view(raw: &v1::BenchView) -> Read<BenchView> {
    Ok(BenchView {
        bench: bench("bench", raw.bench)?,
        name: shown(&raw.name),
        armourer: opt_text(&raw.armourer),
        open: raw.open,
        in_hand: opt_number(raw.in_hand).map(JobId),
        interrupted: raw.interrupted,
        away_until: opt_stamp(raw.away_until_us),
        call: opt_number(raw.call).map(CallId),
        closes_at: opt_stamp(raw.closes_at_us),
    })
}

fn call(raw: &v1::CallView) -> Read<CallView> {
    let state = match v1::CallState::try_from(raw.state) {
        Ok(v1::CallState::Called) => CallState::Called,
        Ok(v1::CallState::AtStrip) => CallState::AtStrip,
        _ => {
            return Err(BadField::new("state", format!("this client does not know the value {}", raw.state)));
        }
    };
    Ok(CallView {
        call: CallId(number("call", raw.call)?),
        strip: strip("strip", raw.strip)?,
        bench: bench("bench", raw.bench)?,
        state,
        note: opt_text(&raw.note),
        called: stamp("called_us", raw.called_us)?,
        arrival: opt_stamp(raw.arrival_us),
    })
}

fn lane(raw: &v1::Lane) -> Read<Lane> {
    Ok(Lane { bench: bench("bench", raw.bench)?, slots: list("steps", &raw.steps, slot)? })
}

fn slot(raw: &v1::LaneStep) -> Read<LaneSlot> {
    Ok(LaneSlot {
        job: JobId(number("job", raw.job)?),
        starts: stamp("starts_us", raw.starts_us)?,
        ready: ready_by("ready", raw.ready)?,
        why: opt_text(&raw.why),
        late: opt_text(&raw.late),
    })
}

/// What is owed.
pub(super) fn owed(raw: &v1::OwedView) -> Read<OwedView> {
    Ok(OwedView {
        owed: OwedId(number("owed", raw.owed)?),
        item: ItemId(number("item", raw.item)?),
        kind: item_kind("item_kind", &raw.item_kind)?,
        work: work("work", &raw.work)?,
        fault: opt_text(&raw.fault),
        since: stamp("since_us", raw.since_us)?,
        fencer: opt_text(&raw.fencer),
        job: opt_number(raw.job).map(JobId),
    })
}

fn count_line(raw: &v1::CountLine) -> Read<CountLine> {
    Ok(CountLine { of: text("of", &raw.of)?, code: text("code", &raw.code)?, number: raw.number })
}

fn unplaced(raw: &v1::Unplaced) -> Read<Unplaced> {
    Ok(Unplaced { job: JobId(number("job", raw.job)?), why: shown(&raw.why) })
}

fn planner(raw: &v1::PlannerView) -> Read<PlannerView> {
    Ok(PlannerView {
        covers_up_to: Seq(raw.covers_up_to),
        made_at: opt_stamp(raw.made_at_us),
        unplaced: list("planner.unplaced", &raw.unplaced, unplaced)?,
        trouble: opt_text(&raw.trouble),
    })
}

/// A plan.
pub(crate) fn plan(raw: &v1::Plan) -> Read<Plan> {
    Ok(Plan {
        covers_up_to: Seq(raw.covers_up_to),
        made_at: opt_stamp(raw.made_at_us),
        lanes: list("lanes", &raw.lanes, lane)?,
        unplaced: list("unplaced", &raw.unplaced, unplaced)?,
        trouble: opt_text(&raw.trouble),
    })
}

/// The night's list.
pub(crate) fn night_list(raw: &v1::NightReport) -> Read<NightList> {
    Ok(NightList {
        covers_up_to: Seq(raw.covers_up_to),
        at: Stamp(raw.at_us),
        on_their_way: list("on_their_way", &raw.on_their_way, job)?,
        unfinished: list("unfinished", &raw.unfinished, job)?,
        uncollected: list("uncollected", &raw.uncollected, job)?,
        missing: list("missing", &raw.missing, job)?,
        confiscated: list("confiscated", &raw.confiscated, job)?,
        owed: list("owed", &raw.owed, owed)?,
        count_problems: raw.count_problems.iter().map(|line| shown(line)).collect(),
        complaints: list("complaints", &raw.complaints, count_line)?,
    })
}

/// What a search found.
pub(crate) fn found(raw: &v1::FoundJobs) -> Read<Found> {
    let near = list("near_tags", &raw.near_tags, |digits| opt_tag("digits", digits))?;
    Ok(Found {
        covers_up_to: Seq(raw.covers_up_to),
        at: Stamp(raw.at_us),
        jobs: list("jobs", &raw.jobs, job)?,
        more: raw.more,
        near_tags: near.into_iter().flatten().collect(),
    })
}
