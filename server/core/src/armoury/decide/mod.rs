//! From a command to events, or a refusal. Reads the state, changes nothing, does nothing.

mod bench;
mod callout;
mod correct;
mod draft;
mod evening;
mod handback;
mod head;
mod intake;
mod proof;

use crate::ids::BenchId;
use crate::time::{Span, Stamp};
use crate::venue::Venue;

use super::command::Command;
use super::event::{Event, PromiseSaid, VenueSet};
use super::refusal::Refusal;
use super::state::{Armoury, NewText};
use draft::Draft;

pub use evening::NOTICE_PATIENCE;
pub(super) use proof::required as required_checks;

/// What a command leads to: new rows of the names table, then events, in this order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[must_use = "a decision changes nothing until its events are written and applied"]
pub struct Decision {
    /// Rows of the names table that the events refer to.
    pub texts: Vec<NewText>,
    /// What happens; the first has the number after the armoury's head.
    pub events: Vec<Event>,
    /// What the caller should know besides: nothing is wrong, yet a person would say it.
    pub advice: Vec<String>,
}

/// The furthest back that something may have happened when it is entered: paper after a power cut.
const OLDEST: Span = Span::minutes(3 * 24 * 60);
/// Clocks of devices may run ahead by this much.
const AHEAD: Span = Span::minutes(2);

/// Decides a command.
///
/// `now` is the journal's time; `happened_at` is when the thing happened, the same unless it is entered late.
pub fn decide(
    room: &Armoury,
    command: &Command,
    now: Stamp,
    happened_at: Stamp,
) -> Result<Decision, Refusal> {
    if happened_at > now + AHEAD || happened_at < now - OLDEST {
        return Err(Refusal::HappenedOutOfRange);
    }
    let mut draft = Draft::new(room, happened_at.min(now));
    dispatch(&mut draft, command)?;
    Ok(draft.finish())
}

fn dispatch(d: &mut Draft<'_>, command: &Command) -> Result<(), Refusal> {
    match command {
        Command::SetVenue { venue, armourers } => set_venue(d, venue, armourers),
        Command::HandIn(hand_in) => intake::hand_in(d, hand_in),
        Command::ScanIn { job, tag } => intake::scan_in(d, *job, *tag),
        Command::Claim { job, fencer } => intake::claim(d, *job, fencer),
        Command::FencerOut { fencer } => intake::fencer_out(d, fencer, true),
        Command::FencerIn { fencer } => intake::fencer_out(d, fencer, false),
        Command::Lend { fencer, kind } => intake::lend(d, fencer, *kind),
        Command::LoanBack { fencer, kind } => intake::loan_back(d, fencer, *kind),
        Command::CallOut { strip, note } => callout::call(d, *strip, note.as_deref()),
        Command::ReachStrip { call } => callout::reach(d, *call),
        Command::Redirect { call, bench } => callout::redirect(d, *call, *bench),
        Command::RunAgain { call, swapped, stock, note } => {
            callout::run_again(d, *call, *swapped, stock.as_deref(), note.as_deref())
        }
        Command::SayPromises { promises } => {
            say_promises(d, promises);
            Ok(())
        }
        Command::Tick => {
            evening::tick(d);
            Ok(())
        }
        _ => dispatch_work(d, command),
    }
}

fn dispatch_work(d: &mut Draft<'_>, command: &Command) -> Result<(), Refusal> {
    match command {
        Command::Take { job, bench } => bench::take(d, *job, *bench),
        Command::PutBack { job, note } => bench::put_back(d, *job, note.as_deref()),
        Command::PassOn { job, bench, note } => bench::pass_on(d, *job, *bench, note.as_deref()),
        Command::TakeOver { job, bench, reason } => bench::take_over(d, *job, *bench, reason),
        Command::Interrupt { bench } => bench::interrupt(d, *bench),
        Command::Resume { bench } => bench::resume(d, *bench),
        Command::GoAway { bench, until } => bench::go_away(d, *bench, *until),
        Command::ComeBack { bench } => bench::come_back(d, *bench),
        Command::See { job, seen } => bench::see(d, *job, seen),
        Command::Find { job, fault, showed, note } => bench::find(d, *job, fault, *showed, note.as_deref()),
        Command::Repair { job, work, fault, lasting, owed } => {
            bench::repair(d, *job, *work, fault.as_deref(), *lasting, *owed)
        }
        Command::Cure { job, until } => bench::cure(d, *job, *until),
        Command::DryNow { job } => bench::dry_now(d, *job),
        Command::NoFaultFound { job } => proof::no_fault(d, *job),
        Command::FaultElsewhere { job, place } => proof::elsewhere(d, *job, place),
        Command::Prove { job, check, answer } => proof::prove(d, *job, check, *answer),
        Command::Ready { job } => proof::ready(d, *job),
        Command::ReadyAnyway { job, reason } => proof::ready_anyway(d, *job, reason),
        Command::Withdraw { job, reason } => proof::withdraw(d, *job, reason),
        _ => dispatch_moves(d, command),
    }
}

