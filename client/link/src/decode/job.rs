//! Jobs, as boards, lists and streams carry them.

use remise_core::ids::{CallId, ItemId, JobId, NoticeId, OwedId, Seq};
use remise_core::time::Span;
use remise_proto::v1;

use super::Read;
use super::parts::{
    complaint, hold_reason, item_kind, need, notice_kind, number, opt_bench, opt_number, opt_stamp, opt_tag,
    opt_text, place, spot, stamp, state,
};
use crate::view::{HoldView, JobView, NoticeView, ReadyBy};

/// One job.
pub(super) fn job(raw: &v1::JobView) -> Read<JobView> {
    let owed = raw.owed.iter().map(|owed| number("owed", *owed).map(OwedId)).collect::<Read<_>>()?;
    Ok(JobView {
        job: JobId(number("job", raw.job)?),
        item: ItemId(number("item", raw.item)?),
        tag: opt_tag("tag", &raw.tag)?,
        kind: item_kind("item_kind", &raw.item_kind)?,
        complaint: complaint("complaint", &raw.complaint)?,
        note: opt_text(&raw.note),
        fencer: opt_text(&raw.fencer),
        team: raw.team,
        owner: opt_text(&raw.owner),
        bringer: opt_text(&raw.bringer),
        official: opt_text(&raw.official),
        came_from: spot("came_from", raw.came_from)?,
        back_to: spot("back_to", raw.back_to)?,
        need: need("need", raw.need)?,
        state: state("state", raw.state)?,
        place: place("place", raw.place)?,
        bench: opt_bench("bench", raw.bench)?,
        wanted_by: opt_stamp(raw.wanted_by_us),
        handed_in: stamp("handed_in_us", raw.handed_in_us)?,
        first_promise: ready_by("first_promise", raw.first_promise)?,
        promise: ready_by("promise", raw.promise)?,
        planned: ready_by("planned", raw.planned)?,
        hold: raw.hold.as_ref().map(hold).transpose()?,
        pinned: opt_bench("pinned", raw.pinned)?,
        notice: raw.notice.as_ref().map(notice).transpose()?,
        dry_at: opt_stamp(raw.dry_at_us),
        hands_on: Span(raw.hands_on_us.max(0)),
        in_hand_since: opt_stamp(raw.in_hand_since_us),
        owed,
        call: opt_number(raw.call).map(CallId),
        changed: Seq(raw.changed_seq),
        no_fault: raw.no_fault,
        ended: opt_stamp(raw.ended_us),
        earlier_stays: raw.earlier_stays,
    })
}

/// A time by which something is ready.
pub(super) fn ready_by(field: &str, raw: Option<v1::ReadyBy>) -> Read<Option<ReadyBy>> {
    let Some(raw) = raw else { return Ok(None) };
    let likely = stamp("likely_us", raw.likely_us).map_err(|bad| bad.within(field))?;
    Ok(Some(ReadyBy { likely, safe: opt_stamp(raw.safe_us), said: opt_stamp(raw.said_us) }))
}

fn hold(raw: &v1::HoldView) -> Read<HoldView> {
    Ok(HoldView {
        reason: hold_reason("hold.reason", raw.reason)?,
        note: opt_text(&raw.note),
        since: stamp("hold.since_us", raw.since_us)?,
    })
}

fn notice(raw: &v1::NoticeView) -> Read<NoticeView> {
    Ok(NoticeView {
        notice: NoticeId(number("notice.notice", raw.notice)?),
        kind: notice_kind("notice.kind", raw.kind)?,
        to: spot("notice.to", raw.to)?,
        sent: stamp("notice.sent_us", raw.sent_us)?,
        confirmed: opt_stamp(raw.confirmed_us),
        raised: raw.raised,
    })
}
