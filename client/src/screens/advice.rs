//! What the guide says of the bench's job in hand: how likely each fault is after what was found, and which check finds
//! the cause soonest. By the built-in estimates.

use remise_core::armoury::{Command, JobRef, Showed};
use remise_core::circuit::usual_weapon;
use remise_core::gear::ItemKind;
use remise_core::guide::{self, Case, Check, Finding, Guide, Manner};
use remise_core::ids::JobId;
use remise_link::view::{Course, JobView, RepairView};

use super::act::numbered;
use super::keys::Act;
use super::layer::{Layer, Sheet};
use super::send::send;
use super::state::{Role, State, Task};
use super::{faults, open};

/// What the guide says of one job.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    job: JobId,
    kind: ItemKind,
    /// What was found, every repair taken to be in vain: what the next check follows from.
    case: Case,
    /// Probability of each possible fault, by its code.
    shares: Vec<(&'static str, f64)>,
    /// The next check.
    pub next: Option<NextCheck>,
}

/// The check that finds the cause soonest.
#[derive(Clone, Debug, PartialEq)]
pub struct NextCheck {
    /// What to do.
    pub title: String,
    /// With what.
    pub with: String,
    /// What has to be opened first, in order.
    pub first: Vec<String>,
    /// Minutes, with what has to be opened first.
    pub minutes: f64,
    /// How it is answered.
    pub asks: Asks,
}

/// How a check is answered.
#[derive(Clone, Debug, PartialEq)]
pub enum Asks {
    /// As a look at that fault.
    Look(&'static str),
    /// By one of these results of that check.
    Shows(String, &'static [&'static str]),
}

/// Keeps the advice in step with the job in hand and what was found; only what changed is computed again.
pub fn settle(state: &mut State) {
    let Some(job) = state.in_hand().filter(|_| state.role == Role::Bench) else {
        state.advice = None;
        return;
    };
    let course = state.course_of(job.job);
    let (case, asked) = (case(job, course, false), case(job, course, true));
    let is_same = |advice: &Advice| advice.job == job.job && advice.kind == job.kind && advice.case == asked;
    if !state.advice.as_ref().is_some_and(is_same) {
        state.advice = advise(job, &case, asked);
    }
}

/// What was found. A repair was in vain once the search went on after it; until then nobody has said so, but whoever asks
/// for the next check says it (`in_vain`).
fn case(job: &JobView, course: Option<&Course>, in_vain: bool) -> Case {
    let looks = course.iter().flat_map(|course| &course.findings);
    let sightings = course.map_or(&[][..], |course| &course.sightings);
    let newest = looks.clone().map(|look| look.finding).chain(sightings.iter().map(|it| it.id)).max();
    let went_on = |repair: &&RepairView| in_vain || newest.is_some_and(|newest| newest.0 > repair.repair.0);
    let mended = course.iter().flat_map(|course| &course.repairs).filter(went_on);
    let mended = mended.filter_map(|it| it.fault.as_deref());
    let looks = looks.map(|finding| (finding.fault.as_str(), finding.showed));
    guide::case_of(job.kind, job.complaint, looks, sightings, mended)
}

fn advise(job: &JobView, case: &Case, asked: Case) -> Option<Advice> {
    let guide = Guide::built_in(job.kind)?;
    let shares = guide.causes().map(|cause| cause.fault.id).zip(guide.probabilities(case)).collect();
    let next = guide.next(&asked, Manner::Quickest).map(|next| NextCheck {
        title: next.check.title(),
        with: next.check.with().to_owned(),
        first: next.first.iter().map(|opening| opening.what.clone()).collect(),
        minutes: next.minutes,
        asks: match next.check {
            Check::Look(cause) => Asks::Look(cause.fault.id),
            Check::Stir(_) => Asks::Shows(next.code, next.check.results()),
        },
    });
    Some(Advice { job: job.job, kind: job.kind, case: asked, shares, next })
}

impl Advice {
    /// Probability of a fault, from 0 to 1.
    pub fn share(&self, fault: &str) -> Option<f64> {
        self.shares.iter().find(|(known, _)| *known == fault).map(|(_, share)| *share)
    }
}

/// The next check, while the search goes on: nothing was found that is still to be mended, and nothing was mended.
pub fn wanted<'s>(state: &'s State, job: &JobView) -> Option<&'s NextCheck> {
    let course = state.course_of(job.job)?;
    let found = course.findings.iter().any(|finding| finding.showed == Showed::Present);
    let ended = found || !course.repairs.is_empty() || course.job.no_fault || course.elsewhere.is_some();
    state.advice.as_ref().filter(|_| !ended)?.next.as_ref()
}

/// Opens the answers to the next check; also when something was mended and the complaint stays.
pub fn begin(state: &mut State) -> Vec<Task> {
    let Some(Advice { job, next: Some(next), .. }) = &state.advice else {
        return open::nothing(
            state,
            "The guide knows no check for this. Number keys record what a look showed",
        );
    };
    let (job, next) = (*job, next.clone());
    let layer = match &next.asks {
        Asks::Look(fault) => {
            let at = state
                .in_hand()
                .and_then(|job| faults::listed(job).iter().position(|(listed, _)| listed.id == *fault));
            state.home.fault = at.unwrap_or(state.home.fault);
            Layer::Finding(job, fault)
        }
        Asks::Shows(..) => Layer::Check { job, next: Box::new(next), sure: true },
    };
    state.sheets.push(Sheet::new(layer));
    Vec::new()
}

/// A key in the answers to a check. The next key must not wait for the server's answer.
pub fn answer(state: &mut State, act: Act, typed: Option<char>) -> Vec<Task> {
    let Some(Sheet { layer: Layer::Check { job, next, sure }, .. }) = state.sheets.last_mut() else {
        return Vec::new();
    };
    let Asks::Shows(code, results) = &next.asks else { return Vec::new() };
    let result = match act {
        Act::NotSure => {
            *sure = !*sure;
            return Vec::new();
        }
        Act::Show(Showed::Unsure) => Some("unsure".to_owned()),
        Act::Pick => numbered(typed, results)
            .map(|result| if *sure { (*result).to_owned() } else { format!("{result}?") }),
        _ => None,
    };
    let Some(result) = result else { return Vec::new() };
    let (job, what) = (JobRef::Job(*job), format!("{}: {result}", next.title));
    let seen = format!("{code}={result}");
    state.sheets.pop();
    send(state, Command::See { job, seen }, what)
}

/// Something that was seen, as people say it.
pub fn said(kind: ItemKind, seen: &str) -> String {
    Finding::parse(seen, kind, usual_weapon(kind)).map_or_else(|_| seen.to_owned(), |finding| finding.said())
}