fn dispatch_moves(d: &mut Draft<'_>, command: &Command) -> Result<(), Refusal> {
    match command {
        Command::ConfirmNotice { notice } => handback::confirm(d, *notice),
        Command::HandBack { job, to } => handback::hand_back(d, *job, to),
        Command::BackTo { job, to } => handback::back_to(d, *job, *to),
        Command::WantBy { job, wanted } => handback::want_by(d, *job, wanted),
        Command::SetNeed { job, need } => head::set_need(d, *job, *need),
        Command::CallOff { job, reason } => handback::call_off(d, *job, reason),
        Command::Missing { job, note } => handback::missing(d, *job, note.as_deref()),
        Command::FoundAgain { job, place } => handback::found_again(d, *job, *place),
        Command::CollectedUnseen { job, note } => handback::collected_unseen(d, *job, note.as_deref()),
        Command::Hold { job, reason, note } => head::hold(d, *job, *reason, note.as_deref()),
        Command::Release { job } => head::release(d, *job),
        Command::Confiscate { job, note } => head::confiscate(d, *job, note),
        Command::ReleaseConfiscated { job, note } => head::release_confiscated(d, *job, note),
        Command::Pin { job, bench } => head::pin(d, *job, *bench),
        Command::OpenBench { bench } => head::open_bench(d, *bench),
        Command::CloseBench { bench } => head::close_bench(d, *bench),
        Command::CloseBenchAt { bench, at } => head::close_bench_at(d, *bench, *at),
        Command::EndOwed { owed, how } => head::end_owed(d, *owed, *how),
        Command::Correct { job, what, note } => correct::correct(d, *job, what, note.as_deref()),
        Command::ExchangeTags { a, b } => correct::exchange_tags(d, *a, *b),
        Command::Count { place, tags } => evening::count(d, *place, tags),
        Command::CloseDay => evening::close_day(d),
        _ => unreachable!("dispatch and dispatch_work take the other commands"),
    }
}

fn set_venue(d: &mut Draft<'_>, venue: &Venue, armourers: &[(BenchId, String)]) -> Result<(), Refusal> {
    let mut venue = venue.clone();
    for bench in &mut venue.benches {
        bench.armourer = match armourers.iter().find(|(id, _)| *id == bench.id) {
            Some((_, name)) => Some(d.person("armourer", name)?),
            None => None,
        };
    }
    if d.room.venue.as_deref() == Some(&venue) {
        return Ok(());
    }
    let removed = |bench: BenchId| venue.bench(bench).is_none();
    for (bench, state) in d.room.benches.iter().filter(|(bench, _)| removed(**bench)) {
        d.not_on_call(*bench)?;
        if let Some(job) = state.job {
            return Err(Refusal::BenchHasJob { bench: *bench, job });
        }
    }
    d.push(VenueSet { venue: venue.clone() });
    head::unpin(d, removed);
    Ok(())
}

fn say_promises(d: &mut Draft<'_>, promises: &[super::command::NewPromise]) {
    for promise in promises {
        if d.room.job(promise.job).is_some_and(|job| job.awaits_work()) {
            d.push(PromiseSaid {
                job: promise.job,
                likely: promise.likely,
                safe: promise.safe,
                raw_likely: promise.raw.map(|raw| raw.likely),
                raw_safe: promise.raw.map(|raw| raw.safe),
            });
        }
    }
}

/// Shared by the parts: an event is pushed by any of its structs.
fn event(e: impl Into<Event>) -> Event {
    e.into()
}
