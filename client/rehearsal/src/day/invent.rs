//! The invented day: as many hand-ins as the load asked for needs by formula, each drawn from streams of its own,
//! and a few more or later ones until the busiest two hours truly have that load.
//!
//! What would push the busiest two hours over it comes at another time of its competition, and is not made any
//! shorter: the mixture of causes and minutes stays that of the tables. Shares and times of what people do are numbers of our own.

use std::collections::BTreeMap;

use rand_chacha::ChaCha8Rng;
use remise_core::armoury::{Need, Spot};
use remise_core::gear::{Complaint, ItemKind, Weapon};
use remise_core::ids::StripId;
use remise_core::time::{Span, Stamp};
use remise_core::venue::Venue;
use remise_server::tournament::Tournament;

use super::arrivals::{Arrival, Arrivals};
use super::callouts::call_outs;
use super::causes;
use super::load::{AROUND_A_JOB, Ledger, of_call, of_job};
use super::options::{DayOptions, OptionProblem};
use super::people;
use super::plan::{Collection, Day, HandInPlan, Outcome, Quirks, TagSwap, TrueState};
use super::shares::Shares;
use super::stream::{Subject, below, chance, log_normal, pick, stream};
use super::venue::invented;
use super::wanted::wanted;

/// How far the load may lie from what was asked for, as a share of it.
const TOLERANCE: f64 = 0.025;
/// After so many candidates the day is what it is, even when its load stays below.
const CANDIDATES_MAX: u32 = 20_000;
/// So many other times are tried for a candidate that does not fit at its own.
const TRIES_MAX: usize = 60;
/// Share of hand-ins that somebody calls off.
const CALLED_OFF: f64 = 0.02;
/// At most one hand-in in so many is called off (3 %, rounded down).
const CALLED_OFF_ONE_IN: usize = 34;
/// Share that nobody collects.
const NEVER_COLLECTED: f64 = 0.03;
/// Share that somebody takes and says nothing.
const TAKEN_SILENTLY: f64 = 0.02;
/// Share of fencers' gear of which nobody says whose it is.
const UNKNOWN_OWNER: f64 = 0.03;
/// Share of strips that confirm late.
const LATE_STRIPS: f64 = 0.125;
/// Two items that come within so long may get each other's tag.
const SWAP_WITHIN: Span = Span::minutes(4);

/// An invented day at an invented tournament ([`invented`]).
///
/// # Errors
/// Every option that is out of bounds.
pub fn invented_day(options: &DayOptions) -> Result<Day, Vec<OptionProblem>> {
    day_in(invented(options)?, options)
}

/// An invented day at a given tournament, all its days together: strips, benches and hours are the tournament's
/// and not the options'. Without a competition while the armoury is open, nothing is handed in.
///
/// # Errors
/// Every option that is out of bounds.
pub fn day_in(tournament: Tournament, options: &DayOptions) -> Result<Day, Vec<OptionProblem>> {
    options.check()?;
    let crowd = Crowd::new(&tournament.venue, options);
    let calls = call_outs(&tournament.venue, &crowd.arrivals.phases, options.seed);
    let mut ledger = Ledger::new(&tournament.venue);
    for call in &calls {
        ledger.add(call.at, of_call(&tournament.venue, call));
    }
    let mut hand_ins = fill(&crowd, &mut ledger, options.load);
    hand_ins.sort_by_key(|hand_in| hand_in.at);
    limit_called_off(&mut hand_ins);
    let swaps = swap(&hand_ins, options.seed).into_iter().collect();
    Ok(Day { tournament, hand_ins, call_outs: calls, swaps })
}

/// Takes candidate after candidate: as many as the load is expected to need, and more while it stays below. One
/// that would push the busiest two hours over the load comes at another time.
fn fill(crowd: &Crowd<'_>, ledger: &mut Ledger, load: f64) -> Vec<HandInPlan> {
    let expected = expected_hand_ins(crowd.venue, &crowd.arrivals, ledger, load);
    let mut hand_ins = Vec::new();
    for index in 0..CANDIDATES_MAX {
        let reached = ledger.busiest().is_none_or(|busiest| busiest.load() >= load * (1.0 - TOLERANCE));
        if reached && hand_ins.len() >= expected {
            break;
        }
        let fits = |at, minutes| ledger.load_with(at, minutes) <= load * (1.0 + TOLERANCE);
        if let Some(candidate) = crowd.candidate(index, fits) {
            ledger.add(candidate.at, of_job(&candidate.truth));
            hand_ins.push(candidate);
        }
    }
    hand_ins
}

