//! An invented armoury as screens know it, and a person who presses keys.
#![allow(clippy::unwrap_used)]

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use remise_core::armoury::{HoldReason, Lasting, Need, NoticeKind, Place, Showed, Spot, State as JobState};
use remise_core::gear::{Complaint, ItemKind, Weapon, Work};
use remise_core::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, OwedId, RepairId, Seq, StripId};
use remise_core::rules::{self, Answer};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp, Window};
use remise_link::view::{
    BenchInfo, BenchView, Board, CallState, CallView, CheckView, CompetitionInfo, Course, FindingView,
    HistoryLine, HoldView, JobView, Lane, LaneSlot, NoticeView, OwedView, ReadyBy, RepairView, StripInfo,
    VenueView, Welcome,
};
use remise_link::{Accepted, LinkError, Sent, live_id};

use crate::screens::layer::Layer;
use crate::screens::state::{Msg, ReadFor, Role, State, Task};
use crate::screens::update;

/// 2026-05-02T12:08:00Z: 14:08 in Vienna.
pub const NOW: Stamp = Stamp(1_777_723_680_000_000);

pub fn tag(body: u16) -> Tag {
    Tag::issue(body).unwrap()
}

pub fn venue() -> VenueView {
    let strip = |number: u16| StripInfo { strip: StripId(number), name: number.to_string(), walk_min: 2 };
    let day = Window { from: NOW.plus_min(-360), to: NOW.plus_min(360) };
    let bench = |number, name: &str, armourer: &str, works: &[Work]| BenchInfo {
        bench: BenchId(number),
        name: name.into(),
        armourer: Some(armourer.into()),
        works: works.to_vec(),
        open: vec![day],
        roving: number == 2,
    };
    VenueView {
        name: "Lantern Hall Spring Meeting".into(),
        zone: "Europe/Vienna".into(),
        counter: "Hatch by the north stairs".into(),
        days: vec![day],
        strips: (1..=4).map(strip).collect(),
        benches: vec![
            bench(1, "Bench 1", "Jorun", &[Work::Point, Work::BladeWire]),
            bench(2, "Rover", "Oddny", &[Work::Apparatus, Work::CordEnds]),
        ],
        competitions: vec![CompetitionInfo {
            name: "Women's foil".into(),
            weapon: Weapon::Foil,
            starts: NOW.plus_min(-120),
            entries: 35,
            strips: vec![StripId(1), StripId(2), StripId(3)],
            pools: Some((7, 5)),
            tableau: Some((32, 18)),
            relay_min: None,
        }],
        edition: "fie-2026".into(),
        margin_min: 5,
    }
}

/// A foil that waits: handed in at strip 3 ten minutes ago.
pub fn job(number: u64) -> JobView {
    JobView {
        job: JobId(number),
        item: ItemId(number),
        tag: Some(tag(1000 + number as u16)),
        kind: ItemKind::Foil,
        complaint: Complaint::WhiteOnOff,
        note: None,
        fencer: Some("Ida Test".into()),
        team: false,
        owner: None,
        bringer: None,
        official: None,
        came_from: Spot::Strip(StripId(3)),
        back_to: Spot::Strip(StripId(3)),
        need: Need::OneLeft,
        state: JobState::Waiting,
        place: Place::Counter,
        bench: None,
        wanted_by: Some(NOW.plus_min(20)),
        handed_in: NOW.plus_min(-10),
        first_promise: None,
        promise: Some(ready(12, 25)),
        planned: None,
        hold: None,
        pinned: None,
        notice: None,
        dry_at: None,
        hands_on: Span::ZERO,
        in_hand_since: None,
        owed: Vec::new(),
        call: None,
        changed: Seq(number),
        no_fault: false,
        ended: None,
        earlier_stays: 0,
    }
}

fn ready(likely: i64, safe: i64) -> ReadyBy {
    ReadyBy { likely: NOW.plus_min(likely), safe: Some(NOW.plus_min(safe)), said: Some(NOW) }
}

