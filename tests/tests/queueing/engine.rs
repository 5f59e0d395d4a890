//! The armoury as a queue in virtual time: who waits, whose need is greatest and which bench is free is asked of the
//! core; only the drawn times are the test's own. The order of service is that of arrival, that of need, or the plan's.

use std::collections::BTreeMap;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};
use remise_core::armoury::{
    Armoury, Command, Event, HandIn, HandInItem, Job, JobRef, Need, Recorded, Spot, State, Wanted, Whose,
    decide,
};
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, JobId, Seq};
use remise_core::plan::{Planner as _, UrgencyPlanner};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp, Window};
use remise_core::venue::{Bench, Venue};

/// Mean time of a repair; the table's unit of time.
const SERVICE: Span = Span::minutes(10);
const OPENING: Stamp = Stamp(1_794_042_000_000_000);
/// Jobs counted in a replication, after those by which the empty room fills.
const COUNTED: usize = 900;
const WARM_UP: usize = 200;
/// How long a service takes, in units of [`SERVICE`].
#[derive(Clone, Copy, Debug)]
pub enum Law {
    /// Exponential with that mean.
    Exponential { mean: f64 },
    /// Log-normal with that mean and coefficient of variation.
    LogNormal { mean: f64, cv: f64 },
}

/// Who is served next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Who came first.
    Arrival,
    /// Whose need is greatest, and of these who came first.
    Need,
    /// Whom the simple rule's plan puts first in the bench's lane.
    Plan,
}

/// One class of jobs.
#[derive(Clone, Copy, Debug)]
pub struct Class {
    /// Arrivals in a unit of time.
    pub rate: f64,
    /// How long the service takes.
    pub law: Law,
    /// What its jobs are handed in with.
    pub need: Need,
}

/// A queue.
#[derive(Clone, Debug)]
pub struct System {
    /// Equal benches.
    pub benches: usize,
    /// The classes of jobs.
    pub classes: Vec<Class>,
    /// Who is served next.
    pub order: Order,
}

/// One service: the class, and the wait before it in units of [`SERVICE`].
#[derive(Clone, Copy, Debug)]
pub struct Served {
    /// Place of the class in the system.
    pub class: usize,
    /// The wait.
    pub wait: f64,
}

/// An armoury in which nothing but this queue happens.
struct Queue {
    room: Armoury,
    now: Stamp,
    /// Every job that was taken, in the order of taking.
    taken: Vec<(JobId, Span)>,
}

impl Queue {
    fn new(benches: usize) -> Self {
        let mut queue = Self { room: Armoury::new(), now: OPENING, taken: Vec::new() };
        queue.run(&Command::SetVenue { venue: venue(benches), armourers: Vec::new() });
        queue
    }

    /// Decides and applies; returns the newest event's number.
    fn run(&mut self, command: &Command) -> Seq {
        let decision = decide(&self.room, command, self.now, self.now).unwrap();
        decision.texts.iter().for_each(|row| self.room.learn_text(row));
        for event in decision.events {
            let seq = Seq(self.room.head.0 + 1);
            if let Event::Taken(taken) = &event {
                let came = self.room.job(taken.job).unwrap().handed_in;
                self.taken.push((taken.job, self.now.since(came)));
            }
            self.room.apply(&Recorded { seq, at: self.now, happened_at: self.now, event });
        }
        self.room.head
    }

    fn hand_in(&mut self, number: usize, need: Need) -> JobId {
        let tag = Tag::issue(u16::try_from(number % 9999 + 1).unwrap()).unwrap();
        let item = HandInItem {
            kind: ItemKind::Foil,
            item: None,
            complaint: Complaint::WhiteOnOff,
            note: None,
            tag: Some(tag),
            need,
        };
        self.run(&Command::HandIn(HandIn {
            whose: Whose::Unknown,
            owner: None,
            bringer: None,
            official: None,
            came_from: Spot::Counter,
            back_to: Spot::Counter,
            wanted: Wanted::Open,
            in_room: true,
            items: vec![item],
        }));
        self.room.jobs_in(State::Waiting).map(|job| job.id).max().unwrap()
    }

    /// The free bench with the lowest number.
    fn free(&self) -> Option<BenchId> {
        let benches = &self.room.venue.as_ref().unwrap().benches;
        benches.iter().map(|bench| bench.id).find(|id| self.room.bench(*id).job.is_none())
    }

    fn waiting(&self) -> impl Iterator<Item = &Job> {
        self.room.jobs_in(State::Waiting).map(AsRef::as_ref)
    }