/// How many hand-ins bring the expected load of the busiest two hours to `load`, beside what the ledger holds.
///
/// The expected bench minutes of each stretch of the day are proportional to the intensity there; the factor is
/// the load over what the busiest stretch has at a factor of one.
fn expected_hand_ins(venue: &Venue, arrivals: &Arrivals, calls: &Ledger, load: f64) -> usize {
    let each = |weapon| causes::expected_minutes(weapon) + AROUND_A_JOB.as_min();
    let weapons = venue.competitions.iter().map(|competition| each(competition.weapon));
    let mean = weapons.sum::<f64>() / venue.competitions.len().max(1) as f64;
    let mut ledger = Ledger::new(venue);
    for (weapon, window, weight) in arrivals.intensity() {
        ledger.spread(window, weight * weapon.map_or(mean, each));
    }
    let weight: f64 = arrivals.intensity().map(|(_, _, weight)| weight).sum();
    let called = calls.mean();
    let factor = ledger.busiest().map_or(0.0, |busiest| (load - called).max(0.0) / busiest.load());
    if factor.is_finite() { (factor * weight).round() as usize } else { 0 }
}

/// Later calls-off than one in so many are forgotten.
fn limit_called_off(hand_ins: &mut [HandInPlan]) {
    let most = hand_ins.len() / CALLED_OFF_ONE_IN;
    for hand_in in hand_ins.iter_mut().filter(|hand_in| hand_in.call_off.is_some()).skip(most) {
        hand_in.call_off = None;
    }
}

/// Two items that come from strips at nearly the same time, of one kind if there are such, get each other's tag.
fn swap(hand_ins: &[HandInPlan], seed: u64) -> Option<TagSwap> {
    let usual = |hand_in: &HandInPlan| {
        matches!(hand_in.spot, Spot::Strip(_))
            && matches!(hand_in.truth.outcome, Outcome::Mend(_))
            && hand_in.call_off.is_none()
            && hand_in.quirks.collection == Collection::HandedBack
    };
    let near = |a: &usize| {
        let (first, second) = (&hand_ins[*a], &hand_ins[*a + 1]);
        usual(first) && usual(second) && second.at.since(first.at) <= SWAP_WITHIN
    };
    let pairs: Vec<usize> = (0..hand_ins.len().saturating_sub(1)).filter(near).collect();
    let same: Vec<usize> =
        pairs.iter().copied().filter(|a| hand_ins[*a].kind == hand_ins[*a + 1].kind).collect();
    let pairs = if same.is_empty() { pairs } else { same };
    let mut rng = stream(seed, Subject::Swaps, 0);
    let a = *pairs.get(below(&mut rng, pairs.len()))?;
    let noticed = hand_ins[a + 1].at.plus_min(15 + below(&mut rng, 30) as i64);
    Some(TagSwap { a, b: a + 1, noticed })
}

/// Everybody who hands something in, and their habits.
struct Crowd<'v> {
    seed: u64,
    shares: Shares,
    venue: &'v Venue,
    arrivals: Arrivals,
    /// By competition.
    fencers: Vec<Vec<String>>,
    /// The official of each strip, and whether the strip confirms late.
    strips: BTreeMap<StripId, (String, bool)>,
}

impl<'v> Crowd<'v> {
    fn new(venue: &'v Venue, options: &DayOptions) -> Self {
        let seed = options.seed;
        let entered = |(number, competition): (usize, &remise_core::venue::Competition)| {
            let each = if competition.teams.is_some() { 3 } else { 1 };
            people::fencers(seed, number, usize::from(competition.entries) * each)
        };
        let strip = |(index, (strip, official)): (u32, (&remise_core::venue::Strip, String))| {
            (strip.id, (official, chance(&mut stream(seed, Subject::Habits, index), LATE_STRIPS)))
        };
        let officials = people::officials(seed, venue.strips.len());
        Self {
            seed,
            venue,
            arrivals: Arrivals::new(venue),
            shares: if options.shift { Shares::shifted(seed) } else { Shares::default() },
            fencers: venue.competitions.iter().enumerate().map(entered).collect(),
            strips: (0..).zip(venue.strips.iter().zip(officials)).map(strip).collect(),
        }
    }

    /// The candidate with that number, at a time at which it fits; `None` when there is none.
    fn candidate(&self, index: u32, fits: impl Fn(Stamp, f64) -> bool) -> Option<HandInPlan> {
        let mut arrivals = stream(self.seed, Subject::Arrivals, index);
        let first = self.arrivals.draw(&mut arrivals)?;
        let weapon = self.arrivals.phases[first.phase].weapon;
        let (kind, complaint, truth) = self.cause(weapon, index);
        let suits = |arrival: &Arrival| {
            self.arrivals.phases[arrival.phase].weapon == weapon && fits(arrival.at, of_job(&truth))
        };
        let others = std::iter::from_fn(|| self.arrivals.draw(&mut arrivals)).take(TRIES_MAX);
        let arrival = std::iter::once(first).chain(others).find(suits)?;
        Some(self.hand_in(&arrival, (kind, complaint, truth), index))
    }

