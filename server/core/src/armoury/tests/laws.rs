//! What holds whatever anybody asks: random commands, nonsense included, on a small world.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::World;
use super::record::{back_from_snapshot, replay};
use super::sound::a_way_on;
use super::world::*;
use crate::armoury::record::{from_json, to_json};
use crate::armoury::*;
use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{BenchId, CallId, ItemId, JobId, NoticeId, OwedId, StripId};
use crate::plan::{Planner, UrgencyPlanner};
use crate::rules::Answer;

/// What somebody may press: an action and three choices.
#[derive(Clone, Copy, Debug)]
pub(super) struct Press {
    action: u8,
    a: u16,
    b: u16,
    c: u16,
}

fn press() -> impl Strategy<Value = Press> {
    (0_u8..61, any::<u16>(), any::<u16>(), any::<u16>()).prop_map(|(action, a, b, c)| Press {
        action,
        a,
        b,
        c,
    })
}

fn pick<T: Copy>(from: &[T], choice: u16) -> T {
    from[usize::from(choice) % from.len()]
}

impl Press {
    /// A job that is here, or now and then one that is not.
    fn job(self, world: &World) -> JobId {
        let jobs: Vec<_> = world.room.jobs.keys().copied().collect();
        let nonsense = jobs.is_empty() || self.a.is_multiple_of(29);
        if nonsense { JobId(u64::from(self.a)) } else { pick(&jobs, self.a) }
    }

    /// The job in hand at the bench, or any.
    fn in_hand(self, world: &World) -> JobId {
        let hand = world.room.bench(self.bench()).job;
        hand.filter(|_| !self.a.is_multiple_of(7)).unwrap_or_else(|| self.job(world))
    }

    /// One in that state, or any.
    fn one(self, world: &World, state: State) -> JobId {
        world.room.jobs_in(state).next().map_or_else(|| self.job(world), |job| job.id)
    }

    fn job_ref(self, world: &World) -> JobRef {
        let job = self.job(world);
        let tag = world.room.job(job).and_then(|job| job.course.tag);
        tag.filter(|_| self.c.is_multiple_of(2)).map_or(JobRef::Job(job), JobRef::Tag)
    }

    fn bench(self) -> BenchId {
        BenchId(1 + self.b % 4)
    }

    fn kind(self) -> ItemKind {
        pick(&[ItemKind::Foil, ItemKind::Foil, ItemKind::BodyCordTwoPin, ItemKind::Reel], self.b)
    }

    fn work(self) -> Work {
        pick(&[Work::Point, Work::BladeWire, Work::CordEnds], self.b)
    }

    fn spot(self) -> Spot {
        if self.b.is_multiple_of(5) { Spot::Counter } else { Spot::Strip(StripId(1 + self.b % 4)) }
    }

    fn place(self) -> Place {
        let strip = Place::Strip(StripId(1 + self.c % 4));
        let all = [
            Place::Counter,
            Place::Bench(self.bench()),
            Place::CuringShelf,
            Place::ReadyShelf,
            strip,
            Place::LockedAway,
            Place::Gone,
        ];
        pick(&all, self.b)
    }

    fn fencer(self) -> String {
        format!("Fencer {}", pick(&["Amber", "Basalt", "Chalk"], self.c))
    }

    fn hand_in(self, world: &mut World) -> Command {
        let whose = match self.c % 5 {
            0 => Whose::Unknown,
            1 => Whose::House,
            2 => Whose::Team("Team Slate".to_owned()),
            _ => Whose::Fencer(self.fencer()),
        };
        let numbers: Vec<_> = world.room.items.keys().copied().collect();
        let number = (self.a.is_multiple_of(3) && !numbers.is_empty()).then(|| pick(&numbers, self.b));
        let in_room = self.a.is_multiple_of(2);
        let tag = in_room.then(|| if self.a.is_multiple_of(7) { tag(101) } else { world.tag() });
        let need = pick(Need::ALL, self.c);
        let one = HandInItem { item: number, tag, need, ..item(self.kind()) };
        let wanted = if self.b.is_multiple_of(2) {
            Wanted::Open
        } else {
            Wanted::At(world.now.plus_min(i64::from(self.c % 90)))
        };
        Command::HandIn(HandIn { whose, came_from: self.spot(), in_room, wanted, ..lot(vec![one]) })
    }

