//! At a bench: look, take, examine, mend, cure, prove, done. Interrupted by call-outs and breaks.

use remise_core::armoury::{Command, JobRef, Lasting, Showed, State};
use remise_core::gear::{self, Work};
use remise_core::ids::{BenchId, CallId};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp, US_PER_S};
use remise_core::venue::Bench as Place;
use remise_link::Accepted;

use crate::day::{AROUND_A_JOB, Outcome};

use super::PlayError;
use super::agenda::{What, Who};
use super::answers;
use super::director::{Director, Theatre};
use super::thing::{Progress, ThingId};

/// An armourer at a bench.
#[derive(Debug, Default)]
pub(super) struct Bench {
    hand: Option<Hand>,
    turn: u64,
    /// Away from the bench: on a break, or at a strip.
    away: bool,
    /// The tag of the job that it set out to take.
    seen: Option<Tag>,
    /// Opened by the head after hours.
    pub late: bool,
}

/// The job in hand.
#[derive(Debug)]
struct Hand {
    tag: Tag,
    thing: ThingId,
    step: Step,
    due: Stamp,
    /// Refusals in a row.
    refused: u32,
    /// Time that was left when it was interrupted.
    left: Option<Span>,
}

/// What is done next with the job in hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    Find,
    Mend,
    Cure,
    /// Proves one check after another, then says ready.
    Prove,
    /// Something does not fit: it goes back among the waiting.
    GiveUp,
}

/// Refusals in a row after which an armourer gives a job up. Our own number.
const PATIENCE: u32 = 3;

/// After a refusal an armourer looks up again this much later. Our own number.
const LOOKS_AGAIN: Span = Span(5 * US_PER_S);

/// Half of the time around a job goes before the work, half after it.
const HALF_AROUND: Span = Span(AROUND_A_JOB.0 / 2);