    fn cause(&self, weapon: Weapon, index: u32) -> (ItemKind, Complaint, TrueState) {
        let mut rng = stream(self.seed, Subject::Causes, index);
        let kind = causes::kind(weapon, &mut rng);
        let fault = causes::fault(kind, &self.shares, &mut rng);
        let complaint = causes::complaint(kind, fault, &mut rng);
        let (fault, outcome) = causes::outcome(kind, fault, &mut rng);
        let labour = causes::labour(fault, &mut stream(self.seed, Subject::Minutes, index));
        (kind, complaint, TrueState { fault: fault.map(|fault| fault.id), labour, outcome })
    }

    fn hand_in(
        &self,
        arrival: &Arrival,
        (kind, complaint, truth): (ItemKind, Complaint, TrueState),
        index: u32,
    ) -> HandInPlan {
        let phase = &self.arrivals.phases[arrival.phase];
        let mut rng = stream(self.seed, Subject::People, index);
        let fencer = self.fencer(phase.competition, kind, &mut rng);
        let need = need(kind, &mut rng);
        let (quirks, call_off) = self.habits(arrival, &mut rng);
        let mut rng = stream(self.seed, Subject::Wanted, index);
        HandInPlan {
            at: arrival.at,
            spot: arrival.spot,
            fencer,
            official: self.official(arrival.spot),
            kind,
            complaint,
            need,
            wanted: wanted(phase, arrival.at, need, kind.is_apparatus(), &mut rng),
            truth,
            call_off,
            quirks,
        }
    }

    fn fencer(&self, competition: usize, kind: ItemKind, rng: &mut ChaCha8Rng) -> Option<String> {
        let names = self.fencers.get(competition)?;
        let (unknown, which) = (chance(rng, UNKNOWN_OWNER), below(rng, names.len()));
        names.get(which).filter(|_| !unknown && !kind.is_apparatus()).cloned()
    }

    fn official(&self, spot: Spot) -> Option<String> {
        match spot {
            Spot::Strip(strip) => self.strips.get(&strip).map(|(official, _)| official.clone()),
            Spot::Counter => None,
        }
    }

    fn habits(&self, arrival: &Arrival, rng: &mut ChaCha8Rng) -> (Quirks, Option<Stamp>) {
        let late = match arrival.spot {
            Spot::Strip(strip) => self.strips.get(&strip).is_some_and(|(_, late)| *late),
            Spot::Counter => false,
        };
        habits(self.venue, arrival.at, arrival.spot, late, rng)
    }
}

fn need(kind: ItemKind, rng: &mut ChaCha8Rng) -> Need {
    let apparatus = [(Need::StripStopped, 0.4), (Need::TwoOrMore, 0.6)];
    let worn_or_held =
        [(Need::NoneLeft, 0.15), (Need::OneLeft, 0.5), (Need::TwoOrMore, 0.34), (Need::Out, 0.01)];
    if kind.is_apparatus() { pick(rng, apparatus) } else { pick(rng, worn_or_held) }
        .unwrap_or(Need::TwoOrMore)
}

/// What people do with an item that comes from there, and when they call it off.
pub(super) fn habits(
    venue: &Venue,
    at: Stamp,
    spot: Spot,
    late: bool,
    rng: &mut ChaCha8Rng,
) -> (Quirks, Option<Stamp>) {
    let walk = match spot {
        Spot::Strip(strip) => Span::minutes(venue.walk_min(strip)),
        Spot::Counter => Span::ZERO,
    };
    let delay = seconds(rng, 2.0, 0.5);
    let confirm_after = seconds(rng, if late { 9.0 } else { 1.5 }, 0.6);
    let collect_after = walk + seconds(rng, 5.0, 0.6);
    let shares = [
        (Collection::Never, NEVER_COLLECTED),
        (Collection::TakenSilently, TAKEN_SILENTLY),
        (Collection::HandedBack, 1.0 - NEVER_COLLECTED - TAKEN_SILENTLY),
    ];
    let collection = pick(rng, shares).unwrap_or(Collection::HandedBack);
    let (off, minutes) = (chance(rng, CALLED_OFF), 10 + below(rng, 50) as i64);
    let scan_after = if spot == Spot::Counter { Span::ZERO } else { walk + delay };
    let quirks = Quirks { scan_after, confirm_after, collect_after, collection };
    (quirks, off.then(|| at.plus_min(minutes)))
}

/// Whole seconds, log-normal around a median of so many minutes, at most ten times that.
fn seconds(rng: &mut ChaCha8Rng, median_min: f64, sigma: f64) -> Span {
    let minutes = log_normal(rng, median_min.ln(), sigma).min(10.0 * median_min);
    Span::seconds((minutes * 60.0).round() as i64)
}