    fn correction(self, world: &World) -> Correction {
        let job = world.room.job(self.in_hand(world));
        match self.c % 6 {
            0 => Correction::Kind { kind: self.kind(), complaint: Complaint::Other },
            1 => Correction::Item(ItemId(u64::from(self.b) % (world.head() + 1))),
            2 => Correction::Spots { came_from: self.spot(), back_to: Spot::Counter },
            3 => Correction::Bench(self.bench()),
            4 => {
                let looks = job.and_then(|job| job.course.findings.first()).map(|finding| finding.id.0);
                let saw = job.and_then(|job| job.course.sightings.first()).map(|sighting| sighting.id.0);
                strike(if self.b.is_multiple_of(2) { looks } else { saw }.unwrap_or_default())
            }
            _ => undone(job.and_then(|job| job.course.repairs.first()).map_or(0, |repair| repair.id.0)),
        }
    }

    /// The command; several, where a person would do several things one after the other.
    fn commands(self, world: &mut World) -> Vec<Command> {
        let job = self.job(world);
        let hand = self.in_hand(world);
        match self.action {
            0..=5 => vec![self.hand_in(world)],
            6..=10 => vec![scan_in(self.one(world, State::OnItsWay), Some(world.tag()))],
            11..=15 => vec![Command::Take { job: self.job_ref(world), bench: self.bench() }],
            16..=18 => vec![Command::Repair {
                job: on(hand),
                work: self.work(),
                fault: None,
                lasting: pick(Lasting::ALL, self.c),
                owed: self.c.is_multiple_of(9).then(|| OwedId(u64::from(self.b) % (world.head() + 1))),
            }],
            19..=22 => prove_all(world, hand),
            23 => vec![
                Command::NoFaultFound { job: on(hand) },
                find(hand, pick(&["foil_tape_worn", "cord_wire_broken"], self.c), pick(Showed::ALL, self.b)),
                see(hand, pick(&["turn-button=flicker", "wiggle-cord=jumps", "rest=unsure"], self.c)),
            ],
            24..=35 => vec![self.at_work(world, job)],
            36..=50 => vec![self.of_jobs(world, job)],
            _ => vec![self.of_the_house(world, job)],
        }
    }

    fn at_work(self, world: &World, job: JobId) -> Command {
        let bench = self.bench();
        match self.action {
            24 => Command::PutBack { job: on(job), note: None },
            25 => pass_on(job, bench),
            26 => take_over(job, self.c.is_multiple_of(2).then_some(bench)),
            27 => Command::Interrupt { bench },
            28 => Command::Resume { bench },
            29 => Command::GoAway { bench, until: world.now.plus_min(i64::from(self.c % 40)) },
            30 => Command::ComeBack { bench },
            31 => cure(self.in_hand(world), world.now.plus_min(i64::from(self.c % 20))),
            32 => Command::DryNow { job: on(self.one(world, State::Curing)) },
            33 => ready_anyway(job),
            34 => Command::Withdraw { job: on(self.in_hand(world)), reason: "cracked".to_owned() },
            _ => confirm(world.room.notices.keys().copied().next().unwrap_or(NoticeId(u64::from(self.b)))),
        }
    }