    /// Who is served next at that bench.
    fn next(&self, order: Order, bench: BenchId) -> Option<JobId> {
        match order {
            Order::Arrival => self.waiting().map(|job| job.id).min(),
            Order::Need => self
                .waiting()
                .min_by_key(|job| (std::cmp::Reverse(self.room.need(job).weight()), job.id))
                .map(|job| job.id),
            Order::Plan if self.waiting().next().is_none() => None,
            Order::Plan => {
                let plan = UrgencyPlanner.plan(&self.room, self.now);
                plan.lanes.get(&bench).and_then(|lane| lane.first()).map(|slot| slot.job)
            }
        }
    }

    /// Done at that bench: let go and handed back.
    fn finish(&mut self, bench: BenchId) {
        let job = JobRef::Job(self.room.bench(bench).job.unwrap());
        self.run(&Command::ReadyAnyway { job, reason: "a queue only".to_owned() });
        self.run(&Command::HandBack { job, to: "Somebody".to_owned() });
    }
}

fn venue(benches: usize) -> Venue {
    let ever = Window { from: OPENING, to: OPENING.plus_min(60 * 24 * 3_000) };
    let bench = |number: usize| Bench {
        id: BenchId(u16::try_from(number).unwrap()),
        name: format!("bench {number}"),
        armourer: None,
        works: Work::ALL.to_vec(),
        open: vec![ever],
        roving: false,
    };
    Venue {
        name: "Invented queue".to_owned(),
        zone: "Etc/UTC".to_owned(),
        days: vec![ever],
        counter: "door".to_owned(),
        strips: Vec::new(),
        benches: (1..=benches).map(bench).collect(),
        competitions: Vec::new(),
        edition: "fie-2026".to_owned(),
        margin_min: 5,
    }
}

fn unit(rng: &mut ChaCha8Rng) -> f64 {
    ((rng.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

fn exponential(rng: &mut ChaCha8Rng, mean: f64) -> Span {
    Span((-unit(rng).ln() * mean * SERVICE.0 as f64).round() as i64)
}

impl Law {
    fn draw(self, rng: &mut ChaCha8Rng) -> Span {
        match self {
            Self::Exponential { mean } => exponential(rng, mean),
            Self::LogNormal { mean, cv } => {
                let variance = (1.0 + cv * cv).ln();
                // Box and Muller 1958.
                let normal = (-2.0 * unit(rng).ln()).sqrt() * (std::f64::consts::TAU * unit(rng)).cos();
                let drawn = (mean.ln() - variance / 2.0 + variance.sqrt() * normal).exp();
                Span((drawn * SERVICE.0 as f64).round() as i64)
            }
        }
    }
}

/// When the next of each class comes.
struct Arrivals {
    streams: Vec<(ChaCha8Rng, Stamp)>,
}

impl Arrivals {
    fn new(system: &System, seed: u64) -> Self {
        let mut arrivals = Self { streams: Vec::new() };
        for (number, class) in (0..).zip(&system.classes) {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            rng.set_stream(2 + number);
            let first = OPENING + exponential(&mut rng, 1.0 / class.rate);
            arrivals.streams.push((rng, first));
        }
        arrivals
    }

    fn next(&self) -> (Stamp, usize) {
        let times = self.streams.iter().enumerate().map(|(class, (_, at))| (*at, class));
        times.min().unwrap()
    }

    fn step(&mut self, class: usize, rate: f64) {
        let (rng, at) = &mut self.streams[class];
        *at = *at + exponential(rng, 1.0 / rate);
    }
}

/// One replication: the services after those by which the empty room fills, in the order of taking.
pub fn run(system: &System, seed: u64) -> Vec<Served> {
    let mut services = ChaCha8Rng::seed_from_u64(seed);
    services.set_stream(1);
    let mut arrivals = Arrivals::new(system, seed);
    let mut queue = Queue::new(system.benches);
    let mut ends: Vec<(Stamp, BenchId)> = Vec::new();
    let mut class_of: BTreeMap<JobId, usize> = BTreeMap::new();
    while queue.taken.len() < WARM_UP + COUNTED {
        let (next_arrival, class) = arrivals.next();
        match ends.iter().min().copied() {
            Some((at, bench)) if at <= next_arrival => {
                queue.now = at;
                ends.retain(|end| *end != (at, bench));
                queue.finish(bench);
            }
            _ => {
                queue.now = next_arrival;
                let job = queue.hand_in(class_of.len(), system.classes[class].need);
                class_of.insert(job, class);
                arrivals.step(class, system.classes[class].rate);
            }
        }
        while let Some(bench) = queue.free() {
            let Some(job) = queue.next(system.order, bench) else { break };
            queue.run(&Command::Take { job: JobRef::Job(job), bench });
            ends.push((queue.now + system.classes[class_of[&job]].law.draw(&mut services), bench));
        }
    }
    let served =
        |(job, wait): &(JobId, Span)| Served { class: class_of[job], wait: wait.0 as f64 / SERVICE.0 as f64 };
    queue.taken[WARM_UP..].iter().map(served).collect()
}
