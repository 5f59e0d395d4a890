//! An invented tournament, small enough to keep in one's head: three strips, three benches (one of them roving, one
//! with a break), two days. Minute 0 is the opening of the first day.
#![allow(clippy::unwrap_used)]
#![allow(clippy::needless_pass_by_value, reason = "a test reads better without ampersands")]

pub(crate) use super::commands::*;
use super::sound::sound;
use crate::armoury::*;
use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{BenchId, JobId, Seq, StripId};
use crate::rules::Answer;
use crate::tag::Tag;
use crate::time::{Stamp, Window};
use crate::venue::{Bench, Strip, Venue};

/// The opening of the first day.
pub(crate) const OPENING: Stamp = Stamp(1_800_000_000_000_000);
/// A fencer; an invented name, as all here.
pub(crate) const FENCER: &str = "Fencer Amber";
/// Mends weapons; has a break from minute 240 to 300.
pub(crate) const WEAPONS: BenchId = BenchId(1);
/// Mends cords and cloth.
pub(crate) const CORDS: BenchId = BenchId(2);
/// Roves; mends apparatus and ends of cords.
pub(crate) const ROVING: BenchId = BenchId(3);

/// A minute of the tournament.
pub(crate) fn minute(minutes: i64) -> Stamp {
    OPENING.plus_min(minutes)
}

pub(crate) fn tag(body: u16) -> Tag {
    Tag::issue(body).unwrap()
}

/// Two tags that differ by a swap of neighbours which the check digit cannot catch: there are some.
pub(crate) fn tags_a_slip_apart() -> (Tag, Tag) {
    let swapped = |body: u16, at: usize| {
        let mut digits: Vec<char> = tag(body).digits().chars().collect();
        digits.swap(at, at + 1);
        Tag::parse(&digits.into_iter().collect::<String>()).ok().filter(|other| *other != tag(body))
    };
    let mut pairs = (1..=9999).flat_map(|body| (0..4).map(move |at| (body, at)));
    pairs.find_map(|(body, at)| Some((tag(body), swapped(body, at)?))).unwrap()
}

fn window(from: i64, to: i64) -> Window {
    Window { from: minute(from), to: minute(to) }
}

fn a_bench(id: BenchId, name: &str, works: &[Work], open: Vec<Window>, roving: bool) -> Bench {
    Bench { id, name: name.to_owned(), armourer: None, works: works.to_vec(), open, roving }
}

/// The invented tournament.
pub(crate) fn venue() -> Venue {
    let strip = |id, walk_min| Strip { id: StripId(id), name: format!("strip {id}"), walk_min };
    let weapons = [Work::Point, Work::BladeWire, Work::SocketGuard, Work::Blade, Work::SabreContacts];
    let cords = [Work::CordEnds, Work::CordContinuity, Work::Cloth, Work::Mask];
    let next_day = window(1440, 2040);
    Venue {
        name: "Invented Cup".to_owned(),
        zone: "UTC".to_owned(),
        days: vec![window(0, 600), next_day],
        counter: "the hatch".to_owned(),
        strips: vec![strip(1, 2), strip(2, 4), strip(3, 6)],
        benches: vec![
            a_bench(WEAPONS, "weapons", &weapons, vec![window(0, 240), window(300, 600), next_day], false),
            a_bench(CORDS, "cords", &cords, vec![window(0, 600), next_day], false),
            a_bench(
                ROVING,
                "roving",
                &[Work::CordEnds, Work::Apparatus],
                vec![window(0, 600), next_day],
                true,
            ),
        ],
        competitions: Vec::new(),
        edition: "fie-2026".to_owned(),
        margin_min: 5,
    }
}

pub(crate) fn set_venue(venue: Venue) -> Command {
    Command::SetVenue { venue, armourers: vec![(WEAPONS, "Armourer Birch".to_owned())] }
}

/// One item as a strip names it.
pub(crate) fn item(kind: ItemKind) -> HandInItem {
    let complaint = if kind.is_apparatus() { Complaint::Other } else { Complaint::for_kind(kind)[0] };
    HandInItem { kind, item: None, complaint, note: None, tag: None, need: Need::OneLeft }
}

/// A fencer's items, handed in at strip 1 and wanted back there.
pub(crate) fn lot(items: Vec<HandInItem>) -> HandIn {
    HandIn {
        whose: Whose::Fencer(FENCER.to_owned()),
        owner: None,
        bringer: None,
        official: None,
        came_from: Spot::Strip(StripId(1)),
        back_to: Spot::Strip(StripId(1)),
        wanted: Wanted::Open,
        in_room: false,
        items,
    }
}

/// The armoury with its clock and everything that was recorded.
#[derive(Clone)]
pub(crate) struct World {
    pub room: Armoury,
    pub now: Stamp,
    pub log: Vec<Recorded>,
    pub texts: Vec<NewText>,
    /// Of the last command that was accepted.
    pub advice: Vec<String>,
    next_tag: u16,
}

impl World {
    /// Before any tournament is open.
    pub fn empty() -> Self {
        Self {
            room: Armoury::new(),
            now: OPENING,
            log: Vec::new(),
            texts: Vec::new(),
            advice: Vec::new(),
            next_tag: 100,
        }
    }

    pub fn new() -> Self {
        let mut world = Self::empty();
        world.ok(set_venue(venue()));
        world
    }

