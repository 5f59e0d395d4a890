//! An invented armoury as screens know it.
#![allow(clippy::unwrap_used)]

use remise_core::armoury::{HoldReason, Lasting, Need, NoticeKind, Place, Showed, Spot, State as JobState};
use remise_core::gear::{Complaint, ItemKind, Weapon, Work};
use remise_core::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, OwedId, RepairId, Seq, StripId};
use remise_core::rules::{self, Answer};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp, Window};
use remise_link::view::{
    BenchInfo, BenchView, Board, CallState, CallView, CheckView, CompetitionInfo, Course, FindingView, Found,
    HistoryLine, HoldView, JobView, Lane, LaneSlot, NoticeView, OwedView, ReadyBy, RepairView, StripInfo,
    VenueView,
};

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
    let late = JobView {
        kind: ItemKind::Epee,
        complaint: Complaint::FailsWeight,
        fencer: Some("Tess Invented-Longname".into()),
        need: Need::NoneLeft,
        promise: Some(ready(30, 40)),
        ..job(34)
    };
    let held = JobView {
        kind: ItemKind::JacketFoil,
        complaint: Complaint::DeadSpot,
        fencer: Some("Mo Fiction".into()),
        promise: None,
        hold: Some(HoldView { reason: HoldReason::PartMissing, note: None, since: NOW.plus_min(-5) }),
        ..job(52)
    };
    vec![in_hand(), late, coming(), done(), held]
}

fn in_hand() -> JobView {
    JobView {
        state: JobState::OnBench,
        place: Place::Bench(BenchId(1)),
        bench: Some(BenchId(1)),
        note: Some("only after a parry".into()),
        in_hand_since: Some(NOW.plus_min(-6)),
        promise: Some(ready(9, 14)),
        ..job(21)
    }
}

fn coming() -> JobView {
    JobView {
        state: JobState::OnItsWay,
        place: Place::Strip(StripId(3)),
        tag: None,
        kind: ItemKind::BodyCordTwoPin,
        complaint: Complaint::FallsOut,
        wanted_by: None,
        promise: None,
        ..job(40)
    }
}

fn done() -> JobView {
    let notice = NoticeView {
        notice: NoticeId(47),
        kind: NoticeKind::Ready,
        to: Spot::Strip(StripId(3)),
        sent: NOW.plus_min(-2),
        confirmed: None,
        raised: false,
    };
    JobView {
        state: JobState::Ready,
        place: Place::ReadyShelf,
        kind: ItemKind::MaskFoil,
        complaint: Complaint::HitsNotShown,
        ended: Some(NOW.plus_min(-2)),
        notice: Some(notice),
        ..job(45)
    }
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
        closes_at: None,
    }
}

fn call() -> CallView {
    CallView {
        call: CallId(60),
        strip: StripId(2),
        bench: BenchId(2),
        state: CallState::Called,
        note: Some("no light on the left".into()),
        called: NOW.plus_min(-1),
        arrival: Some(NOW.plus_min(1)),
    }
}

fn owed() -> OwedView {
    OwedView {
        owed: OwedId(9),
        item: ItemId(4),
        kind: ItemKind::Epee,
        work: Work::BladeWire,
        fault: None,
        since: NOW.plus_min(-100),
        fencer: Some("Mo Fiction".into()),
        job: None,
    }
}

pub fn board(in_hand: bool) -> Board {
    let slot = |number, from, to| LaneSlot {
        job: JobId(number),
        starts: NOW.plus_min(from),
        ready: Some(ready(to, to + 9)),
        why: Some("Bench 1 is the only one that mends points and nothing more urgent is here.".to_owned()),
        late: None,
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
        calls: Some(vec![call()]),
        lanes: Some(vec![
            Lane { bench: BenchId(1), slots: vec![slot(34, 9, 30)] },
            Lane { bench: BenchId(2), slots: Vec::new() },
        ]),
        owed: Some(vec![owed()]),
        tally: None,
        planner: None,
    }
}

/// What a search brought.
pub fn found(jobs: Vec<JobView>) -> Found {
    Found { covers_up_to: Seq(61), at: NOW, jobs, more: false, near_tags: Vec::new() }
}

/// The checks of a foil whose point was mended; the first is made.
fn proof() -> Vec<CheckView> {
    let edition = rules::edition("fie-2026").unwrap();
    let checks = edition.proof_for(ItemKind::Foil, &[Work::Point], false);
    let check = |(number, check): (usize, &rules::Check)| CheckView {
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
    checks.into_iter().enumerate().map(check).collect()
}

/// The course of the job in hand: a point that was found dirty and cleaned; one check made.
pub fn course() -> Course {
    let fault = remise_core::gear::prior(ItemKind::Foil, Complaint::WhiteOnOff)[0].0.id.to_owned();
    let finding =
        FindingView { finding: FindingId(30), fault: fault.clone(), showed: Showed::Present, note: None };
    let repair = RepairView {
        repair: RepairId(31),
        work: Work::Point,
        fault: Some(fault),
        lasting: Lasting::Lasting,
        hands_on: Span::minutes(4),
    };
    let line = HistoryLine {
        seq: Seq(21),
        recorded_at: NOW.plus_min(-10),
        happened_at: NOW.plus_min(-10),
        late: false,
        station: Some("strip 3".into()),
        sentence: "Handed in at strip 3: foil, white light comes and goes.".into(),
    };
    Course {
        covers_up_to: Seq(61),
        at: NOW,
        job: in_hand(),
        findings: vec![finding],
        sightings: Vec::new(),
        repairs: vec![repair],
        proof: proof(),
        history: vec![line],
        owed: Vec::new(),
        elsewhere: None,
        anyway: None,
    }
}