    fn of_jobs(self, world: &World, job: JobId) -> Command {
        let bench = self.bench();
        match self.action {
            36 | 37 => hand_back(job),
            38 => Command::BackTo { job: on(job), to: self.spot() },
            39 => Command::WantBy {
                job: on(job),
                wanted: Wanted::At(world.now.plus_min(i64::from(self.c % 60))),
            },
            40 => set_need(job, pick(Need::ALL, self.b)),
            41 => call_off(job),
            42 => missing(job),
            43 | 44 => found_again(job, self.place()),
            45 => collected_unseen(job),
            46 => hold(job, pick(&HoldReason::ALL[..3], self.b)),
            47 => Command::Release { job: on(job) },
            48 => {
                if self.b.is_multiple_of(3) {
                    confiscate(job)
                } else {
                    let_go(job)
                }
            }
            49 => pin(job, self.c.is_multiple_of(2).then_some(bench)),
            _ => {
                if self.c.is_multiple_of(3) {
                    Command::CloseBench { bench }
                } else if self.c.is_multiple_of(5) {
                    Command::CloseBenchAt { bench, at: world.now.plus_min(i64::from(self.c)) }
                } else {
                    Command::OpenBench { bench }
                }
            }
        }
    }

    fn of_the_house(self, world: &World, job: JobId) -> Command {
        let bench = self.bench();
        let call = world.room.calls.keys().copied().next().unwrap_or(CallId(u64::from(self.b)));
        match self.action {
            51 => correct(self.in_hand(world), self.correction(world)),
            52 => self.second_thoughts(world, job),
            53 => self.exchange(world, job),
            54 => {
                if self.c.is_multiple_of(2) {
                    call_out(1 + self.b % 3)
                } else {
                    Command::Redirect { call, bench }
                }
            }
            55 => Command::ReachStrip { call },
            56 => run_again(call, self.c.is_multiple_of(2).then(|| self.kind())),
            57 => self.of_fencers(world, job),
            58 => {
                if self.c.is_multiple_of(3) {
                    Command::CloseDay
                } else {
                    self.count(world)
                }
            }
            59 => self.by_itself(world),
            _ => Command::FaultElsewhere { job: on(self.in_hand(world)), place: "the reel".to_owned() },
        }
    }

    /// Ended, or handed back, by mistake.
    fn second_thoughts(self, world: &World, job: JobId) -> Command {
        if self.c.is_multiple_of(2) {
            return correct(self.one(world, State::Withdrawn), Correction::End);
        }
        let closed: Vec<_> = world.room.closed.keys().copied().collect();
        correct(if closed.is_empty() { job } else { pick(&closed, self.b) }, Correction::HandBack)
    }

    /// What the server asks by itself.
    fn by_itself(self, world: &World) -> Command {
        if self.c.is_multiple_of(2) {
            return Command::Tick;
        }
        let mut plan = UrgencyPlanner.plan(&world.room, world.now);
        crate::promise::quote(&world.room, &mut plan, world.now);
        Command::SayPromises { promises: crate::promise::worth_saying(&world.room, &plan) }
    }

    fn exchange(self, world: &World, job: JobId) -> Command {
        let tags: Vec<_> = world.room.tags.keys().copied().collect();
        let own = world.room.job(job).and_then(|job| job.course.tag).unwrap_or(tag(1));
        Command::ExchangeTags { a: own, b: if tags.is_empty() { tag(2) } else { pick(&tags, self.b) } }
    }

    fn of_fencers(self, world: &World, job: JobId) -> Command {
        let (fencer, kind) = (self.fencer(), self.kind());
        let owed = world.room.items.values().flat_map(|item| item.still_owed()).next().map(|owed| owed.id);
        match self.b % 6 {
            0 => Command::FencerOut { fencer },
            1 => Command::FencerIn { fencer },
            2 => Command::Lend { fencer, kind },
            3 => Command::LoanBack { fencer, kind },
            4 => Command::Claim { job: on(job), fencer },
            _ => Command::EndOwed { owed: owed.unwrap_or(OwedId(1)), how: pick(OwedEnd::ALL, self.c) },
        }
    }