/// Five jobs: in hand, waiting and late, on its way, ready with a notice, held.
pub fn jobs() -> Vec<JobView> {
    let in_hand = JobView {
        state: JobState::OnBench,
        place: Place::Bench(BenchId(1)),
        bench: Some(BenchId(1)),
        note: Some("only after a parry".into()),
        in_hand_since: Some(NOW.plus_min(-6)),
        promise: Some(ready(9, 14)),
        ..job(21)
    };
    let late = JobView {
        kind: ItemKind::Epee,
        complaint: Complaint::FailsWeight,
        fencer: Some("Tess Invented-Longname".into()),
        need: Need::NoneLeft,
        promise: Some(ready(30, 40)),
        ..job(34)
    };
    let coming = JobView {
        state: JobState::OnItsWay,
        place: Place::Strip(StripId(3)),
        tag: None,
        kind: ItemKind::BodyCordTwoPin,
        complaint: Complaint::FallsOut,
        wanted_by: None,
        promise: None,
        ..job(40)
    };
    let done = JobView {
        state: JobState::Ready,
        place: Place::ReadyShelf,
        kind: ItemKind::MaskFoil,
        complaint: Complaint::HitsNotShown,
        ended: Some(NOW.plus_min(-2)),
        notice: Some(NoticeView {
            notice: NoticeId(47),
            kind: NoticeKind::Ready,
            to: Spot::Strip(StripId(3)),
            sent: NOW.plus_min(-2),
            confirmed: None,
            raised: false,
        }),
        ..job(45)
    };
    let held = JobView {
        kind: ItemKind::JacketFoil,
        complaint: Complaint::DeadSpot,
        fencer: Some("Mo Fiction".into()),
        promise: None,
        hold: Some(HoldView { reason: HoldReason::PartMissing, note: None, since: NOW.plus_min(-5) }),
        ..job(52)
    };
    vec![in_hand, late, coming, done, held]
}

fn bench_view(number: u16, name: &str, armourer: &str, in_hand: Option<u64>) -> BenchView {
    BenchView {
        bench: BenchId(number),
        name: name.into(),
        armourer: Some(armourer.into()),
        open: true,
        in_hand: in_hand.map(JobId),
        interrupted: false,
        away_until: None,
        call: (number == 2).then_some(CallId(60)),
    }
}

pub fn board(in_hand: bool) -> Board {
    let slot = |number, from, to| LaneSlot {
        job: JobId(number),
        starts: NOW.plus_min(from),
        ready: Some(ready(to, to + 9)),
    };
    Board {
        covers_up_to: Seq(61),
        at: NOW,
        full: true,
        jobs: if in_hand { jobs() } else { jobs().into_iter().filter(|job| job.job != JobId(21)).collect() },
        removed: Vec::new(),
        benches: Some(vec![
            bench_view(1, "Bench 1", "Jorun", in_hand.then_some(21)),
            bench_view(2, "Rover", "Oddny", None),
        ]),
        calls: Some(vec![CallView {
            call: CallId(60),
            strip: StripId(2),
            bench: BenchId(2),
            state: CallState::Called,
            note: Some("no light on the left".into()),
            called: NOW.plus_min(-1),
            arrival: Some(NOW.plus_min(1)),
        }]),
        lanes: Some(vec![
            Lane { bench: BenchId(1), slots: vec![slot(34, 9, 30)] },
            Lane { bench: BenchId(2), slots: Vec::new() },
        ]),
        owed: Some(vec![OwedView {
            owed: OwedId(9),
            item: ItemId(4),
            kind: ItemKind::Epee,
            work: Work::BladeWire,
            fault: None,
            since: NOW.plus_min(-100),
            fencer: Some("Mo Fiction".into()),
            job: None,
        }]),
        tally: None,
        planner: None,
    }
}

/// The course of the job in hand: a point that was found dirty and cleaned; one check made.
pub fn course() -> Course {
    let edition = rules::edition("fie-2026").unwrap();
    let checks = edition.proof_for(ItemKind::Foil, &[Work::Point], false);
    let check = |number: usize, check: &&rules::Check| CheckView {
        check: check.code.clone(),
        title: check.title.clone(),
        rule: check.rule.clone(),
        unit: check.unit().map(|unit| unit.name().to_owned()),
        parts_per_unit: check.unit().map_or(1, rules::Unit::smallest),
        limit: check.limit_text(),
        edition: check.edition.clone(),
        status: check.status.to_string(),
        caution: check.caution.clone(),
        answer: (number == 0).then_some(Answer::Passed),
        pass: number == 0,
    };
    let fault = remise_core::gear::prior(ItemKind::Foil, Complaint::WhiteOnOff)[0].0.id.to_owned();
    Course {
        covers_up_to: Seq(61),
        at: NOW,
        job: jobs().remove(0),
        findings: vec![FindingView {
            finding: FindingId(30),
            fault: fault.clone(),
            showed: Showed::Present,
            note: None,
        }],
        repairs: vec![RepairView {
            repair: RepairId(31),
            work: Work::Point,
            fault: Some(fault),
            lasting: Lasting::Lasting,
            hands_on: Span::minutes(4),
        }],
        proof: checks.iter().enumerate().map(|(number, one)| check(number, one)).collect(),
        history: vec![HistoryLine {
            seq: Seq(21),
            recorded_at: NOW.plus_min(-10),
            happened_at: NOW.plus_min(-10),
            late: false,
            station: Some("strip 3".into()),
            sentence: "Handed in at strip 3: foil, white light comes and goes.".into(),
        }],
        owed: Vec::new(),
        elsewhere: None,
        anyway: None,
    }
}

