//! Call-outs: an armourer goes to a stopped strip. The promise of a call-out is the arrival.

use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{BenchId, CallId, ItemId, StripId};
use crate::time::{Span, Stamp};
use crate::venue::Bench;

use super::super::event::{CalledOut, HandedIn, Interrupted, RanAgain, Redirected, Resumed, StripReached};
use super::super::refusal::Refusal;
use super::super::state::CallState;
use super::super::words::{Need, Spot};
use super::draft::Draft;

pub(super) fn call(d: &mut Draft<'_>, strip: StripId, note: Option<&str>) -> Result<(), Refusal> {
    let walk = walk(d, strip)?;
    if let Some(call) = d.room.calls.values().find(|call| call.strip == strip) {
        return Err(Refusal::AlreadyCalled { strip, call: call.id });
    }
    let bench = nearest(d)?.id;
    let note = d.maybe_note("note", note)?;
    d.push(CalledOut { strip, note, bench, arrival: d.when + walk });
    interrupt(d, bench);
    Ok(())
}

fn walk(d: &Draft<'_>, strip: StripId) -> Result<Span, Refusal> {
    let strip = d.venue()?.strip(strip).ok_or(Refusal::UnknownStrip { strip })?;
    Ok(Span::minutes(i64::from(strip.walk_min)))
}

/// Who goes: a roving armourer first, then one with nothing in hand, then the lowest number. All benches stand in
/// one room, so the walk is the same for each.
fn nearest<'a>(d: &Draft<'a>) -> Result<&'a Bench, Refusal> {
    let free = |bench: &&Bench| {
        let state = d.room.bench(bench.id);
        let away = state.away_until.is_some_and(|until| d.when < until);
        bench.can(Work::Apparatus) && d.room.bench_is_open(bench.id, d.when) && state.call.is_none() && !away
    };
    let rank = |bench: &&Bench| (!bench.roving, d.room.bench(bench.id).job.is_some(), bench.id);
    d.venue()?.benches.iter().filter(free).min_by_key(rank).ok_or(Refusal::NobodyCanGo)
}

fn interrupt(d: &mut Draft<'_>, bench: BenchId) {
    let state = d.room.bench(bench);
    if let Some(job) = state.job.filter(|_| !state.interrupted) {
        d.push(Interrupted { job, bench });
    }
}

fn resume(d: &mut Draft<'_>, bench: BenchId) {
    let state = d.room.bench(bench);
    let away = state.away_until.is_some_and(|until| d.when < until);
    if let Some(job) = state.job.filter(|_| state.interrupted && !away) {
        d.push(Resumed { job, bench });
    }
}

pub(super) fn reach(d: &mut Draft<'_>, call: CallId) -> Result<(), Refusal> {
    let open = d.room.calls.get(&call).ok_or(Refusal::UnknownCall { call })?;
    if open.state == CallState::AtStrip {
        return Err(Refusal::NothingChanges);
    }
    d.push(StripReached { call });
    Ok(())
}

pub(super) fn redirect(d: &mut Draft<'_>, call: CallId, bench: BenchId) -> Result<(), Refusal> {
    let open = d.room.calls.get(&call).ok_or(Refusal::UnknownCall { call })?;
    let new = d.bench(bench)?;
    if open.bench == bench {
        return Err(Refusal::NothingChanges);
    }
    if !new.can(Work::Apparatus) {
        return Err(Refusal::BenchCannot { bench });
    }
    d.not_on_call(bench)?;
    if !d.room.bench_is_open(bench, d.when) {
        return Err(Refusal::BenchIsClosed { bench });
    }
    let arrival: Stamp = d.when + walk(d, open.strip)?;
    let old = open.bench;
    d.push(Redirected { call, bench, arrival });
    interrupt(d, bench);
    resume(d, old);
    Ok(())
}

pub(super) fn run_again(
    d: &mut Draft<'_>,
    call: CallId,
    swapped: Option<ItemKind>,
    stock: Option<&str>,
    note: Option<&str>,
) -> Result<(), Refusal> {
    let open = d.room.calls.get(&call).ok_or(Refusal::UnknownCall { call })?;
    if open.state != CallState::AtStrip {
        return Err(Refusal::NotAtStrip { call });
    }
    if swapped.is_some_and(|kind| !kind.is_apparatus()) {
        return Err(Refusal::NotApparatus);
    }
    let stock = d.maybe_note("stock", stock)?;
    let note = d.maybe_note("note", note)?;
    d.push(RanAgain { call, stock, note });
    if let Some(kind) = swapped {
        let item = ItemId(d.next().0);
        d.push(faulty_unit(item, kind, open.strip, call));
    }
    resume(d, open.bench);
    Ok(())
}

/// The unit that was swapped out: it comes in as a job of its own, and the strip no longer waits for it.
fn faulty_unit(item: ItemId, kind: ItemKind, strip: StripId, call: CallId) -> HandedIn {
    HandedIn {
        item,
        item_kind: kind,
        fencer: None,
        team: false,
        owner: None,
        bringer: None,
        official: None,
        complaint: Complaint::Other,
        note: None,
        came_from: Spot::Strip(strip),
        back_to: Spot::Counter,
        need: Need::TwoOrMore,
        wanted_by: None,
        tag: None,
        in_room: false,
        call: Some(call),
    }
}