    /// An honest count of a place.
    fn count(self, world: &World) -> Command {
        let place = self.place();
        let there = world.room.jobs.values().filter(|job| job.course.place == place);
        count(place, &there.filter_map(|job| job.course.tag).collect::<Vec<_>>())
    }
}

/// The whole proof, and ready.
fn prove_all(world: &World, job: JobId) -> Vec<Command> {
    let Some(known) = world.room.job(job).cloned() else { return Vec::new() };
    let checks = world.room.required_checks(&known);
    let proofs = checks.iter().map(|check| prove(job, &check.code, Answer::Passed));
    proofs.chain([Command::Ready { job: on(job) }]).collect()
}

/// Plays presses; the clock moves on by itself. `World::run` checks after every command that the armoury is sound.
pub(super) fn play(presses: &[Press]) -> World {
    let mut world = World::new();
    let mut venue = venue();
    venue.benches[0].works.push(Work::Apparatus);
    world.ok(set_venue(venue));
    for press in presses {
        world.now = world.now.plus_min(i64::from(press.c % 4));
        for command in press.commands(&mut world) {
            let (before, head) = (world.room.clone(), world.log.len());
            match world.run(&command) {
                Ok(_) => events_are_sound(&before, &world.log[head..]),
                Err(_) => assert_eq!(world.room, before, "a refusal changes nothing"),
            }
        }
    }
    world
}

/// Events of a decision refer to jobs that exist, or that it opens; each can be read back.
fn events_are_sound(before: &Armoury, events: &[Recorded]) {
    let mut known: Vec<JobId> = before.jobs.keys().chain(before.closed.keys()).copied().collect();
    for recorded in events {
        let json = to_json(&recorded.event);
        let back = from_json(recorded.event.kind(), recorded.event.version(), &json).unwrap();
        assert_eq!(back, recorded.event);
        match (&recorded.event, recorded.event.job(recorded.seq)) {
            (Event::HandedIn(_), Some(job)) => known.push(job),
            (Event::TagsExchanged(e), _) => assert!(known.contains(&e.a) && known.contains(&e.b)),
            (_, Some(job)) => assert!(known.contains(&job), "{json}"),
            (_, None) => {}
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_pressed_the_armoury_stays_sound(presses in prop::collection::vec(press(), 200..320)) {
        let mut world = play(&presses);
        prop_assert_eq!(replay(&world), world.room.clone());
        prop_assert_eq!(back_from_snapshot(&world), world.room.clone());
        crate::promise::coverage::tests::is_what_the_log_says(&world);
        // Nothing ends in a corner.
        let fresh = world.tag();
        for id in world.room.jobs.keys() {
            let way = a_way_on(&world.room, *id, fresh);
            let on = decide(&world.room, &way, world.now, world.now);
            prop_assert!(on.is_ok(), "{:?}: {}", way, on.unwrap_err());
        }
        // And the lanes hold whatever the day looks like.
        let plan = UrgencyPlanner.plan(&world.room, world.now);
        crate::plan::tests::sound(&world.room, &plan);
        prop_assert_eq!(UrgencyPlanner.plan(&world.room, world.now), plan);
    }
}

/// The presses reach every state and most events: a test that never gets anywhere proves nothing.
#[test]
fn random_days_get_about() {
    use proptest::strategy::ValueTree as _;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let (mut states, mut kinds) = (std::collections::BTreeSet::new(), std::collections::BTreeSet::new());
    for _ in 0..60 {
        let presses = prop::collection::vec(press(), 300).new_tree(&mut runner).unwrap().current();
        let world = play(&presses);
        states.extend(world.room.jobs.values().map(|job| job.state()));
        kinds.extend(world.log.iter().map(|recorded| recorded.event.kind()));
    }
    assert_eq!(states.len(), 8, "{states:?}");
    assert!(kinds.len() >= Event::KINDS.len() - 2, "{kinds:?}");
}