/// A screen, and the tasks that it has asked for.
pub struct Person {
    pub state: State,
    pub tasks: Vec<Task>,
}

impl Person {
    /// In front of a screen that shows the whole scene.
    pub fn at(role: Role) -> Self {
        Self::with(role, board(true))
    }

    pub fn with(role: Role, board: Board) -> Self {
        let mut board = board;
        if role == Role::Strip {
            // A strip is told of its own call-outs only.
            board.calls.iter_mut().flatten().for_each(|call| call.strip = StripId(3));
        }
        let spot = match role {
            Role::Strip => Some(Spot::Strip(StripId(3))),
            Role::Counter => Some(Spot::Counter),
            _ => None,
        };
        let bench = (role == Role::Bench).then_some(BenchId(1));
        let mut person = Self { state: State::new(role, spot, bench, NOW), tasks: Vec::new() };
        person.hear(Msg::Hello(Box::new(Welcome {
            zone: "Europe/Vienna".into(),
            now: NOW,
            ..Welcome::default()
        })));
        person.hear(Msg::Venue(Box::new(venue())));
        person.hear(Msg::Board(Box::new(board)));
        if person.state.in_hand().is_some() {
            person.hear(Msg::Course(ReadFor::Bench, Box::new(Ok(course()))));
        }
        person.tasks.clear();
        person
    }

    pub fn hear(&mut self, msg: Msg) {
        let tasks = update(&mut self.state, msg);
        self.tasks.extend(tasks);
    }

    pub fn key(&mut self, code: KeyCode) -> &mut Self {
        self.hear(Msg::Key(KeyEvent::from(code)));
        self
    }

    pub fn ctrl(&mut self, c: char) -> &mut Self {
        self.hear(Msg::Key(KeyEvent::new(KeyCode::Char(c), KeyModifiers::CONTROL)));
        self
    }

    /// Letters as they stand; `\n` is Enter, `\t` Tab, `\u{1b}` Esc, `↓` down.
    pub fn types(&mut self, text: &str) -> &mut Self {
        for c in text.chars() {
            self.key(match c {
                '\n' => KeyCode::Enter,
                '\t' => KeyCode::Tab,
                '\u{1b}' => KeyCode::Esc,
                '↓' => KeyCode::Down,
                '↑' => KeyCode::Up,
                c => KeyCode::Char(c),
            });
        }
        self
    }

    /// The server accepts everything that was sent.
    pub fn accept(&mut self) {
        self.answer(Ok(Accepted::default()));
    }

    pub fn answer(&mut self, result: Result<Accepted, LinkError>) {
        for task in std::mem::take(&mut self.tasks) {
            let (ticket, sent) = match task {
                Task::Send { ticket, command } => {
                    (ticket, Box::new(Sent { request_id: live_id(NOW), happened_at: None, command }))
                }
                Task::SendAgain { ticket, sent } => (ticket, sent),
                _ => continue,
            };
            self.hear(Msg::Answered { ticket, sent, result: result.clone() });
        }
    }

    pub fn top(&self) -> Option<&Layer> {
        self.state.top().map(|sheet| &sheet.layer)
    }
}

pub fn refusal() -> LinkError {
    LinkError::Refused {
        reason: "ON_HOLD".into(),
        message: "job 34 is held: a part is missing".into(),
        hint: "Release it first, when the reason is gone.".into(),
    }
}

pub fn unsure() -> LinkError {
    LinkError::Expired { why: "the network is slow".into() }
}