    /// Sets the clock.
    pub fn at(&mut self, minutes: i64) -> &mut Self {
        self.now = minute(minutes);
        self
    }

    /// Carries a command out, or says why not.
    pub fn run(&mut self, command: &Command) -> Result<Vec<&'static str>, Refusal> {
        self.run_late(command, self.now)
    }

    /// The same for something that happened earlier than it is entered.
    pub fn run_late(&mut self, command: &Command, happened: Stamp) -> Result<Vec<&'static str>, Refusal> {
        let decision = decide(&self.room, command, self.now, happened).inspect_err(well_said)?;
        for row in decision.texts {
            self.room.learn_text(&row);
            self.texts.push(row);
        }
        let mut kinds = Vec::new();
        for event in decision.events {
            kinds.push(event.kind());
            let seq = Seq(self.room.head.0 + 1);
            let recorded = Recorded { seq, at: self.now, happened_at: happened.min(self.now), event };
            self.room.apply(&recorded);
            self.log.push(recorded);
        }
        self.advice = decision.advice;
        sound(&self.room);
        Ok(kinds)
    }

    /// Carries out a command that must be accepted.
    #[track_caller]
    pub fn ok(&mut self, command: Command) -> Vec<&'static str> {
        match self.run(&command) {
            Ok(kinds) => kinds,
            Err(refusal) => panic!("{command:?}: {refusal}"),
        }
    }

    /// What is advised with a command that must be accepted.
    #[track_caller]
    pub fn advised(&mut self, command: Command) -> Vec<String> {
        self.ok(command);
        self.advice.clone()
    }

    /// The stable reason for which a command is refused.
    #[track_caller]
    pub fn no(&mut self, command: Command) -> &'static str {
        match self.run(&command) {
            Ok(kinds) => panic!("{command:?} was accepted: {kinds:?}"),
            Err(refusal) => refusal.reason(),
        }
    }

    pub fn tag(&mut self) -> Tag {
        self.next_tag += 1;
        tag(self.next_tag)
    }

    pub fn job(&self, id: JobId) -> &Job {
        self.room.job(id).unwrap()
    }

    pub fn state(&self, id: JobId) -> State {
        self.job(id).state()
    }

    pub fn item_of(&self, id: JobId) -> &Item {
        &self.room.items[&self.job(id).item]
    }

    /// The newest number in the journal.
    pub fn head(&self) -> u64 {
        self.room.head.0
    }

    /// Hands one item of a fencer in at strip 1: on its way.
    #[track_caller]
    pub fn sent(&mut self, kind: ItemKind) -> JobId {
        self.ok(Command::HandIn(lot(vec![item(kind)])));
        JobId(self.head())
    }

    /// Handed in and scanned in.
    #[track_caller]
    pub fn waiting(&mut self, kind: ItemKind) -> JobId {
        let job = self.sent(kind);
        let tag = self.tag();
        self.ok(scan_in(job, Some(tag)));
        job
    }

    #[track_caller]
    pub fn taken(&mut self, kind: ItemKind, bench: BenchId) -> JobId {
        let job = self.waiting(kind);
        self.ok(take(job, bench));
        job
    }

    /// Marks every check of the proof as passed.
    #[track_caller]
    pub fn prove(&mut self, job: JobId) {
        let job = self.job(job).clone();
        for check in self.room.required_checks(&job) {
            self.ok(prove(job.id, &check.code, Answer::Passed));
        }
    }

    /// A foil, mended for good at the weapons bench and ready.
    #[track_caller]
    pub fn ready(&mut self) -> JobId {
        let job = self.taken(ItemKind::Foil, WEAPONS);
        self.now = self.now.plus_min(6);
        self.ok(repair(job, Work::Point, Lasting::Lasting));
        self.prove(job);
        self.ok(Command::Ready { job: on(job) });
        job
    }

    /// A foil in that state.
    #[track_caller]
    pub fn in_state(&mut self, state: State) -> JobId {
        match state {
            State::OnItsWay => self.sent(ItemKind::Foil),
            State::Waiting => self.waiting(ItemKind::Foil),
            State::OnBench => self.taken(ItemKind::Foil, WEAPONS),
            State::Curing => {
                let job = self.taken(ItemKind::Foil, WEAPONS);
                self.ok(cure(job, self.now.plus_min(10)));
                job
            }
            State::Ready => self.ready(),
            State::Withdrawn => {
                let job = self.taken(ItemKind::Foil, WEAPONS);
                self.ok(Command::Withdraw { job: on(job), reason: "the blade is cracked".to_owned() });
                job
            }
            State::CalledOff => {
                let job = self.waiting(ItemKind::Foil);
                self.ok(call_off(job));
                job
            }
            State::Gone => {
                let job = self.waiting(ItemKind::Foil);
                self.ok(missing(job));
                job
            }
            State::Returned => panic!("a job that is returned is over"),
        }
    }

    /// The newest notice about a job.
    pub fn notice(&self, job: JobId) -> Notice {
        self.job(job).notice.unwrap()
    }
}

fn well_said(refusal: &Refusal) {
    for text in [refusal.to_string(), refusal.hint().to_owned()] {
        assert!(!text.trim().is_empty() && !text.contains(['{', '}']), "{}: {text}", refusal.reason());
    }
    assert!(refusal.hint().ends_with('.'), "{}", refusal.reason());
}
