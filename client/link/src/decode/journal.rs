//! The first message, acceptances, and the journal itself.

use remise_core::ids::{JobId, Seq};
use remise_core::time::Stamp;
use remise_proto::v1;

use super::parts::{list, number, opt_bench, opt_number, opt_stamp, opt_strip, opt_text, stamp, text};
use super::{BadField, Read};
use crate::address::Role;
use crate::error::shown;
use crate::send::Accepted;
use crate::view::{EventBatch, EventView, JournalHead, Verified, Welcome};

/// The answer to a command.
pub(crate) fn accepted(raw: &v1::Accepted) -> Read<Accepted> {
    Ok(Accepted {
        first_seq: Seq(raw.first_seq),
        last_seq: Seq(raw.last_seq),
        jobs: raw.jobs.iter().map(|job| number("jobs", *job).map(JobId)).collect::<Read<_>>()?,
        recorded_at: stamp("recorded_at_us", raw.recorded_at_us)?,
        advice: raw.advice.iter().filter_map(|line| opt_text(line)).collect(),
    })
}

/// The answer to hello.
pub(crate) fn welcome(raw: &v1::Welcome) -> Read<Welcome> {
    let role = match v1::Role::try_from(raw.role) {
        Ok(v1::Role::Strip) => Some(Role::Strip),
        Ok(v1::Role::Counter) => Some(Role::Counter),
        Ok(v1::Role::Bench) => Some(Role::Bench),
        Ok(v1::Role::Head) => Some(Role::Head),
        Ok(v1::Role::Observer) => Some(Role::Observer),
        Ok(v1::Role::Unspecified) | Err(_) => None,
    };
    Ok(Welcome {
        server_version: shown(&raw.server_version),
        wire: raw.wire,
        tournament: shown(&raw.tournament),
        zone: shown(&raw.zone),
        epoch: raw.epoch,
        head: Seq(raw.head),
        role,
        station: shown(&raw.station),
        strip: opt_strip("strip", raw.strip)?,
        bench: opt_bench("bench", raw.bench)?,
        now: stamp("now_us", raw.now_us)?,
    })
}

/// The newest number.
pub(crate) fn head(raw: &v1::JournalHead) -> JournalHead {
    JournalHead {
        head: Seq(raw.head),
        recorded_at: opt_stamp(raw.recorded_at_us),
        epoch: raw.epoch,
        now: Stamp(raw.now_us),
    }
}

/// Events.
pub(crate) fn events(raw: &v1::EventBatch) -> Read<EventBatch> {
    Ok(EventBatch { covers_up_to: Seq(raw.covers_up_to), events: list("events", &raw.events, event)? })
}

fn event(raw: &v1::EventView) -> Read<EventView> {
    let event = serde_json::from_str(&raw.json).map_err(|why| BadField::new("json", why.to_string()))?;
    Ok(EventView {
        seq: Seq(number("seq", raw.seq)?),
        recorded_at: stamp("recorded_at_us", raw.recorded_at_us)?,
        happened_at: stamp("happened_at_us", raw.happened_at_us)?,
        job: opt_number(raw.job).map(JobId),
        station: opt_text(&raw.station),
        kind: text("kind", &raw.kind)?,
        version: raw.version,
        event,
    })
}

/// Whether the chain holds.
pub(crate) fn verified(raw: &v1::Verified) -> Verified {
    Verified {
        sound: raw.sound,
        checked: raw.checked,
        first_bad: opt_number(raw.first_bad).map(Seq),
        message: shown(&raw.message),
    }
}
