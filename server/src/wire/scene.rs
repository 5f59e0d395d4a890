//! A small armoury for tests: two strips, two benches, and commands decided and applied one after another.

#![allow(clippy::unwrap_used)]

use remise_core::armoury::{
    Armoury, Command, Event, HandIn, HandInItem, JobRef, Need, Recorded, Spot, Wanted, Whose, decide,
};
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, JobId, Seq, StripId};
use remise_core::tag::Tag;
use remise_core::time::{Stamp, Window};
use remise_core::venue::{Bench, Strip, Venue};

use crate::stations::{Role, Station};

/// 2026-11-07T09:00:00Z, in an invented tournament.
pub const MORNING: Stamp = Stamp(1_794_042_000_000_000);

/// An armoury that things happen in.
pub struct Scene {
    pub room: Armoury,
    pub now: Stamp,
    pub past: Vec<Recorded>,
}

impl Scene {
    /// The tournament is open and nothing has happened yet.
    pub fn new() -> Self {
        let mut scene = Self { room: Armoury::new(), now: MORNING, past: Vec::new() };
        let armourers = vec![(BenchId(1), "Ora Fenn".to_owned()), (BenchId(2), "Pim Lask".to_owned())];
        scene.run(&Command::SetVenue { venue: venue(), armourers });
        scene
    }

    /// Decides and applies a command a minute later; panics when it is refused. Returns its first number.
    pub fn run(&mut self, command: &Command) -> u64 {
        self.now = self.now.plus_min(1);
        let decision = decide(&self.room, command, self.now, self.now).unwrap();
        let first = self.room.head.0 + 1;
        decision.texts.iter().for_each(|row| self.room.learn_text(row));
        for event in decision.events {
            let seq = Seq(self.room.head.0 + 1);
            let recorded = Recorded { seq, at: self.now, happened_at: self.now, event };
            self.room.apply(&recorded);
            self.past.push(recorded);
        }
        first
    }

    /// Hands a foil in and returns its job.
    pub fn foil(&mut self, fencer: &str, strip: u16, in_room: bool) -> JobId {
        let tag = Tag::issue(100 + u16::try_from(self.room.head.0).unwrap()).unwrap();
        let item = HandInItem {
            kind: ItemKind::Foil,
            item: None,
            complaint: Complaint::WhiteOnOff,
            note: Some("on every parry".to_owned()),
            tag: Some(tag),
            need: Need::OneLeft,
        };
        let first = self.run(&Command::HandIn(HandIn {
            whose: Whose::Fencer(fencer.to_owned()),
            owner: None,
            bringer: None,
            official: None,
            came_from: Spot::Strip(StripId(strip)),
            back_to: Spot::Strip(StripId(strip)),
            wanted: Wanted::Open,
            in_room,
            items: vec![item],
        }));
        let mut handed_in = self.past.iter().filter(|one| one.seq.0 >= first);
        JobId(handed_in.find(|one| matches!(one.event, Event::HandedIn(_))).unwrap().seq.0)
    }

    /// A bench takes the job.
    pub fn take(&mut self, job: JobId, bench: u16) {
        self.run(&Command::Take { job: JobRef::Job(job), bench: BenchId(bench) });
    }
}

/// A station of that role; strips and benches with that number.
pub fn station(role: Role, number: u16) -> Station {
    let strip = (role == Role::Strip).then_some(StripId(number));
    let bench = (role == Role::Bench).then_some(BenchId(number));
    Station::new(role.code(), role, strip, bench).unwrap()
}

/// The tournament.
pub fn venue() -> Venue {
    let day = Window { from: MORNING, to: MORNING.plus_min(600) };
    let strip = |number: u16| Strip { id: StripId(number), name: number.to_string(), walk_min: number };
    let bench = |number: u16| Bench {
        id: BenchId(number),
        name: format!("bench {number}"),
        armourer: None,
        works: Work::ALL.to_vec(),
        open: vec![day],
        roving: number == 1,
    };
    Venue {
        name: "Invented Open".to_owned(),
        zone: "Europe/Vienna".to_owned(),
        days: vec![day],
        counter: "door".to_owned(),
        strips: vec![strip(1), strip(2)],
        benches: vec![bench(1), bench(2)],
        competitions: Vec::new(),
        edition: "fie-2026".to_owned(),
        margin_min: 5,
    }
}
