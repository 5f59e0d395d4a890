//! All that is known of one job.

use remise_core::armoury::Sighting;
use remise_core::ids::{FindingId, RepairId, Seq};
use remise_core::time::{Span, Stamp};
use remise_proto::v1;

use super::Read;
use super::board::owed;
use super::job::job;
use super::parts::{answer, lasting, list, needed, number, opt_text, showed, stamp, text, work};
use crate::error::shown;
use crate::view::{CheckView, Course, FindingView, HistoryLine, RepairView};

/// The course of a job.
pub(crate) fn course(raw: &v1::Course) -> Read<Course> {
    Ok(Course {
        covers_up_to: Seq(raw.covers_up_to),
        at: Stamp(raw.at_us),
        job: job(needed("job", raw.job.as_ref())?).map_err(|bad| bad.within("job"))?,
        findings: list("findings", &raw.findings, finding)?,
        sightings: list("sightings", &raw.sightings, sighting)?,
        repairs: list("repairs", &raw.repairs, repair)?,
        proof: list("proof", &raw.proof, check)?,
        history: list("history", &raw.history, line)?,
        owed: list("owed", &raw.owed, owed)?,
        elsewhere: opt_text(&raw.elsewhere),
        anyway: opt_text(&raw.anyway),
    })
}

fn finding(raw: &v1::FindingView) -> Read<FindingView> {
    Ok(FindingView {
        finding: FindingId(number("finding", raw.finding)?),
        fault: text("fault", &raw.fault)?,
        showed: showed("showed", raw.showed)?,
        note: opt_text(&raw.note),
    })
}

fn sighting(raw: &v1::SightingView) -> Read<Sighting> {
    Ok(Sighting { id: FindingId(number("finding", raw.finding)?), seen: text("seen", &raw.seen)? })
}

fn repair(raw: &v1::RepairView) -> Read<RepairView> {
    Ok(RepairView {
        repair: RepairId(number("repair", raw.repair)?),
        work: work("work", &raw.work)?,
        fault: opt_text(&raw.fault),
        lasting: lasting("lasting", raw.lasting)?,
        hands_on: Span(raw.hands_on_us.max(0)),
    })
}

fn check(raw: &v1::CheckView) -> Read<CheckView> {
    let given = answer(raw.answer).filter(|_| raw.answered);
    Ok(CheckView {
        check: text("check", &raw.check)?,
        title: text("title", &raw.title)?,
        rule: opt_text(&raw.rule),
        unit: opt_text(&raw.unit),
        parts_per_unit: raw.parts_per_unit.max(1),
        limit: shown(&raw.limit),
        edition: shown(&raw.edition),
        status: shown(&raw.status),
        caution: opt_text(&raw.caution),
        pass: raw.pass && given.is_some(),
        answer: given,
    })
}

fn line(raw: &v1::HistoryLine) -> Read<HistoryLine> {
    Ok(HistoryLine {
        seq: Seq(number("seq", raw.seq)?),
        recorded_at: stamp("recorded_at_us", raw.recorded_at_us)?,
        happened_at: stamp("happened_at_us", raw.happened_at_us)?,
        late: raw.late,
        station: opt_text(&raw.station),
        sentence: text("sentence", &raw.sentence)?,
    })
}