impl Director<'_> {
    pub(super) fn plan_breaks(&mut self, bench: &Place) {
        for (earlier, later) in bench.open.iter().zip(bench.open.iter().skip(1)) {
            self.agenda.put(earlier.to, Who::Bench(bench.id), What::Leave(later.from));
        }
        for window in &bench.open {
            self.agenda.put(window.from, Who::Bench(bench.id), What::Look);
        }
    }

    /// After something changed, every bench that has nothing in hand looks again.
    pub(super) fn let_idle_benches_look(&mut self) {
        if !std::mem::take(&mut self.changed) {
            return;
        }
        let idle: Vec<_> =
            self.benches.iter().filter(|(_, bench)| bench.is_idle()).map(|(id, _)| *id).collect();
        for id in idle {
            self.agenda.put(self.now, Who::Bench(id), What::Look);
        }
    }

    pub(super) async fn prepare_bench(
        &mut self,
        id: BenchId,
        what: What,
    ) -> Result<Option<Command>, PlayError> {
        let bench = self.benches.entry(id).or_default();
        Ok(match what {
            What::Look if bench.is_idle() => self.look(id).await?,
            What::Work(turn) if turn == bench.turn => self.step(id).await?,
            What::Leave(until) if !bench.away => Some(Command::GoAway { bench: id, until }),
            What::Return if bench.away => Some(Command::ComeBack { bench: id }),
            What::Back => {
                self.go_on(id);
                None
            }
            What::Reach(call, _) => Some(Command::ReachStrip { call }),
            What::RunAgain(call, number) => self.day.call_outs.get(number).map(|plan| Command::RunAgain {
                call,
                swapped: plan.swapped.as_ref().map(|unit| unit.kind),
                stock: plan.swapped.as_ref().map(|_| "one from the stock shelf".to_owned()),
                note: None,
            }),
            _ => None,
        })
    }

    /// Reads the bench's board and takes the first job of the lane that is here. In a race, armourers grab what waits,
    /// whoever's lane it is in.
    async fn look(&mut self, id: BenchId) -> Result<Option<Command>, PlayError> {
        let own_clock = matches!(self.theatre, Theatre::Own { .. });
        let late = self.benches.get(&id).is_some_and(|bench| bench.late);
        let open =
            self.venue.bench(id).is_some_and(|b| b.open.iter().any(|window| window.contains(self.now)));
        if own_clock && !open && !late {
            return Ok(None);
        }
        let board = self.cast.link(Who::Bench(id)).bench_board(Some(id)).await?;
        let here = |job: &remise_link::view::JobView| {
            job.hold.is_none()
                && match job.state {
                    State::Waiting => true,
                    State::Curing => !own_clock || job.dry_at.is_none_or(|dry| dry <= self.now),
                    _ => false,
                }
        };
        let slots = board.lane(id).map_or(&[][..], |lane| &lane.slots);
        let mut in_lane = slots.iter().filter_map(|slot| board.job(slot.job));
        let first = if self.race || !own_clock {
            board.jobs.iter().find(|job| here(job) && self.can(id, job))
        } else {
            in_lane.find(|job| here(job))
        };
        if let Some(job) = first.filter(|job| job.dry_at.is_some_and(|dry| dry > board.at)) {
            // Somebody else's clock does not follow the day: what would be dry by now is looked at.
            return Ok(Some(Command::DryNow { job: JobRef::Job(job.job) }));
        }
        let take = first.map(|job| (job.tag, Command::Take { job: JobRef::Job(job.job), bench: id }));
        if let (Some((tag, _)), Some(bench)) = (&take, self.benches.get_mut(&id)) {
            bench.seen = *tag;
        }
        Ok(take.map(|(_, command)| command))
    }

    fn can(&self, id: BenchId, job: &remise_link::view::JobView) -> bool {
        let bench = self.venue.bench(id);
        let works = gear::works(job.kind, job.complaint);
        works.first().is_some_and(|(work, _)| bench.is_some_and(|bench| bench.can(*work)))
    }

    async fn step(&mut self, id: BenchId) -> Result<Option<Command>, PlayError> {
        let Some(hand) = self.benches.get(&id).and_then(|bench| bench.hand.as_ref()) else { return Ok(None) };
        let (job, thing) = (JobRef::Tag(hand.tag), self.things.get(hand.thing));
        let truth = &thing.truth;
        Ok(match hand.step {
            Step::Find => truth.fault.map(|fault| Command::Find {
                job,
                fault: fault.to_owned(),
                showed: Showed::Present,
                note: None,
            }),
            Step::Mend => Some(match truth.outcome {
                Outcome::Mend(lasting) => self.repair(hand.thing, job, lasting),
                Outcome::NoFault => Command::NoFaultFound { job },
                Outcome::FaultElsewhere(place) => Command::FaultElsewhere { job, place: place.to_owned() },
                Outcome::Withdraw => {
                    Command::Withdraw { job, reason: "not fit for use; marked and put aside".to_owned() }
                }
            }),
            Step::Cure => Some(Command::Cure { job, until: self.now + truth.labour.curing }),
            Step::GiveUp => Some(Command::PutBack { job, note: Some("something does not fit".to_owned()) }),
            Step::Prove => {
                let course = self.cast.link(Who::Bench(id)).course(job).await?;
                Some(answers::next(&course, job))
            }
        })
    }

    fn repair(&self, thing: ThingId, job: JobRef, lasting: Lasting) -> Command {
        let thing = self.things.get(thing);
        let fault = thing.truth.fault.and_then(gear::fault);
        let likeliest = || gear::works(thing.kind, thing.complaint).first().map(|(work, _)| *work);
        let work = fault.map(|fault| fault.work).or_else(likeliest).unwrap_or(Work::Apparatus);
        let code = fault.map(|fault| fault.id.to_owned());
        Command::Repair { job, work, fault: code, lasting, owed: None }
    }

    pub(super) fn follow_bench(
        &mut self,
        id: BenchId,
        what: What,
        command: &Command,
        accepted: Option<&Accepted>,
    ) {
        match (what, command) {
            (What::Look, Command::Take { .. }) => self.took(id, accepted),
            (What::Look, _) => self.agenda.put(self.now, Who::Bench(id), What::Look),
            (What::Work(_), _) => self.stepped(id, command, accepted.is_some()),
            (What::Leave(until), _) => {
                self.pause(id);
                self.agenda.put(until, Who::Bench(id), What::Return);
            }
            (What::Return, _) => self.go_on(id),
            (What::Reach(call, number), _) => {
                let at_strip = self.day.call_outs.get(number).map_or(Span::ZERO, |plan| plan.at_strip);
                self.agenda.put(self.now + at_strip, Who::Bench(id), What::RunAgain(call, number));
            }
            (What::RunAgain(_, number), _) => self.ran_again(id, number, accepted),
            _ => {}
        }
    }

    pub(super) fn is_in_hand(&self, thing: ThingId) -> bool {
        self.benches.values().any(|bench| bench.hand.as_ref().is_some_and(|hand| hand.thing == thing))
    }

    fn took(&mut self, id: BenchId, accepted: Option<&Accepted>) {
        let seen = self.benches.get(&id).and_then(|bench| bench.seen);
        let Some(tag) = seen.filter(|_| accepted.is_some()) else {
            // Somebody was quicker, or called the armourer away meanwhile: look again, but not at the same moment, or a refusal
            // that stands would be asked for without end.
            if accepted.is_none() && self.race {
                self.agenda.put(self.now + LOOKS_AGAIN, Who::Bench(id), What::Look);
            }
            return;
        };
        let Some(thing) = self.things.with_tag(tag) else { return };
        let labour = self.things.get(thing).truth.labour;
        let (step, time) = match self.things.get(thing).progress {
            Progress::Untouched if self.things.get(thing).truth.fault.is_some() => (Step::Find, HALF_AROUND),
            Progress::Untouched => (Step::Mend, HALF_AROUND + labour.before),
            Progress::Glued => (Step::Prove, labour.after + HALF_AROUND),
            Progress::Sound => (Step::Prove, HALF_AROUND),
        };
        if let Some(bench) = self.benches.get_mut(&id) {
            bench.hand = Some(Hand { tag, thing, step, due: self.now, refused: 0, left: None });
        }
        self.schedule(id, step, time);
    }

    fn stepped(&mut self, id: BenchId, command: &Command, accepted: bool) {
        let Some(hand) = self.benches.get(&id).and_then(|bench| bench.hand.as_ref()) else { return };
        let (thing, step) = (hand.thing, hand.step);
        let labour = self.things.get(thing).truth.labour;
        if !accepted && step != Step::GiveUp {
            self.puzzle(id, thing, step);
            return;
        }
        match (step, command) {
            (Step::Find, _) => self.schedule(id, Step::Mend, labour.before),
            (Step::Mend, Command::Withdraw { .. }) | (Step::Prove, Command::Ready { .. }) => self.done(id),
            (Step::Mend, _) if labour.curing > Span::ZERO => {
                self.things.get_mut(thing).progress = Progress::Glued;
                self.schedule(id, Step::Cure, Span::ZERO);
            }
            (Step::Mend, _) => {
                self.things.get_mut(thing).progress = Progress::Sound;
                self.schedule(id, Step::Prove, HALF_AROUND);
            }
            (Step::Cure, _) => {
                self.lay_down(id);
                // The bench that comes to look when it is dry finds it in its lane.
                for bench in self.benches.keys() {
                    self.agenda.put(self.now + labour.curing, Who::Bench(*bench), What::Look);
                }
            }
            (Step::GiveUp, _) => self.lay_down(id),
            (Step::Prove, _) => self.schedule(id, Step::Prove, Span::ZERO),
        }
    }

    /// The program is against it: what lies on the bench is not what the screen says. Where two tags were mixed up, that
    /// is how it is noticed.
    fn puzzle(&mut self, id: BenchId, thing: ThingId, step: Step) {
        let swapped = |swap: &crate::day::TagSwap| {
            [swap.a, swap.b].iter().any(|number| self.handed.get(*number) == Some(&thing))
        };
        if let Some(number) = self.day.swaps.iter().position(swapped) {
            self.agenda.put(self.now, Who::Head, What::Exchange(number));
        }
        let refused = self.benches.get_mut(&id).and_then(|bench| bench.hand.as_mut()).map_or(0, |hand| {
            hand.refused += 1;
            hand.refused
        });
        let next = if refused > PATIENCE { Step::GiveUp } else { step };
        self.schedule(id, next, Span::minutes(1));
    }

    fn schedule(&mut self, id: BenchId, step: Step, time: Span) {
        let due = self.now + time;
        let Some(bench) = self.benches.get_mut(&id) else { return };
        bench.turn += 1;
        let turn = bench.turn;
        if let Some(hand) = &mut bench.hand {
            hand.step = step;
            hand.due = due;
            if bench.away {
                hand.left = Some(time);
                return;
            }
        }
        self.agenda.put(due, Who::Bench(id), What::Work(turn));
    }

    fn done(&mut self, id: BenchId) {
        let thing = self.benches.get(&id).and_then(|bench| bench.hand.as_ref()).map(|hand| hand.thing);
        self.lay_down(id);
        if let Some(thing) = thing {
            self.tell(thing);
        }
    }

    fn lay_down(&mut self, id: BenchId) {
        if let Some(bench) = self.benches.get_mut(&id) {
            bench.hand = None;
            bench.turn += 1;
        }
    }

    fn pause(&mut self, id: BenchId) {
        let now = self.now;
        if let Some(bench) = self.benches.get_mut(&id) {
            bench.away = true;
            bench.turn += 1;
            if let Some(hand) = &mut bench.hand {
                hand.left.get_or_insert(hand.due.since(now));
            }
        }
    }

    fn go_on(&mut self, id: BenchId) {
        let Some(bench) = self.benches.get_mut(&id) else { return };
        bench.away = false;
        match bench.hand.as_mut().and_then(|hand| hand.left.take().map(|left| (hand.step, left))) {
            Some((step, left)) => self.schedule(id, step, left),
            None => self.agenda.put(self.now, Who::Bench(id), What::Look),
        }
    }

    /// A strip called: whoever was sent walks there.
    pub(super) fn called_out(&mut self, number: usize, call: CallId) {
        let Some(plan) = self.day.call_outs.get(number) else { return };
        let arrival = self.now.plus_min(self.venue.walk_min(plan.strip));
        self.agenda.put(self.now, Who::Head, What::Send(call, number, arrival));
    }

    pub(super) fn sent(&mut self, id: BenchId, call: CallId, number: usize, arrival: Stamp) {
        self.pause(id);
        self.agenda.put(arrival, Who::Bench(id), What::Reach(call, number));
    }

    fn ran_again(&mut self, id: BenchId, number: usize, accepted: Option<&Accepted>) {
        let Some(plan) = self.day.call_outs.get(number) else { return };
        let walk = Span::minutes(self.venue.walk_min(plan.strip));
        if let (Some(unit), Some(job)) = (&plan.swapped, accepted.and_then(|accepted| accepted.jobs.first()))
        {
            let thing = self.things.add_swapped(unit, *job, walk);
            self.agenda.put(self.now + walk, Who::Counter, What::Scan(thing));
        }
        self.agenda.put(self.now + walk, Who::Bench(id), What::Back);
    }
}

impl Bench {
    fn is_idle(&self) -> bool {
        self.hand.is_none() && !self.away
    }
}
